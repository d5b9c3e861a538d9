"""Cues: pages of 16:9 with the loop of each level, and a page that fills a screen and follows."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest
from page_in_browser import opened
from playwright.sync_api import Browser, expect
from sheets import placed

from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.cues import cues_of, gather_cues, write_wall
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.together.rescue import hard_changes


@pytest.fixture(scope="module")
def lesson() -> Lesson:
    return load_lesson("stiff_dominant")


def test_a_level_s_cue_is_the_loop_of_its_hardest_change(lesson: Lesson) -> None:
    pages = pypdf.PdfReader(io.BytesIO(gather_cues(lesson).pdf())).pages
    for page, cue in zip(pages, cues_of(lesson).values(), strict=True):
        text = page.extract_text()
        assert f"Cue {cue.number}" in text
        if cue.level is None:
            continue
        played = lesson.played[cue.level]
        (hard,) = hard_changes(played.arrangement, played.level.tempo, 1)
        assert all(name in text for name in hard.names)
        assert f"and {hard.bar}, {played.level.tempo:g} beats a minute" in text
        assert played.level.name in text


def test_no_stroke_crosses_a_chord(lesson: Lesson) -> None:
    """A name ends before the next count begins: there a stroke stands."""
    checked = 0
    for page in pypdf.PdfReader(io.BytesIO(gather_cues(lesson).pdf())).pages:
        runs = placed(page)
        counts = sorted((x, y) for text, x, y, size, *_ in runs if size > 40 and text.isdigit())
        names = [r for r in runs if r[3] > 20 and r[4].endswith("SemiBold") and 300 < r[2] < 440]
        for text, x, _, size, *_ in names if counts else []:
            after = [place for place, _ in counts if place > x + 2]
            wide = text_width(text, size, SEMIBOLD) * 72 / 25.4
            if len(text) > 1 and after and x > 40:
                assert x + wide <= after[0] + 1, text
                checked += 1
    assert checked > 5


def test_what_stands_left_of_a_box_keeps_behind_the_bar_line() -> None:
    """Shapes up the neck have the number of their fret, those with open strings none."""
    lesson = load_lesson("scale_of_chords")
    mm = 72 / 25.4
    numbered = 0
    for page in pypdf.PdfReader(io.BytesIO(gather_cues(lesson).pdf())).pages:
        runs = placed(page)
        if not any(size > 40 and text.isdigit() for text, _, _, size, *_ in runs):
            continue
        # Two bars of 142 mm each; the dots of the repeat end 3.4 mm behind the first line.
        for text, x, y, size, name, *_ in runs:
            if text.isdigit() and 10 < size < 40 and 190 < y < 330:
                behind = [x - line for line in (21.4 * mm, 160 * mm) if x > line - 5 * mm]
                assert behind and behind[-1] > mm, text
                numbered += name.endswith("Regular")
    assert numbered == 2


def test_the_page_fills_the_screen_and_shows_what_sounds_browser(
    browser: Browser, lesson: Lesson, tmp_path: Path
) -> None:
    path = tmp_path / "cues.html"
    path.write_text(write_wall(lesson), encoding="utf-8")
    tab = opened(browser, path)
    level = tab.page.locator(".level").nth(1)
    small = level.locator(".now .box").bounding_box()
    level.locator(".fill").click()
    expect(level.locator(".fill")).to_have_text("Back to the page")
    large = level.locator(".now .box").bounding_box()
    assert small is None and large is not None and large["height"] > 200
    level.locator(".play").click()
    expect(level.locator(".cell.sounds")).to_have_count(1)
    expect(level.locator(".now .chord")).not_to_be_empty()
    level.locator(".fill").click()
    expect(level.locator(".fill")).to_have_text("Fill the screen")
    tab.healthy()
    tab.leave()


SEEN = """() => {
  const level = document.fullscreenElement;
  const bar = level.querySelector(".bar.sounds").getBoundingClientRect();
  const player = level.querySelector(".player").getBoundingClientRect();
  const shown = [...level.querySelectorAll("*")].filter((each) => each.checkVisibility() &&
    [...each.childNodes].some((node) => node.nodeType === 3 && node.data.trim()));
  const zoom = (each) => (each ? getComputedStyle(each).zoom * zoom(each.parentElement) : 1);
  const sizes = shown.map((each) => parseFloat(getComputedStyle(each).fontSize) * zoom(each));
  return [bar.top - player.bottom, innerHeight - bar.bottom, level.querySelectorAll(".bar").length,
    Math.min(...sizes), level.scrollWidth - level.clientWidth];
}"""


@pytest.mark.parametrize("width, height", [(1280, 720), (1920, 1080), (768, 800)])
def test_on_a_full_screen_the_bar_that_sounds_is_whole_beside_the_large_chords_browser(
    browser: Browser, lesson: Lesson, tmp_path: Path, width: int, height: int
) -> None:
    path = tmp_path / "cues.html"
    path.write_text(write_wall(lesson), encoding="utf-8")
    tab = opened(browser, path)
    tab.page.set_viewport_size({"width": width, "height": height})
    tab.page.emulate_media(reduced_motion="reduce")
    tab.stand_still()
    level = tab.page.locator(".level").nth(2)
    level.locator(".fill").click()
    expect(level.locator(".fill")).to_have_text("Back to the page")
    level.locator(".play").click()
    # The count-in, then a bar at a time.
    bar = 4 * 60 / lesson.played[2].level.tempo
    tab.walk(bar + 1)
    for _ in range(12):
        above, below, bars, least, beyond = tab.page.evaluate(SEEN)
        # 24 pixels are a quarter of an inch: read at arm's length (from memory).
        assert bars == 12 and least >= 24 and beyond == 0
        assert above >= 0 and below >= 0
        tab.walk(bar)
    large = level.locator(".now .box").bounding_box()
    assert large is not None and large["height"] > 200
    tab.healthy()
    tab.leave()
