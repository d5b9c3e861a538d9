"""A tune as written with one shape for each chord: against every choice of shapes, and a player's.

The tunes are invented.
"""

from __future__ import annotations

from itertools import product

import pytest
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.offering import offers
from harmonykit.arrange.one_shape import one_shape_each
from harmonykit.arrange.part_prices import Choice
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.space import search_space
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.strings.instrument import Instrument

LOW = Limits(max_fret=7)


def shapes_of(way: Arrangement) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for step in way.sounding:
        if step.chord is not None and step.voicing is not None:
            found.setdefault(step.chord.symbol, set()).add(step.voicing.digits)
    return found


@pytest.mark.parametrize(
    ("tune", "instrument"),
    [("slack_water_waltz", "guitar"), ("lamp_for_the_late_boat", "ukulele")],
)
def test_plain_has_one_shape_a_chord(tune: str, instrument: str) -> None:
    """The search that looks at each place by itself has several for some."""
    (free,) = reharmonise(tune, instrument, (), 1)
    assert any(len(shapes) > 1 for shapes in shapes_of(free).values())
    (plain,) = offers(tune, instrument, ["plain"])
    found = shapes_of(plain.arrangement)
    assert all(len(shapes) == 1 for shapes in found.values()) and not plain.arrangement.added
    assert len(plain.arrangement.steps) == len(free.steps)
    assert plain.arrangement.cost >= free.cost


@pytest.mark.parametrize("text", ["| C | A7 | C | A7 | G |", "| F | Bb | Gm | Bb | F |"])
def test_no_choice_of_one_shape_a_chord_costs_much_less(text: str) -> None:
    """Brute force: each shape of each chord with each of the others, at the prices of the search.

    A chord that has another shape than the best choice costs a little more (at most 250, a
    semitone is 10), because a chord book begins with it.
    """
    tune, ukulele = tune_of(text), Instrument.named("ukulele")
    wishes = Wishes(limits=LOW)
    space = search_space(tune, ukulele, (), wishes)
    layers = space.network.layers
    rows = {layer.part.chord: layer.shapes.voicings for layer in layers if layer.shapes}
    priced = []
    for chosen in product(*rows.values()):
        shape = dict(zip(rows, chosen, strict=True))
        way = [Choice(layer.part, layer.slot, shape[layer.part.chord]) for layer in layers]
        cost = space.network.price_of(way)
        if cost is not None:
            priced.append((cost, shape))
    least, best = min(priced, key=lambda each: each[0])
    found = one_shape_each(tune, ukulele, wishes)
    assert found is not None and len(priced) > 20
    others = {s.chord for s in found.sounding if s.chord and s.voicing != best[s.chord]}
    assert all(len(shapes) == 1 for shapes in shapes_of(found).values())
    assert least <= found.cost <= least + 250 * len(others)


def test_the_shapes_are_those_that_a_player_keeps() -> None:
    """Open shapes, from memory; any chord book begins with them."""
    (plain,) = offers(tune_of("| C | A7 | Dm | G7 | C | A7 | Dm G7 | C |"), "guitar", ["plain"])
    assert shapes_of(plain.arrangement) == {
        "C": {"x-3-2-0-1-0"},
        "A7": {"x-0-2-0-2-0"},
        "Dm": {"x-x-0-2-3-1"},
        "G7": {"3-2-0-0-0-1"},
    }
