"""The thin view: what is sent, and that nothing is asked of the network."""

from __future__ import annotations

import re

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
