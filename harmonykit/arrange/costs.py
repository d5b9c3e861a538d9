"""What a shape and a change of shape cost: whole numbers, so that sums are exact.

The units are set by ``Weights``; 10 is a semitone of one voice.  A change of shape costs by

- the semitones that the sounding voices move, lowest to lowest and so on up (where the number of
  voices differs, the spare ones join their nearest), and beside them their square over four times
  the number of voices: a leap costs more than the steps that make it up,
- the semitones that the highest pitch moves, and what the ear does not expect of it (``ear``),
- the millimetres that the hand travels (``travel.travel_mm``), rounded; more where there is less
  than a second for it,
- the strings whose fret changes, and another set of sounding strings; whether a banjo's short
  string rings along counts as neither,
- a seventh that no voice takes by step to the third a fifth below (guide tones); outer voices that
  go the same way, where an instrument has a bass.

A shape costs by its marks as a shape of its chord (``marks``: fingers, barres, stretch, height,
muted and open strings), by how far back a chord book prints it, where there are many strings, by
its stretch in millimetres, rounded, by its highest fret, and by how low its close intervals lie
(``textures``); an added chord, a chance not taken and a clash with the
melody that is added cost by the piece.  Silence costs nothing, and nothing is counted across it.
"""

from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.guides import led, same_way, third_below
from harmonykit.arrange.weights import Weights
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.travel import stances, travel_between
from harmonykit.fretboard.shapes import textures
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.grips import grip_form
from harmonykit.fretboard.shapes.marks import judge
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading import matrix, staircase
from harmonykit.theory.leading.ways import Costs, Place, Ways

_BASS, _FOUR = 52, 4
# Of many strings so many first shapes of a chord book are all usual; what stands farther back than
# so many places after them is as good as none (common practice, no source).
_USUAL, _FAR_BACK = 6, 10


def has_bass(instrument: Instrument) -> bool:
    """Whether an instrument reaches below E3, so that its lowest voice is heard as a bass.

    Examples
    --------
    >>> [has_bass(Instrument.named(name)) for name in ("guitar", "ukulele", "mandolin")]
    [True, False, False]
    """
    return min(instrument.midi) < _BASS


def travelling_hand(limits: Limits, instrument: Instrument) -> Limits:
    """Return the hand whose fingerings say how far it travels: a wide one on the whole neck.

    A level's narrower limits leave out shapes, not fingers; a hand of more than the usual stretch
    is taken as it is.
    """
    return Limits(instrument.frets, max(limits.stretch_mm, Limits().stretch_mm))


