"""Which bar of a rehearsal comes after which: at which tempo, left to the class or not.

Conventions.  A bar that is left is silent but for its clicks.  The page's script has the same rules
in ``page/form.js``.
"""

from collections.abc import Sequence
from math import ceil

from harmonykit.sound.rehearsal import ALWAYS, CALL, FADE, ONCE, Rehearsal
from harmonykit.values import dataclass

# A loop is short up to so many bars, and played so often at each tempo where nothing is said.
_SHORT, _OFTEN = 4, 4
# Of how many bars how many are left: first so many, then so many.
_CALLED, _EIGHT, _FIRST, _THEN = 4, 8, 2, 4
_FADES_AT = 2 * _EIGHT
_FADED = 4 * _EIGHT


@dataclass(frozen=True, slots=True)
class Turn:
    """A bar as it is played in a rehearsal.

    Parameters
    ----------
    bar : int
        Which bar in playing order, counted from 0.
    time : int
        Which time through, counted from 0.
    tempo : int
        Per cent.
    left : bool
        Whether it is left to the class.
    named : bool
        Whether the chords of this bar are told before they come.
    opening : bool
        Whether it belongs to the intro: the melody is silent.
    """

    bar: int
    time: int
    tempo: int
    left: bool
    named: bool
    opening: bool = False


def times_of(how: Rehearsal, bars: int, *, loop: bool) -> int:
    """Return how often so many bars, a loop or a whole tune, are played at each tempo.

    Examples
    --------
    >>> times_of(Rehearsal(), 2, loop=True), times_of(Rehearsal(), 2, loop=False)
    (4, 1)
    >>> times_of(Rehearsal(left=FADE), 12, loop=False)
    3
    """
    if how.times:
        return how.times
    times = _OFTEN if loop and bars <= _SHORT else 1
    least = _FADED if how.left == FADE else _CALLED if how.left == CALL else 0
    return max(times, ceil(least / (bars * len(how.tempi))))


def turns_of(
    how: Rehearsal,
    first: Sequence[int],
    again: Sequence[int],
    lead: int,
    *,
    loop: bool,
    intro: Sequence[int] = (),
) -> tuple[Turn, ...]:
    """Return the bars of a rehearsal one after another.

    Parameters
    ----------
    how : Rehearsal
    first, again : sequence of int
        The bars of the first time through and of every later one.
    lead : int
        The bar that is a pick-up, which does not count; -1 for none.
    loop : bool
        Whether these are some bars of a tune, not all of it.
    intro : sequence of int
        The bars that are played once before all; none of them is left, and none counts.
    """
    whole = sum(bar != lead for bar in first)
    times, place = times_of(how, whole, loop=loop), 0
    named = bool(how.names)
    found = [Turn(bar, 0, how.tempi[0], left=False, named=named, opening=True) for bar in intro]
    for time in range(len(how.tempi) * times):
        for bar in again if time else first:
            named = how.names == ALWAYS or (how.names == ONCE and time == 0)
            found.append(Turn(bar, time, how.tempi[time // times], _is_left(how, place), named))
            place += bar != lead
    return tuple(found)


def _is_left(how: Rehearsal, place: int) -> bool:
    """Whether the bar at a place, counted from the first that is played, is left to a class."""
    if how.left == CALL:
        return place % _CALLED >= _CALLED // 2
    if how.left == FADE:
        return place % _EIGHT >= _EIGHT - (_FIRST if place < _FADES_AT else _THEN)
    return False
