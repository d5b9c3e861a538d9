"""Idioms in a tune: where they stand already, and the row that one writes there.

Chords are spelled by their degree in the key where the row was found, roots as charts write them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby, islice, pairwise

from harmonykit.arrange.idioms.idiom import ENDING, FIELD, Idiom, written
from harmonykit.arrange.idioms.numeral import Choice, Numeral, counted_kind, text_of
from harmonykit.arrange.idioms.reading import shipped
from harmonykit.arrange.moves.rule import Part
from harmonykit.arrange.slots import Piece, Slot
from harmonykit.errors import wrong_kind
from harmonykit.evidence.kinds import PLAIN, style_of
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord, Degree, Interval
from harmonykit.theory.given import KeyLike, as_key
from harmonykit.theory.key import Key, falls_a_fifth
from harmonykit.tune.analysis.numerals import printed_numeral
from harmonykit.values import dataclass, replace


@dataclass(frozen=True, slots=True)
class Stretch:
    """One chord and the slots in which it lasts; none for a neighbour of which no more is known.

    ``first`` is the index of its first slot.
    """

    chord: Chord | None
    slots: tuple[Slot, ...] = ()
    first: int = 0

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Its time, bar by bar."""
        return tuple(piece for slot in self.slots for piece in slot.pieces)


def stretch_from(slots: Sequence[Slot], index: int) -> Stretch:
    """Return the stretch from a slot on, which may have begun before it."""
    stop = index + 1
    while (
        stop < len(slots)
        and slots[stop].chord == slots[index].chord
        and not slots[stop - 1].at_edge
    ):
        stop += 1
    return Stretch(slots[index].chord, tuple(slots[index:stop]), index)


def row_from(slots: Sequence[Slot], index: int, count: int) -> list[Stretch]:
    """Return at most so many stretches from a slot on."""
    found: list[Stretch] = []
    while index < len(slots) and len(found) < count:
        found.append(stretch_from(slots, index))
        index += len(found[-1].slots)
    return found


def row_round(slot: Slot) -> list[Stretch]:
    """Return a slot between its neighbours, as three stretches."""
    return [Stretch(slot.before), Stretch(slot.chord, (slot,)), Stretch(slot.after)]


def tonics(chords: Sequence[Chord | None], row: Sequence[Choice], key: Key | None) -> Iterator[Key]:
    """Yield the key in which chords are a row; none where they are not.

    Parameters
    ----------
    chords : sequence of Chord or None
        As many as the row has.
    row : sequence of Choice
    key : Key or None
        Where it must be; ``None`` for any.
    """
    first = chords[0] if chords else None
    if first is None or len(chords) < len(row):
        return
    for numeral in row[0]:
        tonic = numeral.tonic_of(first.root.pitch_class)
        if key is not None and tonic != key.tonic.pitch_class:
            continue
        fits = all(takes(choice, chord, tonic) for choice, chord in zip(row, chords, strict=False))
        if fits and takes((numeral,), first, tonic):
            yield key or _local(chords, numeral, tonic)
            return


def takes(choice: Choice, chord: Chord | None, tonic: int) -> bool:
    """Return whether a chord is one of some numerals, from a tonic; their bass counts, too."""
    if chord is None:
        return False
    root, kind = chord.root.pitch_class, counted_kind(chord.semitones)
    return any(
        each.takes(root, kind, tonic)
        and (not each.exact or chord.quality == each.suffix)
        and (
            each.bass is None or (chord.bass.pitch_class - tonic - each.bass.pitch_class) % 12 == 0
        )
        for each in choice
    )


def _local(chords: Sequence[Chord | None], numeral: Numeral, tonic: int) -> Key:
    """Return the key of a row, from its first chord and the numeral that takes it."""
    heard = [chord for chord in chords if chord is not None]
    home = next((chord for chord in heard if chord.root.pitch_class == tonic), None)
    mode = "minor" if home is not None and home.is_minor else "major"
    down = Interval(1 - numeral.degree.number, -numeral.degree.semitones)
    return Key(heard[0].root.transpose(down).at(None).plain(), mode).readable()


Shown = tuple[Idiom, Key, int, int]
"""An idiom, the key of its row, and the indices of its first and last chord."""


