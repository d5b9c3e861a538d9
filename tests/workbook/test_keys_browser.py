"""Keys pressed in a panel are the panel's: no x cuts a cell, and Enter begins a line."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from lab_in_browser import Bench, Lab, open_notebook, write_notebook
from playwright.sync_api import Browser, expect

# Each panel, with the class of its frame.
PANELS = {
    "ClockPanel('C7')": ".harmonykit-panel:not(.hk-writing, .hk-ideas)",
    "ReharmonisePanel()": ".hk-reharmonise",
    "WritingPanel()": ".hk-writing",
    "IdeasPanel()": ".hk-ideas",
}
# In a notebook: cut, a cell above, a cell below, delete, to Markdown.
COMMANDS = "xabddm"


@pytest.fixture(scope="module")
def bench(browser: Browser, lab: Lab) -> Iterator[Bench]:
    folder = lab.new_folder("keys")
    cells = ("from harmonykit.workbook import *", *PANELS, "print('ready')")
    write_notebook(folder / "keys.ipynb", *cells)
    bench = open_notebook(browser, lab, f"{folder.name}/keys.ipynb")
    yield bench
    bench.page.context.close()


@pytest.mark.parametrize("frame", PANELS.values(), ids=PANELS)
def test_the_notebook_takes_no_key_of_a_panel(bench: Bench, frame: str) -> None:
    panel, cells = bench.page.locator(frame).first, bench.page.locator(".jp-Cell")
    expect(cells).to_have_count(len(PANELS) + 2)
    for kind in ("button", "select", "[data-press][tabindex='0']"):
        control = panel.locator(f"{kind}:visible").first
        if panel.locator(f"{kind}:visible").count():
            control.focus()
            bench.page.keyboard.type(COMMANDS)
    # A command that was taken would have been carried out before this round trip ends.
    bench.page.evaluate("new Promise(requestAnimationFrame).then(() => true)")
    expect(cells).to_have_count(len(PANELS) + 2)
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
