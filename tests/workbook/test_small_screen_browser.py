"""Every panel on a small screen, with JupyterLab's list of files open: nothing of it is cut off."""

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


@pytest.fixture(scope="module")
def bench(browser: Browser, lab: Lab) -> Iterator[Bench]:
    write_notebook(lab.folder / "small.ipynb", *CELLS)
    bench = open_notebook(browser, lab, "small.ipynb")
    page = bench.page
    expect(page.locator(f":is({ROOT})")).to_have_count(len(PANELS))
    expect(page.locator(".hk-reharmonise tr[data-press]").first).to_be_visible()
    yield bench
    page.context.close()


@pytest.mark.parametrize("number", range(len(SCREENS)))
def test_no_panel_is_cut_off(bench: Bench, number: int) -> None:
    page = bench.page
    page.set_viewport_size(SCREENS[number])
    expect(page.locator(".jp-FileBrowser")).to_be_visible()
    assert page.evaluate(CUT_OFF, PARTS) == []
