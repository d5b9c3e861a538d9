"""The dominants that replace a dominant: a tritone away, of the same four, or without its root.

All rules are common practice, no source.  A check returns the rule that is broken, or nothing.
"""

from collections.abc import Iterator

from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot, melody_between
from harmonykit.theory import diminished, scale, spelling
from harmonykit.theory.chord import Chord, Degree, Interval, Note
from harmonykit.theory.key import Key, falls_a_fifth
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

_FIFTH, _ALTERED_NINTH = Degree(5), Degree(9, -1)


def is_called_dominant(chord: Chord) -> bool:
    """Whether charts write it as a dominant: with a minor seventh over a third or a suspension."""
    return Degree(7, -1) in chord.degrees and Degree(3, -1) not in chord.degrees


def broken_resolution(chord: Chord, target: Chord, key: Key) -> str:
    """Return the rule that keeps a chord from acting as the dominant of the one that follows."""
    place = (chord.root.pitch_class - key.tonic.pitch_class) % 12
    if place in (0, 5) and target.is_dominant:
        return f"{chord.unicode} is the I7 or IV7 of a blues, which does not resolve"
    if place == 10 and key.mode == "major":
        return f"{chord.unicode} is ♭VII7, which does not resolve down a fifth"
    if not falls_a_fifth(chord, target):
        return "the dominant must resolve down a fifth"
    return ""


def broken_stand_in(slot: Slot, setting: Setting) -> str:
    """Return the rule that keeps another dominant from replacing the slot's own."""
    chord, target = slot.chord, slot.after
    if (rule := placing.broken_edge(slot, setting)) or chord is None or target is None:
        return rule
    if not chord.is_dominant:
        return f"{chord.unicode} keeps its suspension"
    if rule := broken_resolution(chord, target, setting.key):
        return rule
    if chord.bass != chord.root:
        return placing.ANOTHER_BASS
    return ""


def offer_stand_in(
    slot: Slot,
    setting: Setting,
    chord: Chord,
    move: str,
    reason: str,
    *,
    leads: bool = True,
    into: scale.SixthDiminished | None = None,
) -> Iterator[Variant | Refused]:
    """Yield the slot as another chord, and with its last beats so."""
    yield placing.offer_whole(slot, setting, chord, move, reason, leads=leads, into=into)
    late = placing.offer_late(slot, setting, chord, move, reason, leads=leads, into=into)
    if isinstance(late, Variant):
        yield late


def seventh_on(note: Note) -> Chord:
    """Return the dominant seventh on a note, its root named as charts do."""
    return Chord.of(spelling.chart_name(note.at(None)), "7")


@dataclass(frozen=True, slots=True)
class TritoneSubstitution:
    """The tritone substitution (subV7) of a dominant, wholly or in its last beats.

    Of a diminished seventh's four dominants these two share third and seventh, which change places
    (common practice; the notes are checked); root and fifth move by a semitone each.  The dominant
    resolves down a fifth, so that the root of the new one falls by a half step.  Not for a
    suspension, a slash chord, a blues I7 or IV7, or the ♭VII7 of a major key; not under a melody
    note a semitone above one of its tones, its own ♭9 excepted.  A dominant to which another falls
    by a half step (♭VI7 – V7) gives its last beats alone, unless the melody sings a note a half
    step above its root: the substitution has that as its fifth.
    """

    name: str = "tritone substitution"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as the substitution, and with its last beats so."""
        chord, target = slot.chord, slot.after
        if chord is None or not is_called_dominant(chord):
            return
        rule = broken_stand_in(slot, setting)
        if rule or target is None:
            yield Refused(rule)
            return
        # Named from above: it falls to its target by a semitone.
        other = seventh_on(spelling.beside(target.root, "above"))
        reason = _tritone_reason(chord, other, target)
        offered = offer_stand_in(slot, setting, other, self.name, reason)
        if rule := _fallen_to(slot, chord, setting):
            late = next((o for o in offered if isinstance(o, Variant) and o.keeps_first), None)
            yield late or Refused(rule)
        else:
            yield from offered


def _fallen_to(slot: Slot, chord: Chord, setting: Setting) -> str:
    """Return the rule that a dominant begins to which another falls by a half step: ♭VI7 – V7."""
    before, rub = slot.before, (chord.root.pitch_class + 1) % 12
    if before is None or not before.is_dominant or before.root.pitch_class != rub:
        return ""
    sung = melody_between(setting.melody, slot.onset, slot.end)
    if any(note.note.midi % 12 == rub for note in sung):
        return ""
    return f"{before.unicode} falls to {chord.unicode} by a half step"


def _tritone_reason(chord: Chord, other: Chord, target: Chord) -> str:
    third, seventh = (degree.over(chord.root).unicode for degree in (Degree(3), Degree(7, -1)))
    return (
        f"{other.unicode} replaces {chord.unicode}, a tritone away: {third} and {seventh} are the "
        f"third and seventh of both, and the root {other.root.unicode} is a half step above "
        f"{target.root.unicode}"
    )


FOUR, BACKDOOR = "four dominants", "backdoor"
_SAID = {
    FOUR: "one of the four dominants of the same diminished seventh",
    BACKDOOR: "the backdoor dominant, ♭VII7",
}
# Of the four dominants of one diminished seventh, those a minor third up and down.
_WAYS = (Interval.parse("m3"), Interval.parse("-m3"))


@dataclass(frozen=True, slots=True)
class FourDominants:
    """One of the four dominants of a diminished seventh for another, a minor third above or below.

    The one above keeps fifth and seventh and loses the third (for G7 it is B♭7, with D and F); the
    one below keeps third and fifth and loses the seventh (E7, with B and D).  It is not a tritone
    substitution: a guide tone is gone.  Its rules are those of that move.  ♭VII7 that resolves to
    the I of a major key is the *backdoor*, and each place says so (common practice, no source; the
    notes are checked).
    """

    name: str = FOUR

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as either dominant, and with its last beats so."""
        chord = slot.chord
        if chord is None or not is_called_dominant(chord):
            return
        if rule := broken_stand_in(slot, setting):
            yield Refused(rule)
            return
        for way in _WAYS:
            other = seventh_on(chord.root.transpose(way))
            name = BACKDOOR if _is_backdoor(slot, setting, other) else FOUR
            reason = _lost_reason(chord, other, name)
            yield from offer_stand_in(slot, setting, other, name, reason)


