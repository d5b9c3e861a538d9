"""The thin view: what is sent, and that nothing is asked of the network."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from harmonykit.workbook.base import view
from harmonykit.workbook.base.view import PanelView
from harmonykit.workbook.panels.clock import ClockPanel


def test_nothing_comes_from_the_network() -> None:
    """No address stands in script or style but data of our own."""
    script = str(PanelView._esm)
    style = str(PanelView._css)
    assert "http" not in script and "import(" not in script and "import " not in script
    assert {url[:9] for url in re.findall(r"url\(([^)]*)", style)} == {"data:font"}


def test_colours_are_variables_so_that_a_dark_notebook_is_readable() -> None:
    view = ClockPanel("C").view
    assert not re.findall("#[0-9a-f]{6}", view.scene)
    assert "data-jp-theme-light='false'" in str(PanelView._css)


def test_a_change_is_one_message() -> None:
    panel = ClockPanel("C")
    messages: list[object] = []
    panel.view.send_state = lambda key=None: messages.append(set(key))  # type: ignore[method-assign]
    panel.press("pc-10")
    assert messages == [{"shown", "controls"}]


@pytest.mark.parametrize("name", ["ideas.css", "writing.css"])
def test_what_a_page_says_of_a_line_holds_whatever_panel_comes_after_it(name: str) -> None:
    """Each panel brings the rules of all again: of two as strong, the later one would hold."""
    base = Path(view.__file__).parent
    rules = re.sub(r"\{[^{}]*\}", "\n", (base / name).read_text("utf-8")).splitlines()
    selectors = [each for rule in rules for each in re.split(r",(?![^(]*\))", rule)]
    told = [each for each in selectors if ".hk-text" in each]
    assert told and ".harmonykit-panel .hk-text {" in (base / "panel.css").read_text("utf-8")
    for each in told:
        outer, _, _ = each.partition(".hk-text")
        assert outer.count(".") >= 2, each


def test_what_a_cell_prints_is_broken_between_words(browser: Browser) -> None:
    """Beside JupyterLab's own rule (4.x), which breaks at any letter; a long word is broken too."""
    theirs = ".jp-OutputArea-output pre{white-space:pre-wrap;word-break:break-all;font:20px serif}"
    page = browser.new_page()
    page.set_content(
        f"<style>{PanelView._css}</style><style>{theirs}</style><div class=jp-OutputArea-output "
        "style='width:100px'><pre>one two <b>Pareto</b> <i>Paretoparetoparetopareto</i></pre></div>"
    )
    lines = "(each) => each.getClientRects().length"
    assert page.eval_on_selector("b", lines) == 1 and page.eval_on_selector("i", lines) > 1
    page.close()
