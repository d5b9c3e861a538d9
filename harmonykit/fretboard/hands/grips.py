"""The ways to hold one shape, and what a change from one to another asks of the fingers.

A way costs by itself its awkwardness, in points: frets away from a finger a fret
(``fingering.awkwardness``), where the hand may stand where that is least; one where it is not the
shape's best alone; two for a flat finger that is not the index, or that stands off an open string;
one for each fret that fingers before a low one lack, as those before a ring finger at fret 1.  The
index may press behind the middle finger where three fingers share a fret, as in an A of 2, 1 and 3,
for one more.

A change asks for *placements*: a finger that is placed anew, because it was free or comes from
other strings; a finger that rolls into a barre or out of one; two fingers that move and cross; a
hand that no finger guides, staying on a string or sliding along it; and two for a string that stays
pressed and changes fingers.  All fingers that go across together, as from E to Am on a guitar, are
one.  (Common practice, no source.)
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from itertools import combinations
from typing import NamedTuple

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
from harmonykit.fretboard.hands.travel import Stance, not_held, stance
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument

# Of a flat finger that is not the index, and of one that stands off an open string.
_FLAT_POINTS = 2


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
