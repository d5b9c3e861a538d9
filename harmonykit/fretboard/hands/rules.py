"""The rules of the hand: one table of what fingers can do at once.

Each rule has a name, the words that a player would use, where it is from, and whether it allows a
*grip*: one way to share a shape among fingers.  They stand in groups by what they ask about, so
that each is asked as soon as it can be.  The numbers are settings, not laws of the body.

They leave out: the way across the strings in the stretch, tips in neighbouring frets, the width of
the fretboard and the height of the strings, a fingertip that mutes the string beside it,
half-pressed barres, pain, and practice.

Conventions.  Lengths are in millimetres along the neck; strings and frets as in ``instrument``.
"""

import math
from collections.abc import Callable
from itertools import combinations, pairwise
from typing import NamedTuple

from harmonykit.fretboard.hands import hand
from harmonykit.fretboard.hands.hand import PAIRS, Hold, Limits
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.values import dataclass

PRACTICE = "common practice, no source"
MOST_TIPS_IN_A_FRET = 3
MOST_BETWEEN_TIPS = 2
# So many strings lie under the last joint of a finger, which can stand off the strings past it.
MOST_STRINGS_LAID_FLAT = 3
_THUMB_FRETS = 1
_PAIR = {pair: place for place, pair in enumerate(PAIRS)}


