"""What ``import harmonykit`` costs over a bare Python: whole processes, the median of many."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

from measured import measured

ROOT = Path(__file__).resolve().parents[2]
BUDGET = 0.060


def seconds(script: str) -> float:
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=True)
    return time.perf_counter() - begun


def test_importing_stays_within_60_ms_of_bare_python() -> None:
    pairs = [(seconds("pass"), seconds("import harmonykit")) for _ in range(21)]
    extra = statistics.median(light - bare for bare, light in pairs)
    assert measured("import harmonykit, over bare Python", extra, most=BUDGET).met
