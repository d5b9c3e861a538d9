"""Whether the values of a floor are frozen, with slots, as the style of this code has it.

A value that can be changed after it is made would go stale wherever it is a key.
"""

from __future__ import annotations

import importlib
import pkgutil
from dataclasses import is_dataclass


def loose(floor: str) -> set[str]:
    """Return the dataclasses of a floor that can be changed, or take attributes of any name."""
    package = importlib.import_module(f"harmonykit.{floor}")
    names = [each.name for each in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")]
    modules = [importlib.import_module(name) for name in names]
    found = {
        each
        for module in modules
        for each in vars(module).values()
        if isinstance(each, type) and is_dataclass(each) and each.__module__ == module.__name__
    }
    assert len(found) > 5, floor
    return {each.__name__ for each in found if not _is_frozen(each)}


def _is_frozen(kind: type) -> bool:
    frozen: bool = kind.__dataclass_params__.frozen  # type: ignore[attr-defined]
    return frozen and "__slots__" in vars(kind)
