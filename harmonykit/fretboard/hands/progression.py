"""Which finger goes on which string, chosen for a whole progression and not shape by shape.

Each shape may be held in several ways; of all ways through a progression the one is taken in which
the hand moves least.  A change costs, in mm, the travel of the hand (as in ``travel``) and
``PLACE_MM`` for each placement of a finger; a fingering costs by itself its awkwardness at
``AWKWARD_MM`` a point (both as in ``travel``), so that an easy grip is not given up for a
millimetre.  What can stay or slide, does.

A shape that is held on keeps its fingers, and so may a phrase that comes again (``alike``).  A hand
learns a shape once: where it comes again with other fingers than most often in the progression,
that costs ``AGAIN_MM``, less than a finger that leaves a string on which it could stay; other
fingers than it was taught with before cost ``TAUGHT_MM`` each time.  The prices are settings, not
laws of the body (common practice, no source).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands import travel
from harmonykit.fretboard.hands.hand import Fingering, Limits, as_limits
from harmonykit.fretboard.hands.travel import Way
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing, as_voicings

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Half a fret at the nut of a ukulele, each, and a whole one.
AWKWARD_MM, PLACE_MM, AGAIN_MM = 10.0, 10.0, 20.0
# More than one finger that could stay.
TAUGHT_MM = 60.0

Fingers = tuple[int | None, ...]


def fingerings(
    shapes: Sequence[Voicing | str],
    limits: Limits | None = None,
    *,
    loop: bool = False,
    alike: Sequence[Hashable] | None = None,
    awkward_mm: float = AWKWARD_MM,
    place_mm: float = PLACE_MM,
    again_mm: float = AGAIN_MM,
) -> tuple[Fingering, ...]:
    """Return a fingering for each shape of a progression, so that the hand moves least in all.

    Parameters
    ----------
    shapes : sequence of Voicing or str
        In playing order, on one instrument; frets are those of a ukulele.
    limits : Limits, optional
        The hand; a wide one on the whole neck where not given.
    loop : bool
        Whether the first shape follows the last.
    alike : sequence of hashable, optional
        A label for each shape: those with one label share a fingering, as where a phrase returns.
        Two equal shapes in a row always do.
    awkward_mm, place_mm, again_mm : float
        What a fret of awkwardness, a placement, and a shape with other fingers than elsewhere cost,
        in mm; all 0 to count travel alone.

    Returns
    -------
    tuple of Fingering

    Raises
    ------
    HarmonyError
        If four fingers cannot hold one of the shapes, the instruments differ, or different shapes
        share a label.

    Examples
    --------
    From C to Am on a guitar index and middle finger stay down.

    >>> guitar = hk.Instrument.named("guitar")
    >>> shapes = [hk.Voicing.parse(digits, guitar) for digits in ("x32010", "x02210")]
    >>> [found.fingers for found in hk.fretboard.fingerings(shapes)]
    [(None, 3, 2, 0, 1, 0), (None, 0, 2, 3, 1, 0)]
    """
    row, hand = as_voicings(shapes), None if limits is None else as_limits(limits, limits)
    words = range(len(row)) if alike is None else alike
    if len(words) != len(row):
        what = f"{len(words)} words in alike for {len(row)} shapes"
        raise HarmonyError(what, rule="one word for each shape")
    prices = awkward_mm, place_mm, again_mm
    return fingered(row, [hand] * len(row), words, prices, loop=loop)


def fingered(
    shapes: Sequence[Voicing],
    hands: Sequence[Limits | None],
    alike: Sequence[Hashable],
    prices: tuple[float, float, float] = (AWKWARD_MM, PLACE_MM, AGAIN_MM),
    taught: Mapping[Voicing, Fingers] = MappingProxyType({}),
    *,
    loop: bool = False,
) -> tuple[Fingering, ...]:
    """Return a fingering for each shape, each within the limits of a hand of its own.

    Parameters
    ----------
    shapes, hands, alike : sequence
        In playing order; see ``fingerings``.
    prices : tuple of float
        Of a fret of awkwardness, of a placement, and of other fingers for the same shape, in mm.
    taught : mapping of Voicing to tuple
        The fingers, string by string, with which some shapes were taught before.
    loop : bool
        Whether the first shape follows the last.
    """
    from harmonykit.theory.leading.tied import cheapest

    if not shapes:
        return ()
    travel.check_one_neck(shapes)
    places = _places(shapes, alike, loop=loop)
    told = dict(zip(places, zip(shapes, hands, strict=True), strict=True))
    keys = [(shape.frets, shape.instrument, hand) for shape, hand in told.values()]
    ways = [travel.ways_of(shape, hand) for shape, hand in told.values()]
    number = {place: index for index, place in enumerate(told)}
    row = [number[place] for place in places]
    steps = Counter((a, b) for a, b in pairwise([*row, row[0]] if loop else row) if a != b)
    comes = Counter(b for _, b in steps.elements())
    comes[row[0]] += not loop or not comes
    own = [_points(way) * (_nm(prices[0]) * comes[place]) for place, way in enumerate(ways)]
    changes = {
        (a, b): times * _changes(*keys[a], *keys[b], prices[1]) for (a, b), times in steps.items()
    }
    learnt = {
        place: fingers
        for place, (shape, _) in enumerate(told.values())
        if (fingers := taught.get(shape))
    }
    for place, fingers in learnt.items():
        own[place] = own[place] + comes[place] * _unlike(ways[place], fingers)
    for come in _again(keys) if prices[2] else ():
        # A place of its own for the fingers that the shape has most often.
        most_often, unlike = _most_often(ways[come[0]], prices[2])
        changes.update(((place, len(own)), comes[place] * unlike) for place in come)
        own.append(most_often)
    chosen = cheapest(own, changes)
    return tuple(ways[place][chosen[place]].fingering for place in row)


def _places(shapes: Sequence[Voicing], alike: Sequence[Hashable], *, loop: bool) -> list[int]:
    """Return a number for each shape, the same for those that have one fingering."""
    runs = [0]
    for a, b in pairwise(shapes):
        runs.append(runs[-1] + (a != b))
    if loop and shapes[0] == shapes[-1]:
        runs = [run % runs[-1] if runs[-1] else 0 for run in runs]
    places = joined(alike, runs)
    for place, shape in zip(places, shapes, strict=True):
        if shape != shapes[place]:
            what = f"{shapes[place].digits} and {shape.digits} need the same fingering"
            raise HarmonyError(what, rule="shapes with the same word in alike must be equal")
    return places


def joined(*rows: Sequence[Hashable]) -> list[int]:
    """Return for each place the first place that it is one with, by a word that they share.

    Places are one where a row has the same word for them, directly or by places between.

    Examples
    --------
    >>> joined("abcab", (0, 1, 2, 3, 2))
    [0, 1, 1, 0, 1]
    """
    of = list(range(len(rows[0])))

    def first(place: int) -> int:
        while of[place] != place:
            place = of[place]
        return place

    for row in rows:
        known: dict[Hashable, int] = {}
        for place, word in enumerate(row):
            pair = first(known.setdefault(word, place)), first(place)
            of[max(pair)] = min(pair)
    return [first(place) for place in of]


def _again(keys: Sequence[Hashable]) -> list[list[int]]:
    """Return the places of each shape that comes at several places."""
    found: dict[Hashable, list[int]] = {}
    for place, key in enumerate(keys):
        found.setdefault(key, []).append(place)
    return [places for places in found.values() if len(places) > 1]


def _unlike(ways: Sequence[Way], taught: Fingers) -> NDArray[Any]:
    """Return what other fingers than those that were taught cost, if a hand can take them."""
    import numpy as np

    other = np.array([way.fingering.fingers != taught for way in ways], dtype=np.int64)
    return _nm(TAUGHT_MM) * (0 if other.all() else 1) * other


def _most_often(ways: Sequence[Way], again_mm: float) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return what the fingers of a shape cost by themselves, none, and beside its others, in nm."""
    import numpy as np

    alone = np.zeros(len(ways), dtype=np.int64)
    return alone, _nm(again_mm) * (1 - np.eye(len(ways), dtype=np.int64))


def _points(ways: Sequence[Way]) -> NDArray[Any]:
    import numpy as np

    return np.array([way.points for way in ways], dtype=np.int64)


@lru_cache(maxsize=4096)
def _changes(
    frets: Fretting,
    instrument: Instrument,
    hand: Limits | None,
    then: Fretting,
    same: Instrument,
    other: Limits | None,
    place_mm: float,
) -> NDArray[Any]:
    """Return what each change from a way to hold a shape to a way to hold the next costs, in nm."""
    import numpy as np

    before, after = travel.all_ways(frets, instrument, hand), travel.all_ways(then, same, other)
    costs = [
        [_nm(travel.way_mm(a.stance, b.stance) + place_mm * travel.placements(a, b)) for b in after]
        for a in before
    ]
    return np.array(costs, dtype=np.int64)


def _nm(mm: float) -> int:
    """Return a length in whole nanometres: sums are exact, and equals are equal."""
    return round(1e6 * mm)
