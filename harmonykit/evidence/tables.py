"""The tables as they are read: counts and weights, each with its source and its licence."""

import json
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "tables"


@cache
def read_table(name: str) -> dict[str, Any]:
    """Return a table of ``tables/``: ``source``, ``licence``, ``script`` and its numbers."""
    table: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    return table
