"""The first screen without a kernel: it moves in silence, is held, and sounds when pressed."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from harmonykit.workbook.base.view import StartView
from harmonykit.workbook.essay.panel import StartPanel, sounds, ways

Load = Callable[[str], Page]
BEGIN = """
(values) => {
  const el = document.createElement("div");
  document.body.append(el);
  window.model = new Model(values);
  window.end = kit.view.render({ model, el });
}
"""


@pytest.fixture
def start(load: Load) -> Page:
    page = load("essay/start.js")
    page.set_viewport_size({"width": 1010, "height": 700})
    page.clock.install()
    page.add_style_tag(content=StartView._css)
    page.evaluate(BEGIN, {"start": json.loads(json.dumps(StartPanel().view.start))})
    return page


def test_it_moves_in_silence_until_it_is_held(start: Page) -> None:
    root = start.locator(".hk-start")
    seen = [root.get_attribute("data-stop")]
    for _ in range(3):
        start.clock.run_for(1500)
        seen.append(root.get_attribute("data-stop"))
    assert seen == ["0", "1", "2", "0"]
    start.get_by_role("button", name="Hold still").click()
    # Time goes by of itself, too: on a slow machine it may have moved before it was pressed.
    held = root.get_attribute("data-stop")
    start.clock.run_for(6000)
    assert root.get_attribute("data-stop") == held
    assert start.evaluate("model.sent") == []
    start.get_by_role("button", name="Let it move").click()
    start.clock.run_for(1500)
    assert root.get_attribute("data-stop") != held


def test_each_dominant_is_heard_where_it_is_chosen_or_its_note_is_pressed(start: Page) -> None:
    start.get_by_role("button", name="F7 to B♭").click()
    expect(start.locator(".hk-stops li")).to_have_text(["A°7", "F7", "B♭"])
    # C falls to B: the chord is B7.
    start.locator("[data-part=pc-0]").click()
    expect(start.locator(".hk-way[aria-current]")).to_have_text("B7 to E")
    assert start.evaluate("model.sent") == [{"hear": 1}, {"hear": 3}]
    start.locator("[data-part=pc-2]").click()
    expect(start.locator(".hk-said")).to_have_text("Press a note of A°7: it falls by a semitone.")


def test_it_can_be_read_by_all_and_the_first_screen_holds_it(start: Page) -> None:
    found = Axe().run(start, context=".hk-start").response["violations"]
    assert [each["id"] for each in found if each["impact"] in ("serious", "critical")] == []
    assert start.locator(".hk-start").evaluate("(one) => one.offsetHeight") < 560
    words = start.locator(".hk-start p, .hk-road").all_inner_texts()
    assert sum(len(text.split()) for text in words) <= 60


def test_the_shapes_are_those_chords_and_one_finger_falls_by_one_fret() -> None:
    """By arithmetic: a dominant is 0, 4, 7 and 10 over its root, and resolves a fifth down."""
    roots = set()
    for (first, dominant, goal), heard in zip(ways(), sounds(), strict=True):
        frets = [each.now.shape.frets for each in (first, dominant) if each.now.shape]
        moves = [a - b for a, b in zip(*frets, strict=True) if a is not None and b is not None]
        assert sorted(moves) == [0, 0, 0, 1]
        root = next(
            each % 12
            for each in heard[1]
            if {(other - each) % 12 for other in heard[1]} == {0, 4, 7, 10}
        )
        assert {(other - root - 5) % 12 for other in heard[2]} == {0, 4, 7}
        assert goal.now.chord.root.pitch_class == (root + 5) % 12
        roots.add(root)
    assert roots == {2, 5, 8, 11}
