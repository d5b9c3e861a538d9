"""The notebooks as they stand: run, short, true, readable, and naming what exists."""

from __future__ import annotations

import ast
import builtins
import os
import re
import runpy
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from operator import attrgetter
from pathlib import Path
from types import ModuleType
from typing import Any

import nbformat
import pytest
from axe_playwright_python.sync_playwright import Axe
from nbconvert import HTMLExporter
from playwright.sync_api import Browser

import harmonykit as hk
from harmonykit.workbook.essay.text import read_essay

ROOT = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
TEMPLATES = ROOT / "shared" / "templates"
PACKAGE = Path(hk.__file__).parent
MOST_LINES = 7
ESSAYS = (
    "00_start_here",
    "01_diminished_symmetry",
    "02_four_parents",
    "03_sixth_diminished_scale",
    "04_voice_leading_distances",
    "05_reharmonise_a_tune",
    "06_write_the_lesson",
    "07_set_class_catalogue",
    "08_which_key",
    "09_exercises",
    "10_find_ideas",
)

each_notebook = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)


def cells(path: Path, kind: str) -> list[nbformat.NotebookNode]:
    return [cell for cell in nbformat.read(path, 4).cells if cell.cell_type == kind]


def code_cells(path: Path) -> list[nbformat.NotebookNode]:
    return cells(path, "code")


def test_the_notebooks_are_all_there() -> None:
    assert {path.stem for path in NOTEBOOKS} >= set(ESSAYS)


@each_notebook
def test_every_cell_was_run_in_order(path: Path) -> None:
    counts = [cell.execution_count for cell in code_cells(path)]
    assert counts == list(range(1, len(counts) + 1))


@each_notebook
def test_every_cell_that_shows_something_has_it_stored(path: Path) -> None:
    """A notebook without outputs passes a comparison, with nothing compared."""
    for cell in code_cells(path):
        tree = ast.parse(cell.source)
        calls = (node.func for node in ast.walk(tree) if isinstance(node, ast.Call))
        prints = any(isinstance(name, ast.Name) and name.id == "print" for name in calls)
        shows = isinstance(tree.body[-1], ast.Expr) or prints
        assert bool(cell.outputs) == shows, cell.source


@each_notebook
def test_what_a_cell_prints_is_stored_in_one_piece(path: Path) -> None:
    for cell in code_cells(path):
        streams = [output for output in cell.outputs if output.output_type == "stream"]
        assert len(streams) <= 1


@each_notebook
def test_cells_are_short_and_do_not_end_in_a_semicolon(path: Path) -> None:
    for cell in code_cells(path):
        lines = [line for line in cell.source.splitlines() if line.strip()]
        assert len(lines) <= MOST_LINES and not cell.source.rstrip().endswith(";")


@each_notebook
def test_an_essay_asks_says_what_is_needed_shows_and_leaves_something_to_try(path: Path) -> None:
    first, second, *_, last = [cell.source for cell in cells(path, "markdown")]
    title = first.splitlines()[0]
    assert title == "# Start here" or (title.startswith("# ") and title.endswith("?"))
    # The first screen of all has no set-up on it.
    assert "**You need**" in (second if path.stem == ESSAYS[0] else first)
    assert path.stem == ESSAYS[0] or "**You will**" in first and "**You will learn**" in first
    assert "## To try alone" in last
    assert any("image/svg+xml" in o.get("data", {}) for c in code_cells(path) for o in c.outputs)


@each_notebook
def test_outputs_hold_no_error_sound_or_live_widget(path: Path) -> None:
    for cell in code_cells(path):
        for output in cell.outputs:
            assert output.output_type != "error"
            kinds = set(output.get("data", {}))
            assert not any("widget" in kind or "audio" in kind for kind in kinds)
            assert "<audio" not in str(output)


# Names.


def code_in_prose(path: Path) -> Iterator[str]:
    for cell in cells(path, "markdown"):
        yield from re.findall(r"`([^`\n]+)`", cell.source)


# What an essay is about may be imported too.
BESIDE = {"matplotlib", "music21", "pandas"}


