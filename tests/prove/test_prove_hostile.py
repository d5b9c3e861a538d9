"""What comes from outside is shown as it was typed, and nothing of it is ever run."""

from __future__ import annotations

import random
from pathlib import Path

import click.testing
import pytest
from hostile import HOSTILE, written
from playwright.sync_api import Browser
from proving import Tell, many

from harmonykit import cli
from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import build_lesson
from harmonykit.workbook.writing.reader import LessonReader


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_title(name: str, tmp_path: Path, browser: Browser, tell: Tell) -> None:
    text = HOSTILE[name]
    path = written(tmp_path, text)
    look = LessonReader().work_out(path, path.read_text(encoding="utf-8"))
    try:
        out = build_lesson(path, tmp_path / "out")
    except HarmonyError as error:
        assert look.fault is not None or str(error)
        tell(f"hostile: {name}", "1 lesson", "real", f"refused: {error}".splitlines()[0][:80])
        return
    runner = click.testing.CliRunner()
    page = tmp_path / "practice.html"
    given = ["practice", "--lesson", str(path), "--questions", "10", "--out", str(page)]
    result = runner.invoke(cli.app, given)
    assert result.exit_code == 0, result.output
    context = browser.new_context(java_script_enabled=True)
    opened = []
    for file in (*sorted(out.rglob("*.html")), page):
        tab = context.new_page()
        asked: list[str] = []
        tab.on("dialog", lambda dialog, asked=asked: asked.append(dialog.message))
        tab.goto(file.as_uri())
        tab.locator("h1").first.wait_for()
        assert tab.evaluate("window.taken") is None and not asked
        if file.name in ("page.html", "practice.html"):
            assert text in tab.locator("h1").first.inner_text().replace("\u00a0", " ")
        opened.append(file.name)
        tab.close()
    context.close()
    tell(f"hostile: {name}", f"{len(opened)} pages", "real", "shown as typed, nothing run")


def test_codes_from_outside(tmp_path: Path, browser: Browser, tell: Tell) -> None:
    """Codes that were changed, cut or made up: refused by name, and a table shows no markup."""
    chance, runner = random.Random(8), click.testing.CliRunner()
    signs = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789-"
    count = many(2_000)
    codes = ["".join(chance.choices(signs, k=chance.randrange(1, 60))) for _ in range(count)]
    codes += list(HOSTILE.values())
    (tmp_path / "codes.txt").write_text("\n".join(codes), encoding="utf-8")
    out = tmp_path / "class.html"
    result = runner.invoke(cli.app, ["results", str(tmp_path / "codes.txt"), "--out", str(out)])
    assert result.exit_code in (0, 2) and not isinstance(result.exception, AssertionError)
    assert result.exception is None or isinstance(result.exception, SystemExit)
    if out.exists():
        tab = browser.new_page()
        tab.goto(out.as_uri())
        assert tab.evaluate("window.taken") is None
        tab.close()
    tell("codes made up", f"{len(codes):,}", "real", result.output.strip().splitlines()[-1][:80])