class Grips:
    """Shapes in a row as arrays, whatever things cost; attributes as in ``Shapes``."""

    def __init__(self, voicings: tuple[Voicing, ...], hand: Limits) -> None:
        self.voicings, self.hand = voicings, hand
        self.frets = np.array(
            [[-1 if fret is None else fret for fret in v.frets] for v in voicings], dtype=np.int64
        )
        self.pitches = np.array(
            [[-1 if pitch is None else pitch for pitch in v.midi] for v in voicings], dtype=np.int64
        )
        self.sounds: list[staircase.Notes] = [tuple(sorted(v.sounding)) for v in voicings]
        self.tops = np.array([sounds[-1] for sounds in self.sounds], dtype=np.int64)
        # Whether a short string rings along is the plucking hand's choice.
        self.held = self.frets.copy()
        for place in _drones(voicings):
            self.held[:, place] = np.maximum(self.held[:, place], 0)

    @cached_property
    def stances(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Where the hand and its fingers stand in each shape (``travel.stances``)."""
        return stances(self.voicings, self.hand)

    @cached_property
    def forms(self) -> tuple[Fretting, ...]:
        """Which grip each shape is (``grips.grip_form``)."""
        return tuple(map(grip_form, self.voicings))


_grips = lru_cache(maxsize=2048)(Grips)


def _drones(voicings: tuple[Voicing, ...]) -> list[int]:
    """Return the strings that begin above the nut, as a banjo's short one does."""
    starts = voicings[0].instrument.starts if voicings else ()
    return [place for place, start in enumerate(starts) if start]


@lru_cache(maxsize=4096)
def _moved(before: Grips, after: Grips) -> NDArray[np.int32]:
    """Return the semitones that the voices move at each change."""
    found: NDArray[np.int32] = matrix.pitch_semitones(before.sounds, after.sounds).astype(np.int32)
    return found


def sounds_alike(before: "Shapes", after: "Shapes") -> NDArray[np.bool_]:
    """Return which shapes have the same pitches as which: (before, after)."""
    found: NDArray[np.bool_] = _moved(before.grips, after.grips) == 0
    return found


@lru_cache(maxsize=4096)
def _travelled(before: Grips, after: Grips) -> NDArray[np.int32]:
    """Return the whole millimetres that the hand travels at each change."""
    travel = travel_between(before.stances, after.stances)
    found: NDArray[np.int32] = np.rint(travel).astype(np.int32)
    return found


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
    tops : array (shapes,) of int
        The highest sounding MIDI number.

    Parameters
    ----------
    places : tuple of int
        Where each shape stands in a chord book, from 0, if that has a price.
    """

    def __init__(
        self,
        voicings: tuple[Voicing, ...],
        weights: Weights,
        hand: Limits,
        chord: Chord | None = None,
        places: tuple[int, ...] = (),
    ) -> None:
        self.voicings, self.hand, self.chord, self.places = voicings, hand, chord, places
        self.grips = _grips(voicings, hand)
        self.frets, self.pitches = self.grips.frets, self.grips.pitches
        self.sounds, self.tops = self.grips.sounds, self.grips.tops
        self.own = shape_costs(self, weights) if voicings else np.zeros(0, dtype=np.int64)

    @cached_property
    def families(self) -> NDArray[np.int64]:
        """A number for the texture of each shape, the same in one family; 0 on few strings."""
        if self.chord is None or not textures.has_many_strings(self.voicings[0].instrument):
            return np.zeros(len(self), dtype=np.int64)
        names = [textures.textures_of(shape, self.chord)[0] for shape in self.voicings]
        heads = [
            next(other for other in textures.TEXTURES if textures.same_family(other, name))
            for name in names
        ]
        return np.array([textures.TEXTURES.index(head) for head in heads], dtype=np.int64)

    def __len__(self) -> int:
        return len(self.voicings)


def shape_costs(shapes: Shapes, weights: Weights) -> Costs:
    """Return what each shape costs by itself."""
    stretch = np.array([round(v.stretch_mm) for v in shapes.voicings], dtype=np.int64)
    height = np.maximum(shapes.frets.max(axis=1), 0)
    many = weights.aloft and textures.has_many_strings(shapes.voicings[0].instrument)
    fret = weights.height + (weights.aloft if many else 0)
    costs: Costs = weights.stretch * stretch + fret * height
    if weights.register:
        costs = costs + weights.register * textures.registers(shapes.pitches)
    if shapes.places:
        costs = costs + weights.book * np.clip(np.array(shapes.places) + 1 - _USUAL, 0, _FAR_BACK)
    if shapes.chord is None or not weights.mark:
        return costs
    if weights.doubled and textures.has_many_strings(shapes.voicings[0].instrument):
        tones = len(shapes.chord.pcs)
        if tones >= _FOUR:
            costs = costs + weights.doubled * np.maximum(_voices(shapes) - tones, 0)
    return costs + _marks(shapes, shapes.chord, weights)


def _marks(shapes: Shapes, chord: Chord, weights: Weights) -> Costs:
    """Return what each shape costs for the marks against it as a shape of its chord."""
    instrument, tops = shapes.voicings[0].instrument, shapes.tops.tolist()
    judged = judge(chord, instrument)
    parts = [judged.parts(v.frets) for v in shapes.voicings]
    marks = [judged.mark(v.frets) for v in shapes.voicings]
    hands = [each[-1] for each in parts]
    odd = 0 if textures.has_many_strings(instrument) else weights.odd
    least, easy = min(marks), dict[int, float]()
    for top, hand in zip(tops, hands, strict=True):
        easy[top] = min(hand, easy.get(top, hand))
    own = [
        round(weights.mark * mark + weights.first * (mark - least) + odd * (hand - easy[top]))
        for mark, hand, top in zip(marks, hands, tops, strict=True)
    ]
    return np.array(own, dtype=np.int64)


def change_costs(before: Shapes, after: Shapes, weights: Weights) -> Costs:
    """Return what each change of shape costs beside travel: an array (before, after).

    Turns of the highest pitch, which ask for more than two shapes, are not among it
    (``ear``).
    """
    held, then = before.grips.held, after.grips.held
    strings = unlike(held, then)
    other = unlike(held < 0, then < 0) > 0
    top = np.abs(before.tops[:, None] - after.tops[None, :])
    semitones = _moved(before.grips, after.grips)
    bass = bool(before.voicings) and has_bass(before.voicings[0].instrument)
    voices = np.maximum(_voices(before)[:, None], _voices(after)[None, :])
    return np.asarray(
        weights.semitone * (semitones + semitones**2 // (4 * voices))
        + weights.top * top
        + weights.string * strings
        + weights.sounding * other
        + weights.texture * (before.families[:, None] != after.families[None, :])
        + (weights.outer * same_way(before.sounds, after.sounds) if bass else 0)
        + _guides(before, after, weights),
        dtype=np.int64,
    )


def unlike(before: NDArray[Any], after: NDArray[Any]) -> Costs:
    """Return at how many places each row of an array differs from each of another.

    Examples
    --------
    >>> unlike(np.array([[0, 0, 0, 3]]), np.array([[0, 0, 0, 3], [2, 0, 1, 3]])).tolist()
    [[0, 2]]
    """
    found = np.zeros((len(before), len(after)), dtype=np.int8)
    # A column at a time: numpy takes far longer along an axis as short as a row.
    for here, there in zip(before.T, after.T, strict=True):
        found += here[:, None] != there
    return found.astype(np.int64)


def _guides(before: Shapes, after: Shapes, weights: Weights) -> Costs | int:
    """Return what it costs that no voice takes a seventh by step to the third a fifth below."""
    goal = third_below(before.chord, after.chord) if weights.guide else None
    if goal is None:
        return 0
    rows = [(each.pitches, each.sounds) for each in (before, after)]
    missed: Costs = weights.guide * (~led(rows[0], rows[1], goal))
    return missed


def hurry_of(seconds: float) -> int:
    """Return how dear travel is that has so many seconds, in quarters; a second is enough.

    Examples
    --------
    >>> hurry_of(2.0), hurry_of(0.5)
    (4, 8)
    """
    return max(4, round(4 / seconds)) if seconds > 0 else 4


def _voices(shapes: Shapes) -> NDArray[np.int64]:
    return np.array([len(sounds) for sounds in shapes.sounds], dtype=np.int64)


def travel_rounded(before: Shapes, after: Shapes) -> Costs:
    """Return the whole millimetres that the hand travels at each change: (before, after)."""
    return _travelled(before.grips, after.grips).astype(np.int64)


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
        before = row[number - 1 : number]
        changes = [
            change_costs(one, shapes, weights) + weights.travel * travel_rounded(one, shapes)
            for one in before
        ]
        ways.add(shapes.own, [(number - 1, costs) for costs in changes])
    return ways.best([len(row) - 1]) if row else []