def faults(source: str) -> Iterator[str]:
    """What a cell reaches that is not offered: an import, or a name behind ``hk.``."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            modules = [f"{a.name} as {a.asname}" if a.asname else a.name for a in node.names]
        elif isinstance(node, ast.ImportFrom):
            modules = ["." * node.level + (node.module or "")]
        else:
            continue
        for module in modules:
            known = module.split()[0].partition(".")[0] in sys.stdlib_module_names | BESIDE
            if not known and module != "harmonykit as hk":
                yield f"import of {module}"
    yield from unknown_names(source)


def unknown_names(text: str) -> Iterator[str]:
    for path in re.findall(r"\bhk((?:\.\w+)+)", text):
        value: object = hk
        for name in path[1:].split("."):
            if isinstance(value, ModuleType) and name not in value.__all__:
                yield f"hk{path}"
                break
            value = getattr(value, name, None)


@each_notebook
def test_a_notebook_imports_the_library_alone_and_uses_what_it_offers(path: Path) -> None:
    assert [fault for cell in code_cells(path) for fault in faults(cell.source)] == []
    assert [fault for span in code_in_prose(path) for fault in unknown_names(span)] == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("from math import gcd\nimport pandas as pd\nimport harmonykit as hk", []),
        ("import harmonykit", ["import of harmonykit"]),
        ("from harmonykit.theory.note import Note", ["import of harmonykit.theory.note"]),
        ("from harmonykit import Note", ["import of harmonykit"]),
        ("import numpy as np", ["import of numpy as np"]),
        ("hk.Note.parse('C'), hk.draw.clock(hk.Chord.parse('C'))", []),
        ("hk.Kord", ["hk.Kord"]),
        ("hk.paths.find_data('tunes', 'x')", ["hk.paths.find_data"]),
        ("hk.draw.sets.clock.draw_clock(1)", ["hk.draw.sets.clock.draw_clock"]),
    ],
)
def test_what_is_not_offered_is_seen(source: str, found: list[str]) -> None:
    assert list(faults(source)) == found


@each_notebook
def test_notebooks_named_in_prose_exist(path: Path) -> None:
    named = {span for span in code_in_prose(path) if re.fullmatch(r"\d\d_\w+", span)}
    assert named <= {other.stem for other in NOTEBOOKS}


@each_notebook
def test_links_within_a_page_lead_to_a_heading(path: Path) -> None:
    prose = "\n".join(cell.source for cell in cells(path, "markdown"))
    headings = {head.replace(" ", "-") for head in re.findall(r"^#+ (.+)$", prose, flags=re.M)}
    assert set(re.findall(r"\]\(#([^)]+)\)", prose)) <= headings


def uses(path: Path) -> set[str]:
    """The modules whose public names a notebook's cells use."""
    typed = "\n".join(cell.source for cell in code_cells(path))
    # An essay shows code beside its figure; tests/workbook/essay runs it.
    for name in re.findall(r'EssayPanel\("(\w+)"\)', typed):
        typed += "\n".join(section.code for section in read_essay(name).sections)
    values = [attrgetter(name)(hk) for name in set(re.findall(r"\bhk\.([\w.]+\w)", typed))]
    return {getattr(value, "__module__", "") for value in values}


def test_notebooks_named_in_docstrings_exist_and_use_the_module() -> None:
    sources = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    named = [(p, n) for p, text in sources.items() for n in re.findall(r"Notebook: (\w+)", text)]
    assert named
    known = {path.stem: uses(path) for path in NOTEBOOKS}
    for path, name in named:
        dotted = ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)
        assert dotted in known[name], f"{dotted} says {name}, which does not use it"


def can_be_tried(span: str, known: dict[str, object]) -> bool:
    """Say whether some code in prose is a whole expression about names that are there."""
    try:
        tree = ast.parse(span, mode="eval")
    except SyntaxError:
        return False
    nodes = list(ast.walk(tree))
    calls = [node for node in nodes if isinstance(node, ast.Call)]
    own = {n.id for n in nodes if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)}
    names = {n.id for n in nodes if isinstance(n, ast.Name)} - own
    unsaid = any(isinstance(n, ast.Constant) and n.value is ... for n in nodes)
    return bool(calls) and not unsaid and all(n in known or hasattr(builtins, n) for n in names)


class Run:
    """A notebook after all its cells were run, as Run All leaves it.

    Attributes
    ----------
    known : dict
        The names that the cells leave behind.
    shown : list of tuple
        What each cell shows, in pictures and words: when it ran, and after the last cell.
    """

    def __init__(self, path: Path) -> None:
        self.known: dict[str, object] = {}
        found = [self._value(cell.source, path.name) for cell in code_cells(path)]
        self.shown = [(looks, _looks(value)) for value, looks in filter(None, found)]

    def _value(self, source: str, name: str) -> tuple[object, tuple[str, str]] | None:
        """Run a cell; return what its last line shows, with how it looks at that moment."""
        tree = ast.parse(source)
        last = tree.body.pop() if isinstance(tree.body[-1], ast.Expr) else None
        exec(compile(tree, name, "exec"), self.known)
        if not isinstance(last, ast.Expr):
            return None
        value = eval(compile(ast.Expression(last.value), name, "eval"), self.known)
        return (value, _looks(value)) if hasattr(value, "_repr_mimebundle_") else None


def _looks(value: Any) -> tuple[str, str]:
    bundle = value._repr_mimebundle_()
    return bundle["text/plain"], bundle.get("image/svg+xml", "")


@cache
def run_all(path: Path) -> Run:
    return Run(path)


# Some take long to run; their stored outputs are compared in any run.
run_by_default = pytest.mark.parametrize(
    "path",
    [
        pytest.param(path, marks=pytest.mark.long) if path.stem == "08_which_key" else path
        for path in NOTEBOOKS
    ],
    ids=lambda path: path.stem,
)


