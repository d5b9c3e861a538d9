"""Following a chart: which step it is, what is marked, what is shown large."""

from __future__ import annotations

import bisect
import random
from collections.abc import Callable

from playwright.sync_api import Page

Load = Callable[[str], Page]
SCRIPT = "kit/step.js"


def test_the_last_that_is_not_after_a_time(load: Load) -> None:
    """Against Python's own search in sorted lists."""
    draw = random.Random(1)
    cases = []
    for _ in range(200):
        times = sorted(draw.choices(range(20), k=draw.randrange(9)))
        cases.append((times, draw.randrange(-2, 22)))
    found = load(SCRIPT).evaluate("(all) => all.map(([times, t]) => kit.lastAt(times, t))", cases)
    assert found == [bisect.bisect_right(times, time) - 1 for times, time in cases]


def test_a_mark_moves_and_may_be_nowhere(load: Load) -> None:
    marked = load(SCRIPT).evaluate(
        "() => { const all = [0, 1, 2].map(() => document.createElement('i')); const seen = [];"
        " for (const [old, now] of [[-1, 1], [1, 2], [2, -1]]) {"
        " kit.moveMark(all, old, now, 'on'); seen.push(all.map((one) => one.className)); }"
        " return seen; }"
    )
    assert marked == [["", "on", ""], ["", "", "on"], ["", "", ""]]


CELL = (
    '<p><b class="chord">F♯°7</b><svg class="hold"></svg></p>'
    '<svg class="box" viewBox="0 0 6 7"><use href="#shape-3"/></svg>'
)
LARGE = '<b class="chord"></b><svg><use/></svg>'


def test_a_chord_and_its_shape_are_shown_large(load: Load) -> None:
    page = load(SCRIPT)
    shown = page.evaluate(
        "([cell, large]) => { const make = (html) => { const d = document.createElement('div');"
        " d.innerHTML = html; return d; }; const place = make(large); const seen = [];"
        " for (const each of [make(cell), make('<b class=\"chord\">N.C.</b>'), null]) {"
        " kit.showShape(place, each); const svg = place.querySelector('svg');"
        " seen.push([place.textContent, svg.getAttribute('viewBox'),"
        " svg.firstElementChild.getAttribute('href'), svg.classList.contains('empty')]); }"
        " return seen; }",
        [CELL, LARGE],
    )
    shape = ["0 0 6 7", "#shape-3"]
    assert shown == [["F♯°7", *shape, False], ["N.C.", *shape, True], ["", *shape, True]]
