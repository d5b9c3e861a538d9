"""A build that is killed leaves the old lesson or the new one, never half of either."""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from harmonykit.lesson.build import build_lesson

# From before the imports to after the last rename, on a machine as slow or as fast as it comes.
FACTORS = (0.2, 1.1)


def is_whole(folder: Path) -> bool:
    files = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    found = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}
    return found == {*files, "manifest.json"} and all(
        hashlib.sha256((folder / name).read_bytes()).hexdigest() == entry["sha256"]
        for name, entry in files.items()
    )


@pytest.mark.skipif(os.name != "posix", reason="kills a process by signal")
@pytest.mark.parametrize("count", [20, pytest.param(100, marks=pytest.mark.long)])
def test_a_killed_build_leaves_a_whole_folder(lesson_path: Path, count: int) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    lesson_path.write_text(
        text.replace('group = "Quay"', 'outputs = ["script", "scores"]'), encoding="utf-8"
    )
    out = lesson_path.parent / "out"
    command = [sys.executable, "-m", "harmonykit", "lesson", str(lesson_path), "--out", str(out)]
    begun = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    whole = time.perf_counter() - begun
    chance = random.Random(count)
    for _ in range(count):
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
            time.sleep(whole * chance.uniform(*FACTORS))
            process.send_signal(signal.SIGKILL)
        previous = out.with_name("out.previous")
        assert is_whole(out if out.exists() else previous)
    build_lesson(lesson_path, out)
    assert is_whole(out)
    left = sorted(path.name for path in out.parent.iterdir())
    assert left == ["fog.toml", "out", "small.md"]
