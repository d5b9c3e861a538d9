"""The hand: what four fingers can hold, how far they stretch, and how far they travel.

The model
---------
1. Fingers 1 (index) to 4 (little finger) press strings; the thumb stays behind the neck.
2. One finger presses one note, unless it lies flat.  Fingers rise with the frets, and within a
   fret with the strings.
3. The *stretch* is the way from the lowest to the highest fretted wire.  All fingers stand the
   same way behind their wires, so that wire to wire is finger to finger.  It stays within the
   limit; middle and ring finger, and ring and little finger, part by two thirds of it at most,
   since they move together; the index is free.
4. A *barre* is the index laid over the lowest fretted fret, from the first to the last string
   stopped there.  The finger comes from the last string's side and so lies over those strings
   too: no string in its reach may have to sound open, nor lie muted between its ends.
5. The last finger may lie flat over a whole row of two or three neighbouring strings in the
   highest fret, if the strings past the row are muted (the 5x555x of every guitar book).
6. Three tips at most press side by side in one fret.
7. With index and middle side by side in one fret, the little finger does not reach across them
   to a string on their far side: 3-2-1-1 wants its barre.
8. Among the fingerings that pass, the one nearest to a finger a fret is taken; a flat finger
   counts as its strings, and each fret left free between two neighbouring fingers as one.  Open
   shapes up to the third fret lie in first position.

It leaves out: the way across the strings in the stretch, tips that crowd in the narrow frets of a
short neck, the width of the fretboard and the height of the strings, the thumb over the neck, a
fingertip that mutes the string beside it, half-pressed barres, pain, and practice.  The numbers
are settings, not laws of the body: common practice, no source.

Conventions.  Lengths are in millimetres along the neck; strings and frets as in ``instrument``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.fingering import (
    FINGERS,
    Barre,
    Fingering,
    Hold,
    assignments,
    awkwardness,
    position_of,
)
from harmonykit.fretboard.frettings import Fretting
from harmonykit.fretboard.instrument import MOST_FRETS, Instrument
from harmonykit.fretboard.limits import LEVELS, Limits, limits_at

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from harmonykit.fretboard.voicing import Voicing

__all__ = [
    "LEVELS",
    "Barre",
    "Fingering",
    "Limits",
    "can_hold",
    "caution",
    "fit",
    "limits_at",
    "travel_matrix",
    "travel_mm",
]

# From one string to the next under the fingers; necks differ by a millimetre or two (common
# practice, no source).
STRING_GAP_MM = 9.0


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


@lru_cache(maxsize=65536)
def _can_hold(frets: Fretting, scale_mm: float, limits: Limits) -> bool:
    return not any(frets) or any(True for _ in assignments(frets, _wires(scale_mm), limits))


@lru_cache(maxsize=32768)
def _fit(frets: Fretting, scale_mm: float, limits: Limits) -> Fingering | None:
    if not any(frets):
        return Fingering(frets)
    position, wires = position_of(frets), _wires(scale_mm)
    # Of equals the first is taken: one finger a note comes before a barre.
    best = min(
        assignments(frets, wires, limits),
        key=lambda found: awkwardness(found[0], found[1], position),
        default=None,
    )
    if best is None:
        return None
    fretted = [fret for fret in frets if fret]
    return _fingering(frets, *best, wires[max(fretted)] - wires[min(fretted)])


@lru_cache(maxsize=64)
def _wires(scale_mm: float) -> tuple[float, ...]:
    return tuple(scale_mm * (1 - 2 ** (-fret / 12)) for fret in range(MOST_FRETS + 1))


def _fingering(
    frets: Fretting, holds: tuple[Hold, ...], fingers: tuple[int, ...], stretch_mm: float
) -> Fingering:
    placed = tuple(zip(fingers, holds, strict=True))
    barres = tuple(
        Barre(finger, hold.fret, hold.first, hold.last) for finger, hold in placed if hold.width > 1
    )
    on_strings = (_finger_on(string, fret, placed) for string, fret in enumerate(frets))
    return Fingering(tuple(on_strings), barres, stretch_mm)


def _finger_on(string: int, fret: int | None, placed: tuple[tuple[int, Hold], ...]) -> int | None:
    if not fret:
        return fret
    return next(f for f, h in placed if h.fret == fret and h.first <= string <= h.last)


_Place = tuple[float, float]


def travel_mm(a: Voicing, b: Voicing, limits: Limits | None = None) -> float:
    """Return how far the hand goes from one shape to another, in mm: the mean of four fingers.

    A finger used in both shapes goes from where it stood to where it is to stand: along the neck
    (``Instrument.finger_mm``) and across the strings, 9 mm each.  A finger that lifts, lands or
    does nothing rides with the hand, which stands where the index does or would: with the ring
    finger alone at fret 3, at fret 1.  A shape of open strings is held with the hand in first
    position.  A barre moves with its tip, on its first string.

    The way is the same there and back, and 0 from a shape to itself.  It leaves out how high a
    finger lifts, and the time and care that landing takes.

    Parameters
    ----------
    a, b : Voicing
        On one instrument.
    limits : Limits, optional
        The hand whose fingerings are taken; a wide one where not given.

    Raises
    ------
    HarmonyError
        If four fingers cannot hold one of the shapes, or the instruments are two.

    Examples
    --------
    >>> from harmonykit.fretboard.voicing import Voicing
    >>> a, b = (Voicing.parse(t, Instrument.named("ukulele")) for t in ("2323", "3434"))
    >>> round(travel_mm(a, b), 1), travel_mm(a, a)
    (18.5, 0.0)
    """
    _check_one_instrument((a, b))
    (place, stands), (goal, goes) = _stance(a, limits), _stance(b, limits)
    rides = abs(place - goal)
    ways = (
        math.dist(stands[finger], goes[finger]) if finger in stands and finger in goes else rides
        for finger in FINGERS
    )
    return sum(ways) / len(FINGERS)


def travel_matrix(
    a: Sequence[Voicing], b: Sequence[Voicing], limits: Limits | None = None
) -> NDArray[Any]:
    """Return ``travel_mm`` from each shape of ``a`` (rows) to each of ``b`` (columns).

    Examples
    --------
    >>> from harmonykit.fretboard.voicing import Voicing
    >>> shapes = [Voicing.parse(t, Instrument.named("ukulele")) for t in ("2323", "3434", "0000")]
    >>> travel_matrix(shapes, shapes[:2]).round(1).tolist()
    [[0.0, 18.5], [18.5, 0.0], [20.2, 39.2]]
    """
    import numpy as np

    _check_one_instrument((*a, *b))
    places, stands = _stances(a, limits)
    goals, goes = _stances(b, limits)
    rides = np.abs(places[:, None] - goals[None, :])
    gaps = stands[:, None] - goes[None, :]
    ways = np.hypot(gaps[..., 0], gaps[..., 1])
    ways = np.where(np.isnan(ways), rides[..., None], ways)
    mean: NDArray[Any] = ways.mean(axis=2)
    return mean


def _check_one_instrument(shapes: Sequence[Voicing]) -> None:
    if any(shape.instrument != shapes[0].instrument for shape in shapes):
        raise HarmonyError(
            "the shapes are for different instruments", rule="a hand travels on one neck"
        )


def _stance(shape: Voicing, limits: Limits | None) -> tuple[float, dict[int, _Place]]:
    """Return where the hand stands, and where each finger that it uses does, in mm."""
    instrument = shape.instrument
    fingering = fit(shape.frets, instrument, limits or Limits(max_fret=instrument.frets))
    if fingering is None:
        raise HarmonyError(
            f"{shape.digits} has no fingering, so the hand cannot travel to it",
            rule="four fingers hold the shape within the limits of the hand",
        )
    frets: dict[int, int] = {}
    places: dict[int, _Place] = {}
    for string, (finger, fret) in enumerate(zip(fingering.fingers, shape.frets, strict=True)):
        if finger and fret and finger not in places:
            frets[finger] = fret
            places[finger] = (instrument.finger_mm(fret), STRING_GAP_MM * string)
    lowest = min(frets, default=1)
    position = frets.get(lowest, 1) - lowest + 1
    return instrument.finger_mm(max(1, position)), places


def _stances(shapes: Sequence[Voicing], limits: Limits | None) -> tuple[NDArray[Any], NDArray[Any]]:
    import numpy as np

    stances = [_stance(shape, limits) for shape in shapes]
    nowhere = (math.nan, math.nan)
    fingers = [[places.get(finger, nowhere) for finger in FINGERS] for _, places in stances]
    hands = np.array([place for place, _ in stances], dtype=float)
    return hands, np.array(fingers, dtype=float).reshape(len(shapes), len(FINGERS), 2)


_WIDE_MM = 80.0


def caution(voicing: Voicing) -> str:
    """Return a sentence to stand beside a wide stretch or a barre; empty where there is neither.

    A stretch is called wide from where level 2 ends, 80 mm.

    Examples
    --------
    >>> from harmonykit.fretboard.voicing import Voicing
    >>> print(caution(Voicing.parse("3211", Instrument.named("ukulele"))).split(" Pain")[0])
    This shape needs a barre over 2 strings: if it hurts, stop.
    >>> caution(Voicing.parse("2010", Instrument.named("ukulele")))
    ''
    """
    fingering = voicing.fingering
    barres = fingering.barres if fingering else ()
    strains = [f"a barre over {barre.width} strings" for barre in barres]
    if voicing.stretch_mm > _WIDE_MM:
        strains.insert(0, f"a stretch of {voicing.stretch_mm:.0f} mm")
    if not strains:
        return ""
    hurts = "it hurts" if len(strains) == 1 else "either hurts"
    return (
        f"This shape needs {' and '.join(strains)}: if {hurts}, stop. "
        "Pain that stays is for a teacher or a clinician."
    )
