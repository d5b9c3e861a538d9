"""The keyboard: the nearest part in a direction, one stop of the Tab key, keys that press."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page

Load = Callable[[str], Page]
SCRIPT = "kit/keys.js"
WAYS = {"ArrowRight": (1, 0), "ArrowLeft": (-1, 0), "ArrowDown": (0, 1), "ArrowUp": (0, -1)}
PLACED = """
(places) => {
  document.body.replaceChildren(...places.map(([x, y]) => {
    const one = document.createElement("i");
    one.style.cssText = `position:absolute;width:10px;height:10px;left:${x}px;top:${y}px`;
    return one;
  }));
  const all = [...document.body.children];
  return all.map((from) => Object.keys(kit.WAYS).map(
    (key) => all.indexOf(kit.neighbour(from, all, kit.WAYS[key]))));
}
"""


def nearest(places: list[tuple[int, int]], start: int, way: tuple[int, int]) -> int:
    """Return the nearest place in a direction by trying all: what lies aside counts twice."""
    best, least = -1, float("inf")
    for other, (x, y) in enumerate(places):
        dx, dy = x - places[start][0], y - places[start][1]
        along, aside = dx * way[0] + dy * way[1], abs(dx * way[1]) + abs(dy * way[0])
        if other != start and along > 1 and along + 2 * aside < least:
            best, least = other, along + 2 * aside
    return best


def test_arrows_go_round_a_cross(load: Load) -> None:
    """Up, right, down and left of a middle, as a person would go; nothing lies beyond the ends."""
    middle, up, right, down, left = (100, 100), (100, 50), (150, 100), (100, 150), (50, 100)
    found = load(SCRIPT).evaluate(PLACED, [middle, up, right, down, left])
    assert found[0] == [2, 4, 3, 1]
    assert found[2][0] == -1 and found[2][1] == 0
    assert found[1][3] == -1 and found[1][2] == 0


@pytest.mark.parametrize("seed", range(4))
def test_arrows_find_the_nearest_of_many(load: Load, seed: int) -> None:
    draw = random.Random(seed)
    places = [(10 * draw.randrange(60), 10 * draw.randrange(60)) for _ in range(25)]
    found = load(SCRIPT).evaluate(PLACED, places)
    wanted = [[nearest(places, n, way) for way in WAYS.values()] for n in range(len(places))]
    assert found == wanted


def test_a_part_may_say_itself_where_it_is(load: Load) -> None:
    found = load(SCRIPT).evaluate(
        "() => { const all = [0, 1, 2].map(() => document.createElement('i'));"
        " const where = (one) => [[0, 0], [9, 0], [5, 0]][all.indexOf(one)];"
        " return all.indexOf(kit.neighbour(all[0], all, kit.WAYS.ArrowRight, where)); }"
    )
    assert found == 2


def test_the_tab_key_stops_once(load: Load) -> None:
    stops = (
        "(n) => { const all = [0, 1, 2].map(() => document.createElement('i'));"
        " kit.oneStop(all, all[n]); return all.map((one) => one.tabIndex); }"
    )
    page = load(SCRIPT)
    assert page.evaluate(stops, 1) == [-1, 0, -1]
    assert page.evaluate(stops, 9) == [-1, -1, -1]


@pytest.mark.parametrize(
    ("key", "wanted"),
    [
        ("Enter", ["press", True]),
        (" ", ["press", True]),
        ("ArrowLeft", [[-1, 0], True]),
        ("ArrowUp", [[0, -1], True]),
        ("x", [None, False]),
        ("Tab", [None, False]),
    ],
)
def test_a_key_presses_goes_on_or_is_left_to_others(load: Load, key: str, wanted: Any) -> None:
    found = load(SCRIPT).evaluate(
        "(key) => { let done = null; const event = new KeyboardEvent('keydown', { key, cancelable: true });"  # noqa: E501
        " kit.pressOrGo(event, () => (done = 'press'), (way) => (done = way));"
        " return [done, event.defaultPrevented]; }",
        key,
    )
    assert found == wanted
