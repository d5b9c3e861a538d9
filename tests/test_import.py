"""``import harmonykit`` is light, and every public name is reached from it."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import harmonykit as hk

ROOT = Path(__file__).resolve().parents[1]


def test_importing_loads_the_standard_library_alone() -> None:
    script = (
        "import sys; before = set(sys.modules); import harmonykit; "
        "print(*sorted({n.partition('.')[0] for n in set(sys.modules) - before}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    loaded = set(done.stdout.split())
    assert "harmonykit" in loaded
    assert loaded - {"harmonykit"} <= sys.stdlib_module_names


@pytest.mark.parametrize("name", hk.__all__)
def test_a_public_name_is_reached(name: str) -> None:
    value = getattr(hk, name)
    assert value.__name__ == name
    assert value.__module__.startswith("harmonykit.")
    assert value.__doc__


def test_type_checkers_see_the_same_names() -> None:
    tree = ast.parse((ROOT / "harmonykit" / "__init__.py").read_text(encoding="utf-8"))
    block = next(
        node for node in tree.body if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node)
    )
    declared = {
        alias.name: node.module
        for node in ast.walk(block)
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert declared == {name: f"harmonykit.{home}" for name, home in hk._HOME_OF.items()}
    assert sorted(declared) == sorted(hk.__all__)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="'harmonykit' has no attribute 'Kord'"):
        hk.Kord  # noqa: B018


def test_dir_lists_what_has_not_been_loaded_yet() -> None:
    assert set(hk.__all__) <= set(dir(hk))
