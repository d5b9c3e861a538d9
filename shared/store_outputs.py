"""Run the notebooks and store their outputs, the same bytes each time.

``python shared/store_outputs.py [NAME ...]`` in the project's environment; all of them unless some
are named.  Widgets leave text and a still picture behind, not their live state.
"""

from __future__ import annotations

import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

FOLDER = Path(__file__).resolve().parents[1] / "notebooks"
LIVE = "application/vnd.jupyter.widget-view+json"


def heading(notebook: nbformat.NotebookNode) -> str:
    """Return the question that a notebook opens with: an exported page bears it as its title."""
    return str(notebook.cells[0].source.splitlines()[0].lstrip("# "))


def store(path: Path) -> None:
    """Run one notebook and write it back with its outputs."""
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(
        notebook,
        timeout=300,
        record_timing=False,
        # What one cell prints may come in several pieces, by chance.
        coalesce_streams=True,
        resources={"metadata": {"path": str(FOLDER)}},
    )
    client.execute()
    notebook.metadata["title"] = heading(notebook)
    notebook.metadata.pop("widgets", None)
    notebook.metadata.get("language_info", {}).pop("version", None)
    for number, cell in enumerate(notebook.cells):
        cell["id"] = f"cell-{number:02d}"
        for output in cell.get("outputs", []):
            output.get("data", {}).pop(LIVE, None)
    nbformat.write(notebook, path)


if __name__ == "__main__":
    named = [FOLDER / name for name in sys.argv[1:]] or sorted(FOLDER.glob("*.ipynb"))
    for notebook_path in named:
        store(notebook_path)
        print(f"stored {notebook_path.name}")
