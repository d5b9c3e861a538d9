"""The cheapest ways through layers that are known whole: one pass on, one back, then the few left.

On the way on, each choice learns what it costs to reach it; on the way back, what it costs to go
on from it to an end.  The sum of both is the least that any way through the choice costs.  The k
best of different classes (``ways.Ways``) are sought among the choices for which that is no more
than a limit; where fewer than k are found within it, the limit is raised.  What is found is the
same as without any limit, among equals too: each way that is cheap enough passes through choices
that are kept, and they keep their order.

A way may *remember* something beside its choice: it is in one of a few states, and each change,
told by a letter, leads from state to state at a price (``Steps``).  A choice with a state is a
place, and the places of a choice stand side by side.

References
----------
Shortest paths by a pass on and a pass back: common practice of dynamic programming, Bellman 1957
as in ``ways``.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from harmonykit.theory.leading.ways import FOREVER, Costs, Place, Ways

_FIRST_MORE, _GROWS = 32, 4


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
        width = costs.shape[1]
        found = np.full((self._size, width), FOREVER)
        summed = costs[self._sources] + self._prices
        found[self._goals] = np.minimum.reduceat(summed, self._starts, axis=0)
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

    def on(self, costs: Costs) -> Costs:
        """Return the least that it costs to come to each place: (states, choices here)."""
        found = self.steps.on(costs).take(self.told.on, axis=1)
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


@dataclass(frozen=True)
class Laid:
    """Layers of choices in order, each after those from which it can be reached.

    Parameters
    ----------
    own : list of array (choices,)
        What each choice costs by itself.
    before : list of list of (int, Changes)
        For each layer those from which it can be reached; none for a first layer.
    ends : list of int
        The layers where a way may end; none of them is gone on from.
    starts, stops : tuple of int
        What it costs to begin and to end in each state.
    """

    own: list[Costs]
    before: list[list[tuple[int, Changes]]]
    ends: list[int]
    starts: tuple[int, ...] = (0,)
    stops: tuple[int, ...] = (0,)

    @property
    def firsts(self) -> list[int]:
        """The layers where a way may begin."""
        return [layer for layer, before in enumerate(self.before) if not before]

    @cached_property
    def groups(self) -> list[list[tuple[Changes, list[int]]]]:
        """Return for each layer the changes to it, and from which layers they come."""
        found = []
        for before in self.before:
            alike: dict[int, tuple[Changes, list[int]]] = {}
            for parent, changes in before:
                alike.setdefault(id(changes), (changes, []))[1].append(parent)
            found.append(list(alike.values()))
        return found


class Passes:
    """The ways through layers, at the prices of one search.

    Parameters
    ----------
    laid : Laid
    dear : sequence of int
        What each layer costs beside, whatever is chosen in it.
    progress : callable, optional
        Told the number of layers that are done and of all; what it raises ends the search.

    Examples
    --------
    >>> changes = Changes(np.array([[9, 9], [5, 2]]))
    >>> laid = Laid([np.array([0, 1]), np.array([0, 0])], [[], [(0, changes)]], [1])
    >>> Passes(laid, [0, 0]).best()
    [(3, [(0, 1), (1, 1)])]
    """

    def __init__(
        self,
        laid: Laid,
        dear: Sequence[int],
        progress: Callable[[int, int], None] | None = None,
    ) -> None:
        self.laid, self._groups, self._progress = laid, laid.groups, progress
        self._states = len(laid.starts)
        self._own = [own + more if more else own for own, more in zip(laid.own, dear, strict=True)]
        for ends, prices in ((laid.firsts, laid.starts), (laid.ends, laid.stops)):
            for end in ends:
                self._own[end] = self._own[end] + np.array(prices, dtype=np.int64)[:, None]
        self._reached = self._on()

    def best(self) -> list[tuple[int, list[Place]]]:
        """Return the cheapest way and what it costs, of equals the first; nothing if none is."""
        found = [(int(np.min(self._reached[end], initial=FOREVER)), end) for end in self.laid.ends]
        cost, layer = min(found, key=lambda each: each[0], default=(int(FOREVER), 0))
        if cost >= FOREVER:
            return []
        place = int(np.argmin(self._reached[layer].T))
        way = [(layer, place)]
        while self.laid.before[layer]:
            layer, place = self._came(layer, place)
            way.append((layer, place))
        return [(cost, way[::-1])]

    def kinds(self, k: int, told: Callable[[int, int], Hashable]) -> list[tuple[int, list[Place]]]:
        """Return the k cheapest ways of different classes.

        Parameters
        ----------
        k : int
        told : callable
            Says by what a place, given its layer and its number there, is told from others.
        """
        best = self.best()
        if k == 1 or not best:
            return best
        least = best[0][0]
        through = [a + b for a, b in zip(self._reached, self._back(), strict=True)]
        most = max((int(np.max(each[each < FOREVER], initial=0)) for each in through), default=0)
        more = _FIRST_MORE
        while True:
            found = self._within(k, told, through, least + more)
            enough = len(found) == k and found[-1][0] <= least + more
            if enough or least + more >= most:
                return found
            more *= _GROWS

    def _on(self) -> list[Costs]:
        """Return what it costs to reach each place, itself counted: (states, choices)."""
        reached: list[Costs] = []
        for own, groups in zip(self._own, self._groups, strict=True):
            least = None
            for changes, parents in groups:
                first, *others = parents
                costs = reached[first]
                for other in others:
                    costs = np.minimum(costs, reached[other])
                here = changes.on(costs)
                least = here if least is None else np.minimum(least, here)
            reached.append(np.minimum(own if least is None else least + own, FOREVER))
            if self._progress is not None:
                self._progress(len(reached), len(self._own))
        return reached

    def _back(self) -> list[Costs]:
        """Return what it costs to go on from each place to an end, itself not counted."""
        on = [np.full(reached.shape, FOREVER) for reached in self._reached]
        for end in self.laid.ends:
            on[end][:] = 0
        for layer in reversed(range(len(on))):
            costs = np.minimum(on[layer] + self._own[layer], FOREVER)
            for changes, parents in self._groups[layer]:
                here = changes.back(costs)
                for parent in parents:
                    np.minimum(on[parent], here, out=on[parent])
        return on

    def _came(self, layer: int, place: int) -> Place:
        """Return the place from which another is reached most cheaply, of equals the first."""
        node, state = divmod(place, self._states)
        costs = [
            (self._reached[parent] + changes.into(state, node), parent)
            for parent, changes in self.laid.before[layer]
        ]
        steps, parent = min(costs, key=lambda each: int(np.min(each[0], initial=FOREVER)))
        return parent, int(np.argmin(steps.T))

    def _within(
        self, k: int, told: Callable[[int, int], Hashable], through: list[Costs], limit: int
    ) -> list[tuple[int, list[Place]]]:
        """Return the k cheapest ways of different classes through places within a limit."""
        ways, places, numbers = Ways(k), list[tuple[int, NDArray[np.intp]]](), dict[int, int]()
        for layer, costs in enumerate(through):
            here = np.flatnonzero(costs.T <= limit)
            if not len(here):
                continue
            before = [
                (numbers[parent], changes.between(places[numbers[parent]][1], here))
                for parent, changes in self.laid.before[layer]
                if parent in numbers
            ]
            words = [told(layer, place) for place in here.tolist()]
            own = np.broadcast_to(self._own[layer], costs.shape).T.reshape(-1)[here]
            numbers[layer] = ways.add(own, before, words)
            places.append((layer, here))
        ends = [numbers[end] for end in self.laid.ends if end in numbers]
        return [
            (cost, [(places[number][0], int(places[number][1][node])) for number, node in way])
            for cost, way in ways.best(ends)
        ]
