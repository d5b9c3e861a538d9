"""Which finger goes on which string, chosen for a whole progression and not shape by shape.

Each shape may be held in several ways; of all ways through a progression the one is taken in which
the hand moves least.  A change costs, in mm, the travel of the hand (as in ``travel``) and
``PLACE_MM`` for each *placement*: a finger that is placed anew, because it was free or comes from
other strings; a finger that rolls into a barre or out of one; two fingers that move and cross; a
hand that no finger guides, staying on a string or sliding along it; and two for a string that stays
pressed and changes fingers.  All fingers that go across together, as
from E to Am on a guitar, are one.  What can stay or slide, does.

A fingering costs by itself its awkwardness at ``AWKWARD_MM`` a point, so that an easy grip is not
given up for a millimetre: frets away from a finger a fret (``fingering.awkwardness``), where the
hand may stand where that is least; one where it is not the shape's best alone; two for a flat
finger that is not the index, or that stands off an open string; one for each fret that fingers
before a low one lack, as those before a ring finger at fret 1.  The index may press behind the
middle finger where three fingers share a fret, as in an A of 2, 1 and 3, for one more.

A shape that is held on keeps its fingers, and so may a phrase that comes again (``alike``).  The
prices are settings, not laws of the body (common practice, no source).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.fingering import (
    INDEX,
    MIDDLE,
    THUMB,
    Fingering,
    Hold,
    awkwardness,
    held_by,
)
from harmonykit.fretboard.hands.holding import ways_to_finger
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.hands.travel import Stance, check_one_neck, not_held, stance, way_mm
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Half a fret at the nut of a ukulele, each.
AWKWARD_MM, PLACE_MM = 10.0, 10.0
# Of a flat finger that is not the index, and of one that stands off an open string.
_FLAT_POINTS = 2


class Way(NamedTuple):
    """One way to hold a shape: its frets, what each finger presses, where it stands."""

    frets: Fretting
    fingering: Fingering
    holds: dict[int, Hold]
    stance: Stance
    points: int


def fingerings(
    shapes: Sequence[Voicing],
    limits: Limits | None = None,
    *,
    loop: bool = False,
    alike: Sequence[Hashable] | None = None,
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
    alike : sequence of hashable, optional
        A word for each shape: shapes of one word have one fingering, as where a phrase comes again.
        Two equal shapes in a row have one always.
    awkward_mm, place_mm : float
        What a fret of awkwardness and a placement cost, in mm; both 0 to count travel alone.

    Returns
    -------
    tuple of Fingering

    Raises
    ------
    HarmonyError
        If four fingers cannot hold one of the shapes, the instruments are two, or different shapes
        are to have one fingering.

    Examples
    --------
    From C to Am on a guitar index and middle finger stay down.

    >>> guitar = hk.Instrument.named("guitar")
    >>> shapes = [hk.Voicing.parse(digits, guitar) for digits in ("x32010", "x02210")]
    >>> [found.fingers for found in hk.fretboard.fingerings(shapes)]
    [(None, 3, 2, 0, 1, 0), (None, 0, 2, 3, 1, 0)]
    """
    words = range(len(shapes)) if alike is None else alike
    if len(words) != len(shapes):
        what = f"{len(words)} words in alike for {len(shapes)} shapes"
        raise HarmonyError(what, rule="one word for each shape")
    prices = awkward_mm, place_mm
    return fingered(shapes, [limits] * len(shapes), words, prices, loop=loop)


def fingered(
    shapes: Sequence[Voicing],
    hands: Sequence[Limits | None],
    alike: Sequence[Hashable],
    prices: tuple[float, float] = (AWKWARD_MM, PLACE_MM),
    *,
    loop: bool = False,
) -> tuple[Fingering, ...]:
    """Return a fingering for each shape, each within the limits of a hand of its own.

    Parameters
    ----------
    shapes, hands, alike : sequence
        In playing order; see ``fingerings``.
    prices : tuple of float
        Of a fret of awkwardness and of a placement, in mm.
    loop : bool
        Whether the first shape follows the last.
    """
    from harmonykit.theory.leading.tied import cheapest

    if not shapes:
        return ()
    check_one_neck(shapes)
    places = _places(shapes, alike, loop=loop)
    told = dict(zip(places, zip(shapes, hands, strict=True), strict=True))
    keys = [(shape.frets, shape.instrument, hand) for shape, hand in told.values()]
    ways = [_ways(shape, hand) for shape, hand in told.values()]
    number = {place: index for index, place in enumerate(told)}
    row = [number[place] for place in places]
    steps = Counter((a, b) for a, b in pairwise([*row, row[0]] if loop else row) if a != b)
    comes = Counter(b for _, b in steps.elements())
    comes[row[0]] += not loop or not comes
    own = [_points(way) * (_nm(prices[0]) * comes[place]) for place, way in enumerate(ways)]
    changes = {
        (a, b): times * _changes(*keys[a], *keys[b], prices[1]) for (a, b), times in steps.items()
    }
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
            what = f"{shapes[place].digits} and {shape.digits} are to have one fingering"
            raise HarmonyError(what, rule="shapes of one word in alike are equal")
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


