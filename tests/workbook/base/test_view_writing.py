"""The thin view of the page where a lesson is written: nothing from the network, one message."""

from __future__ import annotations

import re

from harmonykit.workbook.base.view import WritingView

SCRIPT, STYLE = str(WritingView._esm), str(WritingView._css)


def test_nothing_comes_from_the_network() -> None:
    addresses = set(re.findall(r"https?:[^\"' ]*", SCRIPT))
    assert addresses == {"http://www.w3.org/2000/svg"}
    assert "import(" not in SCRIPT and "import " not in SCRIPT
    assert {url[:9] for url in re.findall(r"url\(([^)]*)", STYLE)} == {"data:font"}


def test_words_reach_the_page_as_text_alone() -> None:
    """Only the preview's own frame, in which nothing runs, is given HTML."""
    frame = 'sandbox: "allow-same-origin"'
    assert frame in SCRIPT and "allow-scripts" not in SCRIPT
    assert set(re.findall(r"(\w+(?:\.\w+)*)\.innerHTML", SCRIPT)) == {"part", "page.script"}


def test_what_changes_is_one_message() -> None:
    view = WritingView()
    messages: list[object] = []
    view.send_state = lambda key=None: messages.append(set(key))  # type: ignore[method-assign]
    view.show(said={"facts": "x"}, verdicts=[], sides={"total": "y"})
    assert messages == [{"said", "sides"}]
