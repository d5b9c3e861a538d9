"""What axe finds in the page of each lesson that ships: nothing serious, at any width.

axe-core, Deque Systems: rules for WCAG 2.0 to 2.2 at levels A and AA, and good practice.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from page_in_browser import Opened, opened
from playwright.sync_api import Browser

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.html import contents_page, write_page

LESSONS = ("stiff_dominant", "four_dominants", "scale_of_chords")


def faults(tab: Opened) -> list[tuple[str, str, str]]:
    """Return what axe finds but for what it calls minor: the rule, how bad, and where."""
    response = Axe().run(tab.page).response
    assert len(response["passes"]) > 10  # it has looked
    return [
        (fault["id"], fault["impact"], fault["nodes"][0]["html"])
        for fault in response["violations"]
        if fault["impact"] != "minor"
    ]


Written = Callable[[str], Path]


@pytest.fixture(scope="module")
def written(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Written:
    folder = tmp_path_factory.mktemp("pages")

    @cache
    def page(name: str) -> Path:
        path = folder / f"{name}.html"
        lesson = load_lesson(root / "data" / "lessons" / f"{name}.md")
        path.write_text(write_page(lesson), encoding="utf-8")
        return path

    return page


SIGHTS = [
    (LESSONS[0], 360, "light"),
    pytest.param(LESSONS[0], 1440, "dark", marks=pytest.mark.long),
    pytest.param(LESSONS[1], 768, "light", marks=pytest.mark.long),
    (LESSONS[2], 1440, "dark"),
]


@pytest.mark.parametrize(("name", "width", "scheme"), SIGHTS)
def test_axe_finds_no_fault(
    browser: Browser, written: Written, name: str, width: int, scheme: str
) -> None:
    tab = opened(browser, written(name), width, scheme)
    assert faults(tab) == []
    assert tab.page.evaluate("document.documentElement.scrollWidth") <= width
    tab.healthy()
    tab.leave()


def test_axe_finds_no_fault_while_a_loop_is_played(browser: Browser, written: Written) -> None:
    tab = opened(browser, written("scale_of_chords"), 360, "dark")
    level = tab.page.locator(".level").first
    level.locator("select.loop").select_option("0-7")
    level.get_by_role("button", name="Play from bar 1", exact=True).click()
    level.locator(".bar.sounds").wait_for()
    assert faults(tab) == []
    assert tab.page.evaluate("document.documentElement.scrollWidth") <= 360
    tab.page.keyboard.press("Escape")
    tab.healthy()
    tab.leave()


def test_axe_finds_no_fault_in_a_courses_contents(
    browser: Browser, tmp_path: Path, write_lesson: Callable[[Path], Path]
) -> None:
    path = tmp_path / "contents.html"
    rows = [("one/page.html", "One shape", "Its four dominants", "about 20 minutes")]
    path.write_text(contents_page("A course", "Three weeks", rows, "book.pdf"), encoding="utf-8")
    tab = opened(browser, path, 360)
    assert faults(tab) == []
    tab.healthy()
    tab.leave()
