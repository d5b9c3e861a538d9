"""The folder tree is the architecture: imports run one way, from the rim to the core.

Every import statement of the package is read with `ast`, also those inside functions and those
for type checkers alone.
"""

from __future__ import annotations

import sys
from pathlib import Path

import networkx
import pytest

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "shared"))

import house  # noqa: E402

PACKAGE = ROOT / house.NAME
RIM = {"__main__": "cli"}


def floor_of(module: str) -> int:
    """Return the number of the floor that a dotted module of the package stands on."""
    part = module.split(".")[1]
    return house.FLOORS.index(RIM.get(part, part))


def modules(top: Path) -> dict[str, house.Module]:
    """Return the files of a package; our own are read once."""
    return house.ours() if top == ROOT else house.modules(top)


def wrong_imports(top: Path) -> list[str]:
    """Return each import that breaks a rule, with its file and line."""
    wrong = []
    for module in modules(top).values():
        if module.name == house.NAME:  # the lazy top names every floor and imports none
            continue
        for line, name in module.imported:
            reason = objection(module.name, name)
            if reason:
                wrong.append(f"{module.path.relative_to(top)}:{line}: {name}: {reason}")
    return wrong


def objection(module: str, name: str) -> str:
    """Return what is wrong with an import of ``name`` in ``module``, or nothing."""
    outermost, *rest = name.split(".")
    if outermost != "harmonykit":
        return foreign_objection(module, outermost)
    if not rest or rest[0] == "__version__":
        return "" if module.split(".")[1] in ("cli", "__main__") else "import the module itself"
    if floor_of(name) > floor_of(module):
        return "a floor below this one"
    return ""


def foreign_objection(module: str, library: str) -> str:
    """Return what is wrong with using a library, or nothing."""
    part = module.split(".")[1]
    if library in sys.stdlib_module_names:
        return ""
    if part == "theory" and library != "numpy":
        return "theory uses numpy and the standard library only"
    if part in ("values", "errors", "public", "paths", "files", "words"):
        return f"{part} uses the standard library only"
    return ""


def circles(top: Path) -> list[list[str]]:
    """Return the files that import one another, straight or by way of others, circle by circle."""
    imports = house.graph(modules(top))
    graph = networkx.DiGraph({file: sorted(named) for file, named in imports.items()})
    found = networkx.strongly_connected_components(graph)
    rings = sorted(sorted(circle) for circle in found if len(circle) > 1)
    assert house.circles(imports) == rings
    return rings


def test_no_files_import_one_another() -> None:
    assert circles(ROOT) == []


def test_imports_run_one_way() -> None:
    assert wrong_imports(ROOT) == []


def test_every_part_of_the_package_stands_on_a_floor() -> None:
    parts = {
        p.stem for p in PACKAGE.iterdir() if p.suffix == ".py" or (p / "__init__.py").is_file()
    }
    assert parts - {"__init__"} - set(RIM) <= set(house.FLOORS)


@pytest.mark.parametrize(
    ("file", "text", "said"),
    [
        ("theory/a.py", "from harmonykit.fretboard.shapes.voicing import Voicing", "floor below"),
        ("theory/a.py", "def f():\n    import harmonykit.tune.tune", "floor below"),
        ("theory/a.py", "from ..draw import style", "floor below"),
        ("theory/a.py", "from .. import cli", "floor below"),
        ("theory/a.py", "import music21.chord", "numpy and the standard library"),
        (
            "tune/a.py",
            "if TYPE_CHECKING:\n    from harmonykit.arrange import search",
            "floor below",
        ),
        ("draw/a.py", "import harmonykit as hk", "import the module itself"),
        ("errors.py", "import numpy", "standard library only"),
        ("lesson/__init__.py", "from ..cli import main", "floor below"),
    ],
)
def test_a_wrong_import_is_seen(tmp_path: Path, file: str, text: str, said: str) -> None:
    wrong = wrong_in(tmp_path, file, text)
    assert len(wrong) == 1
    assert said in wrong[0]


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("theory/a.py", "import numpy as np\nfrom fractions import Fraction"),
        (
            "theory/a.py",
            "from . import note\nfrom .note import Note\nfrom ..errors import HarmonyError",
        ),
        ("arrange/a.py", "from harmonykit.theory.note import Note\nimport pandas"),
        ("__main__.py", "from harmonykit.cli import main"),
        ("cli.py", "from harmonykit import __version__"),
    ],
)
def test_a_right_import_is_let_through(tmp_path: Path, file: str, text: str) -> None:
    assert wrong_in(tmp_path, file, text) == []


def wrong_in(top: Path, file: str, text: str) -> list[str]:
    path = top / "harmonykit" / file
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8")
    return wrong_imports(top)


A_READS_B = "from harmonykit.theory.b import B"


@pytest.mark.parametrize(
    ("files", "found"),
    [
        ({"theory/a.py": A_READS_B, "theory/b.py": "from harmonykit.theory import a"}, "ab"),
        ({"theory/a.py": A_READS_B, "theory/b.py": "def f():\n    from .a import A"}, "ab"),
        (
            {
                "theory/a.py": A_READS_B,
                "theory/b.py": "if TYPE_CHECKING:\n    from harmonykit.theory.c import C",
                "theory/c.py": "import harmonykit.theory.a",
                "theory/d.py": "from harmonykit.theory.a import A",
            },
            "abc",
        ),
        ({"theory/a.py": A_READS_B, "theory/b.py": "import re", "theory/c.py": A_READS_B}, ""),
        ({"theory/a.py": A_READS_B, "theory/b.py": '"""See harmonykit.theory.a."""'}, ""),
    ],
)
def test_a_circle_is_seen_and_nothing_else(
    tmp_path: Path, files: dict[str, str], found: str
) -> None:
    for file, text in files.items():
        path = tmp_path / "harmonykit" / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert circles(tmp_path) == ([[f"harmonykit.theory.{name}" for name in found]] if found else [])
