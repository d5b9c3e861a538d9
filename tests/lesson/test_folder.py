"""The folder appears whole or not at all."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.folder import MANIFEST, replaced_whole


def fill(folder: Path, word: str) -> None:
    (folder / "word").write_text(word)
    (folder / MANIFEST).write_text(json.dumps({"made_by": "harmonykit"}))


def make(out: Path, word: str) -> None:
    with replaced_whole(out) as folder:
        fill(folder, word)


def test_a_new_folder_and_its_successor(tmp_path: Path) -> None:
    out = tmp_path / "deep" / "lesson"
    make(out, "old")
    make(out, "new")
    assert (out / "word").read_text() == "new"
    assert [p.name for p in out.parent.iterdir()] == ["lesson"]
    assert sorted(p.name for p in out.iterdir()) == [MANIFEST, "word"]


def test_a_failure_leaves_the_old_one(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    make(out, "old")
    with pytest.raises(RuntimeError), replaced_whole(out) as folder:
        fill(folder, "half")
        raise RuntimeError
    assert (out / "word").read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


def test_what_is_not_ours_is_never_replaced(tmp_path: Path) -> None:
    out = tmp_path / "photos"
    out.mkdir()
    (out / "a.jpg").write_text("x")
    with pytest.raises(HarmonyError, match="something else"):
        make(out, "new")
    (out / MANIFEST).write_text('{"made_by": "another"}')
    with pytest.raises(HarmonyError, match="something else"):
        make(out, "new")
    assert (out / "a.jpg").read_text() == "x"


def test_a_file_or_a_link_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(HarmonyError, match="no folder"):
        make(tmp_path / "file", "new")
    make(tmp_path / "real", "old")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    with pytest.raises(HarmonyError, match="no folder"):
        make(tmp_path / "link", "new")


def test_an_empty_folder_may_be_used(tmp_path: Path) -> None:
    (tmp_path / "lesson").mkdir()
    make(tmp_path / "lesson", "new")
    assert (tmp_path / "lesson" / "word").read_text() == "new"


def test_a_crash_between_the_two_renames_is_put_right(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    make(out, "old")
    out.rename(tmp_path / "lesson.previous")
    with pytest.raises(RuntimeError), replaced_whole(out):
        raise RuntimeError
    assert (out / "word").read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


def test_a_crash_after_them_is_put_right(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    make(out, "new")
    make(tmp_path / "lesson.previous", "old")
    make(out, "newest")
    assert (out / "word").read_text() == "newest"
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


def test_a_crash_while_the_old_one_is_removed_is_put_right(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    make(out, "new")
    half = tmp_path / ".lesson.building-1-old"
    half.mkdir()
    (half / "word").write_text("old")
    make(out, "newest")
    assert (out / "word").read_text() == "newest"
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


WRITER = """
import sys, time
from pathlib import Path
sys.path.insert(0, {tests!r})
from harmonykit.lesson.folder import replaced_whole
import json
print("ready", flush=True)
for round in range(10_000):
    with replaced_whole(Path({out!r})) as folder:
        for name in "abcdef":
            (folder / name).write_text(str(round) * 2000)
        (folder / "manifest.json").write_text(json.dumps({{"made_by": "harmonykit"}}))
"""


@pytest.mark.skipif(os.name != "posix", reason="kills a process by signal")
@pytest.mark.parametrize("count", [20, pytest.param(100, marks=pytest.mark.long)])
def test_killed_at_any_moment_the_folder_is_whole(tmp_path: Path, count: int) -> None:
    """After each kill the folder, or the one that a new start puts back, is one whole round."""
    out = tmp_path / "lesson"
    make(out, "first")
    code = WRITER.format(tests=str(Path(__file__).parent), out=str(out))
    for number in range(count):
        with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            process.stdout.readline()
            time.sleep(0.003 * (number % 17) + 0.001)
            process.send_signal(signal.SIGKILL)
        with pytest.raises(RuntimeError), replaced_whole(out):
            raise RuntimeError
        words = {path.read_text() for path in out.iterdir() if path.name != MANIFEST}
        assert (out / MANIFEST).is_file() and len(words) == 1
        assert [p.name for p in tmp_path.iterdir()] == ["lesson"]
