"""What a guitarist's hand is not used to, whatever the shape costs in fingers and millimetres.

It puts shapes of five strings and more farther back in a chord book; how hard they are to hold is
told without it.  By rule, not by list (common practice, no source; so are the weights):

- fingers on the bass side of an index that has to lie flat: carried along the neck are barred grips
  whose bass lies under the index,
- a string that sounds open between two fingers, where both stand on the third fret or higher, or
  three frets apart (two, for four fingers), or where the higher fret is on the bass side, or where
  two fingers stand side by side on the lowest fret beside it,
- two fingers on the lowest fret four strings apart, or one so far from two side by side, with an
  open string between, where none can lie flat,
- a hand that is spread over all strings: fingers on the two lowest and, two frets apart, on the two
  highest, with open strings between,
- three strings under a finger that is not the index, and another finger beyond,
- an index that presses two strings side by side beside three fingers more,
- the three or four lowest strings of six alone, twice as much where one of them sounds open, and a
  third over a bass below C3 where no string sounds open; in a chord of four tones or more also a
  minor one, and in three notes a major one below B flat: all sound thick,
- a third or a seventh on two of four strings in place of the fifth.
"""

from collections.abc import Sequence
from itertools import pairwise

from harmonykit.fretboard.shapes.frettings import Fretting

_BELOW_THE_INDEX, _OPEN_BETWEEN, _IN_PLACE_OF_THE_FIFTH = 2.5, 4.0, 1.5
_TWO_BESIDE_THREE, _LOWEST_FOUR, _LOW_THIRD = 2.5, 2.0, 2.5
_SPREAD, _THREE_AND_ANOTHER, _FAR_ALONG_A_FRET = 2.5, 2.5, 4.0
_ALOFT = _APART = _THREE = 3
_FINGERS, _B_FLAT, _C3 = 4, 46, 48


def unused(
    frets: Fretting, pitches: Sequence[int], index: int | None, *, twice: bool, rich: bool
) -> float:
    """Return the marks against a shape for what hands are not used to.

    Parameters
    ----------
    frets : tuple
    pitches : sequence of int
        MIDI numbers that sound, in string order.
    index : int, optional
        The first string under an index that has to lie flat, from 0; nothing where it need not.
    twice : bool
        Whether, of four strings, two sound a third or seventh and none the fifth.
    rich : bool
        Whether the chord has four tones or more.

    Examples
    --------
    >>> unused((1, 3, 1, 2, 1, 1), (41, 48, 51, 57, 60, 65), 0, twice=False, rich=True)
    0.0
    >>> unused((4, 3, 1, 1, 1, 1), (44, 48, 51, 56, 60, 65), 2, twice=False, rich=True)
    7.5
    >>> unused((3, 1, 3, 0, 3, 3), (43, 46, 53, 55, 62, 67), None, twice=False, rich=False)
    4.0
    """
    found = _IN_PLACE_OF_THE_FIFTH if twice else 0.0
    fretted = [fret for fret in frets if fret]
    if 0 in frets and fretted:
        found += _OPEN_BETWEEN * sum(
            1
            for below, here, above in zip(frets, frets[1:], frets[2:], strict=False)
            if here == 0 and below and above and _is_aloft(below, above, frets, fretted)
        )
        found += _SPREAD if _is_spread(frets) else 0.0
        found += _FAR_ALONG_A_FRET if _is_far_along_a_fret(frets, min(fretted)) else 0.0
    if None not in frets[:_THREE] and set(frets[_FINGERS:]) == {None}:
        found += _LOWEST_FOUR * (1 + (0 in frets))
    low, above, *more = *sorted(pitches), 0, 0
    thick = above - low in (3, 4) and 0 not in frets
    three = above - low == 4 and len(more) == _THREE and low < _B_FLAT
    thick |= rich and (above - low == 3 or three)
    if low < _C3 and thick:
        found += _LOW_THIRD
    if len(fretted) > _FINGERS:
        found += _TWO_BESIDE_THREE if _presses_two(frets, fretted) else 0.0
        found += _THREE_AND_ANOTHER if _barred_below_another(frets, fretted) else 0.0
    if index is not None:
        found += _BELOW_THE_INDEX * sum(1 for fret in frets[:index] if fret)
    return found


def index_flat(frets: Fretting) -> int | None:
    """Return the first string, from 0, under an index that cannot but lie flat, if there is one.

    Three strings side by side on the lowest fret ask for it, or more than four fretted strings.

    Examples
    --------
    >>> index_flat((4, 3, 1, 1, 1, 1)), index_flat((3, None, 2, 3, 2, None))
    (2, None)
    """
    fretted = [fret for fret in frets if fret]
    low = min(fretted, default=0)
    first = frets.index(low)
    row = frets[first : first + _THREE] == (low,) * _THREE
    return first if row or len(fretted) > _FINGERS else None


def _presses_two(frets: Fretting, fretted: Sequence[int]) -> bool:
    """Whether the lowest fret lies on two strings side by side, and three fingers press others."""
    low = min(fretted)
    first = frets.index(low)
    pair = fretted.count(low) == 2 and frets[first : first + 2] == (low, low)
    return pair and len(fretted) - 2 >= _THREE


def _is_aloft(below: int, above: int, frets: Fretting, fretted: Sequence[int]) -> bool:
    """Whether an open string between two fingers is hard to keep clear."""
    apart = abs(below - above) + (len(fretted) >= _FINGERS)
    falls = below >= _ALOFT and 2 <= above < below
    low = min(fretted)
    beside = below == low and any(
        row == (low, low, 0, above) for row in zip(*(frets[n:] for n in range(4)), strict=False)
    )
    return min(below, above) >= _ALOFT or apart >= _APART or falls or beside


def _is_spread(frets: Fretting) -> bool:
    """Whether fingers stand on the two lowest and the two highest strings, with open ones between.

    The highest lies two frets or more below the one beside it.
    """
    below, above = frets[-2:]
    far = bool(below and above) and (below or 0) - (above or 0) >= 2
    return far and any(frets[:2]) and frets[2:-2].count(0) == 2


def _is_far_along_a_fret(frets: Fretting, low: int) -> bool:
    """Whether the lowest fret is pressed on strings far apart, an open one between them."""
    on = [string for string, fret in enumerate(frets) if fret == low]
    far = on[-1] - on[0] >= _FINGERS and 0 in frets[on[0] : on[-1]]
    return far and (len(on) == 2 or any(b - a == 1 for a, b in pairwise(on)))


def _barred_below_another(frets: Fretting, fretted: Sequence[int]) -> bool:
    """Whether one fret above the lowest lies on three strings side by side, and a finger beyond."""
    low, high = min(fretted), max(fretted)
    rows = zip(frets, frets[1:], frets[2:], strict=False)
    return any(one and low < one < high and one == two == three for one, two, three in rows)
