"""Chords whose shape has two names: the synonym (C6 = Am7), and the ninth without its root."""

from collections.abc import Iterator

from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.placing import ANOTHER_BASS, FINAL, INTO_SILENCE
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant, cut_short
from harmonykit.arrange.slots import Slot, melody_between
from harmonykit.theory.chord import Chord, Degree, Interval
from harmonykit.theory.key import Key, falls_a_fifth
from harmonykit.values import dataclass

_NINTH = Degree(9)
NO_ROOT = "nobody plays the root, and the chords before do not imply it"


@dataclass(frozen=True, slots=True)
class RootlessNinth:
    """A dominant as its ninth chord without the root: the minor sixth on its fifth.

    G9 without G is D F A B, the shape of Dm6 and Bm7♭5.  It stands where the root is heard: with a
    bass player; between chords whose roots fall by fifths into it and from it (after its ii, in a
    turnaround); or in the last beats, after the full chord.  The dominant is written 7 or 9.  None
    before a minor chord unless the melody has the ninth, not on the final chord, none under a
    melody note a semitone above its tones (common practice, no source).
    """

    name: str = "rootless ninth"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as the rootless ninth."""
        chord = slot.chord
        if chord is None or not chord.is_dominant:
            return
        if rule := _broken(slot, chord, setting):
            yield Refused(rule)
            return
        rootless = ninth_without_root(chord)
        late = self._after_full(slot, setting, chord, rootless)
        if not setting.bass_player and not _falls_through(slot, chord, setting.key):
            yield late
            return
        clashes = (
            placing.melody_clash(rootless, p.onset, p.beats, p, setting) for p in slot.pieces
        )
        if clash := next(filter(None, clashes), ""):
            yield Refused(clash)
        else:
            reason = _reason(chord, rootless, setting)
            parts = (
                Part(rootless, p.onset, p.beats, p.bar, self.name, reason) for p in slot.pieces
            )
            yield Variant(tuple(parts), keeps_first=False)
        if isinstance(late, Variant):
            yield late

    def _after_full(
        self, slot: Slot, setting: Setting, chord: Chord, rootless: Chord
    ) -> Variant | Refused:
        """Return the slot with its last beats given to the chord without its root."""
        last, beats = slot.pieces[-1], placing.late_beats(slot.pieces[-1])
        if beats is None:
            return Refused(NO_ROOT)
        if not setting.lasts(beats) or not setting.lasts(last.beats - beats):
            return Refused(placing.too_short(setting))
        start = last.onset + last.beats - beats
        if clash := placing.melody_clash(rootless, start, beats, last, setting):
            return Refused(clash)
        reason = _reason(chord, rootless, setting, after=True)
        put = Part(rootless, start, beats, last.bar, self.name, reason)
        return Variant((*cut_short(slot, beats), put))


def ninth_without_root(chord: Chord) -> Chord:
    """Return the minor sixth that a dominant's ninth chord holds.

    Examples
    --------
    >>> ninth_without_root(Chord.parse("G7")).symbol, ninth_without_root(Chord.parse("C9")).symbol
    ('Dm6', 'Gm6')
    """
    return Chord.of(chord.root.transpose(Interval.parse("P5")).plain(), "m6")


def needs_the_ninth(slot: Slot, setting: Setting) -> bool:
    """Whether a natural ninth would spoil the way to a minor chord: the melody does not have it."""
    if slot.chord is None or slot.after is None or not slot.after.is_minor:
        return False
    ninth = _NINTH.over(slot.chord.root).pitch_class
    sung = melody_between(setting.melody, slot.onset, slot.onset + slot.beats)
    return all(note.note.pitch_class != ninth for note in sung)


def _broken(slot: Slot, chord: Chord, setting: Setting) -> str:
    if slot.final:
        return placing.FINAL
    if chord.quality not in ("7", "9"):
        return f"{chord.unicode} is not written 7 or 9"
    if chord.bass != chord.root:
        return placing.ANOTHER_BASS
    if needs_the_ninth(slot, setting):
        return "before a minor chord, only where the melody has the ninth"
    return ""


def _falls_through(slot: Slot, chord: Chord, key: Key) -> bool:
    """Return whether roots fall by fifths from the chord before, and to the chord after.

    The I7 of a blues is where it came to rest, and its root is wanted.
    """
    before, after, root = slot.before, slot.after, chord.root.pitch_class
    if before is None or after is None:
        return False
    if root == key.tonic.pitch_class and after.is_dominant:
        return False
    leads = before.is_dominant or Degree(3, -1) in before.degrees
    return (
        leads and (before.root.pitch_class - root) % 12 == 7 == (root - after.root.pitch_class) % 12
    )


def _reason(chord: Chord, rootless: Chord, setting: Setting, *, after: bool = False) -> str:
    root, ninth = chord.root.unicode, _NINTH.over(chord.root).plain().unicode
    third, fifth, seventh = (
        degree.over(chord.root).unicode for degree in (Degree(3), Degree(5), Degree(7, -1))
    )
    if setting.bass_player:
        heard = f"over the bass player's {root} it is {root}9"
    elif after:
        heard = f"the root {root} was heard before it"
    else:
        heard = f"the roots fall by fifths, so the ear supplies {root}"
    has_ninth = Degree(9) in chord.degrees
    gone = f"{root} is left out" if has_ninth else f"the ninth {ninth} replaces {root}"
    return (
        f"{rootless.unicode} replaces {chord.unicode} as its ninth chord without the root: {gone}; "
        f"{third}, {fifth} and {seventh} stay; {heard}"
    )


# Quality, quality of the other name, and the way to its root.
_OTHER_NAMES = {
    "6": ("m7", "-m3"),
    "m7": ("6", "m3"),
    "m6": ("m7b5", "-m3"),
    "m7b5": ("m6", "m3"),
}


@dataclass(frozen=True, slots=True)
class Synonym:
    """A sixth called a minor seventh, a minor sixth called half-diminished, and the reverse.

    The notes are the same (C6 = Am7, Cm6 = Am7♭5), so that it costs nothing; it is offered where
    the new root lies a fifth above the root that follows and the old one does not (common practice,
    no source).  Alone, what sounds does not change by it; with a bass player the bass does.
    """

    name: str = "chord synonym"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot under its chord's other name."""
        chord, target = slot.chord, slot.after
        if chord is None or chord.quality not in _OTHER_NAMES:
            return
        other = other_name(chord)
        rule = _not_renamed(slot, chord, other)
        if rule or target is None:
            yield Refused(rule)
            return
        reason = _named_reason(chord, other, target, setting)
        parts = (Part(other, p.onset, p.beats, p.bar, self.name, reason) for p in slot.pieces)
        yield Variant(tuple(parts), keeps_first=False, free=True)


