"""The network: the k best against networkx on middling tunes, and what shares what."""

from __future__ import annotations

from itertools import islice

import pytest
from networkx_arrangements import classes, graph_of
from small_tunes import tune_of

from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.arrange.space import search_space
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune

UKULELE = Instrument.named("ukulele")


@pytest.mark.parametrize("style", ["usual", "walking"])
@pytest.mark.parametrize(
    ("changes", "meter", "max_fret"),
    [
        ("| Gm6 | Bb7 | Eb6 | D7 | Cm6 | F7 | Eb6 D7 | Gm6 |", "4/4", 4),
        ("| Gm | Gm | F7 | F7 | Bb | Bb | D7 | Gm |", "3/4", 5),
        ("| C6 | N.C. | Gm6 | A7 | Dm7 | G7/F | C/E | Bb6 E7 | Am |", "4/4", 4),
    ],
)
def test_the_k_best_cost_what_shortest_paths_cost(
    changes: str, meter: str, max_fret: int, style: str
) -> None:
    """The style of walks asks for phrases that turn, and so the graph has more states."""
    moves = MOVES if style == "usual" else USUAL
    wishes = Wishes(limits=Limits(max_fret), style=style)
    network = search_space(tune_of(changes, meter=meter), UKULELE, moves, wishes).network
    ways = network.cheapest(6)
    assert [cost for cost, _ in ways] == list(islice(classes(network, graph_of(network)), 6))
    assert [network.price_of(way) for _, way in ways] == [cost for cost, _ in ways]


def test_the_best_of_a_shipped_tune_with_all_moves() -> None:
    tune = read_tune(find_data("tunes", "slack_water_waltz"))
    network = search_space(tune, UKULELE, MOVES).network
    (best,) = network.cheapest(1)
    assert best[0] == next(classes(network, graph_of(network)))


def test_variants_that_begin_alike_share_their_first_layer() -> None:
    """In C6 before D minor six variants begin with two quarters of C6."""
    network = search_space(tune_of("| C6 | Dm7 |"), UKULELE, MOVES).network
    parts = [
        (str(la.part.chord), la.part.onset, la.part.beats, la.chained) for la in network.layers
    ]
    firsts = [part for part in parts if part[:3] == ("C6", 0, 2) and not part[3]]
    assert len(firsts) == 1


def test_layers_come_after_their_parents() -> None:
    network = search_space(tune_of("| Gm6 | Bb7 | Eb6 |"), UKULELE, MOVES).network
    for place, layer in enumerate(network.layers):
        assert layer.index == place
        assert all(parent.index < place for parent in layer.parents)
