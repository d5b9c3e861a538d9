"""The cheapest row of shapes, against trying all rows."""

from __future__ import annotations

from itertools import pairwise, product

import pytest

from harmonykit.arrange.costs import Shapes, Weights, change_costs, travelling_hand
from harmonykit.arrange.row import cheapest_row
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.voicing import find_voicings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")
HAND = Limits()


@pytest.mark.parametrize("names", ["C6 Bdim7 C6", "G7 C7", "F6", "Am7 D7 G7"])
def test_the_row_is_the_cheapest_of_all(names: str) -> None:
    prices = Weights()
    rows = [find_voicings(Chord.parse(name), UKULELE, max_fret=5) for name in names.split()]
    priced = [Shapes(row, prices, travelling_hand(HAND, UKULELE)) for row in rows]
    costs = [
        sum(int(shapes.own[n]) for shapes, n in zip(priced, nodes, strict=True))
        + sum(
            int(change_costs(a, b, prices)[m, n])
            for (a, m), (b, n) in pairwise(zip(priced, nodes, strict=True))
        )
        for nodes in product(*(range(len(row)) for row in rows))
    ]
    chosen, cost = cheapest_row(rows, UKULELE, HAND, prices)
    assert cost == min(costs) and all(v in row for v, row in zip(chosen, rows, strict=True))


def test_nothing_is_counted_across_a_silence() -> None:
    row = find_voicings(Chord.parse("C6"), UKULELE, max_fret=5)
    (_, alone), (chosen, cost) = (
        cheapest_row(rows, UKULELE, HAND, Weights()) for rows in ([row], [row, (), row])
    )
    assert chosen[1] is None and cost == 2 * alone
