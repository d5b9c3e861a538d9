"""What the proofs of faults stand on: a lesson to build, the command apart, what is whole."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
OLD = ROOT / "tests" / "data" / "0.1.0"
COMMAND = "from harmonykit.cli import main; main()"
NEEDS = ["harmonykit.cli.lesson", "harmonykit.lesson.build", "music21"]
LESSON_FILES = ("lantern_steps.toml", "draft.md", "course.toml")


def is_whole(folder: Path) -> bool:
    """Whether a folder holds just what its manifest names, each file as it was written."""
    files = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    found = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}
    return found >= {*files} and all(
        hashlib.sha256((folder / name).read_bytes()).hexdigest() == entry["sha256"]
        for name, entry in files.items()
    )


def sources(folder: Path) -> Path:
    """Lay a tune, a lesson on it with few outputs, and a course into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in LESSON_FILES:
        shutil.copy(OLD / name, folder)
    path = folder / "draft.md"
    text = path.read_text(encoding="utf-8")
    few = 'format = 1\noutputs = ["script", "scores"]'
    path.write_text(text.replace("format = 1", few, 1), encoding="utf-8")
    return path


def run(*arguments: str, **given: object) -> subprocess.CompletedProcess[str]:
    """Run the command in a process of its own."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"}
    return subprocess.run(
        [sys.executable, "-c", COMMAND, *arguments],
        capture_output=True,
        text=True,
        env=given.pop("env", environment),  # type: ignore[arg-type]
        timeout=300,
        **given,  # type: ignore[call-overload]
    )


def refused(done: subprocess.CompletedProcess[str]) -> bool:
    """Whether a command failed as it should: with 2, one message, and no traceback."""
    assert done.returncode in (0, 2), done.stderr
    assert "Traceback" not in done.stderr
    if done.returncode == 2:
        assert len(done.stderr.strip()) > 20
    return done.returncode == 2


PROGRESS = """
import sys
from harmonykit.practice.sitting import Answered
from harmonykit.practice.progress import Progress
progress = Progress(sys.argv[1])
for number in range(1, 26):
    progress.add(Answered("2031-05-04", "quay", number, "scale", "words", 1, 1.0, 0, "x" * 90))
"""
