"""A rising tempo on the page: the same tempos as in Python, whatever was clean and what was not."""

from __future__ import annotations

import random
from collections.abc import Callable

from playwright.sync_api import Page

from harmonykit.practice.changes import next_tempo
from harmonykit.practice.rounds import FASTEST, SLOWEST, Round

Load = Callable[[str], Page]


def test_the_next_tempo_is_the_same_as_in_python(load: Load) -> None:
    draw = random.Random(4)
    rows: list[list[tuple[int, bool]]] = [[]]
    for _ in range(40):
        row: list[tuple[int, bool]] = []
        for _ in range(draw.randrange(1, 30)):
            tempo = draw.choice(
                [next_tempo([rounded(each) for each in row]), draw.randrange(30, 241)]
            )
            row.append((tempo, draw.random() < 0.7))
        rows.append(row)
    wanted = [next_tempo([rounded(each) for each in row]) for row in rows]
    assert min(wanted) >= SLOWEST and max(wanted) <= FASTEST and len(set(wanted)) > 12
    page = load("practice/tempo.js")
    given = [[[tempo, int(clean)] for tempo, clean in row] for row in rows]
    assert page.evaluate("(rows) => rows.map((row) => kit.nextTempo(row))", given) == wanted


def rounded(given: tuple[int, bool]) -> Round:
    return Round("2031-05-04", "ukulele", "0-0-0-0", "0-2-1-2", *given, 30)


def test_what_was_never_practised_is_next_then_what_lay_longest(load: Load) -> None:
    page = load("practice/tempo.js")
    found = page.evaluate(
        """() => {
          const at = (day, tempo, clean) =>
            kit.afterRound(kit.neverPractised(), { tempo, clean, day, ms: 90_000 });
          const rows = [at(9, 60, true), at(5, 80, true), undefined, at(5, 70, true)];
          const said = [at(9, 60, true), at(8, 60, false), at(3, 60, true), kit.neverPractised()];
          return [kit.changesInTurn(rows), said.map((each) => kit.standingOf(each, 9))];
        }"""
    )
    assert found == [
        [2, 3, 1, 0],
        [
            "Best clean tempo 60; last practised today; 2 minutes in all.",
            "Not clean yet; last practised yesterday; 2 minutes in all.",
            "Best clean tempo 60; last practised 6 days ago; 2 minutes in all.",
            "Not practised yet.",
        ],
    ]
