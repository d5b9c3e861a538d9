"""How far the hand goes from shape to shape, and what each finger does on the way.

Conventions.  A finger that presses in both shapes goes from where it stood to where it is to
stand: along the neck (``Instrument.finger_mm``) and across the strings, 9 mm each.  A finger that
lifts, lands or does nothing rides with the hand, which stands where the index does or would: with
the ring finger alone at fret 3, at fret 1.  A shape of open strings is held with the hand in first
position.  A barre moves with its tip, on its first string.  The way of the hand is the mean of
four fingers: the same there and back, and 0 from a shape to itself.

It leaves out how high a finger lifts, and the time and care that landing takes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.fingering import FINGERS, STRING_GAP_MM, Fingering
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.hands.limits import Limits, as_limits
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing
from harmonykit.fretboard.strings.instrument import Instrument

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Stances = tuple[NDArray[Any], NDArray[Any]]

_Place = tuple[float, float]


class Stance(NamedTuple):
    """Where the hand stands along the neck, and where each finger that presses does, in mm."""

    hand: float
    tips: dict[int, _Place]


def travel_mm(a: Voicing | str, b: Voicing | str, limits: Limits | None = None) -> float:
    """Return how far the hand goes from one shape to another, in mm: the mean of four fingers.

    Each shape has its own best fingering; ``change`` chooses them for one another.

    Parameters
    ----------
    a, b : Voicing or str
        On one instrument; frets are those of a ukulele.
    limits : Limits, optional
        The hand whose fingerings are taken; a wide one where not given.

    Returns
    -------
    float
        Millimetres.

    Raises
    ------
    HarmonyError
        If four fingers cannot hold one of the shapes, or they are of different instruments.

    Examples
    --------
    >>> round(hk.fretboard.travel_mm("2323", "3434"), 1), hk.fretboard.travel_mm("2323", "2323")
    (18.5, 0.0)
    """
    a, b = as_voicing(a), as_voicing(b)
    limits = None if limits is None else as_limits(limits, limits)
    check_one_neck((a, b))
    return way_mm(_stance_of(a, limits), _stance_of(b, limits))


def travel_between(a: Stances, b: Stances) -> NDArray[Any]:
    """Return ``travel_mm`` from each shape of ``a`` (rows) to each of ``b`` (columns).

    Parameters
    ----------
    a, b : stances
        As ``stances`` returns them, of shapes on one instrument.

    Examples
    --------
    >>> shapes = [Voicing.parse(t, Instrument.named("ukulele")) for t in ("2323", "3434", "0000")]
    >>> travel_between(stances(shapes), stances(shapes[:2])).round(1).tolist()
    [[0.0, 18.5], [18.5, 0.0], [20.2, 39.2]]
    """
    import numpy as np

    (places, stands), (goals, goes) = a, b
    rides = np.abs(places[:, None] - goals[None, :])
    gaps = stands[:, None] - goes[None, :]
    ways = np.hypot(gaps[..., 0], gaps[..., 1])
    ways = np.where(np.isnan(ways), rides[..., None], ways)
    mean: NDArray[Any] = ways.mean(axis=2)
    return mean


def check_one_neck(shapes: Sequence[Voicing]) -> None:
    """Refuse shapes of different instruments.

    Raises
    ------
    HarmonyError
        If they are not all for one.
    """
    if any(shape.instrument != shapes[0].instrument for shape in shapes):
        raise HarmonyError(
            "the shapes are for different instruments",
            rule="hand travel is measured on one instrument",
        )


def way_mm(before: Stance, after: Stance) -> float:
    """Return the mean way of four fingers from one stance to another, in mm."""
    rides = abs(before.hand - after.hand)
    ways = (
        math.dist(before.tips[finger], after.tips[finger])
        if finger in before.tips and finger in after.tips
        else rides
        for finger in FINGERS
    )
    return sum(ways) / len(FINGERS)


def stance(frets: Fretting, fingering: Fingering, instrument: Instrument) -> Stance:
    """Return where hand and fingers stand in a shape held by a fingering.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> found = stance((0, 0, 0, 3), Fingering((0, 0, 0, 3)), ukulele)
    >>> round(found.hand, 1), [finger for finger in found.tips]
    (15.4, [3])
    """
    pressed: dict[int, int] = {}
    tips: dict[int, _Place] = {}
    for string, (finger, fret) in enumerate(zip(fingering.fingers, frets, strict=True)):
        if finger and fret and finger not in tips:
            pressed[finger] = fret
            tips[finger] = (instrument.finger_mm(fret), STRING_GAP_MM * string)
    lowest = min(pressed, default=1)
    position = pressed.get(lowest, 1) - lowest + 1
    return Stance(instrument.finger_mm(max(1, position)), tips)


def _stance_of(shape: Voicing, limits: Limits | None) -> Stance:
    instrument = shape.instrument
    fingering = fit(shape.frets, instrument, limits or Limits(max_fret=instrument.frets))
    if fingering is None:
        raise not_held(shape)
    return stance(shape.frets, fingering, instrument)


def not_held(shape: Voicing) -> HarmonyError:
    """Return what is said of a shape that the hand can neither leave nor reach."""
    return HarmonyError(
        f"{shape.digits} has no fingering, so the hand cannot travel to it",
        rule="four fingers hold the shape within the limits of the hand",
    )


def stances(shapes: Sequence[Voicing], limits: Limits | None = None) -> Stances:
    """Return where the hand stands in each of many shapes, and where each finger does.

    Returns
    -------
    array (shapes,), array (shapes, 4, 2)
        In mm; ``nan`` for a finger that does not press.
    """
    import numpy as np

    found = [_stance_of(shape, limits) for shape in shapes]
    nowhere = (math.nan, math.nan)
    fingers = [[tips.get(finger, nowhere) for finger in FINGERS] for _, tips in found]
    hands = np.array([place for place, _ in found], dtype=float)
    return hands, np.array(fingers, dtype=float).reshape(len(shapes), len(FINGERS), 2)
