"""Whether the values of a floor are frozen, with slots, as the style of this code has it.

A value that can be changed after it is made would go stale wherever it is a key.
"""

from __future__ import annotations

import importlib
import pkgutil
from dataclasses import is_dataclass
from pathlib import Path

import pytest

# What gathers what it meets, word by word or event by event.
GATHERS: dict[str, set[str]] = {
    "files": {"NewFolder"},
    "words": set(),
    "theory": {"Roles", "Changes", "Kinds", "Sorter", "_Builder", "_Table", "_Taken"},
    "evidence": set(),
    "fretboard": set(),
    "tune": {"RawBar", "Cell", "Above", "Cutter", "Part", "Laid", "Layer", "Header", "Gathered"},
    "score": {"Measure", "Placer", "_Track"},
    "arrange": set(),
    "draw": set(),
    "sound": set(),
    "about": set(),
    "lesson": {"_Reason"},
    "workbook": {"Judge"},
    "cli": set(),
}
# What keeps what was worked out of it once, which needs a dictionary.
KEEPS = {
    "Cell",
    "ChartBar",
    "Drawing",
    "Framing",
    "Harmony",
    "Laid",
    "Placed",
    "Played",
    "Row",
    "Ways",
    "_Draft",
}


@pytest.mark.parametrize("floor", GATHERS)
def test_values_are_frozen(floor: str) -> None:
    package = importlib.import_module(f"harmonykit.{floor}")
    names = [each.name for each in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")]
    modules = [importlib.import_module(name) for name in names]
    found = {
        each
        for module in modules
        for each in vars(module).values()
        if isinstance(each, type) and is_dataclass(each) and each.__module__ == module.__name__
    }
    assert found
    assert {each.__name__ for each in found if not _is_frozen(each)} == GATHERS[floor]
    assert {each.__name__ for each in found if "__slots__" not in vars(each)} <= KEEPS
    sources = [Path(module.__file__ or "").read_text(encoding="utf-8") for module in modules]
    assert not [each for each in sources if "from dataclasses import dataclass" in each]


def _is_frozen(kind: type) -> bool:
    frozen: bool = kind.__dataclass_params__.frozen  # type: ignore[attr-defined]
    return frozen
