"""What a way remembers beside its choices, and what changes cost with it.

A way is in one of a few states; each change, told by a letter, leads from state to state at a
price.  A choice with a state is a place, and the places of a choice stand side by side.
"""

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from harmonykit.theory.leading.ways import FOREVER, Costs


class Steps:
    """How changes lead from state to state.

    Parameters
    ----------
    prices : array (letters, states before, states after)
        What a change costs beside, by its letter; ``FOREVER`` where it does not lead there.

    Examples
    --------
    A change of letter 0 keeps the state, one of letter 1 leads from the first to the second for 7.

    >>> no = FOREVER
    >>> steps = Steps(np.array([[[0, no], [no, 0]], [[no, 7], [no, no]]]))
    >>> steps.on(np.array([[3], [5]])).tolist()[1]  # the second, by letter 0 and by letter 1
    [5, 10]
    """

    def __init__(self, prices: Costs) -> None:
        self.prices = prices
        self._on = _Least(prices.transpose(2, 0, 1))
        self._back = _Least(prices.transpose(1, 0, 2))

    def on(self, costs: Costs) -> Costs:
        """Return what it costs to come to each state by each letter from each choice.

        Parameters
        ----------
        costs : array (states before, choices)

        Returns
        -------
        array (states after, letters * choices)
        """
        return self._on.of(costs)

    def back(self, costs: Costs) -> Costs:
        """Return what it costs to go on from each state by each letter to each choice."""
        return self._back.of(costs)


class _Least:
    """The least over the last of three axes of what costs and prices come to."""

    def __init__(self, prices: Costs) -> None:
        self._rows, letters, _ = prices.shape
        rows, kinds, sources = np.nonzero(prices < FOREVER)
        self._sources, self._prices = sources, prices[rows, kinds, sources][:, None]
        self._goals, self._starts = np.unique(rows * letters + kinds, return_index=True)
        self._size = self._rows * letters

    def of(self, costs: Costs) -> Costs:
        least: Costs = np.minimum.reduceat(
            costs[self._sources] + self._prices, self._starts, axis=0
        )
        if len(self._goals) == self._size:
            return least.reshape(self._rows, -1)
        found = np.full((self._size, costs.shape[1]), FOREVER)
        found[self._goals] = least
        return found.reshape(self._rows, -1)


FORGETFUL = Steps(np.zeros((1, 1, 1), dtype=np.int64))
"""Nothing is remembered."""


class Letters:
    """What each change between the choices of two layers is to the memory.

    Parameters
    ----------
    letters : array (choices there, choices here)
    """

    def __init__(self, letters: NDArray[np.intp]) -> None:
        self.letters = letters.astype(np.int32)

    @cached_property
    def on(self) -> NDArray[np.int32]:
        """Where to read what ``Steps.on`` returns."""
        rows = len(self.letters)
        found: NDArray[np.int32] = np.arange(rows, dtype=np.int32)[:, None] + rows * self.letters
        return found

    @cached_property
    def back(self) -> NDArray[np.int32]:
        """Where to read what ``Steps.back`` returns."""
        columns = self.letters.shape[1]
        found: NDArray[np.int32] = np.arange(columns, dtype=np.int32) + columns * self.letters
        return found


class Changes:
    """What all changes from the choices of one layer to those of another cost.

    Parameters
    ----------
    edges : array (choices there, choices here)
    told : Letters, optional
        All are 0 where not given.
    steps : Steps
    """

    def __init__(self, edges: Costs, told: Letters | None = None, steps: Steps = FORGETFUL) -> None:
        self.edges, self.steps = edges, steps
        self.told = told or Letters(np.zeros(edges.shape, dtype=np.intp))

    @property
    def letters(self) -> NDArray[np.int32]:
        """What each change is to the memory."""
        return self.told.letters

    def on(self, heard: Costs) -> Costs:
        """Return the least that it costs to come to each place: (states, choices here).

        ``heard`` is what ``Steps.on`` returns for what the choices before cost.
        """
        found = heard.take(self.told.on, axis=1)
        found += self.edges
        least: Costs = found.min(axis=1, initial=FOREVER)
        return least

    def back(self, costs: Costs) -> Costs:
        """Return the least that it costs to go on from each place: (states, choices there)."""
        found = self.steps.back(costs).take(self.told.back, axis=1)
        found += self.edges
        least: Costs = found.min(axis=2, initial=FOREVER)
        return least

    def into(self, state: int, node: int) -> Costs:
        """Return what it costs to come to a place from each: (states, choices there)."""
        more = self.steps.prices[self.letters[:, node], :, state].T
        found: Costs = more + self.edges[:, node]
        return found

    def between(self, before: NDArray[np.intp], after: NDArray[np.intp]) -> Costs:
        """Return what it costs to come from some places to some others: (before, after)."""
        states = self.steps.prices.shape[1]
        rows, columns = np.ix_(before, after)
        choices = rows // states, columns // states
        more = self.steps.prices[self.letters[choices], rows % states, columns % states]
        found: Costs = self.edges[choices] + more
        return found
