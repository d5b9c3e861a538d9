"""How far the hand goes from shape to shape, and what a change asks of the fingers that hold them.

Conventions.  A finger that presses in both shapes goes from where it stood to where it is to
stand: along the neck (``Instrument.finger_mm``) and across the strings, 9 mm each.  A finger that
lifts, lands or does nothing rides with the hand, which stands where the index does or would: with
the ring finger alone at fret 3, at fret 1.  A shape of open strings is held with the hand in first
position.  A barre moves with its tip, on its first string.  The way of the hand is the mean of
four fingers: the same there and back, and 0 from a shape to itself.

It leaves out how high a finger lifts, and the time and care that landing takes.

A way to hold a shape costs by itself its awkwardness, in points: frets away from a finger a fret
(``fingering.awkwardness``), where the hand may stand where that is least; one where it is not the
shape's best alone; six for a flat finger that is not the index, and over three strings or more two
for the ring finger and twelve for another; two for a flat finger that stands off an open string,
and three for one that lies under another finger where a string is open, as in a D of 1, 3 and 1;
the square of the frets that fingers before a low one lack, as one fret before a ring finger at fret
1 and two before a little finger; six for another finger at fret 1 where the index does nothing,
as in a G7 of 4, 3 and 2.  The index may press behind the middle finger where three fingers share a
fret and no other presses, as in an A of 2, 1 and 3, for one more.

A change asks for *placements*: a finger that is placed anew, because it was free or comes from
other strings; a finger that rolls into a barre or out of one; two fingers that move and cross; a
hand that no finger guides, staying on a string or sliding along it; and three for a string that
stays pressed and changes fingers.  Fingers that go across together, as from E to Am on a guitar or
under a barre that stays, are one.  (Common practice, no source.)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import combinations
from typing import TYPE_CHECKING, Any, NamedTuple

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands import hand as fingerings
from harmonykit.fretboard.hands.hand import Barre, Fingering, Hold, Limits, as_limits
from harmonykit.fretboard.hands.holding import fit, ways_to_finger
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing, as_voicing

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
    rides = np.abs(places[:, None] - goals)
    found: NDArray[Any] = np.zeros(rides.shape)
    # A finger at a time: numpy takes far longer along an axis as short as four.
    for here, there in zip(stands.swapaxes(0, 1), goes.swapaxes(0, 1), strict=True):
        gaps = here.T[:, :, None] - there.T[:, None, :]
        ways = np.hypot(*gaps)
        found += np.where(np.isnan(ways), rides, ways)
    return found / len(fingerings.FINGERS)


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
        for finger in fingerings.FINGERS
    )
    return sum(ways) / len(fingerings.FINGERS)


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
            tips[finger] = (instrument.finger_mm(fret), fingerings.STRING_GAP_MM * string)
    lowest = min(pressed, default=1)
    position = pressed.get(lowest, 1) - lowest + 1
    return Stance(instrument.finger_mm(max(1, position)), tips)


@lru_cache(maxsize=4096)
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
        rule="four fingers must be able to hold the shape within the limits of the hand",
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
    fingers = [[tips.get(finger, nowhere) for finger in fingerings.FINGERS] for _, tips in found]
    hands = np.array([place for place, _ in found], dtype=float)
    return hands, np.array(fingers, dtype=float).reshape(len(shapes), len(fingerings.FINGERS), 2)


_FLAT_POINTS, _OFF_AN_OPEN_STRING, _UNDER_A_FINGER = 6, 2, 3
_FLAT_OVER_THREE = {fingerings.MIDDLE: 12, fingerings.RING: 2, fingerings.LITTLE: 12}
_OF_AN_A, _SWAPPED, _IDLE_INDEX = 3, 3, 6


class Way(NamedTuple):
    """One way to hold a shape: its frets, what each finger presses, where it stands."""

    frets: Fretting
    fingering: Fingering
    holds: dict[int, Hold]
    stance: Stance
    points: int


def ways_of(shape: Voicing, limits: Limits | None) -> tuple[Way, ...]:
    """Return every way to hold a shape.

    Raises
    ------
    HarmonyError
        If four fingers cannot hold it.
    """
    found = all_ways(shape.frets, shape.instrument, limits)
    if not found:
        raise not_held(shape)
    return found


@lru_cache(maxsize=4096)
def all_ways(frets: Fretting, instrument: Instrument, limits: Limits | None) -> tuple[Way, ...]:
    """Return every way to hold frets on an instrument; none where fingers are too few."""
    hand = limits or Limits(max_fret=instrument.frets)
    found = [way for way, _ in ways_to_finger(frets, instrument, hand)]
    ways = [_way(frets, each, instrument, bool(at)) for at, each in enumerate(found)]
    behind = [other for each in found if (other := _index_behind(frets, each))]
    return (*ways, *(_way(frets, other, instrument, 2) for other in behind))


def _way(frets: Fretting, fingering: Fingering, instrument: Instrument, more: int = 0) -> Way:
    holds = fingerings.held_by(frets, fingering)
    fingers, pressed = tuple(holds), tuple(holds.values())
    lowest = min((hold.fret for hold in pressed), default=0)
    points = min(
        (fingerings.awkwardness(pressed, fingers, at) for at in range(1, lowest + 1)), default=0
    )
    return Way(
        frets,
        fingering,
        holds,
        stance(frets, fingering, instrument),
        points + more + _flat(frets, fingering) + _cramped(holds),
    )


def _flat(frets: Fretting, fingering: Fingering) -> int:
    """Return the points that flat fingers cost beside their strings."""
    return sum(
        _laid(barre)
        + _OFF_AN_OPEN_STRING * (0 in frets[barre.last + 1 :])
        + _UNDER_A_FINGER * (0 in frets and _is_under_a_finger(frets, barre))
        for barre in fingering.barres
    )


def _is_under_a_finger(frets: Fretting, barre: Barre) -> bool:
    return any((fret or 0) > barre.fret for fret in frets[barre.first : barre.last])


def _laid(barre: Barre) -> int:
    # As in x13331; two strings are for two fingers, as in an F of 1, 3, 4, 2.
    if barre.width >= _OF_AN_A and barre.finger in _FLAT_OVER_THREE:
        return _FLAT_OVER_THREE[barre.finger]
    return 0 if barre.finger == fingerings.INDEX else _FLAT_POINTS


def _cramped(holds: dict[int, Hold]) -> int:
    """Return the points of fingers that stand so low that those before them have no fret."""
    frets = {finger: hold.fret for finger, hold in holds.items() if finger != fingerings.THUMB}
    lacking = sum(max(0, finger - fret - 1) ** 2 for finger, fret in frets.items())
    return lacking + _IDLE_INDEX * (fingerings.INDEX not in frets and 1 in frets.values())


def _index_behind(frets: Fretting, fingering: Fingering) -> Fingering | None:
    """Return the fingering with the index behind the middle finger, as in an A of 2, 1 and 3.

    Three fingers press in one fret on neighbouring strings and none elsewhere; ``None`` where they
    do not.
    """
    fingers = fingering.fingers
    if sum(map(bool, frets)) > _OF_AN_A:
        return None
    for string in range(len(fingers) - 2):
        one_fret = len({*frets[string : string + 3]}) == 1
        if (
            one_fret
            and not fingering.barres
            and fingers[string : string + 2] == (fingerings.INDEX, fingerings.MIDDLE)
        ):
            swapped = (
                *fingers[:string],
                fingerings.MIDDLE,
                fingerings.INDEX,
                *fingers[string + 2 :],
            )
            return replace(fingering, fingers=swapped)
    return None


def placed_anew(before: dict[int, Hold], after: dict[int, Hold]) -> int:
    """Return how many fingers press strings that they have to be placed on.

    Examples
    --------
    >>> placed_anew({1: Hold(2, 0, 0), 2: Hold(2, 2, 2)}, {1: Hold(3, 0, 0), 2: Hold(2, 3, 3)})
    1
    """
    return sum(
        finger not in before or not hold.shares_a_string(before[finger])
        for finger, hold in after.items()
    )


def placements(before: Way, after: Way) -> int:
    """Return what a change asks of the fingers beside the way: see the module.

    Examples
    --------
    Two fingers change places on strings that stay pressed: both are placed, on both strings the
    finger changes, they cross, and none guides the hand.

    >>> one, two = Fingering((1, 2, 0, 0)), Fingering((2, 1, 0, 0))
    >>> ways = [_way((2, 2, 0, 0), each, Instrument.named("ukulele")) for each in (one, two)]
    >>> placements(*ways)
    10
    """
    old, new = before.holds, after.holds
    if _go_as_one(old, new):
        return 1
    both = [finger for finger in new if finger in old]
    rolled = sum(old[f] != new[f] and _in_place(old[f], new[f]) for f in both)
    strings = zip(
        before.frets, after.frets, before.fingering.fingers, after.fingering.fingers, strict=True
    )
    swapped = sum(bool(fret) and fret == now and a != b for fret, now, a, b in strings)
    moved = [finger for finger in both if not old[finger].shares_a_string(new[finger])]
    crossed = sum(
        _beside(old[f], old[g]) * _beside(new[f], new[g]) < 0 for f, g in combinations(moved, 2)
    )
    loose = bool(old) and bool(new) and len(moved) == len(both)
    return placed_anew(old, new) + rolled + crossed + loose + _SWAPPED * swapped


def _go_as_one(old: dict[int, Hold], new: dict[int, Hold]) -> bool:
    """Whether two fingers or more stay in their frets and go across by as many strings each.

    The index may lie flat beside them.
    """
    if len(new) < 2 or old.keys() != new.keys():
        return False
    pairs = [(old[f], hold) for f, hold in new.items() if not _barre_stays(old[f], hold)]
    if len(pairs) < 2:
        return False
    (_, across, _), *others = {tuple(b - a for a, b in zip(*pair, strict=True)) for pair in pairs}
    return not others and across != 0 and all(a.fret == b.fret for a, b in pairs)


def _barre_stays(old: Hold, new: Hold) -> bool:
    return old.width > 1 and new.width > 1 and _in_place(old, new)


def _in_place(old: Hold, new: Hold) -> bool:
    return old.fret == new.fret and old.shares_a_string(new)


def _beside(one: Hold, other: Hold) -> int:
    """Return 1 where one lies on lower strings than the other, -1 on higher ones, else 0."""
    return (one.last < other.first) - (other.last < one.first)
