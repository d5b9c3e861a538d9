"""The search of arrangements against its goals: one run, ratios of processor time, one table.

Against 0.1.0: the same 32 bars with everything allowed, in processes of each version by turns; the
least of several rounds counts, once every shape is known and once from the start.  Against
networkx: the ten best, and one shortest path, on the very graph that is searched.  By length: ten
times the bars.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import replace
from itertools import islice
from pathlib import Path

import networkx as nx
import pytest
from measured import measured, repeated
from networkx_arrangements import GOAL, START, classes, graph_of

from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.arrange.places import alternatives
from harmonykit.arrange.revising import revise
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.space import search_space
from harmonykit.arrange.wishes import Demands
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune

BARS, LONGER, ROUNDS = 32, 10, 3
TUNE = "heron_landing"
MOST_OF_BEFORE, FASTER, GROWTH, PLACE_MS = 1.8, 20, 10, 80
CODE = """
import time
from dataclasses import replace
import harmonykit as hk
from harmonykit.arrange.moves import MOVES
from harmonykit.paths import find_data
tune = getattr(hk, "read_tune", None) or hk.Tune.read
tune, neck = tune(find_data("tunes", {tune!r})), hk.Instrument.named({name!r})
for n in range(3):
    tune = replace(tune, tempo=tune.tempo + n)
    begun = time.process_time()
    hk.reharmonise(tune, neck, tuple(MOVES), {k})
    print(time.process_time() - begun)
"""


def landing() -> Tune:
    tune = read_tune(find_data("tunes", TUNE))
    assert len(tune.playing) == BARS
    return tune


def times_of(version: Path, name: str, k: int) -> tuple[float, float]:
    """Return the processor time of a first search in a new process, and of the best after it."""
    code = CODE.format(tune=TUNE, name=name, k=k)
    where = {**os.environ, "PYTHONPATH": str(version), "PYTHONSAFEPATH": "1"}
    done = subprocess.run(
        [sys.executable, "-c", code], env=where, check=True, capture_output=True, text=True
    )
    first, *others = map(float, done.stdout.split())
    return first, min(others)


def seconds(tune: Tune, instrument: Instrument, moves: tuple[str, ...], k: int) -> float:
    """Return the least processor time of a search, its shapes known already.

    Each round is at a tempo of its own, so that all moves are asked anew.
    """
    spans = []
    for more in range(1, 4):
        tune = replace(tune, tempo=tune.tempo + more)
        begun = time.process_time()
        reharmonise(tune, instrument, moves, k=k)
        spans.append(time.process_time() - begun)
    return min(spans)


@pytest.mark.parametrize("k", [1, 5])
@pytest.mark.parametrize("name", ["ukulele", "guitar"])
def test_against_0_1_0(root: Path, released: Path, name: str, k: int) -> None:
    versions = released, root
    rounds = repeated(lambda: [t for each in versions for t in times_of(each, name, k)], ROUNDS)
    *before, now, known = map(min, zip(*rounds, strict=True))
    rows = [
        measured(f"32 bars, {name}, k = {k}, {kind}", a, beside=("0.1.0", b), most=MOST_OF_BEFORE)
        for kind, a, b in zip(("first", "shapes known"), (now, known), before, strict=True)
    ]
    assert rows[1].met


@pytest.mark.parametrize("moves", [USUAL, tuple(MOVES)], ids=["usual", "all"])
@pytest.mark.parametrize("k", [1, 10])
@pytest.mark.parametrize("name", ["ukulele", "guitar"])
def test_by_length(name: str, k: int, moves: tuple[str, ...]) -> None:
    tune, neck = landing(), Instrument.named(name)
    reharmonise(tune, neck, moves, k=k)
    short = seconds(tune, neck, moves, k)
    long = seconds(replace(tune, order=tune.order * LONGER), neck, moves, k)
    said = f"{LONGER * BARS} bars, {name}, {len(moves)} moves, k = {k}"
    row = measured(said, long, beside=(f"{BARS} bars", short), most=GROWTH)
    assert row.figure <= 1.1 * GROWTH


@pytest.mark.parametrize(("parts", "moves"), [(1, tuple(MOVES)), (2, USUAL)], ids=["8", "16"])
def test_the_ten_best_against_networkx(parts: int, moves: tuple[str, ...]) -> None:
    """Ours is the whole search, moves and network too; networkx has its graph ready made."""
    tune, neck = landing(), Instrument.named("ukulele")
    order = tune.order[:parts]
    sections = tuple(each for each in tune.sections if each.name in order)
    tune = replace(tune, sections=sections, order=order)
    reharmonise(tune, neck, moves, k=10)
    ours = seconds(tune, neck, moves, 10)
    network = search_space(tune, neck, moves).network
    graph = graph_of(network)
    begun = time.process_time()
    costs = [*islice(classes(network, graph), 10)]
    theirs = time.process_time() - begun
    assert costs == [cost for cost, _ in network.cheapest(10)]
    said = f"the ten best, {8 * parts} bars, {len(moves)} moves"
    assert measured(said, ours, beside=("networkx", theirs), least=FASTER).met


@pytest.mark.parametrize(
    ("name", "bars", "moves"), [("ukulele", 32, tuple(MOVES)), ("guitar", 8, USUAL)]
)
def test_one_path_against_networkx(name: str, bars: int, moves: tuple[str, ...]) -> None:
    """The same layers for both, from what changes cost to the cheapest way; and that alone."""
    tune, neck = landing(), Instrument.named(name)
    tune = replace(tune, order=tune.order[: bars // 8])
    tune = replace(tune, sections=tuple(s for s in tune.sections if s.name in tune.order))
    search_space(tune, neck, moves).network.cheapest(1)
    network = search_space(tune, neck, moves).network
    spans = []
    for _ in range(2):
        network._passes = None  # What was gone through already would not be gone through again.
        begun = time.process_time()
        cost = network.cheapest(1)[0][0]
        spans.append(time.process_time() - begun)
    begun = time.process_time()
    graph = graph_of(network)
    made = time.process_time()
    found = nx.shortest_path_length(graph, START, GOAL, weight="weight")
    done = time.process_time()
    assert found == cost
    size = f"{name}, {bars} bars, {graph.number_of_edges()} edges"
    laid, alone = ("networkx", done - begun), ("networkx", done - made)
    rows = [
        measured(f"{size}: laid out and found", spans[0], beside=laid, least=FASTER),
        measured(f"{size}: found alone", spans[1], beside=alone, least=1),
    ]
    assert all(row.met for row in rows)


@pytest.mark.parametrize("name", ["ukulele", "guitar"])
def test_a_place_is_found_anew_at_once(name: str) -> None:
    """A chord refused, two bars on each side; and all that could stand there; processor time."""
    (way,) = reharmonise(landing(), Instrument.named(name), tuple(MOVES), 1)
    rows = []
    for what in ("refused", "alternatives"):
        spans = []
        for step in [step for step in way.added if step.chord != step.written]:
            begun = time.process_time()
            if what == "refused":
                demands = replace(
                    way.asked.demands or Demands(), refused=((step.onset, step.chord),)
                )
                revise(way, demands)
            else:
                alternatives(way, step.bar + 1)
            spans.append((time.process_time() - begun) * 1e3)
        slow = sorted(spans)[int(0.95 * len(spans))]
        rows.append(measured(f"a chord {what} on {name}, 95 %", slow, "ms", most=PLACE_MS))
    assert all(row.met for row in rows)
