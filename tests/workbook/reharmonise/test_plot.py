"""The scatter: every way can be pressed, and what is shown is told by more than colour."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from harmonykit.draw.tree import Path
from harmonykit.score.typed import open_file
from harmonykit.workbook.reharmonise.plot import describe, draw_ways, live_ways
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Ways, find_best, find_front

SVG = "{http://www.w3.org/2000/svg}"


def quiet(done: int, total: int) -> None:
    pass


@pytest.fixture(scope="module")
def ways() -> Ways:
    state = ReharmoniseState(text=open_file("heron_landing")[1], best=3)
    return find_front(find_best(state, quiet), quiet)


def pressed(svg: str) -> dict[str, str]:
    """Return the name for the ear of each part that can be pressed."""
    parts = ElementTree.fromstring(svg).iter(f"{SVG}g")
    return {p.get("data-press", ""): p.get("aria-label", "") for p in parts if p.get("role")}


def test_every_way_can_be_pressed_and_has_a_name_with_its_numbers(ways: Ways) -> None:
    svg = live_ways(ways, ways.state)
    found = pressed(svg)
    assert set(found) == {f"row-{row.id}" for row in ways.rows}
    for row in ways.rows:
        assert found[f"row-{row.id}"].startswith(f"{row.name}: {row.values[0]} semitone")
    assert "#" not in svg and " id=" not in svg


def test_more_travel_is_higher_and_more_movement_further_right(ways: Ways) -> None:
    sheet = draw_ways(ways, ways.state).sheet
    places = {row.id: sheet.find(f"row-{row.id}").box.middle for row in ways.rows}
    dots = [row for row in ways.rows if not row.is_told]
    assert len(dots) > 1
    for one in dots:
        for other in dots:
            if one.values[0] < other.values[0]:
                assert places[one.id][0] < places[other.id][0]
            if one.values[1] < other.values[1]:
                assert places[one.id][1] > places[other.id][1]


def test_what_is_shown_has_a_ring_and_what_stands_beside_it_a_dashed_one(ways: Ways) -> None:
    state = replace(ways.state, chosen="best-2", beside="written")
    sheet = draw_ways(ways, state).sheet
    for name, dashed in (("best-2", False), ("written", True)):
        (ring,) = sheet.all(Path, "ring", within=f"row-{name}")
        assert bool(ring.dash) is dashed
    assert len(sheet.all(Path, "ring")) == 2
    svg = live_ways(ways, state)
    assert re.findall(r'data-press="([^"]+)"[^>]*aria-pressed="true"', svg) == ["row-best-2"]


def test_the_still_picture_says_what_it_shows_and_has_nothing_to_press(ways: Ways) -> None:
    still = draw_ways(ways, ways.state)
    ElementTree.fromstring(still.svg)
    assert "data-press" not in still.svg and "row-best-1" in still.sheet.ids
    assert still.alt == describe(ways) and still.alt.startswith(f"{len(ways.rows)} arrangements")
    written = still.sheet.texts
    for row in ways.rows:
        assert not row.is_told or all(str(value) in written for value in row.values)
    assert still.svg == draw_ways(ways, ways.state).svg
