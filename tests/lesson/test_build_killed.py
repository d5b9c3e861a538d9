"""A build that is killed leaves the old lesson or the new one, never half of either."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

import pytest
from dying import dying

from harmonykit.lesson.build import build_lesson

BUILD = "from harmonykit.cli import main; main()"
# What a build loads on its way.
NEEDS = ["harmonykit.cli.lesson", "harmonykit.lesson.build", "music21"]


def is_whole(folder: Path) -> bool:
    files = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    found = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}
    return found == {*files, "manifest.json"} and all(
        hashlib.sha256((folder / name).read_bytes()).hexdigest() == entry["sha256"]
        for name, entry in files.items()
    )


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="kills a process by signal")
@pytest.mark.parametrize("stride", [7, pytest.param(1, marks=pytest.mark.long)])
def test_a_killed_build_leaves_a_whole_folder(lesson_path: Path, stride: int) -> None:
    """Killed before the first file, before each other or each seventh, and at last before none."""
    text = lesson_path.read_text(encoding="utf-8")
    lesson_path.write_text(
        text.replace('group = "Quay"', 'outputs = ["script", "scores"]'), encoding="utf-8"
    )
    out = lesson_path.parent / "out"
    build_lesson(lesson_path, out)
    step = 1
    command = ["lesson", str(lesson_path), "--out", str(out)]
    with dying(BUILD, lesson_path.parent, NEEDS, *command) as dies_at:
        while dies_at(step):
            assert is_whole(out if out.exists() else out.with_name("out.previous"))
            step += stride
    assert step > 20
    build_lesson(lesson_path, out)
    assert is_whole(out)
    left = sorted(path.name for path in out.parent.iterdir())
    assert left == ["fog.toml", "out", "small.md"]
