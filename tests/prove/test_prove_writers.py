"""Two and four programs at once on each kind of file that a user owns: one of them wins, whole.

Each program runs the same command in a loop of its own; what is read at the end, and between, is
whole: as one of them wrote it.
"""

from __future__ import annotations

import csv
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from made_tunes import write_tunes
from proving import Tell

import harmonykit as hk
from harmonykit.practice.progress import read_progress
from harmonykit.workbook.base.keep import Keep

ROOT = Path(__file__).resolve().parents[2]
OLD = ROOT / "tests" / "data" / "0.1.0"
COMMAND = "import sys\nfrom harmonykit.cli import main\nsys.argv[1:] = {words!r}\nmain()"
KEEPS = """
import os, time
from pathlib import Path
from harmonykit.workbook.base.keep import Keep
keep = Keep({out!r}, "clock")
(Path({ready!r}) / str(os.getpid())).touch()
while len(os.listdir({ready!r})) < {writers}:
    time.sleep(0.01)
for number in range(40):
    keep.put(number=str(number), whose=str(os.getpid()), filling="x" * 4000)
"""
WORKBOOK = """
from pathlib import Path
from harmonykit.workbook.launch import copy_notebooks
copy_notebooks(Path({out!r}))
"""


def _page(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>") and text.rstrip().endswith("</html>")


def _score(path: Path) -> None:
    assert hk.read_tune(path).title == "Lantern Steps"


def _pdf(path: Path) -> None:
    data = path.read_bytes()
    assert data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF")


def _folder(path: Path) -> None:
    files = json.loads((path / "manifest.json").read_text(encoding="utf-8"))["files"]
    assert files and all((path / name).is_file() for name in files)


def _survey(path: Path) -> None:
    with (path / "survey.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len({row["file"] for row in rows}) == 6 and not any(row["error"] for row in rows)


def _notebooks(path: Path) -> None:
    found = list(path.rglob("*.ipynb"))
    assert found and all(json.loads(one.read_text(encoding="utf-8"))["cells"] for one in found)


TUNE = ["tune", "{src}/lantern_steps.toml", "--out", "{out}"]
WRITTEN: dict[str, tuple[str, list[str], Callable[[Path], None]]] = {
    "a practice page": ("out.html", ["practice", "--questions", "10", "--out", "{out}"], _page),
    "a tune as a score": ("out.musicxml", TUNE, _score),
    "a tune as text": ("out.toml", TUNE, _score),
    "a sheet of shapes": ("out.pdf", ["sheet", "C", "Am", "F", "G7", "--out", "{out}"], _pdf),
    "a course": ("out", ["course", "{src}/course.toml", "--out", "{out}"], _folder),
    "a survey": ("out", ["survey", "{src}/tunes", "--keys", "C", "--out", "{out}"], _survey),
    "parts": ("out", ["parts", "{src}/lantern_steps.toml", "--out", "{out}"], _folder),
}  # fmt: skip


def at_once(script: str, writers: int) -> list[tuple[int, str]]:
    """Run a script so many times at once; return the status and the errors of each."""
    running = [
        subprocess.Popen(
            [sys.executable, "-c", script],
            env={**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(writers)
    ]
    said = [one.communicate(timeout=500)[1] for one in running]
    return [(one.returncode, text) for one, text in zip(running, said, strict=True)]


@pytest.mark.parametrize("writers", [2, 4])
@pytest.mark.parametrize("name", WRITTEN)
def test_commands_at_once(name: str, writers: int, tmp_path: Path, tell: Tell) -> None:
    file, words, check = WRITTEN[name]
    source, work = tmp_path / "src", tmp_path / "work"
    shutil.copytree(OLD, source)
    write_tunes(source / "tunes", range(6))
    work.mkdir()
    out = work / file
    given = [word.format(src=source, out=out) for word in words]
    came = at_once(COMMAND.format(words=given), writers)
    assert 0 in [status for status, _ in came], came
    for status, said in came:
        assert status in (0, 2) and "Traceback" not in said, said
        assert status == 0 or len(said.strip()) > 20
    check(out)
    left = [p.name for p in work.iterdir() if p.name != file]
    assert not left, left
    codes = sorted(status for status, _ in came)
    tell(f"{writers} writers: {name}", f"{writers}", "real", f"whole; ended with {codes}")


@pytest.mark.parametrize("writers", [2, 4])
def test_what_panels_keep(writers: int, tmp_path: Path, tell: Tell) -> None:
    """A page that finds another's text beside its own goes on in a file of its own."""
    ready, files = tmp_path / "ready", tmp_path / "files"
    ready.mkdir()
    files.mkdir()
    out = str(files / "clock-kept.json")
    came = at_once(KEEPS.format(out=out, ready=str(ready), writers=writers), writers)
    assert [status for status, _ in came] == [0] * writers, came
    kept = [Keep(path, "clock") for path in files.glob("*.json")]
    assert all(keep["number"] == "39" and len(keep["filling"]) == 4_000 for keep in kept)
    assert len({keep["whose"] for keep in kept}) == writers == len(kept)
    tell(
        f"{writers} writers: what a panel keeps",
        f"{40 * writers} times",
        "real",
        "each one's text kept",
    )


@pytest.mark.parametrize("writers", [2, 4])
def test_the_workbook_is_copied_by_several(writers: int, tmp_path: Path, tell: Tell) -> None:
    out = tmp_path / "mine"
    came = at_once(WORKBOOK.format(out=str(out)), writers)
    assert all(status == 0 for status, _ in came), came
    _notebooks(out)
    assert not [p for p in out.rglob(".*") if p.is_file() and p.suffix == ".ipynb"]
    tell(f"{writers} writers: the workbook", f"{writers}", "real", "every notebook whole")


def test_answers_of_four_and_a_reader(tmp_path: Path, tell: Tell) -> None:
    """While four write, what a reader finds is whole each time and never less than before."""
    script = """
import sys
from harmonykit.practice.sitting import Answered
from harmonykit.practice.progress import Progress
progress = Progress({out!r})
for number in range(1, 41):
    progress.add(Answered("2031-05-04", "quay", number, "scale", "words", 1, 1.0, 0, "x" * 90))
"""
    out = tmp_path / "progress.jsonl"
    running = [
        subprocess.Popen(
            [sys.executable, "-c", script.format(out=str(out))],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        for _ in range(4)
    ]
    before = looked = 0
    while any(one.poll() is None for one in running):
        if out.exists():
            found = len(read_progress(out).answers)
            assert found >= before
            before, looked = found, looked + 1
    assert [one.wait() for one in running] == [0] * 4
    assert len(read_progress(out).answers) == 160
    tell(
        "4 writers and a reader: answers", "160", "real", f"none lost; read {looked} times between"
    )