class Grip(NamedTuple):
    """One way to share a shape among fingers.

    A plain tuple, since the hand makes them by the thousand.

    Parameters
    ----------
    frets : tuple of int or None
        The shape.
    holds : tuple of Hold
        Sorted by fret, then by string; a thumb's last.
    wires : tuple of float
        The places of the fret wires in mm, the nut first.
    limits : Limits
    fingers : tuple of int
        The finger of each hold; empty while none are named.
    """

    frets: Fretting
    holds: tuple[Hold, ...]
    wires: tuple[float, ...]
    limits: Limits
    fingers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule of the hand.

    Parameters
    ----------
    name, words : str
    allows : callable
        Whether it allows a grip.
    source : str
    """

    name: str
    words: str
    allows: Callable[[Grip], bool]
    source: str = PRACTICE


def _not_too_high(grip: Grip) -> bool:
    return grip.holds[-1].fret <= grip.limits.max_fret


def _within_the_stretch(grip: Grip) -> bool:
    low, high = grip.holds[0].fret, grip.holds[-1].fret
    return grip.wires[high] - grip.wires[low] <= grip.limits.stretch_mm


def _flat_within_limits(grip: Grip) -> bool:
    strings = len(grip.frets)
    most = {"none": 1, "half": (strings + 1) // 2, "full": strings}[grip.limits.barre]
    return all(hold.width <= most for hold in grip.holds)


def _lies_well(grip: Grip) -> bool:
    return all(hold.width == 1 or _lies(hold, grip) for hold in grip.holds)


def _lies(hold: Hold, grip: Grip) -> bool:
    low, under = grip.holds[0].fret, grip.frets[hold.first : hold.last + 1]
    if hold.fret == low and under.count(low) == grip.frets.count(low):
        return barre_lies(hold, grip.frets)
    return hold.width <= MOST_STRINGS_LAID_FLAT and 0 not in grip.frets[hold.last + 1 :]


def barre_lies(hold: Hold, frets: Fretting) -> bool:
    """Whether a finger can lie over all strings that are stopped in a shape's lowest fret.

    Examples
    --------
    >>> barre_lies(Hold(1, 0, 5), (1, 3, 3, 2, 1, 1)), barre_lies(Hold(1, 0, 3), (1, 0, 2, 1))
    (True, False)
    """
    under = frets[hold.first : hold.last + 1]
    wide = hold.width > MOST_STRINGS_LAID_FLAT
    return None not in under and 0 not in under and not (wide and 0 in frets[hold.last + 1 :])


def _few_tips_in_a_fret(grip: Grip) -> bool:
    # Holds are sorted by fret, so that four tips in one fret would stand in a row.
    holds = grip.holds
    return len(holds) <= MOST_TIPS_IN_A_FRET or holds[0].fret != holds[-1].fret


def _three_tips_in_a_row(grip: Grip) -> bool:
    if len(grip.holds) < 3:
        return True
    for near, _, far in zip(grip.holds, grip.holds[1:], grip.holds[2:], strict=False):
        between = grip.frets[near.last + 1 : far.first]
        if near.fret == far.fret and len(between) <= MOST_BETWEEN_TIPS:
            return all(fret is None or fret <= near.fret for fret in between)
    return True


def _room_for_tips(grip: Grip) -> bool:
    _, holds, wires, limits, _ = grip
    for near, far in pairwise(holds):
        if near.fret == far.fret:
            return room_mm(holds, wires, limits.tip_mm) >= 0
    return True


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
        fret = far.fret
        if near.fret == fret:
            apart = hand.STRING_GAP_MM * (far.first - near.last)
            behind = math.sqrt(tip_mm**2 - apart**2) if apart < tip_mm else 0.0
            needed[fret] = needed.get(fret, 0.0) + behind
    rooms = [wires[fret] - wires[fret - 1] - behind for fret, behind in needed.items()]
    return min(rooms, default=math.inf)


def _barre_by_the_index(grip: Grip) -> bool:
    first, last = grip.holds[0], grip.holds[-1]
    barred = first.width > 1 and first.fret < last.fret
    barred = barred or first.width > MOST_STRINGS_LAID_FLAT
    return grip.fingers[0] == hand.INDEX or not barred


def _little_finger_short(grip: Grip) -> bool:
    last = grip.holds[-1]
    if grip.fingers[-1] != hand.LITTLE or last.width == 1:
        return True
    return all(fret is None for fret in grip.frets[last.last + 1 :])


def _ring_below_the_little_finger(grip: Grip) -> bool:
    holds = grip.holds
    if len(holds) < 3 or holds[-2].width == 1:
        return True
    past = {fret for fret in grip.frets[holds[-2].last + 1 :] if fret is not None}
    between = holds[0].fret < holds[-2].fret < holds[-1].fret
    return grip.fingers[-2:] == (hand.RING, hand.LITTLE) and between and past == {holds[-1].fret}


def _pairs_reach(grip: Grip) -> bool:
    wires, reach, holds = grip.wires, grip.limits.pairs_mm, grip.holds
    if wires[holds[-1].fret] - wires[holds[0].fret] <= min(reach):
        return True
    placed = [
        (finger, wires[hold.fret]) for finger, hold in zip(grip.fingers, grip.holds, strict=True)
    ]
    for (low, near), (high, far) in combinations(placed, 2):
        if far - near > reach[_PAIR[low, high]]:
            return False
    return True


def _little_finger_not_across(grip: Grip) -> bool:
    fingers, holds = grip.fingers, grip.holds
    if fingers[:2] != (hand.INDEX, hand.MIDDLE) or fingers[-1] != hand.LITTLE:
        return True
    index, middle, little = holds[0], holds[1], holds[-1]
    beside = index.fret == middle.fret and middle.first == index.last + 1
    return not (beside and little.fret > index.fret and little.first < index.first)


def _thumb_beside_the_index(grip: Grip) -> bool:
    placed = list(zip(grip.fingers, grip.holds, strict=True))
    if not placed or placed[-1][0] != hand.THUMB:
        return True
    (_, over), rest = placed[-1], placed[:-1]
    lowest = min(hold.fret - finger + hand.INDEX for finger, hold in rest)
    within = over.fret <= grip.limits.max_fret and abs(over.fret - max(1, lowest)) <= _THUMB_FRETS
    return grip.limits.thumb and over.first == 0 and within


OF_SHAPES = (
    Rule("top fret", "No finger goes above the highest fret of the limits.", _not_too_high),
    Rule(
        "stretch",
        "The stretch from the lowest to the highest fret pressed stays within the limit.  All "
        "fingers press the same way behind their frets, so it is the stretch of the fingers too.",
        _within_the_stretch,
    ),
)
"""Rules of a shape, however it is held."""

OF_HOLDS = (
    Rule(
        "fingertips in a fret",
        "At most three fingertips press side by side in one fret.",
        _few_tips_in_a_fret,
    ),
    Rule(
        "tips around a higher one",
        "Three fingertips in one fret, on four neighbouring strings, have no string between them "
        "that is stopped higher: 1-2-1-1 needs its barre, 3-x-3-4-3-x does not.",
        _three_tips_in_a_row,
    ),
    Rule(
        "crowded fingertips",
        "Fingers in one fret on neighbouring strings, 9 mm apart, go one behind the other, far "
        "enough that tips do not overlap; the fret has to be long enough.  Three 11 mm tips need "
        "12.7 mm: a soprano ukulele has it up to fret 7, a concert ukulele up to fret 10.",
        _room_for_tips,
    ),
)
"""Rules of what is pressed by one finger, whichever finger it is."""

OF_FLAT = (
    Rule(
        "wide barre",
        "A finger covers no more strings than the limits allow.",
        _flat_within_limits,
    ),
    Rule(
        "lying flat",
        "A barre lies over the lowest fretted fret, from the first to the last string stopped "
        "there.  No string under it sounds open or is muted.  Up to three strings lie under "
        "the last joint, which clears the open strings past it (x32110); the whole finger, "
        "which a wider barre takes, lies over those too.  Higher up a finger lies over two or "
        "three neighbours, and no string past them sounds open (5x555x, x13331).",
        _lies_well,
    ),
)
"""Such rules where a finger lies flat."""

OF_FINGERS = (
    Rule(
        "pairs",
        "Each pair of fingers has a limit of its own: middle and ring, and ring and little "
        "finger, move together and spread the least; the index finger is the freest.",
        _pairs_reach,
    ),
    Rule(
        "across",
        "With index and middle side by side in one fret, the little finger does not reach across "
        "them to a string on their far side: 3-2-1-1 needs its barre.",
        _little_finger_not_across,
    ),
)
"""Rules of which finger presses what."""

OF_FLAT_FINGERS = (
    Rule(
        "index barre",
        "A barre below other fingers, or over more than three strings, belongs to the index "
        "finger.",
        _barre_by_the_index,
    ),
    Rule(
        "short little finger",
        "The little finger is too short to clear any string past those that it lies over.",
        _little_finger_short,
    ),
    Rule(
        "flat ring finger",
        "Between other fingers only the ring finger may barre, and past its barre only the string "
        "of the little finger sounds (x32335).",
        _ring_below_the_little_finger,
    ),
)
"""Such rules where a finger lies flat."""

OF_THE_THUMB = Rule(
    "thumb",
    "The thumb stays behind the neck, or reaches over it to fret the nearest string (a guitar's "
    "sixth), where the limits allow: at the index finger's fret or one beside it.",
    _thumb_beside_the_index,
)

RULES = (*OF_SHAPES, *OF_HOLDS, *OF_FLAT, *OF_FINGERS, *OF_FLAT_FINGERS, OF_THE_THUMB)


def allowed(rules: tuple[Rule, ...], grip: Grip) -> bool:
    """Whether all of some rules allow a grip."""
    for rule in rules:
        if not rule.allows(grip):
            return False
    return True
