"""The page for developers says what is there: its map is the tree, and its ways run one way."""

from __future__ import annotations

import re
import sys
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "shared"))

import house as the_house  # noqa: E402

WAYS = ("A symbol into a voicing", "A tune into a lesson", "A click into a panel")


@pytest.fixture(scope="module")
def house() -> dict[str, Any]:
    return vars(the_house)


@pytest.fixture(scope="module")
def found(house: dict[str, Any]) -> dict[str, Any]:
    """Give the files of the package, each read once."""
    modules: dict[str, Any] = house["ours"]()
    return modules


@pytest.fixture(scope="module")
def imports(house: dict[str, Any], found: dict[str, Any]) -> dict[str, Any]:
    graph: dict[str, Any] = house["graph"](found)
    return graph


@pytest.fixture(scope="module")
def page(root: Path) -> str:
    return (root / "DEVELOPERS.md").read_text(encoding="utf-8")


def files_of(page: str, way: str) -> list[str]:
    """Return the dotted names of the files that a paragraph names, in order."""
    paragraph = page.partition(f"**{way}.**")[2].partition("\n\n")[0]
    return [
        f"harmonykit.{path.replace('/', '.')}" for path in re.findall(r"`([\w/]+)\.py`", paragraph)
    ]


def test_the_map_is_the_tree(house: dict[str, Any], found: dict[str, Any], page: str) -> None:
    # If this fails: python3 shared/house.py map --write
    assert house["with_map"](page, found) == page


def test_every_file_says_its_concept_in_a_line(found: dict[str, Any]) -> None:
    said = {name: module.concept for name, module in found.items()}
    assert [name for name, concept in said.items() if not 8 <= len(concept) <= 99] == []


def test_every_path_that_is_named_is_there(root: Path, page: str) -> None:
    """A path from the top or from the package; a bare name of a file is one somewhere in it."""
    prose = re.sub(r"^```.*?^```$", "", page, flags=re.DOTALL | re.MULTILINE)
    words = {word for code in re.findall(r"`([^`\n]+)`", prose) for word in code.split()}
    paths = {
        word for word in words if re.fullmatch(r"[\w.]\w*(/[\w.]+)*(/|\.py|\.md|\.toml)", word)
    }
    tops = (root, root / "harmonykit")
    missing = {path for path in paths if not any((top / path).exists() for top in tops)}
    assert len(paths) > 40
    assert {path for path in missing if "/" in path or not list(tops[1].rglob(path))} == set()


@pytest.mark.parametrize("way", WAYS)
def test_a_way_has_no_way_back(
    house: dict[str, Any], found: dict[str, Any], imports: dict[str, Any], page: str, way: str
) -> None:
    names = files_of(page, way)
    assert len(names) >= 6
    assert set(names) <= set(found)
    for earlier, later in combinations(names, 2):
        assert later not in house["reached"](imports[earlier], imports, packages=False)


@pytest.mark.parametrize("way", WAYS)
def test_a_way_is_walked(imports: dict[str, Any], page: str, way: str) -> None:
    """Each file but the last is imported by one that comes later."""
    names = files_of(page, way)
    for place, name in enumerate(names[:-1]):
        assert any(name in imports[later] for later in names[place + 1 :]), name


def test_a_file_that_is_not_on_the_map_is_seen(
    house: dict[str, Any], found: dict[str, Any], page: str
) -> None:
    fewer = {name: module for name, module in found.items() if name != "harmonykit.theory.note"}
    assert len(fewer) == len(found) - 1
    assert house["with_map"](page, fewer) != page