def _ways(shape: Voicing, limits: Limits | None) -> tuple[Way, ...]:
    found = _all_ways(shape.frets, shape.instrument, limits)
    if not found:
        raise not_held(shape)
    return found


@lru_cache(maxsize=4096)
def _all_ways(frets: Fretting, instrument: Instrument, limits: Limits | None) -> tuple[Way, ...]:
    hand = limits or Limits(max_fret=instrument.frets)
    found = [way for way, _ in ways_to_finger(frets, instrument, hand)]
    ways = [_way(frets, each, instrument, bool(at)) for at, each in enumerate(found)]
    behind = [other for each in found if (other := _index_behind(frets, each))]
    return (*ways, *(_way(frets, other, instrument, 2) for other in behind))


def _way(frets: Fretting, fingering: Fingering, instrument: Instrument, more: int = 0) -> Way:
    holds = held_by(frets, fingering)
    fingers, pressed = tuple(holds), tuple(holds.values())
    lowest = min((hold.fret for hold in pressed), default=0)
    points = min((awkwardness(pressed, fingers, at) for at in range(1, lowest + 1)), default=0)
    return Way(
        frets,
        fingering,
        holds,
        stance(frets, fingering, instrument),
        points + more + _flat(frets, fingering) + _cramped(holds),
    )


def _flat(frets: Fretting, fingering: Fingering) -> int:
    """Return the points that flat fingers cost beside their strings."""
    return _FLAT_POINTS * sum(
        (barre.finger != INDEX) + (0 in frets[barre.last + 1 :]) for barre in fingering.barres
    )


def _cramped(holds: dict[int, Hold]) -> int:
    """Return the points of fingers that stand so low that those before them have no fret."""
    return sum(max(0, finger - hold.fret - 1) for finger, hold in holds.items() if finger != THUMB)


def _index_behind(frets: Fretting, fingering: Fingering) -> Fingering | None:
    """Return the fingering with the index behind the middle finger, as in an A of 2, 1 and 3.

    Three fingers press in one fret on neighbouring strings; ``None`` where they do not.
    """
    fingers = fingering.fingers
    for string in range(len(fingers) - 2):
        one_fret = len({*frets[string : string + 3]}) == 1
        if one_fret and not fingering.barres and fingers[string : string + 2] == (INDEX, MIDDLE):
            swapped = (*fingers[:string], MIDDLE, INDEX, *fingers[string + 2 :])
            return replace(fingering, fingers=swapped)
    return None


def _points(ways: Sequence[Way]) -> NDArray[Any]:
    import numpy as np

    return np.array([way.points for way in ways], dtype=np.int64)


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
    8
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
    return placed_anew(old, new) + rolled + crossed + loose + 2 * swapped


def _go_as_one(old: dict[int, Hold], new: dict[int, Hold]) -> bool:
    """Whether two fingers or more stay in their frets and go across by as many strings each."""
    if len(new) < 2 or old.keys() != new.keys():
        return False
    pairs = [(old[finger], hold) for finger, hold in new.items()]
    (_, across, _), *others = {tuple(b - a for a, b in zip(*pair, strict=True)) for pair in pairs}
    return not others and across != 0 and all(a.fret == b.fret for a, b in pairs)


def _in_place(old: Hold, new: Hold) -> bool:
    return old.fret == new.fret and old.shares_a_string(new)


def _beside(one: Hold, other: Hold) -> int:
    """Return 1 where one lies on lower strings than the other, -1 on higher ones, else 0."""
    return (one.last < other.first) - (other.last < one.first)


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

    before, after = _all_ways(frets, instrument, hand), _all_ways(then, same, other)
    costs = [
        [_nm(way_mm(a.stance, b.stance) + place_mm * placements(a, b)) for b in after]
        for a in before
    ]
    return np.array(costs, dtype=np.int64)


def _nm(mm: float) -> int:
    """Return a length in whole nanometres: sums are exact, and equals are equal."""
    return round(1e6 * mm)
