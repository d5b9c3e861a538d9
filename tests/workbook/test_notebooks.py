"""The notebooks as they stand: run, short, and naming what exists."""

from __future__ import annotations

import ast
import importlib
import re
from pathlib import Path

import nbformat
import pytest

import harmonykit

NOTEBOOKS = sorted((Path(__file__).resolve().parents[2] / "notebooks").glob("*.ipynb"))
PACKAGE = Path(harmonykit.__file__).parent
MOST_LINES = 7


def code_cells(path: Path) -> list[nbformat.NotebookNode]:
    return [cell for cell in nbformat.read(path, 4).cells if cell.cell_type == "code"]


def test_there_are_notebooks() -> None:
    names = [path.stem for path in NOTEBOOKS]
    assert "00_start_here" in names and "01_diminished_symmetry" in names


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_every_cell_was_run_in_order(path: Path) -> None:
    counts = [cell.execution_count for cell in code_cells(path)]
    assert counts == list(range(1, len(counts) + 1))


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_cells_are_short_and_do_not_end_in_a_semicolon(path: Path) -> None:
    for cell in code_cells(path):
        lines = [line for line in cell.source.splitlines() if line.strip()]
        assert len(lines) <= MOST_LINES and not cell.source.rstrip().endswith(";")


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_outputs_hold_no_error_sound_or_live_widget(path: Path) -> None:
    for cell in code_cells(path):
        for output in cell.outputs:
            assert output.output_type != "error"
            kinds = set(output.get("data", {}))
            assert not any("widget" in kind or "audio" in kind for kind in kinds)


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_names_of_the_library_exist(path: Path) -> None:
    for cell in code_cells(path):
        for node in ast.walk(ast.parse(cell.source)):
            if isinstance(node, ast.Attribute) and getattr(node.value, "id", "") == "hk":
                assert hasattr(harmonykit, node.attr), node.attr
            if isinstance(node, ast.ImportFrom) and node.module:
                module = importlib.import_module(node.module)
                assert all(hasattr(module, alias.name) for alias in node.names)


def test_notebooks_named_in_docstrings_exist_and_use_the_module() -> None:
    sources = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    named = [(p, n) for p, text in sources.items() for n in re.findall(r"Notebook: (\w+)", text)]
    assert named
    stored = {path.stem: path.read_text(encoding="utf-8") for path in NOTEBOOKS}
    for path, name in named:
        assert path.stem in stored[name]