@dataclass(frozen=True, slots=True)
class Backdoor:
    """The ♭VII7 of a major key for its V7, resolving to I.

    Of the four dominants it is the one a minor third above; it keeps fifth and seventh (common
    practice, no source; the notes are checked).
    """

    name: str = BACKDOOR

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as the backdoor dominant, and with its last beats so."""
        found = [*FourDominants().offer(slot, setting)]
        kept = [one for one in found if isinstance(one, Variant) and _plays(one, BACKDOOR)]
        refused = [one for one in found if isinstance(one, Refused)]
        elsewhere = Refused("it must replace the V7 that resolves to the I of a major key")
        yield from kept or refused[:1] or ([elsewhere] if found else [])


def _plays(variant: Variant, move: str) -> bool:
    return any(part.move == move for part in variant.parts)


def _is_backdoor(slot: Slot, setting: Setting, other: Chord) -> bool:
    """Whether a dominant is ♭VII7 in a major key and resolves to its major I."""
    key, target = setting.key, slot.after
    if target is None or key.mode != "major" or target.is_minor or target.is_dominant:
        return False
    tonic = key.tonic.pitch_class
    return (target.root.pitch_class, other.root.pitch_class) == (tonic, (tonic + 10) % 12)


def _lost_reason(chord: Chord, other: Chord, name: str) -> str:
    guides = {"third": Degree(3), "seventh": Degree(7, -1)}
    notes = {name: degree.over(chord.root) for name, degree in guides.items()}
    lost = next(name for name, note in notes.items() if note.pitch_class not in other.pcs)
    seventh = Chord.of(chord.root, "7")
    kept = [note.unicode for note in seventh.tones if note.pitch_class in other.pcs]
    return (
        f"{other.unicode} replaces {chord.unicode} as {_SAID[name]}: {' and '.join(kept)} stay, "
        f"the {lost} {notes[lost].unicode} drops out"
    )


@dataclass(frozen=True, slots=True)
class RootlessDominant:
    """A dominant replaced by the diminished seventh of its ♭9, wholly or in its last beats.

    The flat ninth, a half step above, replaces the root; third, fifth and seventh stay.  The
    dominant resolves down a fifth, to no lighter beat, and is written 7 or 7♭9; not for a ninth,
    thirteenth, sus or ♯11, a blues I7 or IV7, or the ♭VII7 of a major key; not under melody notes a
    semitone above its tones, which are 2, 5, 8 and 11 above the dominant's root.
    """

    name: str = "rootless dominant"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as the diminished seventh, and with its last beats so."""
        chord, target = slot.chord, slot.after
        if chord is None or not is_called_dominant(chord):
            return
        rule = placing.broken_edge(slot, setting)
        if rule or target is None:
            yield Refused(rule)
            return
        added = _in_place_of(chord, target)
        rule = _broken(chord, target, added, setting.key)
        if rule:
            yield Refused(rule)
            return
        reason = _reason(chord, added)
        into = placing.scale_into(added, target)
        yield from offer_stand_in(slot, setting, added, self.name, reason, leads=False, into=into)


def _in_place_of(chord: Chord, target: Chord) -> Chord:
    """Return the diminished seventh on the leading note, over the bass that the chart asks for."""
    added = diminished.approach(target.root)
    if chord.bass == chord.root or chord.bass.pitch_class not in added.pcs:
        return added
    return added.over(added.spell(chord.bass.pitch_class))


def _broken(chord: Chord, target: Chord, added: Chord, key: Key) -> str:
    if chord.quality not in ("7", "7b9"):
        return f"{chord.unicode} is not written 7 or 7♭9"
    if rule := broken_resolution(chord, target, key):
        return rule
    if target.is_diminished_seventh:
        return placing.IN_A_ROW
    if chord.bass != chord.root and added.bass.pitch_class != chord.bass.pitch_class:
        return placing.ANOTHER_BASS
    return ""


def _reason(dominant: Chord, chord: Chord) -> str:
    """Say what moves: the root rises to the flat ninth, unless that exists already."""
    ninth = Degree(9, -1).over(dominant.root).plain()
    stays = [note.unicode for note in dominant.tones if note.pitch_class in chord.pcs]
    kept = f"{join_words(stays)} stay"
    if ninth.pitch_class in dominant.pcs:
        lost = f"is {dominant.unicode} without its root"
        return f"{chord.unicode} {lost}: {dominant.root.unicode} is left out; {kept}"
    return (
        f"{chord.unicode} replaces {dominant.unicode} as its ♭9 chord without the root: "
        f"{ninth.unicode}, a half step above, replaces {dominant.root.unicode}; {kept}"
    )
