"""What a user sees who opens the workbook for the first time: before and without running a cell.

The server is the command's own, on a copy that it made; the screen is a small one.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import nbformat
import pytest
from lab_in_browser import CUT_OFF, SCREENS, every_cell_on_the_page, opened_by_command
from playwright.sync_api import Browser, Page, expect
from waiting import until

from harmonykit.paths import notebooks_dir

NOTEBOOKS = sorted(notebooks_dir().glob("*.ipynb"))
SVG, HTML = "image/svg+xml", "text/html"
# The notebook in front, of all that are open.
FRONT = ".jp-NotebookPanel:not(.lm-mod-hidden)"
LOADED = "(all) => all.every((one) => one.complete && one.naturalWidth > 50)"


@pytest.fixture(scope="module")
def page(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """A tab on the first page of a workbook that the command has just made."""
    top = tmp_path_factory.mktemp("opening")
    every_cell_on_the_page(top)
    with opened_by_command(top) as address:
        page = browser.new_context(viewport=SCREENS[0]).new_page()
        with page.expect_response(re.compile("/lab/api/settings")):
            page.goto(address)
        expect(page.locator(".jp-DirListing-item")).not_to_have_count(0)
        yield page
        page.context.close()


def figures(path: Path) -> list[str]:
    """The words that stand for each stored figure, from the file itself."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    found = [output.get("data", {}) for cell in cells for output in cell.get("outputs", [])]
    return ["".join(data["text/plain"]) for data in found if SVG in data and HTML not in data]


def open_notebook(page: Page, path: Path) -> None:
    """Open a notebook from the list of files; it is then the one in front."""
    page.locator(".jp-DirListing-item", has_text=path.name).dblclick()
    title = nbformat.read(path, 4).cells[0].source.splitlines()[0].lstrip("# ")
    expect(page.locator(f"{FRONT} h1").first).to_contain_text(title)


def test_nothing_is_asked_about_news(page: Page) -> None:
    """The question would have come with the settings, and stay until it is answered."""
    expect(page.locator(f"{FRONT} h1").first).to_be_visible()
    expect(page.locator("#jp-main-statusbar")).to_contain_text("| Idle")
    expect(page.locator(".Toastify__toast")).to_have_count(0)


# Two pages with widgets, the map of keys and the first; all are opened among the long tests.
OPENED = ("00_", "05_", "08_", "10_")


@pytest.mark.parametrize(
    "path",
    [
        path if path.name.startswith(OPENED) else pytest.param(path, marks=pytest.mark.long)
        for path in NOTEBOOKS
    ],
    ids=lambda path: path.stem,
)
def test_every_stored_figure_is_seen_whole(page: Page, path: Path) -> None:
    words = figures(path)
    assert words
    open_notebook(page, path)
    pictures = page.locator(f"{FRONT} .jp-RenderedSVG > img")
    expect(pictures).to_have_count(len(words))
    until(lambda: pictures.evaluate_all(LOADED), "all pictures are loaded")
    # In a notebook that is not trusted, these words stand where the figure should.
    outputs = page.locator(f"{FRONT} .jp-OutputArea-output[data-mime-type='text/plain']")
    said = {text.strip() for text in outputs.all_inner_texts()}
    assert not said & {each.strip() for each in words}
    seen = page.locator(f"{FRONT} .jp-Notebook").inner_text()
    assert "undefined" not in seen and "untrusted" not in seen
    for screen in SCREENS:
        page.set_viewport_size(screen)
        assert page.evaluate(CUT_OFF, ".jp-RenderedSVG > img") == []
    page.set_viewport_size(SCREENS[0])
