"""Waiting for a condition, never for a time: the one file of the default tests with a clock.

The limit is there so that what will never come is told; no test passes or fails by how fast a
machine is.
"""

from __future__ import annotations

import time
from collections.abc import Callable

# Seconds: many times what the slowest machine under the heaviest load takes.
LIMIT = 300.0


def until(holds: Callable[[], object], what: str) -> None:
    """Wait until a condition holds; ``what`` says which one never did."""
    last = time.monotonic() + LIMIT
    while not holds():
        assert time.monotonic() < last, f"never: {what}"
        time.sleep(0.02)
