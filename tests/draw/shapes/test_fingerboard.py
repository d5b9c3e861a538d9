"""The neck drawn once: every place can show every mark, and a class decides."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from harmonykit.draw.base.roles import ROLES
from harmonykit.draw.base.style import Drawing
from harmonykit.draw.shapes.board import Board
from harmonykit.draw.shapes.fingerboard import describe_states, draw_fingerboard, join_path
from harmonykit.draw.shapes.states import PlaceState, neck_states
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

SVG = "{http://www.w3.org/2000/svg}"
UKULELE, BANJO = Instrument.named("ukulele"), Instrument.named("five-string banjo")
BOARD = Board(UKULELE)
C6 = Chord.parse("C6")


def groups(drawing: Drawing) -> dict[str, ET.Element]:
    found = ET.fromstring(drawing.svg).iter(SVG + "g")
    return {e.attrib["id"]: e for e in found if "place" in e.attrib.get("class", "")}


def test_every_place_is_there_and_bears_its_state() -> None:
    states = neck_states(UKULELE, C6)
    places = groups(draw_fingerboard(BOARD, states))
    assert set(places) == set(states)
    for gid, state in states.items():
        assert places[gid].attrib["class"] == f"place role-{state.role}"
        assert (places[gid].findtext(SVG + "text") or "") == state.letters


def test_every_place_can_show_every_mark_and_be_clicked() -> None:
    for gid, place in groups(draw_fingerboard(BOARD)).items():
        marks = {e.attrib["href"] for e in place.iter(SVG + "use")}
        if gid.endswith("muted"):
            assert marks == {"#mark-muted"}
        else:
            assert marks == {f"#mark-{role}" for role in ROLES}
            area = place.find(SVG + "rect")
            assert area is not None and area.attrib["pointer-events"] == "all"


def test_ids_are_unique_and_what_points_to_them_finds_them() -> None:
    svg = draw_fingerboard(BOARD, neck_states(UKULELE, C6)).for_page("one-")
    ids = re.findall(r' id="([^"]*)"', svg)
    assert len(ids) == len(set(ids)) and all(gid.startswith("one-") for gid in ids)
    assert set(re.findall(r'href="#([^"]*)"', svg)) <= set(ids)
    assert {"one-line-4", "one-wire-12", "one-join"} < set(ids)


def test_the_picture_with_other_states_is_the_same_but_for_them() -> None:
    shape = Voicing.parse("2433", UKULELE)
    one = draw_fingerboard(BOARD, neck_states(UKULELE, C6))
    two = draw_fingerboard(BOARD, neck_states(UKULELE, shape, chord=C6))
    lines = [
        [line for line in drawing.svg.splitlines() if 'class="place' not in line]
        for drawing in (one, two)
    ]
    differ = [a for a, b in zip(*lines, strict=True) if a != b]
    # Both say in words what they show, in the label and in the description.
    assert [line.partition(" ")[0][:6] for line in differ] == ["<svg", "<desc>"]


def test_the_join_runs_through_the_marks() -> None:
    shape = Voicing.parse("2433", UKULELE)
    numbers = [float(n) * 25.4 / 72 for n in re.findall(r"[\d.]+", join_path(BOARD, shape))]
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    wanted = [(BOARD.x(fret), BOARD.y(string)) for string, fret in enumerate((2, 4, 3, 3))]
    for point, place in zip(points, wanted, strict=True):
        assert point == pytest.approx(place, abs=0.01)
    assert join_path(BOARD, shape) in draw_fingerboard(BOARD, join=shape).svg


def test_the_neck_says_what_it_shows() -> None:
    states = {
        "string-1-fret-0": PlaceState("fifth", "G"),
        "string-1-fret-5": PlaceState("root", "C"),
        "string-2-muted": PlaceState("muted"),
        "string-4-fret-1": PlaceState("note", "B♭"),
    }
    assert describe_states(BOARD, states) == (
        "The neck of the ukulele, tuned g C E A. g string: open G, fifth; fifth fret C, root. "
        "C string: not played. A string: first fret B flat"
    )
    empty = draw_fingerboard(Board(UKULELE, left_handed=True))
    assert empty.alt.endswith("drawn for the left hand. No note is shown")
    assert f"<desc>{empty.alt}</desc>" in empty.svg


def test_a_place_that_the_board_lacks_is_refused() -> None:
    for gid in ("string-1-fret-13", "string-5-fret-1", "line-1"):
        with pytest.raises(HarmonyError, match=f"{gid} is no place"):
            draw_fingerboard(BOARD, {gid: PlaceState("note")})
    with pytest.raises(HarmonyError, match="string-1-fret-3 is no place"):
        draw_fingerboard(Board(BANJO), {"string-1-fret-3": PlaceState("note")})


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    page = browser.new_page()
    yield page
    page.close()


def seen(page: Page, gid: str) -> list[str]:
    """Return the marks and the letters that a place shows."""
    return list(
        page.evaluate(
            """gid => [...document.getElementById(gid).children]
              .filter(e => getComputedStyle(e).display != 'none' && e.tagName != 'rect')
              .map(e => e.tagName == 'use' ? e.getAttribute('href') : e.textContent)""",
            gid,
        )
    )


def test_in_a_browser_a_class_changes_the_mark(page: Page) -> None:
    large = draw_fingerboard(Board(UKULELE, size="large")).svg
    page.set_content(draw_fingerboard(BOARD, neck_states(UKULELE, C6)).svg + large)
    gid = "string-4-fret-3"
    assert seen(page, gid) == ["#mark-root", "C"]
    for role in (*ROLES, "hidden"):
        page.evaluate(
            "([gid, name]) => document.getElementById(gid).setAttribute('class', name)",
            [gid, f"place role-{role}"],
        )
        letters = [] if role == "passing" else ["C"]
        assert seen(page, gid) == ([] if role == "hidden" else [f"#mark-{role}", *letters])
    # Another neck on the page, of another size, leaves this one's letters alone.
    size = "e => getComputedStyle(document.querySelector(e)).fontSize"
    kinds = {"plain": "8px", "large": "13px"}
    for kind, wanted in kinds.items():
        assert page.evaluate(size, f".fingerboard-{kind}-colour .place text") == wanted


def test_in_a_browser_an_empty_place_is_met_by_a_click(page: Page) -> None:
    page.set_content(draw_fingerboard(BOARD).svg)
    box = page.locator("#string-3-fret-6 rect").bounding_box()
    assert box is not None
    met = page.evaluate(
        "([x, y]) => document.elementFromPoint(x, y).closest('.place').id",
        [box["x"] + box["width"] / 2, box["y"] + box["height"] / 2],
    )
    assert met == "string-3-fret-6"