@run_by_default
def test_no_cell_changes_what_an_earlier_one_shows(path: Path) -> None:
    """A panel is alive: driven by a later cell, it would contradict the text beside it."""
    shown = run_all(path).shown
    assert shown
    for when_it_ran, at_the_end in shown:
        assert at_the_end == when_it_ran


@run_by_default
def test_what_the_reader_is_to_try_works(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    known = run_all(path).known
    last = cells(path, "markdown")[-1].source.partition("## To try alone")[2]
    spans = [span for span in re.findall(r"`([^`\n]+)`", last) if can_be_tried(span, known)]
    assert spans
    for span in spans:
        eval(span, known)


# What is stored is true.


def a_few_cells(path: Path, count: int) -> nbformat.NotebookNode:
    notebook = nbformat.read(path, 4)
    notebook.cells = notebook.cells[:count]
    return notebook


def compared(folder: Path) -> str:
    """Compare the stored outputs of a folder's notebooks, by the rules of the whole suite."""
    options = runpy.run_path(str(ROOT / "shared" / "run_tests.py"))["NBVAL"]
    rules = [each.replace("shared/", f"{ROOT}/shared/") for each in options]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONSAFEPATH": ""}
    command = [sys.executable, "-m", "pytest", *rules, "-p", "no:cacheprovider", "--color=no", "."]
    run = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True)
    return run.stdout


@pytest.mark.slow
def test_a_tampered_number_fails_and_so_does_a_tampered_figure(tmp_path: Path) -> None:
    copy = a_few_cells(ROOT / "notebooks" / "02_four_parents.ipynb", 8)
    code = [cell for cell in copy.cells if cell.cell_type == "code"]
    figure, number = code[1].outputs[0].data, code[2].outputs[0]
    assert "[4, 4, 4]" in number.text
    number.text = number.text.replace("[4, 4, 4]", "[4, 4, 5]")
    assert ">A°7</text>" in figure["image/svg+xml"]
    figure["image/svg+xml"] = figure["image/svg+xml"].replace(">A°7</text>", ">B°7</text>")
    nbformat.write(copy, tmp_path / "tampered.ipynb")
    said = compared(tmp_path)
    failed = re.findall(r"^FAILED (\w+)\.ipynb::\S*Cell (\d)", said, flags=re.M)
    assert failed == [("tampered", "1"), ("tampered", "2")]
    # What is as it was stored passes.
    assert len(code) > 2 and f"2 failed, {len(code) - 2} passed" in said


def test_storing_outputs_anew_gives_the_bytes_that_are_stored(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    store = runpy.run_path(str(ROOT / "shared" / "store_outputs.py"))["store"]
    notebook = a_few_cells(ROOT / "notebooks" / "02_four_parents.ipynb", 8)
    path = tmp_path / "few.ipynb"
    nbformat.write(notebook, path)
    stored = path.read_bytes()
    # One cell as it was stored, the others as they are before they run.
    for cell in [cell for cell in notebook.cells if cell.cell_type == "code"][1:]:
        cell.outputs, cell.execution_count = [], None
    nbformat.write(notebook, path)
    assert path.read_bytes() != stored
    store(path)
    assert path.read_bytes() == stored


# What is read.

# One that begins with words and one that is full of figures; the others are among the long tests.
SHOWN = ("00_start_here", "02_four_parents")


def exported(path: Path) -> str:
    exporter = HTMLExporter(template_name="essay", extra_template_basedirs=[str(TEMPLATES)])
    page, _ = exporter.from_filename(str(path))
    return str(page)


@pytest.mark.parametrize(
    "paths",
    [
        [path for path in NOTEBOOKS if path.stem in SHOWN],
        pytest.param(
            [path for path in NOTEBOOKS if path.stem not in SHOWN], marks=pytest.mark.long
        ),
    ],
    ids=["two", "others"],
)
def test_exported_pages_can_be_read_by_all(
    browser: Browser, tmp_path: Path, paths: list[Path]
) -> None:
    """No fault that axe calls serious or critical, words for each figure, nothing cut off."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    assert paths
    for path in paths:
        file = tmp_path / f"{path.stem}.html"
        file.write_text(exported(path), encoding="utf-8")
        page.goto(file.as_uri())
        found = Axe().run(page).response["violations"]
        serious = [
            (fault["id"], fault["nodes"][0]["html"])
            for fault in found
            if fault["impact"] in ("serious", "critical")
        ]
        assert serious == [], path.stem
        words = page.eval_on_selector_all("img", "all => all.map(each => each.alt)")
        assert words and all(len(alt) > 20 and "No description" not in alt for alt in words)
        assert page.evaluate("document.documentElement.scrollWidth") <= 1280
        assert page.title() == nbformat.read(path, 4).metadata["title"]
    page.close()
    assert all(url.startswith(("file:", "data:")) for url in asked)