@dataclass(frozen=True, slots=True)
class Standing:
    """An idiom that a tune has.

    Parameters
    ----------
    idiom : str
        Its name.
    key : Key
        The key of its row, which may be one through which the tune passes.
    first_bar, last_bar : int
        Written numbers of the bars in which its first and its last chord begin.
    chords : tuple of Chord

    Examples
    --------
    >>> found = hk.arrange.find_idioms("| C6 A7 | Dm7 G7 | C6 |")
    >>> [str(each) for each in found if each.idiom == "ii–V–I"]
    ['ii–V–I in C major, bars 2–3: Dm7 – G7 – C6']
    """

    idiom: str
    key: Key
    first_bar: int
    last_bar: int
    chords: tuple[Chord, ...]

    @property
    def bars(self) -> str:
        """The bars in words."""
        one = self.first_bar == self.last_bar
        return f"bar {self.first_bar}" if one else f"bars {self.first_bar}–{self.last_bar}"

    def __str__(self) -> str:
        row = " – ".join(chord.unicode for chord in self.chords)
        return f"{self.idiom} in {self.key.unicode}, {self.bars}: {row}"


def find_idioms(
    tune: TuneLike, key: KeyLike | None = None, idioms: Mapping[str, Idiom] | None = None
) -> tuple[Standing, ...]:
    """Return the idioms in a tune, in the order of their first chords.

    Parameters
    ----------
    tune : Tune, str or Path
        A tune, the name of one that ships, a file, or its text.
    key : Key or str, optional
        The tune's own where not given.
    idioms : mapping of str to Idiom, optional
        Those to look for, as ``read_idioms`` returns them; the shipped ones where not given.

    Returns
    -------
    tuple of Standing
        Each once, however often its bars are played.

    Raises
    ------
    HarmonyError
        If the tune or the key cannot be read.

    Examples
    --------
    >>> [each.idiom for each in hk.arrange.find_idioms("| Fm7 Bb7 | C6 |", key="C")]
    ['backdoor ii–V', 'backdoor']
    """
    tune = as_tune(tune)
    if idioms is not None and not (
        isinstance(idioms, Mapping) and all(isinstance(each, Idiom) for each in idioms.values())
    ):
        raise wrong_kind(idioms, "idioms by name", 'hk.arrange.read_idioms("idioms.toml")')
    home = tune.key if key is None else as_key(key)
    changes = [next(same) for _, same in groupby(tune.changes, key=lambda each: each.chord)]
    row = [change.chord for change in changes]
    found: dict[Standing, None] = {}
    for idiom, local, first, last in shown_in(
        row, home, (shipped() if idioms is None else idioms).values()
    ):
        chords = tuple(chord for chord in row[first : last + 1] if chord is not None)
        bars = changes[first].bar, changes[last].bar
        found[Standing(idiom.name, local, *bars, chords)] = None
    return tuple(found)


def shown_in(chords: Sequence[Chord | None], key: Key, idioms: Iterable[Idiom]) -> Iterator[Shown]:
    """Yield where idioms stand in a row of chords, none of which repeats the one before.

    Two places of one idiom share a chord at most: the last of one may be the first of the next.

    Examples
    --------
    >>> row = [Chord.parse(each) for each in "C6 Ebdim7 Dm7".split()]
    >>> found = shown_in(row, Key.parse("C"), hk.arrange.IDIOMS.values())
    >>> [(idiom.name, first) for idiom, _, first, _ in found]
    [('descending diminished after the tonic', 0), ('descending diminished', 1)]
    """
    wanted = list(idioms)
    free = dict.fromkeys((idiom.name for idiom in wanted), 0)
    for first in range(len(chords)):
        for idiom in wanted:
            length = len(idiom.stands)
            if first < free[idiom.name] or first + length > len(chords):
                continue
            if idiom.where == ENDING and first + length < len(chords):
                continue
            if idiom.mode and not idiom.any_key and idiom.mode != key.mode:
                continue
            home = None if idiom.any_key else key
            for local in tonics(chords[first : first + length], idiom.stands, home):
                yield idiom, local, first, first + length - 1
                free[idiom.name] = first + max(length - 1, 1)


_UP = Interval.parse("P5")


@dataclass(frozen=True, slots=True)
class Row:
    """A row that was found: its stretches, the key, the new chords group by group."""

    stretches: tuple[Stretch, ...]
    key: Key
    groups: tuple[tuple[Chord, ...], ...]

    @classmethod
    def of(cls, idiom: Idiom, row: Sequence[Stretch], key: Key, slots: Sequence[Slot]) -> Row:
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
                first = next(iter(found), chord).unicode
                also = f"{chord.unicode} comes with {first}: it is {numeral} in {self.key.unicode}"
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

    def name(found: re.Match[str]) -> str:
        chord = (old if found[1] else new)[int(found[2]) - 1]
        assert chord is not None
        if found[3]:
            return Degree.parse(found[3]).over(chord.root).plain().unicode
        return chord.unicode

    return FIELD.sub(name, idiom.reason)


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
