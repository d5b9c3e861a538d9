"""What takes long to make and never changes: made by one process of a run, read by the others."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

Made = TypeVar("Made")
# The folder that the processes of a run share, where there are several; ``conftest.py`` names it.
shared: list[Path] = []


def made_once(make: Callable[[], Made]) -> Callable[[], Made]:
    """Keep what a function without parameters returns, for this process and those beside it.

    Two that begin at once both make it: each writes the whole of it, or nothing.
    """

    @cache
    def kept() -> Any:
        if not shared:
            return make()
        path = shared[0] / f"{make.__module__}.{make.__qualname__}.pickle"
        if path.exists():
            return pickle.loads(path.read_bytes())
        value = make()
        own = path.with_suffix(f".{os.getpid()}")
        own.write_bytes(pickle.dumps(value))
        own.replace(path)
        return value

    return kept
