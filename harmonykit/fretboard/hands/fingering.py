"""Fingerings: which finger holds which string, by the rules that ``holding`` writes down.

Conventions.  Fingers are numbered 1 (index) to 4 (little finger); 5 is the thumb over the neck.  A
*hold* is one finger's work: a fret and the strings from the first to the last that it presses.
Strings are numbered from 0 in the instrument's order; the hand reaches round the neck from the
last string's side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import NamedTuple

from harmonykit.fretboard.hands.limits import PAIRS, Limits
from harmonykit.fretboard.shapes.frettings import Fretting

FINGERS = (1, 2, 3, 4)
INDEX, MIDDLE, RING, LITTLE = FINGERS
THUMB = 5
# Rules and weights of the hand; the reasons stand in ``holding``.  Common practice, no source.
MOST_TIPS_IN_A_FRET = 3
# So many strings lie under the last joint of a finger, which can stand off the strings past it.
MOST_STRINGS_LAID_FLAT = 3
# From one string to the next under the fingers; necks differ by a millimetre or two.
STRING_GAP_MM = 9.0
# The thumb presses in the index finger's fret, or in one beside it.
_THUMB_FRETS = 1
_FIRST_POSITION_FRETS = 3


@dataclass(frozen=True, slots=True)
class Barre:
    """One finger laid flat over several strings.

    Parameters
    ----------
    finger, fret : int
    first, last : int
        The first and the last string under it.
    """

    finger: int
    fret: int
    first: int
    last: int

    @property
    def width(self) -> int:
        """How many strings lie under it."""
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class Fingering:
    """Fingers on strings.

    Parameters
    ----------
    fingers : tuple of int or None
        For each string 1 (index) to 4 (little finger), 5 (thumb), 0 open, ``None`` muted.
    barres : tuple of Barre
    stretch_mm : float
        From the lowest to the highest fretted wire, in mm.
    """

    fingers: tuple[int | None, ...]
    barres: tuple[Barre, ...] = ()
    stretch_mm: float = 0.0


class Hold(NamedTuple):
    """One finger's work: a fret, and the strings that it presses from first to last.

    A plain tuple, since the hand model makes them by the thousand.
    """

    fret: int
    first: int
    last: int

    @property
    def width(self) -> int:
        """How many strings lie under the finger."""
        return self.last - self.first + 1

    def shares_a_string(self, other: Hold) -> bool:
        """Whether some string lies under both."""
        return self.first <= other.last and other.first <= self.last


def held_by(frets: Fretting, fingering: Fingering) -> dict[int, Hold]:
    """Return what each finger presses, the index first; a flat one all that it lies over.

    Examples
    --------
    >>> held_by((0, 2, 3, 2), Fingering((0, 1, 3, 2)))[3]
    Hold(fret=3, first=2, last=2)
    """
    found = {
        finger: Hold(fret, string, string)
        for string, (finger, fret) in enumerate(zip(fingering.fingers, frets, strict=True))
        if finger and fret
    }
    flat = {b.finger: Hold(b.fret, b.first, b.last) for b in fingering.barres}
    return dict(sorted((found | flat).items()))


def ways_to_hold(frets: Fretting, barre: str) -> Iterator[tuple[Hold, ...]]:
    """Yield every way to share a shape among fingers, each sorted by fret, then by string.

    One finger a note comes first, then a barre, then the last finger laid flat, then both.
    """
    stops = sorted((fret, string) for string, fret in enumerate(frets) if fret)
    singles = tuple(Hold(fret, string, string) for fret, string in stops)
    yield singles
    if barre == "none":
        return
    most = len(frets) if barre == "full" else (len(frets) + 1) // 2
    ways = [singles]
    index = _index_barre(singles, frets)
    if index is not None and index.width <= most:
        ways.append((index, *(hold for hold in singles if hold.fret > index.fret)))
        yield ways[-1]
    for holds in ways:
        laid = _last_laid_flat(holds, frets)
        if laid and laid[-1].width <= min(most, MOST_STRINGS_LAID_FLAT):
            yield laid
    below = _ring_laid_flat(singles, frets) if len(singles) > len(FINGERS) else None
    if below and below[-2].width <= min(most, MOST_STRINGS_LAID_FLAT):
        yield below


def _index_barre(singles: tuple[Hold, ...], frets: Fretting) -> Hold | None:
    """Return the barre from the first to the last note at the lowest fret, where one can lie."""
    low = singles[0].fret
    strings = [hold.first for hold in singles if hold.fret == low]
    first, last = strings[0], strings[-1]
    under = frets[first : last + 1]
    if first == last or None in under or 0 in under:
        return None
    # The whole finger, which a wide barre takes, lies over the strings past its end too.
    wide = last - first >= MOST_STRINGS_LAID_FLAT
    return None if wide and 0 in frets[last:] else Hold(low, first, last)


def _last_laid_flat(holds: tuple[Hold, ...], frets: Fretting) -> tuple[Hold, ...] | None:
    """Return the holds with one finger over the last row of neighbours in the highest fret.

    No string past the row may sound open.
    """
    end = holds[-1]
    row = [hold for hold in holds if hold.fret == end.fret and hold.width == 1]
    while any(b.first != a.first + 1 for a, b in pairwise(row)):
        row = row[1:]
    if len(row) < 2 or 0 in frets[end.last :]:
        return None
    return (*holds[: -len(row)], Hold(end.fret, row[0].first, end.last))


def _ring_laid_flat(singles: tuple[Hold, ...], frets: Fretting) -> tuple[Hold, ...] | None:
    """Return the holds with the last but one finger over a row, and the last on a string past it.

    The strings past the row are stopped higher or muted.
    """
    end, before = singles[-1], singles[-2]
    row = [hold for hold in singles if hold.fret == before.fret]
    while any(b.first != a.first + 1 for a, b in pairwise(row)):
        row = row[1:]
    rest = singles[: -1 - len(row)]
    if len(row) < 2 or before.fret == end.fret or not rest or rest[0].fret == before.fret:
        return None
    past = {fret for fret in frets[before.last + 1 :] if fret is not None}
    if past != {end.fret}:
        return None
    return (*rest, Hold(before.fret, row[0].first, before.last), end)


Assignment = tuple[tuple[Hold, ...], tuple[int, ...]]


def assignments(frets: Fretting, wires: tuple[float, ...], limits: Limits) -> Iterator[Assignment]:
    """Yield every way to hold a shape within limits: the holds, and a finger for each.

    Fingers rise with the frets; within a fret they rise with the strings.  The thumb comes last,
    where the limits let it press the first string.

    Parameters
    ----------
    frets : tuple of int or None
        One of them at least fretted.
    wires : tuple of float
        The places of the fret wires in mm, the nut first.
    limits : Limits
    """
    yield from _by_fingers(frets, wires, limits)
    if not limits.thumb or not frets[0] or frets[0] > limits.max_fret:
        return
    over = Hold(frets[0], 0, 0)
    rest = (None, *frets[1:])
    if not any(rest):
        return
    for holds, fingers in _by_fingers(rest, wires, limits):
        hand = min(hold.fret - finger + INDEX for hold, finger in zip(holds, fingers, strict=True))
        if abs(over.fret - max(1, hand)) <= _THUMB_FRETS:
            yield (*holds, over), (*fingers, THUMB)


def _by_fingers(frets: Fretting, wires: tuple[float, ...], limits: Limits) -> Iterator[Assignment]:
    fretted = [fret for fret in frets if fret]
    low, high = min(fretted), max(fretted)
    if high > limits.max_fret or wires[high] - wires[low] > limits.stretch_mm:
        return
    for holds in ways_to_hold(frets, limits.barre):
        if len(holds) > len(FINGERS) or room_mm(holds, wires, limits.tip_mm) < 0:
            continue
        for fingers in _pool(holds, frets):
            if _reaches(holds, fingers, wires, limits):
                yield holds, fingers


def _pool(holds: tuple[Hold, ...], frets: Fretting) -> Iterator[tuple[int, ...]]:
    if not _tips_fit(holds):
        return
    first, last = holds[0], holds[-1]
    # A barre at the lowest fret belongs to the index, which alone is long and free enough.
    barred = first.width > 1 and first.fret < last.fret
    barred = barred or first.width > MOST_STRINGS_LAID_FLAT
    # The little finger is too short to stand off the strings past those that it lies over.
    free = last.width == 1 or all(fret is None for fret in frets[last.last + 1 :])
    inner = len(holds) > 2 and holds[-2].width > 1
    for fingers in combinations(FINGERS, len(holds)):
        if (
            (fingers[0] == INDEX or not barred)
            and (fingers[-1] != LITTLE or free)
            and (not inner or fingers[-2:] == (RING, LITTLE))
        ):
            yield fingers


def _tips_fit(holds: tuple[Hold, ...]) -> bool:
    # Sorted by fret, so that four tips in one fret would stand in a row.
    return len(holds) <= MOST_TIPS_IN_A_FRET or holds[0].fret != holds[-1].fret


def room_mm(holds: tuple[Hold, ...], wires: tuple[float, ...], tip_mm: float) -> float:
    """Return the room that the tightest fret leaves to its fingertips, in mm; below 0 they crowd.

    Where one fret holds two or three fingers, each stands so far behind the next that tips on
    neighbouring strings do not overlap, and all that has to fit into the fret.  Infinite where no
    fret holds two.

    Examples
    --------
    >>> a_chord = (Hold(2, 2, 2), Hold(2, 3, 3), Hold(2, 4, 4))
    >>> round(room_mm(a_chord, (0.0, 18.5, 36.0), tip_mm=11.0), 1)
    4.9
    """
    needed: dict[int, float] = {}
    for near, far in pairwise(holds):
        if near.fret == far.fret:
            apart = STRING_GAP_MM * (far.first - near.last)
            behind = math.sqrt(tip_mm**2 - apart**2) if apart < tip_mm else 0.0
            needed[near.fret] = needed.get(near.fret, 0.0) + behind
    return min(
        (wires[fret] - wires[fret - 1] - behind for fret, behind in needed.items()),
        default=math.inf,
    )


def _reaches(
    holds: tuple[Hold, ...], fingers: tuple[int, ...], wires: tuple[float, ...], limits: Limits
) -> bool:
    """Whether no two fingers stand further apart than that pair can."""
    placed = dict(zip(fingers, holds, strict=True))
    pairs = limits.pairs_mm
    for low, high in combinations(fingers, 2):
        if wires[placed[high].fret] - wires[placed[low].fret] > pairs[PAIRS.index((low, high))]:
            return False
    return not _little_finger_blocked(placed)


def _little_finger_blocked(placed: dict[int, Hold]) -> bool:
    """Whether index and middle, side by side in a fret, bar the little finger's way across."""
    if not {1, 2, 4} <= placed.keys():
        return False
    index, middle, little = placed[1], placed[2], placed[4]
    beside = index.fret == middle.fret and middle.first == index.last + 1
    return beside and little.fret > index.fret and little.first < index.first


