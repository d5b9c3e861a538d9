"""The hand: whether four fingers hold a shape, and how best.

The model
---------
1. Fingers 1 (index) to 4 (little finger) press strings.  The thumb stays behind the neck, unless
   the limits let it press the first string from over the neck (``Limits.thumb``): then it does so
   in the index finger's fret or in one beside it.
2. One finger presses one note, unless it lies flat.  Fingers rise with the frets, and within a
   fret with the strings.
3. The *stretch* is the way from the lowest to the highest fretted wire, and stays within what is
   asked.  All fingers stand the same way behind their wires, so that wire to wire is finger to
   finger.
4. Each *pair* of fingers has a limit of its own, a share of the reach from index to little finger
   (``Limits.pairs_mm``): middle and ring, and ring and little finger, move together and part
   least; the index is the freest.
5. A *barre* is the index laid over the lowest fretted fret, from the first to the last string
   stopped there: it has two ends, and between them no string may sound open or lie muted.  Up to
   three strings lie under its last joint, which stands off the open strings past it (x32110); the
   whole finger, which a wider barre takes, lies over those strings too.
6. The last finger may lie flat over a row of two or three neighbouring strings in the highest
   fret, if none past the row sounds open (5x555x, x13331).  The little finger is too short to
   stand off any string past the row.  The ring finger may also lie so below the little finger,
   whose string is past the row (x32335).
7. Three tips at most press side by side in one fret.
8. Tips *crowd* in the narrow frets high up a short neck: fingers in one fret on neighbouring
   strings, 9 mm apart, stand one behind the other so far that tips of 11 mm do not overlap, and
   the fret has to be long enough for that.  Three tips want 12.7 mm, which a soprano ukulele has
   up to fret 7 and a concert ukulele up to fret 10.
9. With index and middle side by side in one fret, the little finger does not reach across them
   to a string on their far side: 3-2-1-1 wants its barre.
10. Among the fingerings that pass, the one nearest to a finger a fret is taken; a flat finger
    counts as its strings, and each fret left free between two neighbouring fingers as one.  Open
    shapes up to the third fret lie in first position.  Inside a progression the one is taken by
    which the hand moves least (``progression``).

It leaves out: the way across the strings in the stretch, tips in neighbouring frets, the width of
the fretboard and the height of the strings, a fingertip that mutes the string beside it,
half-pressed barres, pain, and practice.  The numbers are settings, not laws of the body: common
practice, no source.

Conventions.  Lengths are in millimetres along the neck; strings and frets as in ``instrument``.
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import combinations

from harmonykit.fretboard.hands.fingering import (
    FINGERS,
    INDEX,
    LITTLE,
    MIDDLE,
    MOST_STRINGS_LAID_FLAT,
    MOST_TIPS_IN_A_FRET,
    STRING_GAP_MM,
    Assignment,
    Barre,
    Fingering,
    Hold,
    assignments,
    awkwardness,
    position_of,
)
from harmonykit.fretboard.hands.limits import PAIRS, Limits
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.neck import MOST_FRETS, wire_mm


def fit(frets: Fretting, instrument: Instrument, limits: Limits | None = None) -> Fingering | None:
    """Return the best fingering of a shape, or ``None`` where four fingers cannot hold it.

    Parameters
    ----------
    frets : tuple of int or None
        In string order; 0 open, ``None`` muted.
    instrument : Instrument
    limits : Limits, optional
        The hand; a wide one where not given.

    Examples
    --------
    >>> from harmonykit.fretboard.hands.limits import limits_at
    >>> ukulele = Instrument.named("ukulele")
    >>> fit((3, 2, 1, 1), ukulele).fingers, fit((3, 2, 1, 1), ukulele, limits_at(1, ukulele))
    ((3, 2, 1, 1), None)
    """
    return _fit(frets, instrument.scale_mm, limits or Limits())


def can_hold(frets: Fretting, instrument: Instrument, limits: Limits | None = None) -> bool:
    """Whether ``fit`` finds a fingering; quicker, since the first one will do.

    Examples
    --------
    >>> can_hold((1, 3, 3, 2, 1, 1), Instrument.named("guitar"), Limits(barre="none"))
    False
    """
    return _can_hold(frets, instrument.scale_mm, limits or Limits())


def ways_to_finger(
    frets: Fretting, instrument: Instrument, limits: Limits | None = None
) -> tuple[tuple[Fingering, int], ...]:
    """Return every fingering of a shape with its awkwardness, the least awkward first.

    Examples
    --------
    >>> ways = ways_to_finger((0, 0, 0, 3), Instrument.named("ukulele"))
    >>> [(found.fingers[3], awkward) for found, awkward in ways]
    [(3, 0), (2, 1), (4, 1), (1, 2)]
    """
    return _ways(frets, instrument.scale_mm, limits or Limits())


@lru_cache(maxsize=65536)
def _can_hold(frets: Fretting, scale_mm: float, limits: Limits) -> bool:
    fretted = [fret for fret in frets if fret]
    if not fretted:
        return True
    wires = wires_of(scale_mm)
    low, high = min(fretted), max(fretted)
    if not limits.thumb:
        if high > limits.max_fret or wires[high] - wires[low] > limits.stretch_mm:
            return False
        if _fingers_at_least(frets, fretted, low, high) > len(FINGERS):
            return False
    if len(fretted) <= len(FINGERS) and _held_plainly(frets, wires, limits):
        return True
    return any(True for _ in assignments(frets, wires, limits))


def _fingers_at_least(frets: Fretting, fretted: list[int], low: int, high: int) -> int:
    """Return how many fingers a shape needs, with the outermost frets held flat where they can."""
    if low == high or len(fretted) <= len(FINGERS):
        return 1
    first, last = frets.index(low), len(frets) - frets[::-1].index(low)
    under = frets[first:last]
    saved = 0
    if 0 not in under and None not in under:
        saved += len([fret for fret in under if fret == low]) - 1
    flat = max(fretted.count(high), fretted.count(sorted(fretted)[-2]))
    saved += min(flat, MOST_STRINGS_LAID_FLAT) - 1
    return len(fretted) - saved


def _held_plainly(frets: Fretting, wires: tuple[float, ...], limits: Limits) -> bool:
    """Whether one finger a note, the first ones in order, holds a shape: most are held so.

    ``False`` says nothing: then all ways are tried.
    """
    stops = sorted((fret, string) for string, fret in enumerate(frets) if fret)
    low, high = stops[0][0], stops[-1][0]
    if high > limits.max_fret or wires[high] - wires[low] > limits.stretch_mm:
        return False
    if wires[high] - wires[high - 1] < _most_behind(limits.tip_mm):
        return False
    places = [wires[fret] for fret, _ in stops]
    count = len(places)
    if count > 2 and (_crosses(stops) or count > MOST_TIPS_IN_A_FRET and low == high):
        return False
    fingers = FINGERS if count == len(FINGERS) else (INDEX, MIDDLE, LITTLE)[:count]
    if count == 2:
        fingers = (INDEX, LITTLE)
    pairs = limits.pairs_mm
    return all(
        places[n] - places[m] <= pairs[PAIRS.index((fingers[m], fingers[n]))]
        for m, n in combinations(range(count), 2)
    )


def _crosses(stops: list[tuple[int, int]]) -> bool:
    """Whether the last finger has to reach across the first two, side by side in one fret."""
    (near, first), (beside, second), (far, last) = stops[0], stops[1], stops[-1]
    return near == beside < far and second == first + 1 and last < first


@lru_cache(maxsize=16)
def _most_behind(tip_mm: float) -> float:
    """Return the room that three tips side by side in one fret need, in mm."""
    return 2 * math.sqrt(tip_mm**2 - STRING_GAP_MM**2) if tip_mm > STRING_GAP_MM else 0.0


@lru_cache(maxsize=32768)
def _fit(frets: Fretting, scale_mm: float, limits: Limits) -> Fingering | None:
    if not any(frets):
        return Fingering(frets)
    position, wires = position_of(frets), wires_of(scale_mm)
    # Of equals the first is taken: one finger a note comes before a barre.
    best = min(
        assignments(frets, wires, limits),
        key=lambda found: awkwardness(found[0], found[1], position),
        default=None,
    )
    return None if best is None else _fingering(frets, best, wires)


@lru_cache(maxsize=4096)
def _ways(frets: Fretting, scale_mm: float, limits: Limits) -> tuple[tuple[Fingering, int], ...]:
    if not any(frets):
        return ((Fingering(frets), 0),)
    position, wires = position_of(frets), wires_of(scale_mm)
    found = (
        (_fingering(frets, way, wires), awkwardness(*way, position))
        for way in assignments(frets, wires, limits)
    )
    return tuple(sorted(found, key=lambda way: way[1]))


@lru_cache(maxsize=64)
def wires_of(scale_mm: float) -> tuple[float, ...]:
    """Return the places of the fret wires of a scale, in mm, the nut first.

    Examples
    --------
    >>> [round(wire, 1) for wire in wires_of(381.0)[:3]]
    [0.0, 21.4, 41.6]
    """
    return tuple(wire_mm(scale_mm, fret) for fret in range(MOST_FRETS + 1))


def _fingering(frets: Fretting, way: Assignment, wires: tuple[float, ...]) -> Fingering:
    holds, fingers = way
    placed = tuple(zip(fingers, holds, strict=True))
    barres = tuple(
        Barre(finger, hold.fret, hold.first, hold.last) for finger, hold in placed if hold.width > 1
    )
    on_strings = tuple(_finger_on(string, fret, placed) for string, fret in enumerate(frets))
    stops = [wires[hold.fret] for hold in holds]
    return Fingering(on_strings, barres, max(stops) - min(stops))


def _finger_on(string: int, fret: int | None, placed: tuple[tuple[int, Hold], ...]) -> int | None:
    if not fret:
        return fret
    return next(f for f, h in placed if h.fret == fret and h.first <= string <= h.last)
