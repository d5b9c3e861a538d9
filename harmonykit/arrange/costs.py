"""What a shape and a change of shape cost: whole numbers, so that sums are exact.

The units are set by :class:`Weights`.  A change of shape costs by

- the semitones that the sounding voices move, lowest to lowest and so on up (where the number of
  voices differs, the spare ones join their nearest),
- the semitones that the highest pitch moves,
- the millimetres that the hand travels along the neck, from index to index (a hand that presses
  nothing is wherever it is wanted next),
- the strings whose fret changes.

A shape costs by its stretch in millimetres and by its highest fret; an inserted chord and a
chance not taken cost by the piece.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmonykit.fretboard.voicing import Voicing

Costs = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Weights:
    """Prices in whole numbers.

    Parameters
    ----------
    semitone : int
        A voice's semitone.
    top : int
        A semitone of the highest pitch.
    travel : int
        A millimetre along the neck.
    string : int
        A string whose fret changes.
    stretch : int
        A millimetre between the outermost fingers.
    height : int
        A fret of the highest finger.
    change : int
        An inserted chord.
    chance : int
        A slot that a move could have filled, left as written.
    """

    semitone: int = 10
    top: int = 5
    travel: int = 2
    string: int = 5
    stretch: int = 1
    height: int = 4
    change: int = 10
    chance: int = 700


class Shapes:
    """The shapes of one layer as arrays, made once.

    Attributes
    ----------
    voicings : tuple of Voicing
    frets : array (shapes, strings) of int, -1 where muted
    pitches : list of arrays of sorted MIDI numbers
    place : array (shapes,) of float, mm of the lowest fretted wire, NaN where none is fretted
    """

    def __init__(self, voicings: tuple[Voicing, ...]) -> None:
        self.voicings = voicings
        self.frets = np.array(
            [[-1 if fret is None else fret for fret in v.frets] for v in voicings], dtype=np.int64
        )
        self.sounds = [tuple(sorted(v.sounding)) for v in voicings]
        self.place = np.array([hand_place(v) for v in voicings], dtype=float)
        self.own = np.zeros(len(voicings), dtype=np.int64)

    def __len__(self) -> int:
        return len(self.voicings)


def hand_place(voicing: Voicing) -> float:
    """Return where the index is along the neck, in mm; NaN where nothing is pressed."""
    fretted = [fret for fret in voicing.frets if fret]
    return voicing.instrument.wire_mm(min(fretted)) if fretted else float("nan")


def shape_costs(shapes: Shapes, weights: Weights) -> Costs:
    """Return what each shape costs by itself."""
    stretch = np.array([round(v.stretch_mm) for v in shapes.voicings], dtype=np.int64)
    height = np.maximum(shapes.frets.max(axis=1), 0)
    costs: Costs = weights.stretch * stretch + weights.height * height
    return costs


def change_costs(before: Shapes, after: Shapes, weights: Weights) -> Costs:
    """Return what each change of shape costs: an array (before, after) of whole numbers."""
    travel = np.abs(before.place[:, None] - after.place[None, :])
    travel = np.rint(np.nan_to_num(travel)).astype(np.int64)
    strings = (before.frets[:, None, :] != after.frets[None, :, :]).sum(axis=2)
    voices = voice_semitones(before, after)
    tops_before = np.array([sounds[-1] for sounds in before.sounds], dtype=np.int64)
    tops_after = np.array([sounds[-1] for sounds in after.sounds], dtype=np.int64)
    top = np.abs(tops_before[:, None] - tops_after[None, :])
    return np.asarray(
        weights.semitone * voices
        + weights.top * top
        + weights.travel * travel
        + weights.string * strings,
        dtype=np.int64,
    )


def voice_semitones(before: Shapes, after: Shapes) -> Costs:
    """Return the semitones that the voices move between all pairs of shapes."""
    counts = {len(sounds) for sounds in (*before.sounds, *after.sounds)}
    if len(counts) == 1:
        low = np.array(before.sounds, dtype=np.int64)
        high = np.array(after.sounds, dtype=np.int64)
        moved: Costs = np.abs(low[:, None, :] - high[None, :, :]).sum(axis=2)
        return moved
    rows = [[pair_semitones(a, b) for b in after.sounds] for a in before.sounds]
    return np.array(rows, dtype=np.int64)


def pair_semitones(before: tuple[int, ...], after: tuple[int, ...]) -> int:
    """Return the least semitones between two sorted chords of pitches, each note used.

    Voices do not cross and each note of both chords takes part, so that this is a shortest path
    down a staircase (the line's case of a best voice leading with doubling).

    Examples
    --------
    >>> pair_semitones((60, 64, 67), (60, 65, 69)), pair_semitones((60, 64, 67), (59, 62, 65, 67))
    (3, 4)
    """
    if len(before) == len(after):
        return sum(abs(a - b) for a, b in zip(before, after, strict=True))
    best = [abs(before[0] - after[0])]
    for note in after[1:]:
        best.append(best[-1] + abs(before[0] - note))
    for start in before[1:]:
        row = [best[0] + abs(start - after[0])]
        for j, note in enumerate(after[1:], 1):
            row.append(min(best[j], best[j - 1], row[-1]) + abs(start - note))
        best = row
    return best[-1]
