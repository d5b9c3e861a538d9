"""The page of ideas in JupyterLab: by keyboard, heard, drafted, read by a screen reader."""

from __future__ import annotations

import re

from axe_playwright_python.sync_playwright import Axe
from lab_in_browser import Lab, open_notebook, write_notebook
from playwright.sync_api import Browser, expect

CELLS = (
    "from harmonykit.workbook import IdeasPanel",
    "panel = IdeasPanel('C+', tunes='slack_water_waltz')",
    "panel",
    "print('ready')",
)


def test_a_teacher_finds_hears_and_drafts_by_keyboard(browser: Browser, lab: Lab) -> None:
    folder = lab.new_folder("ideas")
    write_notebook(folder / "ideas.ipynb", *CELLS)
    bench = open_notebook(browser, lab, f"{folder.name}/ideas.ipynb")
    page, panel = bench.page, bench.page.locator(".hk-ideas")
    keys, items = page.keyboard, panel.locator(".hk-list button")
    expect(panel).to_have_attribute("role", "group")
    expect(items.filter(has_text="Six triads")).to_have_count(1)
    panel.locator("[data-control=source]").focus()
    keys.press("Control+a")
    keys.type("Bdim7")
    keys.press("Enter")
    expect(items.filter(has_text="lowered by a half step")).to_have_count(1)
    expect(panel.locator(".hk-facts")).to_contain_text("ideas about Bdim7")
    items.first.focus()
    keys.press("ArrowDown")
    expect(items.nth(1)).to_be_focused()
    keys.press("Enter")
    expect(items.nth(1)).to_have_attribute("aria-pressed", "true")
    expect(items.nth(1)).to_be_focused()
    expect(panel.locator("h4")).to_have_text(items.nth(1).locator("span").first.inner_text())
    panel.locator("[data-control=hear]").press("Enter")
    expect(panel).to_have_attribute("data-played", re.compile(r"\d"))
    panel.locator("[data-control=draft]").press("Enter")
    expect(panel.locator(".hk-written")).to_contain_text("WritingPanel(lesson=")
    drafts = sorted(path.suffix for path in folder.iterdir() if path.suffix in (".md", ".toml"))
    assert drafts == [".md", ".toml"]
    found = Axe().run(page, context=".hk-ideas")
    assert not found.response["violations"], found.generate_report()
    bench.healthy()
    bench.leave()
