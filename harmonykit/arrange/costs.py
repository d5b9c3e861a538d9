"""What a shape and a change of shape cost: whole numbers, so that sums are exact.

The units are set by ``Weights``.  A change of shape costs by

- the semitones that the sounding voices move, lowest to lowest and so on up (where the number of
  voices differs, the spare ones join their nearest),
- the semitones that the highest pitch moves,
- the millimetres that the hand travels (``travel.travel_mm``), rounded,
- the strings whose fret changes.

A shape costs by its stretch in millimetres, rounded, and by its highest fret; an added chord, a
chance not taken and a clash with the melody that is added cost by the piece.  Silence costs
nothing, and nothing is counted across it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.hands.travel import travel_matrix
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.leading.matrix import pitch_semitones
from harmonykit.theory.leading.staircase import Notes
from harmonykit.theory.leading.ways import Costs, Place, Ways
from harmonykit.theory.typed import as_typed


@dataclass(frozen=True, slots=True)
class Weights:
    """How much the search dislikes each thing.

    Parameters
    ----------
    semitone : int
        A voice's semitone.
    top : int
        A semitone of the highest pitch.
    travel : int
        A millimetre that the hand travels.
    string : int
        A string whose fret changes.
    stretch : int
        A millimetre between the outermost fingers.
    height : int
        A fret of the highest finger.
    change : int
        An added chord.
    chance : int
        A slot that a move could have filled, left as written.
    clash : int
        A melody note that rubs with the chord and would not with the tune's own.
    """

    semitone: int = 10
    top: int = 5
    travel: int = 2
    string: int = 5
    stretch: int = 1
    height: int = 4
    change: int = 10
    chance: int = 700
    clash: int = 0

    def __repr__(self) -> str:
        return as_typed(self)


def travelling_hand(limits: Limits, instrument: Instrument) -> Limits:
    """Return the hand whose fingerings say how far it travels: a wide one on the whole neck.

    A level's narrower limits leave out shapes, not fingers; a hand of more than the usual stretch
    is taken as it is.
    """
    return Limits(instrument.frets, max(limits.stretch_mm, Limits().stretch_mm))


class Shapes:
    """The shapes that may play one chord, as arrays, made once.

    Attributes
    ----------
    voicings : tuple of Voicing
    frets : array (shapes, strings) of int, -1 where muted
    sounds : list of tuple of int
        Sounding MIDI numbers, sorted.
    pitches : array (shapes, strings) of int
        MIDI numbers in string order, -1 where muted.
    own : array (shapes,) of int
        What each shape costs by itself.
    """

    def __init__(self, voicings: tuple[Voicing, ...], weights: Weights, hand: Limits) -> None:
        self.voicings, self.hand = voicings, hand
        self.frets = np.array(
            [[-1 if fret is None else fret for fret in v.frets] for v in voicings], dtype=np.int64
        )
        self.pitches = np.array(
            [[-1 if pitch is None else pitch for pitch in v.midi] for v in voicings], dtype=np.int64
        )
        self.sounds: list[Notes] = [tuple(sorted(v.sounding)) for v in voicings]
        self.own = shape_costs(self, weights) if voicings else np.zeros(0, dtype=np.int64)

    def __len__(self) -> int:
        return len(self.voicings)


def shape_costs(shapes: Shapes, weights: Weights) -> Costs:
    """Return what each shape costs by itself."""
    stretch = np.array([round(v.stretch_mm) for v in shapes.voicings], dtype=np.int64)
    height = np.maximum(shapes.frets.max(axis=1), 0)
    costs: Costs = weights.stretch * stretch + weights.height * height
    return costs


def change_costs(before: Shapes, after: Shapes, weights: Weights) -> Costs:
    """Return what each change of shape costs: an array (before, after) of whole numbers."""
    strings = (before.frets[:, None, :] != after.frets[None, :, :]).sum(axis=2)
    tops_before = np.array([sounds[-1] for sounds in before.sounds], dtype=np.int64)
    tops_after = np.array([sounds[-1] for sounds in after.sounds], dtype=np.int64)
    top = np.abs(tops_before[:, None] - tops_after[None, :])
    return np.asarray(
        weights.semitone * pitch_semitones(before.sounds, after.sounds)
        + weights.top * top
        + weights.travel * travel_rounded(before, after)
        + weights.string * strings,
        dtype=np.int64,
    )


def travel_rounded(before: Shapes, after: Shapes) -> Costs:
    """Return the whole millimetres that the hand travels at each change: (before, after)."""
    travel = travel_matrix(before.voicings, after.voicings, before.hand)
    rounded: Costs = np.rint(travel).astype(np.int64)
    return rounded


def cheapest_row(
    rows: list[tuple[Voicing, ...]], instrument: Instrument, limits: Limits, weights: Weights
) -> tuple[list[Voicing | None], int]:
    """Return one shape of each row so that all of them and the changes cost the least; the cost.

    Nothing is counted across a silence, which is an empty row.
    """
    hand = travelling_hand(limits, instrument)
    total = 0
    chosen: list[Voicing | None] = [None] * len(rows)
    group: list[int] = []
    for place in [*range(len(rows)), len(rows)]:
        if place < len(rows) and rows[place]:
            group.append(place)
            continue
        shapes = [Shapes(rows[n], weights, hand) for n in group]
        for cost, places in _best_in_a_row(shapes, weights):
            total += cost
            for at, (_, node) in zip(group, places, strict=True):
                chosen[at] = rows[at][node]
        group = []
    return chosen, total


def _best_in_a_row(row: list[Shapes], weights: Weights) -> list[tuple[int, list[Place]]]:
    ways = Ways()
    for number, shapes in enumerate(row):
        changes = [change_costs(row[number - 1], shapes, weights)] if number else []
        ways.add(shapes.own, [(number - 1, costs) for costs in changes])
    return ways.best([len(row) - 1]) if row else []
