"""Everything can be reached: each file from a command, a notebook or a public name; each name used.

Imports inside functions count.  A panel is reached through the notebooks, a lesson's call through
the command that builds lessons.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "shared"))

import house  # noqa: E402


def lost(top: Path) -> list[str]:
    found = house.ours() if top == ROOT else house.modules(top)
    reached = house.reached(house.entrances(found, top), house.graph(found))
    return sorted(set(found) - reached - {house.NAME})


def test_every_file_is_reached() -> None:
    assert lost(ROOT) == []


def test_every_public_function_and_class_is_used() -> None:
    assert house.unused(house.ours()) == []


def small_house(top: Path) -> None:
    """Write a package with a command that uses one file of two, and one function of two."""
    files = {
        "harmonykit/__init__.py": "",
        "harmonykit/cli.py": "def _main():\n    from harmonykit.near import used\n    used()\n",
        "harmonykit/near.py": "def used():\n    pass\n\n\ndef idle():\n    idle()\n",
        "harmonykit/far.py": "def alone():\n    pass\n\n\nalone()\n",
    }
    for name, text in files.items():
        path = top / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def test_a_file_and_a_function_that_nobody_uses_are_seen(tmp_path: Path) -> None:
    small_house(tmp_path)
    assert lost(tmp_path) == ["harmonykit.far"]
    assert house.unused(house.modules(tmp_path), tmp_path) == ["harmonykit.near.idle"]


def test_an_import_alone_is_no_use(tmp_path: Path) -> None:
    small_house(tmp_path)
    (tmp_path / "harmonykit" / "far.py").write_text(
        "from harmonykit.near import idle\n", encoding="utf-8"
    )
    assert house.unused(house.modules(tmp_path), tmp_path) == ["harmonykit.near.idle"]


def test_a_notebook_uses_what_it_names(tmp_path: Path) -> None:
    small_house(tmp_path)
    folder = tmp_path / "notebooks"
    folder.mkdir()
    cell = '{"cell_type": "code", "source": ["from harmonykit.near import idle\\n", "idle()"]}'
    (folder / "one.ipynb").write_text(f'{{"cells": [{cell}]}}', encoding="utf-8")
    assert house.unused(house.modules(tmp_path), tmp_path) == []
