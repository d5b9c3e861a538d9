"""How long a lesson takes, against the bare imports of the libraries that it uses, in one run.

The figure to keep: a 32-bar tune at three levels in at most 4 times the imports of matplotlib,
music21, verovio and typst in one process.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

MOST_RATIO = 4.0
ROUNDS = 5
IMPORTS = "import matplotlib.pyplot, music21, verovio, typst"


def _seconds(command: list[str], folder: Path) -> float:
    begun = time.perf_counter()
    subprocess.run(command, cwd=folder, check=True, capture_output=True)
    return time.perf_counter() - begun


def test_a_lesson_costs_little_more_than_its_imports(tmp_path: Path) -> None:
    build = [sys.executable, "-m", "harmonykit", "lesson", "diminished_bridge", "--out", "lesson"]
    bare = [sys.executable, "-c", IMPORTS]
    pairs = [(_seconds(bare, tmp_path), _seconds(build, tmp_path)) for _ in range(ROUNDS)]
    imports, whole = min(p[0] for p in pairs), min(p[1] for p in pairs)
    print(f"\nlesson {whole:.2f} s, imports {imports:.2f} s, ratio {whole / imports:.2f}")
    assert whole / imports <= MOST_RATIO
