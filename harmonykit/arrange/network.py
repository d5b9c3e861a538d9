"""All ways through a tune, and which of them are the k cheapest.

``layout`` says what may follow what; ``front`` finds those that are best in one measure or another.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence

import numpy as np

from harmonykit.arrange import shapes, slots
from harmonykit.arrange.changing import Changing
from harmonykit.arrange.layout import Layout
from harmonykit.arrange.moves import Part
from harmonykit.arrange.part_prices import Choice, Layer, PartPrices
from harmonykit.theory.leading.laid import Laid
from harmonykit.theory.leading.passes import Passes
from harmonykit.theory.leading.ways import FOREVER, Costs, Place

_NEAR = 3


class Network(Layout):
    """All ways through a tune, which can be found by what they cost.

    Parameters
    ----------
    book : ShapeBook
    prices : PartPrices
    changing : Changing, optional
        What changes cost, as another network of the same book of shapes found it.
    """

    def __init__(
        self, book: shapes.ShapeBook, prices: PartPrices, changing: Changing | None = None
    ) -> None:
        super().__init__(book, prices, changing)
        self._laid: Laid | None = None
        self._passes: Passes | None = None

    def cheapest(
        self,
        k: int,
        progress: Callable[[int, int], None] | None = None,
        apart: slots.Slot | None = None,
        only: Callable[[Part], bool] | None = None,
    ) -> list[tuple[int, list[Choice]]]:
        """Return the k cheapest ways with what they cost; of equals the first that was found.

        Two ways are one where their chords and sounding notes are the same at every moment.
        ``progress`` is told how many layers of how many are done; what it raises ends the search.
        Where a slot is to be looked at ``apart``, two ways are one where its chords are the same.
        ``only`` says which parts may be used; all where not given.
        """
        dear = [self._dear(layer.part) for layer in self.layers]
        if only is not None:
            pairs = zip(dear, self.layers, strict=True)
            dear = [cost if only(layer.part) else int(FOREVER) for cost, layer in pairs]

        heads = self._heads(apart) if k > 1 else []
        states = self.changing.ear.states

        def told(index: int, place: int) -> Hashable:
            if apart is None:
                return heads[index], self.layers[index].sounds[place // states]
            return heads[index]

        # At a place alone many ways have the same chords, and there may be few rows of them.
        near = 0 if apart is None else _NEAR * k
        k = k if apart is None else min(k, self._count_of_rows(heads))
        self._passes = Passes(self._laid_out(), dear, progress, self._passes)
        return [
            (cost, self.choices([(layer, node // states) for layer, node in places]))
            for cost, places in self._passes.kinds(k, told, near)
        ]

    def _heads(self, apart: slots.Slot | None) -> list[int]:
        """Return for each layer a number that tells its part from others, 0 beside a slot apart."""
        known: dict[Hashable, int] = {}
        begin, end = (None, None) if apart is None else (apart.onset, apart.end)
        found = []
        for part in (layer.part for layer in self.layers):
            if begin is None or end is None:
                head: Hashable = (part.onset, part.chord)
            elif begin <= part.onset < end:
                head = (part.onset, part.chord, part.beats)
            else:
                found.append(0)
                continue
            found.append(known.setdefault(head, len(known) + 1))
        return found

    def _count_of_rows(self, heads: Sequence[int]) -> int:
        """Return how many rows of heads there are at most, those of 0 left out."""
        known: dict[tuple[int, int], int] = {}
        found: list[set[int]] = []
        for layer in self.layers:
            rows = set().union(*(found[parent.index] for parent in layer.parents)) or {0}
            if head := heads[layer.index]:
                rows = {known.setdefault((row, head), len(known) + 1) for row in rows}
            found.append(rows)
        ends = (end.layer.index for end in self.ends if not end.needs_next)
        return max(1, len(set().union(*(found[end] for end in ends))))

    def _dear(self, part: Part) -> int:
        """Return what a use of a move costs beside its price."""
        return self.dear_at.get((part.move, part.onset), 0) if self.dear_at else 0

    def _laid_out(self) -> Laid:
        """Return the layers for a search, each shape with all that the ear may expect."""
        if self._laid is None or len(self._laid.own) != len(self.layers):
            heard, ear = self.changing.heard, self.changing.ear
            self._laid = Laid(
                [layer.own for layer in self.layers],
                [
                    [(one.index, heard(one, layer)) for one in layer.parents]
                    for layer in self.layers
                ],
                [end.layer.index for end in self.ends if not end.needs_next],
                ear.starts,
                ear.stops,
            )
        return self._laid

    def changed(self, parent: Layer, layer: Layer) -> Costs:
        """Return the costs of all changes from layer to layer, beside what the ear expects."""
        return self.changing.changed(parent, layer)

    def price_of(self, way: Sequence[Choice]) -> int | None:
        """Return what a way costs, or None where it is not among the network's."""
        known: dict[Part, list[Layer]] = defaultdict(list)
        for layer in self.layers:
            known[layer.part].append(layer)
        ear = self.changing.ear
        reached: dict[int, tuple[int, Costs]] = {}
        for number, choice in enumerate(way):
            found: dict[int, tuple[int, Costs]] = {}
            for layer in known[choice.part]:
                node = layer.node(choice.voicing)
                if node is None or bool(layer.parents) != bool(number):
                    continue
                before = [
                    self._onward(*reached[parent.index], parent, layer, node)
                    for parent in layer.parents
                    if parent.index in reached
                ]
                if before or not number:
                    costs = np.min(before, axis=0) if before else np.array(ear.starts)
                    found[layer.index] = node, costs + layer.own[node] + self._dear(layer.part)
            reached = found
        ends = {end.layer.index for end in self.ends if not end.needs_next}
        done = [costs + ear.stops for index, (_, costs) in reached.items() if index in ends]
        cost = int(np.min(done, initial=FOREVER)) if done else int(FOREVER)
        return cost if cost < FOREVER else None

    def _onward(self, node: int, costs: Costs, parent: Layer, layer: Layer, after: int) -> Costs:
        """Return what a shape costs in each state, from a shape of a parent."""
        heard = self.changing.heard(parent, layer)
        steps = heard.steps.prices[heard.letters[node, after]]
        least: Costs = (costs[:, None] + steps).min(axis=0) + heard.edges[node, after]
        return least

    def choices(self, places: Iterable[Place]) -> list[Choice]:
        """Return the parts and shapes of a way."""
        return [self.layers[layer].choice(node) for layer, node in places]
