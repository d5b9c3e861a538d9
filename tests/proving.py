"""What the proofs tell, and how many of each they try.

``python3 shared/start.py prove`` runs the folder ``tests/prove`` and ends on a table, a row for
each proof; ``HARMONYKIT_PROVE=0.01`` tries a hundredth of each, to see that they work.
"""

from __future__ import annotations

import os
from collections.abc import Callable

SHARE = float(os.environ.get("HARMONYKIT_PROVE", "1"))
ROWS: list[tuple[str, str, str, str, float]] = []

Tell = Callable[[str, str, str, str], None]
"""Keeps a row: what, how many were tried, whether the fault was real or stood in for, what came."""


def many(count: int) -> int:
    """Return how many of so many are tried in this run."""
    return max(1, round(count * SHARE))
