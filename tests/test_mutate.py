"""The drawing of mutants, and that a test which notices one is told from one that does not."""

from __future__ import annotations

import ast
import runpy
from pathlib import Path
from typing import Any

import pytest

CODE = '''\
"""A file."""


def small(number: int) -> bool:
    """Whether a number is small."""
    return number < 2


def big(number: int) -> bool:
    return number > 99
'''
TEST = """\
from harmonykit.sizes.sizes import small


def test_small() -> None:
    assert small(1)
    assert not small(2)
"""


@pytest.fixture(scope="module")
def tool(root: Path) -> dict[str, Any]:
    return runpy.run_path(str(root / "shared" / "mutate.py"))


def changed(tool: dict[str, Any], source: str) -> list[str]:
    return sorted(each.of(source) for each in tool["mutants"]("m.py", source))


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("a == b", ["a != b"]),
        ("a not in b", ["a in b"]),
        ("a is None", ["a is not None"]),
        ("a + b * c", ["a + b / c", "a - b * c"]),
        ("a // 12", ["a * 12", "a // 13"]),
        ("a and b or c", ["a and b and c", "a or b or c"]),
        ("not a", ["(a)"]),
        ("x = True", ["x = False"]),
        ("x = -1", ["x = (1)", "x = -2"]),
        ("if a:\n    b", ["if not (a):\n    b"]),
        ("x = a if b else c", ["x = a if not (b) else c"]),
        (
            "def f(n=3):\n    return g(n)",
            ["def f(n=3):\n    return None", "def f(n=4):\n    return g(n)"],
        ),
        ("f(a)", ["pass"]),
        ('"""Only words."""', []),
        # A sign behind letters of two bytes stands where it stands.
        ("'♭♭' + a", ["'♭♭' - a"]),
    ],
)
def test_the_changes_of_a_line(tool: dict[str, Any], source: str, expected: list[str]) -> None:
    assert changed(tool, source) == expected


def test_mutants_of_a_floor_can_be_read_and_are_the_same_each_time(tool: dict[str, Any]) -> None:
    first, again = (tool["drawn"]("score", 20, 1) for _ in range(2))
    assert first == again
    assert len(set(first)) == 20
    assert first != tool["drawn"]("score", 20, 2)
    for each in first:
        source = (tool["ROOT"] / each.path).read_text(encoding="utf-8")
        ast.parse(each.of(source))
        assert each.of(source) != source


@pytest.mark.parametrize("others", [False, pytest.param(True, marks=pytest.mark.long)])
def test_who_notices(tool: dict[str, Any], tmp_path: Path, others: bool) -> None:
    """What its own tests pass over, another test of the floor may notice, unless it is left out."""
    files = {
        "harmonykit/__init__.py": "",
        "harmonykit/sizes/__init__.py": "",
        "harmonykit/sizes/sizes.py": CODE,
        "tests/sizes/test_sizes.py": TEST,
    }
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    path = "harmonykit/sizes/sizes.py"
    found = {each.new: each for each in tool["mutants"](path, CODE)}
    copy = tool["Copy"](tmp_path)
    forever = float("inf")
    if others:
        more = TEST.replace("small", "big").replace("(1)", "(100)").replace("(2)", "(99)")
        (tmp_path / "tests/sizes/test_others.py").write_text(more, encoding="utf-8")
        assert tool["tried"](copy, found[">="], forever) == "its floor"
        assert tool["tried"](copy, found[">="], forever, own=True) == ""
    else:
        assert tool["tried"](copy, found["<="], forever) == "its own"
        assert tool["tried"](copy, found[">="], forever, own=True) == ""
        assert tool["tried"](copy, found["<="], 0) == "not tried"
    assert (tmp_path / path).read_text(encoding="utf-8") == CODE
