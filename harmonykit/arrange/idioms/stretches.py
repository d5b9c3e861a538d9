"""Stretches: slots in a row with one chord, up to the end of a section; rows among them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harmonykit.arrange.idioms.numeral import Choice, Numeral, counted_kind
from harmonykit.arrange.slots import Piece, Slot
from harmonykit.theory.chord import Chord
from harmonykit.theory.interval import Interval
from harmonykit.theory.key import Key


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
