"""One shape of each of several in a row, so that all of them and the changes cost the least."""

from __future__ import annotations

import numpy as np

from harmonykit.arrange.costs import Shapes, Weights, change_costs, travelling_hand
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument


def cheapest_row(
    rows: list[tuple[Voicing, ...]], instrument: Instrument, limits: Limits, weights: Weights
) -> tuple[list[Voicing | None], int]:
    """Return one shape of each row so that all of them and the changes cost the least; the cost.

    Nothing is counted across a silence, which is an empty row.
    """
    hand = travelling_hand(limits, instrument)
    total = 0
    chosen: list[Voicing | None] = [None] * len(rows)
    group: list[int] = []
    for place in [*range(len(rows)), len(rows)]:
        if place < len(rows) and rows[place]:
            group.append(place)
            continue
        shapes = [Shapes(rows[n], weights, hand) for n in group]
        nodes, cost = _best_row(shapes, weights)
        total += cost
        for at, node in zip(group, nodes, strict=True):
            chosen[at] = rows[at][node]
        group = []
    return chosen, total


def _best_row(row: list[Shapes], weights: Weights) -> tuple[list[int], int]:
    if not row:
        return [], 0
    cost, origins = row[0].own, []
    for before, after in zip(row, row[1:], strict=False):
        totals = cost[:, None] + change_costs(before, after, weights)
        origins.append(totals.argmin(axis=0))
        cost = totals.min(axis=0) + after.own
    nodes = [int(np.argmin(cost))]
    for origin in reversed(origins):
        nodes.append(int(origin[nodes[-1]]))
    return nodes[::-1], int(cost.min())
