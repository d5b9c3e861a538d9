"""The row that an idiom writes in a tune, its chords and what is said of them.

Chords are spelled by their degree in the key where the row was found, roots as charts write them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, pairwise

from harmonykit.arrange.idioms.idiom import FIELD, Idiom, written
from harmonykit.arrange.idioms.numeral import Choice, text_of
from harmonykit.arrange.idioms.standing import Stretch
from harmonykit.arrange.moves.rule import Part
from harmonykit.arrange.slots import Slot
from harmonykit.evidence.kinds import PLAIN, style_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.degree import Degree
from harmonykit.theory.interval import Interval
from harmonykit.theory.key import Key, falls_a_fifth
from harmonykit.tune.analysis.numerals import printed_numeral

_UP = Interval.parse("P5")


@dataclass(frozen=True, slots=True)
class Row:
    """A row that was found: its stretches, the key, the new chords group by group."""

    stretches: tuple[Stretch, ...]
    key: Key
    groups: tuple[tuple[Chord, ...], ...]

    @classmethod
    def of(cls, idiom: Idiom, row: Sequence[Stretch], key: Key, slots: Sequence[Slot]) -> "Row":
        """Return what an idiom writes for a row of a tune, in a key."""
        plain = is_plain(slots)
        found = [
            [_chord(idiom, choice, place, row, key, plain=plain) for choice in group]
            for place, group in enumerate(idiom.after)
        ]
        old = [stretch.chord for stretch in row]
        return cls(tuple(row), key, tuple(map(tuple, _paired(found, old))))

    def reasons(self, idiom: Idiom) -> dict[Chord, str]:
        """Return what is said of each new chord: of the first why, of the others what they are."""
        found: dict[Chord, str] = {}
        for stretch, group, choices in zip(self.stretches, self.groups, idiom.after, strict=True):
            for chord, choice in zip(group, choices, strict=True):
                if chord == stretch.chord or chord in found:
                    continue
                numeral = printed_numeral(text_of(choice))
                also = (
                    f"{chord.unicode} belongs to the same idiom, as {numeral} in {self.key.unicode}"
                )
                found[chord] = also if found else said(idiom, self.stretches, self.groups)
        return found


def _chord(
    idiom: Idiom, choice: Choice, place: int, row: Sequence[Stretch], key: Key, *, plain: bool
) -> Chord:
    kept = idiom.stays(choice, place)
    chord = None if kept is None else row[kept].chord
    numeral = written(choice)
    if chord is None:
        return numeral.chord(key.tonic, plain=plain)
    return chord if numeral.bass is None else numeral.over(chord, key.tonic)


def _paired(
    groups: Sequence[Sequence[Chord]], old: Sequence[Chord | None]
) -> Iterator[Iterator[Chord]]:
    """Yield chords group by group; a new ii bears the letter of the dominant that it goes to."""
    row = [chord for group in groups for chord in group]
    for place, (ii, then) in enumerate(pairwise(row)):
        new = ii not in old and ii.bass == ii.root
        if new and ii.is_minor and then.is_dominant and falls_a_fifth(ii, then):
            row[place] = Chord.of(then.root.transpose(_UP).plain(), ii.quality)
    rest = iter(row)
    for group in groups:
        yield islice(rest, len(group))


def said(idiom: Idiom, stretches: Sequence[Stretch], groups: Sequence[Sequence[Chord]]) -> str:
    """Return an idiom's reason with the names of its chords and notes."""
    old = [stretch.chord for stretch in stretches]
    new = [chord for group in groups for chord in group]

    def name(match: object) -> str:
        found = FIELD.fullmatch(str(match))
        assert found is not None
        chord = (old if found[1] else new)[int(found[2]) - 1]
        assert chord is not None
        if found[3]:
            return Degree.parse(found[3]).over(chord.root).plain().unicode
        return chord.unicode

    return FIELD.sub(lambda match: name(match[0]), idiom.reason)


def named(parts: Sequence[Part], reasons: dict[Chord, str]) -> Iterator[Part]:
    """Yield parts, those that are new with the reason for their chord."""
    for part in parts:
        told = part.move and part.chord is not None
        yield replace(part, reason=reasons.get(part.chord, "")) if told and part.chord else part


def is_plain(slots: Sequence[Slot]) -> bool:
    """Return whether most chords of a tune are triads."""
    return style_of(heard_in(slots)) == PLAIN


def heard_in(slots: Sequence[Slot]) -> list[tuple[int, ...]]:
    """Return the chords of a tune as they are counted."""
    return [slot.chord.semitones for slot in slots if slot.chord is not None]
