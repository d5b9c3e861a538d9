"""Which finger goes on which string, chosen for a whole progression and not shape by shape.

Each shape may be held in several ways; of all ways through a progression the one is taken in which
the hand moves least, by dynamic programming.  A change costs, in mm, the travel of the hand (as in
``travel``) and ``PLACE_MM`` for each finger that is placed anew, because it was free or comes from
other strings: what can stay or slide, does.  A fingering costs by itself its awkwardness
(``fingering.awkwardness``: frets away from a finger a fret) at ``AWKWARD_MM`` a fret, so that an
easy grip is not given up for a millimetre; here the hand may stand where that is least, since a
note alone is as easy for any finger of a hand that exists already.  The prices are settings, not
laws of the body (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from harmonykit.fretboard.hands.fingering import Fingering, Hold, awkwardness, held_by
from harmonykit.fretboard.hands.holding import ways_to_finger
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.hands.travel import Stance, check_one_neck, not_held, stance, way_mm
from harmonykit.fretboard.shapes.voicing import Voicing

# Half a fret at the nut of a ukulele, each.
AWKWARD_MM, PLACE_MM = 10.0, 10.0


class Way(NamedTuple):
    """One way to hold a shape: what each finger presses, where it stands, what it costs in nm."""

    fingering: Fingering
    holds: dict[int, Hold]
    stance: Stance
    cost: int


def fingerings(
    shapes: Sequence[Voicing],
    limits: Limits | None = None,
    *,
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

    Returns
    -------
    tuple of Fingering

    Raises
    ------
    HarmonyError
        If four fingers cannot hold one of the shapes, or the instruments are two.

    Examples
    --------
    From C to Am on a guitar index and middle finger stay down.

    >>> guitar = hk.Instrument.named("guitar")
    >>> shapes = [hk.Voicing.parse(digits, guitar) for digits in ("x32010", "x02210")]
    >>> [found.fingers for found in hk.fretboard.fingerings(shapes)]
    [(None, 3, 2, 0, 1, 0), (None, 0, 2, 3, 1, 0)]
    """
    if not shapes:
        return ()
    check_one_neck(shapes)
    layers = [_ways(shape, limits, awkward_mm) for shape in shapes]
    if loop:
        layers.append([way._replace(cost=0) for way in layers[0]])
    return tuple(way.fingering for way in _least(layers, place_mm, loop=loop)[: len(shapes)])


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
    return Way(fingering, holds, stands, _nm(awkward_mm * points))


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


def _least(layers: Sequence[Sequence[Way]], place_mm: float, *, loop: bool) -> list[Way]:
    """Return a way through all layers that costs the least; a loop ends on what it began with."""
    import numpy as np

    from harmonykit.theory.leading.ways import FOREVER, Place, Ways

    own = [np.array([way.cost for way in layer]) for layer in layers]
    changes = [
        np.array([[_change(a, b, place_mm) for b in after] for a in before])
        for before, after in pairwise(layers)
    ]
    found: list[tuple[int, list[Place]]] = []
    # A loop is tried from each way to begin it, ended on that same way.
    for first in range(len(layers[0])) if loop else (None,):
        ways = Ways()
        for number, costs in enumerate(own):
            ends = first is not None and number in (0, len(own) - 1)
            kept = np.where(np.arange(len(costs)) == first, costs, FOREVER) if ends else costs
            ways.add(kept, [(number - 1, changes[number - 1])] if number else [])
        found += ways.best([len(own) - 1])
    _, places = min(found, key=lambda way: way[0])
    return [layers[layer][way] for layer, way in places]


def _change(before: Way, after: Way, place_mm: float) -> int:
    anew = placed_anew(before.holds, after.holds)
    return _nm(way_mm(before.stance, after.stance) + place_mm * anew)


def _nm(mm: float) -> int:
    """Return a length in whole nanometres: sums are exact, and equals are equal."""
    return round(1e6 * mm)