def awkwardness(holds: tuple[Hold, ...], fingers: tuple[int, ...], position: int) -> int:
    """Return how far fingers stand from a finger a fret, and what flat and parted ones add.

    The thumb counts as one fret.

    Examples
    --------
    >>> two_frets = (Hold(1, 2, 2), Hold(2, 0, 0))
    >>> awkwardness(two_frets, (1, 2), position=1), awkwardness(two_frets, (1, 4), position=1)
    (0, 2)
    """
    placed = [pair for pair in zip(fingers, holds, strict=True) if pair[0] != THUMB]
    away = sum(abs(finger - (hold.fret - position + 1)) for finger, hold in placed)
    flat = sum(min(hold.width, 4) for hold in holds if hold.width > 1)
    thumb = len(holds) - len(placed)
    return away + flat + thumb + sum(_parted(pair) for pair in pairwise(placed))


def _parted(pair: tuple[tuple[int, Hold], tuple[int, Hold]]) -> int:
    """Return the frets left free between two neighbouring fingers."""
    (low, near), (high, far) = pair
    return max(0, far.fret - near.fret - 1) if high == low + 1 else 0


def position_of(frets: Fretting) -> int:
    """Return the fret at which the index stands or would stand.

    Shapes with open strings that go no higher than the third fret lie in first position, where
    finger 2 takes fret 2 and finger 3 fret 3 (common practice, no source).
    """
    fretted = [fret for fret in frets if fret]
    if not fretted or (0 in frets and max(fretted) <= _FIRST_POSITION_FRETS):
        return 1
    return min(fretted)
