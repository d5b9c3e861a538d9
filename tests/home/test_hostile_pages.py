"""All that leaves the house as a page, with a text that does harm wherever a user's own may stand.

``tests/prove/test_prove_hostile.py`` takes the texts one by one, and those that are refused.
"""

from __future__ import annotations

from pathlib import Path

import click.testing
import pytest
from hostile import HOSTILE, written
from playwright.sync_api import Browser

from harmonykit import cli
from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import build_lesson, load_lesson

REFUSED = ("a direction", "nothing", "a bell", "little pictures")
LONG = ("a long word", "many words", "marks on marks")
ALL = " ".join(text for name, text in HOSTILE.items() if name not in (*REFUSED, *LONG))


def test_one_text_of_all_is_shown_in_every_page_and_nothing_of_it_runs(
    tmp_path: Path, browser: Browser
) -> None:
    out = build_lesson(written(tmp_path, ALL), tmp_path / "out")
    practice = tmp_path / "practice.html"
    asked = ["practice", "--lesson", str(tmp_path / "hostile.md"), "--questions", "10"]
    done = click.testing.CliRunner().invoke(cli.app, [*asked, "--out", str(practice)])
    assert done.exit_code == 0, done.output
    pages = [*sorted(out.rglob("*.html")), practice]
    assert {page.name for page in pages} >= {"page.html", "index.html", "practice.html"}
    tab, dialogs, faults = browser.new_page(viewport={"width": 360, "height": 740}), [], []
    tab.on("dialog", lambda dialog: (dialogs.append(dialog.message), dialog.dismiss()))
    tab.on("pageerror", lambda error: faults.append(str(error)))
    for page in pages:
        tab.goto(page.as_uri())
        head = tab.locator("h1").first
        head.wait_for()
        assert " ".join(ALL.split()) in " ".join(head.inner_text().split()), page.name
        assert tab.evaluate("document.documentElement.scrollWidth") <= 360, page.name
        assert tab.evaluate("window.taken") is None
    tab.close()
    assert not dialogs and not faults


@pytest.mark.parametrize("name", REFUSED)
def test_what_no_page_can_show_is_refused_in_a_line(name: str, tmp_path: Path) -> None:
    with pytest.raises(HarmonyError, match=r"control character|cannot be printed") as caught:
        load_lesson(written(tmp_path, HOSTILE[name]))
    assert all(line.isprintable() for line in str(caught.value).splitlines())
