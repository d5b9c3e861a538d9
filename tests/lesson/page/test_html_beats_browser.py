"""The beats of a chart in a real browser: no stroke of a beat reads as that of a slash chord."""

from __future__ import annotations

from pathlib import Path

import pytest
from page_in_browser import opened
from playwright.sync_api import Browser

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.html import write_page
from harmonykit.paths import find_data

# From the end of each chord's letters to the stroke of the next beat, in CSS pixels.
GAPS = """
[...document.querySelectorAll(".beats i")].flatMap((stroke) => {
  const chord = stroke.previousElementSibling?.querySelector(".chord");
  if (!chord) return [];
  const ink = (element) => {
    const range = document.createRange();
    range.selectNodeContents(element);
    return range.getBoundingClientRect();
  };
  return [ink(stroke).left - ink(chord).right];
})
"""


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "page.html"
    lesson = load_lesson(find_data("lessons", "scale_of_chords"))
    path.write_text(write_page(lesson), encoding="utf-8")
    return path


def test_a_beat_never_reads_as_a_bass(browser: Browser, file: Path) -> None:
    """``Em7/`` would be a slash chord: the stroke of the next beat keeps its distance."""
    tab = opened(browser, file, 360)
    for width in (360, 430, 480, 620, 768):
        tab.page.set_viewport_size({"width": width, "height": 900})
        gaps = tab.page.evaluate(GAPS)
        # Three levels of A, B and C, eight bars each, with a chord that has a beat after it.
        assert len(gaps) >= 72 and min(gaps) >= 3, width
    tab.leave()
