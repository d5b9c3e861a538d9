"""Every panel in one notebook: nothing of it is cut off, and keys pressed in it are its own.

The screens are small, with JupyterLab's list of files open; no x cuts a cell, and Enter begins a
line.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from lab_in_browser import CUT_OFF, SCREENS, Bench, Lab, open_notebook, write_notebook
from playwright.sync_api import Browser, expect

PANELS = (
    'ClockPanel("C7", axes=True)',
    'NeckPanel("C6")',
    'OneNotePanel("Adim7")',
    'ChordScalePanel("C", "major")',
    'DistancePanel("C6 Bdim7 G7 C Am7 F6 D7")',
    'CubePanel("Bdim7")',
    'CataloguePanel("4-27")',
    "TurnPanel(PcSet.of(0, 3, 6, 9))",
    'ExercisePanel("harbour", folder=None)',
    "ChangesPanel(folder=None)",
    'HearingPanel("stiff_dominant")',
    'ReadBox("02", None)',
    'ReharmonisePanel("slack_water_waltz")',
    "WritingPanel()",
    'IdeasPanel("C+")',
)
CELLS = (
    "from harmonykit import PcSet\n"
    "from harmonykit.workbook.practice.panel import ExercisePanel\n"
    "from harmonykit.workbook import *\n"
    "from harmonykit.workbook.panels.turn import TurnPanel",
    *PANELS,
    "print('ready')",
)
# The curve of an arrangement's top notes ends at the bar line of its row.
PARTS = (
    "svg:not(.line svg), svg text, svg [data-press], button, select, input, textarea, table, p, "
    "li, iframe"
)
ROOT = ".harmonykit-panel, .harmonykit-turn, .hk-reharmonise, .hk-writing"
# A panel of each kind, by its frame.
KINDS = {
    "small": ".harmonykit-panel:not(.hk-writing, .hk-ideas)",
    "reharmonise": ".hk-reharmonise",
    "writing": ".hk-writing",
    "ideas": ".hk-ideas",
}
# In a notebook: cut, a cell above, a cell below, delete, to Markdown.
COMMANDS = "xabddm"


@pytest.fixture(scope="module")
def bench(browser: Browser, lab: Lab) -> Iterator[Bench]:
    write_notebook(lab.folder / "small.ipynb", *CELLS)
    bench = open_notebook(browser, lab, "small.ipynb")
    page = bench.page
    expect(page.locator(f":is({ROOT})")).to_have_count(len(PANELS))
    expect(page.locator(".hk-reharmonise tr[data-press]").first).to_be_visible()
    yield bench
    bench.leave()


@pytest.mark.parametrize("number", range(len(SCREENS)))
def test_no_panel_is_cut_off(bench: Bench, number: int) -> None:
    page = bench.page
    page.set_viewport_size(SCREENS[number])
    expect(page.locator(".jp-FileBrowser")).to_be_visible()
    assert page.evaluate(CUT_OFF, PARTS) == []


@pytest.mark.parametrize("frame", KINDS.values(), ids=KINDS)
def test_the_notebook_takes_no_key_of_a_panel(bench: Bench, frame: str) -> None:
    panel, cells = bench.page.locator(frame).first, bench.page.locator(".jp-Cell")
    expect(cells).to_have_count(len(CELLS))
    for kind in ("button", "select", "[data-press][tabindex='0']"):
        control = panel.locator(f"{kind}:visible").first
        if panel.locator(f"{kind}:visible").count():
            control.focus()
            bench.page.keyboard.type(COMMANDS)
    # A command that was taken would have been carried out before this round trip ends.
    bench.page.evaluate("new Promise(requestAnimationFrame).then(() => true)")
    expect(cells).to_have_count(len(CELLS))
    expect(bench.page.locator(".jp-MarkdownCell")).to_have_count(0)


@pytest.mark.parametrize("frame", [".hk-reharmonise", ".hk-writing"])
def test_enter_begins_a_line_where_text_is_typed(bench: Bench, frame: str) -> None:
    text = bench.page.locator(frame).locator("textarea")
    text.focus()
    bench.page.keyboard.press("Control+End")
    before = text.input_value()
    bench.page.keyboard.type("one\ntwo")
    expect(text).to_have_value(f"{before}one\ntwo")
    bench.healthy()
