"""A page with the signs of the sheet: followed each time through, and printed in whole bars."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from page_in_browser import LEAD, Opened, opened
from playwright.sync_api import Browser, expect

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.html import write_page

# Every bar has words of its own in both verses; four bars a row, seven rows, and two endings.
SUNG = 26
TUNE = f"""format = 1
title = "Fathoms"
key = "C"
meter = "4/4"
tempo = 240
[[sections]]
name = "A"
changes = "|: {" | ".join(["C", "F"] * (SUNG // 2))} | [1 G7 | C :| [2 F | C |"
melody = "| {" | ".join(["G4:4"] * (SUNG + 4))} |"
words = [
    "{"".join(f"| one{n} " for n in range(SUNG + 2))}| . | . |",
    "{"".join(f"| two{n} " for n in range(SUNG))}| . | . | late | end |",
]
"""
LESSON = """+++
format = 2
title = "Fathoms"
tune = "fathoms.toml"
instrument = "ukulele"
chord = "Bdim7"
paper = "{paper}"
[[levels]]
tempo = 240
+++

## Twice

{{{{ chart(1) }}}}
"""
BAR = 1.0


def page_of(folder: Path, paper: str) -> Path:
    (folder / "fathoms.toml").write_text(TUNE, "utf-8")
    file = folder / f"{paper}.md"
    file.write_text(LESSON.format(paper=paper), "utf-8")
    page = file.with_suffix(".html")
    page.write_text(write_page(load_lesson(file)), "utf-8")
    return page


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("signs")


@pytest.fixture
def tab(browser: Browser, folder: Path) -> Iterator[Opened]:
    tab = opened(browser, page_of(folder, "a4"))
    yield tab
    tab.healthy()
    tab.leave()


def test_the_second_time_through_lights_the_same_bars_and_is_said(tab: Opened) -> None:
    bars = tab.page.locator(".bar")
    assert bars.count() == SUNG + 4
    expect(tab.page.get_by_role("img", name="repeat from here")).to_be_attached()
    expect(tab.page.get_by_role("img", name="repeat to here")).to_be_attached()
    tab.stand_still()
    # From the last bar of the first time: the bars of the second time are those of the first, and
    # its own ending comes at the end.
    tab.page.locator(".from").nth(SUNG + 1).click()
    lit, said, sung = [], [], []
    for _ in range(SUNG + 3):
        seen = tab.walk(LEAD + 0.1 if not lit else BAR)
        while not seen[-1].bars:
            seen = tab.walk(BAR)
        lit.append(seen[-1].bars[0])
        said.append(tab.page.locator(".now p").first.text_content())
        sung.append(tab.page.locator(".sung i.sounds").text_content())
    assert lit == [SUNG + 1, *range(SUNG), SUNG + 2, SUNG + 3]
    assert said == ["now", *["now, second time"] * SUNG, "now", "now"]
    assert sung[:3] == [f"one{SUNG + 1}", "two0", "two1"] and sung[-2:] == ["late", "end"]
    tab.page.keyboard.press("Escape")


def test_a_loop_over_the_repeat_marks_the_bars_that_it_plays(tab: Opened) -> None:
    choice = tab.page.get_by_label("Loop", exact=True)
    choice.select_option("own")
    tab.page.get_by_label("from bar", exact=True).select_option(index=SUNG + 1)
    tab.page.get_by_label("to", exact=True).select_option(index=SUNG + 3)
    expect(tab.page.locator("select.last option:checked")).to_have_text("2, second time")
    looped = "(all) => all.map((b, n) => (b.classList.contains('looped') ? n : -1))"
    found = tab.page.locator(".bar").evaluate_all(looped)
    assert [n for n in found if n >= 0] == [0, 1, SUNG + 1]
    expect(tab.page.locator(".first-looped .from")).to_have_text(str(SUNG + 2))
    expect(tab.page.locator(".last-looped .from")).to_have_text("2")


@pytest.mark.parametrize("paper, points", [("a4", (595, 842)), ("letter", (612, 792))])
def test_it_prints_whole_bars_on_its_paper(
    browser: Browser, folder: Path, paper: str, points: tuple[int, int]
) -> None:
    """ISO 216 and ANSI Y14.1: 210 by 297 mm, and 8.5 by 11 inches; a point is 1/72 inch."""
    tab = opened(browser, page_of(folder, paper))
    tab.page.emulate_media(media="print")
    pdf = pypdf.PdfReader(BytesIO(tab.page.pdf(prefer_css_page_size=True)))
    sizes = {(round(p.mediabox.width), round(p.mediabox.height)) for p in pdf.pages}
    assert sizes == {points} and len(pdf.pages) > 1
    words = [set(page.extract_text().split()) for page in pdf.pages]
    for n in range(SUNG):
        (here,) = [number for number, each in enumerate(words) if f"one{n}" in each]
        assert f"two{n}" in words[here] and str(n + 1) in words[here]
    said = " ".join(page.extract_text() for page in pdf.pages)
    assert not {"Practise", "Speed", "percussion"} & set(said.split())
    tab.leave()
