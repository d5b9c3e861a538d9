"""The diminished sevenths a half step from the next bass: leading-tone, passing, descending."""

from collections.abc import Iterator

from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.diminished import approach
from harmonykit.theory.key import Key
from harmonykit.values import dataclass

_FOURTH = 5
LEADING, PASSING = "leading-tone diminished", "passing diminished"


@dataclass(frozen=True, slots=True)
class LeadingTone:
    """The diminished seventh a half step below the next bass: vii°7 of the next chord.

    It is the rootless dominant with a flat ninth of its target, which is major, minor or dominant.
    Where the bass before lies a half step below it again, it is a *passing diminished* and each
    place says so.  Kept out where the chord repeats, where the chord before is already one of its
    four dominants (that one gains its ♭9 by it, and nothing is won), beside another diminished
    seventh, over a bass that the chart holds, between IV7 and I7 of a blues, into silence, where
    the target is on no heavier beat, where it or the chord before would be too short, or under a
    melody note a semitone above one of its tones.
    """

    name: str = LEADING

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beats given to the leading-tone diminished."""
        chord, target = slot.chord, slot.after
        if chord is None:
            return
        rule = placing.broken_edge(slot, setting)
        if rule or target is None:
            yield Refused(rule)
            return
        added = approach(target)
        if rule := _broken(chord, target, added) or _in_a_blues(chord, target, setting.key):
            yield Refused(rule)
            return
        name = PASSING if _passes(chord, added) else LEADING
        reason = _reason(chord, added, target)
        into = placing.scale_into(added, target)
        yield placing.offer_late(slot, setting, added, name, reason, leads=True, into=into)


@dataclass(frozen=True, slots=True)
class Passing:
    """The diminished seventh that fills a whole step up in the bass: I – ♯i° – ii.

    Its rules are those of the leading-tone diminished, of which it is the kind whose bass comes
    from a half step below (common practice, no source).
    """

    name: str = PASSING

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beats given to the passing diminished."""
        chord, target = slot.chord, slot.after
        for found in LeadingTone().offer(slot, setting):
            apart = isinstance(found, Variant) and chord is not None and target is not None
            if apart and chord and target and not _passes(chord, approach(target)):
                yield Refused(
                    "the bass of the chord before must be a half step below the added chord"
                )
            else:
                yield found


def _broken(chord: Chord, target: Chord, added: Chord) -> str:
    if target.is_diminished_seventh or chord.is_diminished_seventh:
        return placing.IN_A_ROW
    if not _may_be_led_to(target):
        return "the next chord must be major, minor or dominant"
    return placing.already_parent(chord, added)


def _in_a_blues(chord: Chord, target: Chord, key: Key) -> str:
    """Return the rule that a blues goes home from IV7 without a dominant."""
    above = [(one.root.pitch_class - key.tonic.pitch_class) % 12 for one in (chord, target)]
    if above == [_FOURTH, 0] and chord.is_dominant and target.is_dominant:
        return f"in a blues {chord.unicode} goes to {target.unicode} without a dominant between"
    return ""


def _may_be_led_to(target: Chord) -> bool:
    major = Degree(3) in target.degrees
    return target.is_minor or target.is_dominant or (major and Degree(5, 1) not in target.degrees)


def _passes(before: Chord, chord: Chord) -> bool:
    """Whether the bass rises to a chord by a half step."""
    return (chord.bass.pitch_class - before.bass.pitch_class) % 12 == 1


def _reason(before: Chord, chord: Chord, target: Chord) -> str:
    if _passes(before, chord):
        plain = all(one.bass == one.root for one in (before, chord, target))
        rise = "the roots rise" if plain else "the bass rises"
        steps = " – ".join(one.bass.unicode for one in (before, chord, target))
        return f"{chord.unicode} passes up to {target.unicode}: {rise} by half steps, {steps}"
    below = f"its root is a half step below {target.bass.unicode}"
    return f"{chord.unicode} resolves to {target.unicode}: {below}"


@dataclass(frozen=True, slots=True)
class Descending:
    """The diminished seventh a semitone above a minor chord, from a whole step above.

    What falls is the bass of the chord before, or the third of a major one: iii – ♭iii° – ii and
    I – ♭iii° – ii.  It is never called a dominant (common practice, no source).
    """

    name: str = "descending passing diminished"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beats given to the passing chord."""
        chord, target = slot.chord, slot.after
        if chord is None:
            return
        rule = placing.broken_edge(slot, setting)
        if rule or target is None:
            yield Refused(rule)
        elif not target.is_minor:
            yield Refused("the next chord must be minor")
        elif not _falls(chord, target):
            yield Refused(
                "the bass of the chord before, or its third if it is major, must be a whole step "
                "above the bass of the next chord"
            )
        elif chord.is_diminished_seventh:
            yield Refused(placing.IN_A_ROW)
        else:
            added = approach(target, side="above")
            above = f"its root is a half step above {target.bass.unicode}"
            reason = f"{added.unicode} passes down to {target.unicode}: {above}"
            yield placing.offer_late(slot, setting, added, self.name, reason, leads=True)


def _falls(chord: Chord, target: Chord) -> bool:
    """Whether the bass, or the third of a major chord that is at rest, is a whole step above."""
    third = 0 if chord.is_dominant or Degree(3) not in chord.degrees else 4
    starts = {chord.bass.pitch_class, (chord.root.pitch_class + third) % 12}
    return (target.bass.pitch_class + 2) % 12 in starts
