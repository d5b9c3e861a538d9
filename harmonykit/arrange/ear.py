"""What the ear expects of the highest pitch, remembered along a way, and what it costs.

After a step the ear expects another the same way, after a leap over a fourth a step back; a pitch
that stays changes nothing, and after silence it expects nothing.  Where a phrase is to turn, it is
remembered, too, whether its line has turned yet: a phrase begins anew, and one that ends with a
line that did not turn costs ``Weights.straight``.  Within the phrase a step back after a leap is
what was expected, and no turn.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.weights import Weights
from harmonykit.theory.leading.remembered import Steps
from harmonykit.theory.leading.ways import FOREVER, Costs

A_FOURTH = 5
"""Semitones: a wider step of the highest pitch is a leap."""

UP, DOWN = range(2)
"""Where the ear expects the highest pitch to go."""

# Beside these, where phrases are to turn: nothing heard yet in the phrase, and a line that turned.
_NEW, _UP_TURNED, _DOWN_TURNED = 2, 3, 4
_HEADINGS = {UP: UP, DOWN: DOWN, _UP_TURNED: UP, _DOWN_TURNED: DOWN}
_TURNED = {UP: _UP_TURNED, DOWN: _DOWN_TURNED}
# How the highest pitch may go, and a gap of so many semitones for each.
_STAYS, _RISES, _FALLS, _LEAPS_UP, _LEAPS_DOWN = range(5)
_GAPS = (0, 1, -1, A_FOURTH + 1, -A_FOURTH - 1)


def heading(before: int, gap: int) -> int:
    """Return the heading after a move of the highest pitch.

    Examples
    --------
    >>> heading(UP, 2), heading(UP, -2), heading(UP, 7), heading(DOWN, 0)
    (0, 1, 1, 1)
    """
    if gap == 0:
        return before
    return UP if (gap > 0) != (abs(gap) > A_FOURTH) else DOWN


def line_cost(before: int, gap: int, weights: Weights) -> int:
    """Return what a move of the highest pitch costs for what the ear expects.

    Parameters
    ----------
    before : int
        A heading.
    gap : int
        Semitones, up or down.
    weights : Weights

    Examples
    --------
    On the way up: a step down, which is a turn; a leap up.

    >>> weights = Weights(turn=3, leap=20)
    >>> line_cost(UP, -2, weights), line_cost(UP, 7, weights)
    (3, 20)
    """
    leap = weights.leap if abs(gap) > A_FOURTH else 0
    return leap + (weights.turn if _turns(before, gap) else 0)


def _turns(before: int, gap: int) -> bool:
    return (before == UP and gap < 0) or (before == DOWN and gap > 0)


def letters(before: NDArray[np.int64], after: NDArray[np.int64]) -> NDArray[np.intp]:
    """Return how the highest pitch goes at each change: (before, after).

    Examples
    --------
    >>> letters(np.array([60]), np.array([60, 62, 59, 67])).tolist()
    [[0, 1, 2, 3]]
    """
    gaps = after[None, :] - before[:, None]
    leaps = np.abs(gaps) > A_FOURTH
    way = np.where(gaps > 0, _RISES, np.where(gaps < 0, _FALLS, _STAYS))
    found: NDArray[np.intp] = (way + 2 * leaps).astype(np.intp)
    return found


class Ear:
    """What is remembered of the highest pitch with some weights.

    Attributes
    ----------
    starts, stops : tuple of int
        What it costs to begin and to end in each state.
    inside, across : Steps
        How changes go on within a phrase, and from one phrase to the next, by ``letters``.
    silent, parted : Steps
        The same where silence stands before or after; there is one letter.
    """

    def __init__(self, weights: Weights) -> None:
        self.phrased = bool(weights.straight)
        never, straight = int(FOREVER), weights.straight
        if not self.phrased:
            self.starts: tuple[int, ...] = (0, 0)
            self.stops: tuple[int, ...] = (0, 0)
            self.inside = Steps(_plain(weights))
            self.silent = Steps(np.zeros((1, 2, 2), dtype=np.int64))
            self.across, self.parted = self.inside, self.silent
            return
        self.starts = (never, never, 0, never, never)
        self.stops = (straight, straight, straight, 0, 0)
        self.inside = Steps(_phrased(weights))
        leaps = [0, 0, 0, weights.leap, weights.leap]
        self.across = Steps(_anew(leaps, self.stops))
        self.parted = Steps(_anew([0], (straight, straight, 0, 0, 0)))
        silent = _nowhere(1)
        silent[0, [UP, DOWN, _NEW], _NEW] = 0
        silent[0, _UP_TURNED:, _UP_TURNED:] = 0
        self.silent = Steps(silent)

    @property
    def states(self) -> int:
        """How many states there are."""
        return len(self.starts)


ear_of = lru_cache(maxsize=64)(Ear)


def _plain(weights: Weights) -> Costs:
    found = np.full((len(_GAPS), 2, 2), FOREVER)
    for letter, gap in enumerate(_GAPS):
        for before in (UP, DOWN):
            found[letter, before, heading(before, gap)] = line_cost(before, gap, weights)
    return found


def _nowhere(kinds: int) -> Costs:
    states = _DOWN_TURNED + 1
    return np.full((kinds, states, states), FOREVER)


def _phrased(weights: Weights) -> Costs:
    found = _nowhere(len(_GAPS))
    for letter, gap in enumerate(_GAPS):
        first = _NEW if gap == 0 else heading(UP, gap)
        found[letter, _NEW, first] = weights.leap if abs(gap) > A_FOURTH else 0
        for before, way in _HEADINGS.items():
            after = heading(way, gap)
            turned = before != way or _turns(way, gap)
            goal = _TURNED[after] if turned else after
            found[letter, before, goal] = line_cost(way, gap, weights)
    return found


def _anew(leaps: list[int], straight: tuple[int, ...]) -> Costs:
    """Return what it costs to begin a phrase, by how the line goes and its state before."""
    found = _nowhere(len(leaps))
    found[:, :, _NEW] = np.array(leaps)[:, None] + np.array(straight)
    return found
