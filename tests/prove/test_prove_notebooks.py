"""Hostile titles of tunes, lessons and sets in live notebooks: shown, and nothing of them run."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from hostile import HOSTILE, OLD, written
from lab_in_browser import Lab, open_notebook, running, write_notebook
from playwright.sync_api import Browser
from proving import Tell, many

ROOT = Path(__file__).resolve().parents[2]
IMPORT = (
    "import harmonykit as hk\nfrom harmonykit.workbook import *\n"
    "from harmonykit.practice.themes import theme_of"
)
PANELS = {
    "reharmonise": 'ReharmonisePanel("{here}/tune.toml", keep=None)',
    "writing": 'WritingPanel(lesson="{here}/hostile.md", kept="{here}/kept.json")',
    "ideas": 'IdeasPanel("Cdim7", "ukulele", "{here}/tune.toml")',
    "exercises": 'ExercisePanel(theme=theme_of("{here}/hostile.md"), folder=None)',
    "hearing": 'HearingPanel("{here}/hostile.md")',
    "changes": 'ChangesPanel("{here}/hostile.md", folder=None)',
    "a set": 'SetPanel(open("{here}/set.json", encoding="utf-8").read(), None)',
    "a tune as a value": 'hk.read_tune("{here}/tune.toml")',
}


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    with running(tmp_path_factory.mktemp("lab"), ROOT) as lab:
        yield lab


@pytest.mark.parametrize("panel", PANELS)
def test_hostile_titles_in_a_notebook(panel: str, lab: Lab, browser: Browser, tell: Tell) -> None:
    folder = lab.new_folder(panel.replace(" ", "-"))
    texts = list(HOSTILE.values())[: many(len(HOSTILE))]
    cells = []
    for number, text in enumerate(texts):
        here = folder / f"{number}"
        here.mkdir()
        written(here, text)
        exercises = json.loads((OLD / "set.json").read_text(encoding="utf-8"))
        exercises["title"] = text
        (here / "set.json").write_text(json.dumps(exercises), encoding="utf-8")
        call = PANELS[panel].format(here=f"{number}")
        # A text that is refused is refused in a message, which is shown in the page too.
        cells.append(f"try:\n    display({call})\nexcept Exception as error:\n    print(error)")
    name = f"{folder.name}/hostile.ipynb"
    write_notebook(lab.folder / name, IMPORT, *cells, "print('ready')")
    bench = open_notebook(browser, lab, name)
    asked: list[str] = []
    bench.page.on("dialog", lambda dialog: asked.append(dialog.message))
    outputs = bench.page.locator(".jp-OutputArea-output")
    outputs.first.wait_for()
    for place in range(outputs.count()):
        outputs.nth(place).scroll_into_view_if_needed()
    assert bench.page.evaluate("window.taken") is None and not asked
    said = " ".join(outputs.all_inner_texts())
    bench.page.context.close()
    assert "Traceback" not in said
    shown = sum(text.split()[0] in said for text in texts)
    tell(
        f"hostile in a notebook: {panel}",
        f"{len(texts)} titles",
        "real",
        f"nothing run; {shown} seen",
    )