def other_name(chord: Chord) -> Chord:
    """Return the other chord of the same four notes.

    Examples
    --------
    >>> [other_name(Chord.parse(name)).symbol for name in ("C6", "Am7", "Cm6", "Am7b5")]
    ['Am7', 'C6', 'Am7b5', 'Cm6']
    """
    quality, way = _OTHER_NAMES[chord.quality]
    return Chord.of(chord.root.transpose(Interval.parse(way)).plain(), quality)


def _not_renamed(slot: Slot, chord: Chord, other: Chord) -> str:
    target = slot.after
    if slot.final:
        return FINAL
    if target is None:
        return INTO_SILENCE
    if chord.bass != chord.root:
        return ANOTHER_BASS
    if falls_a_fifth(chord, target) or not falls_a_fifth(other, target):
        return "the new root must resolve down a fifth, and the old one must not"
    return ""


def _named_reason(chord: Chord, other: Chord, target: Chord, setting: Setting) -> str:
    notes = ", ".join(note.unicode for note in other.tones)
    heard = "the bass goes" if setting.bass_player else "it sounds the same; its root goes"
    return (
        f"{other.unicode} is a chord synonym of {chord.unicode}, the same notes {notes}: {heard} "
        f"down a fifth from {other.root.unicode} to {target.root.unicode}"
    )
