"""What ``import harmonykit`` costs over a bare Python: whole processes, the median of many.

The processor's time counts, so that what else a machine does is left out.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
from pathlib import Path

from measured import measured

ROOT = Path(__file__).resolve().parents[2]
BUDGET = 0.060
TIMED = "{script}; import time; print(time.process_time())"


def seconds(script: str) -> float:
    code = TIMED.format(script=script)
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True
    )
    return float(done.stdout)


def test_importing_stays_within_60_ms_of_bare_python() -> None:
    pairs = [(seconds("pass"), seconds("import harmonykit")) for _ in range(21)]
    extra = statistics.median(light - bare for bare, light in pairs)
    assert measured("import harmonykit, over bare Python", extra, most=BUDGET).met
