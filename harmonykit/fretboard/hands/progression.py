"""Which finger goes on which string, chosen for a whole progression and not shape by shape.

Each shape may be held in several ways; of all ways through a progression the one is taken in which
the hand moves least, by dynamic programming.  A change costs, in mm, the travel of the hand (as in
``travel``) and ``PLACE_MM`` for each finger that is placed anew, because it was free or comes from
other strings: what can stay or slide, does.  A fingering costs by itself its awkwardness
(``fingering.awkwardness``: frets away from a finger a fret) at ``AWKWARD_MM`` a fret, so that an
easy grip is not given up for a millimetre; here the hand may stand where that is least, since a
note alone is as easy for any finger of a hand that is there already.  The prices are settings, not
laws of the body (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from harmonykit.fretboard.hands.fingering import Fingering, Hold, awkwardness, held_by
from harmonykit.fretboard.hands.holding import ways_to_finger
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.hands.travel import Stance, check_one_neck, not_held, stance, way_mm

if TYPE_CHECKING:
    from harmonykit.fretboard.shapes.voicing import Voicing

# Half a fret at the nut of a ukulele, each.
AWKWARD_MM, PLACE_MM = 10.0, 10.0


class Way(NamedTuple):
    """One way to hold a shape: what each finger presses, where it stands, what it costs in mm."""

    fingering: Fingering
    holds: dict[int, Hold]
    stance: Stance
    cost: float


def fingerings(
    shapes: Sequence[Voicing],
    limits: Limits | None = None,
    loop: bool = False,
    awkward_mm: float = AWKWARD_MM,
    place_mm: float = PLACE_MM,
) -> tuple[Fingering, ...]:
    """Return a fingering for each shape of a progression, so that the hand moves least in all.

    Parameters
    ----------
    shapes : sequence of Voicing
        In playing order, on one instrument.
    limits : Limits, optional
        The hand; a wide one on the whole neck where not given.
    loop : bool
        Whether the first shape follows the last.
    awkward_mm, place_mm : float
        What a fret of awkwardness and a finger placed anew cost, in mm; both 0 to count travel
        alone.

    Raises
    ------
    HarmonyError
        If four fingers cannot hold one of the shapes, or the instruments are two.

    Examples
    --------
    From C to Am on a guitar index and middle finger stay down.

    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> from harmonykit.fretboard.shapes.voicing import Voicing
    >>> guitar = Instrument.named("guitar")
    >>> shapes = [Voicing.parse(digits, guitar) for digits in ("x32010", "x02210")]
    >>> [found.fingers for found in fingerings(shapes)]
    [(None, 3, 2, 0, 1, 0), (None, 0, 2, 3, 1, 0)]
    """
    if not shapes:
        return ()
    check_one_neck(shapes)
    layers = [_ways(shape, limits, awkward_mm) for shape in shapes]
    if not loop:
        return _least(layers, place_mm)[1]
    # A loop is tried from each way to begin it, ended on that same way.
    begun = ([[first], *layers[1:], [first._replace(cost=0.0)]] for first in layers[0])
    found = (_least(around, place_mm) for around in begun)
    return min(found, key=lambda way: way[0])[1][:-1]


def _ways(shape: Voicing, limits: Limits | None, awkward_mm: float) -> list[Way]:
    instrument = shape.instrument
    hand = limits or Limits(max_fret=instrument.frets)
    found = [way for way, _ in ways_to_finger(shape.frets, instrument, hand)]
    if not found:
        raise not_held(shape)
    return [_way(shape, fingering, awkward_mm) for fingering in found]


def _way(shape: Voicing, fingering: Fingering, awkward_mm: float) -> Way:
    holds = held_by(shape.frets, fingering)
    fingers, pressed = tuple(holds), tuple(holds.values())
    points = min(
        (awkwardness(pressed, fingers, at) for at in range(1, shape.lowest_fret + 1)), default=0
    )
    stands = stance(shape.frets, fingering, shape.instrument)
    return Way(fingering, holds, stands, awkward_mm * points)


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


_Reached = tuple[float, tuple[Fingering, ...]]


def _least(layers: Sequence[Sequence[Way]], place_mm: float) -> _Reached:
    """Return the least cost of a way through all layers, and its fingerings."""
    # What is known of each way to hold the shape reached: the least cost so far, the way there.
    reached: list[_Reached] = [(way.cost, (way.fingering,)) for way in layers[0]]
    for before, after in pairwise(layers):
        reached = [_reach(before, reached, way, place_mm) for way in after]
    return min(reached, key=lambda found: found[0])


def _reach(
    before: Sequence[Way], reached: Sequence[_Reached], way: Way, place_mm: float
) -> _Reached:
    costs = [
        cost + way_mm(old.stance, way.stance) + place_mm * placed_anew(old.holds, way.holds)
        for old, (cost, _) in zip(before, reached, strict=True)
    ]
    best = min(range(len(costs)), key=costs.__getitem__)
    return costs[best] + way.cost, (*reached[best][1], way.fingering)
