"""Killed at every write, written by many at once: nothing is lost, and each file is whole."""

from __future__ import annotations

import csv
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from broken import COMMAND, NEEDS, PROGRESS, ROOT, is_whole, run, sources
from dying import dying
from made_tunes import write_tunes
from proving import Tell, many

from harmonykit.practice.progress import read_progress
from harmonykit.workbook.base.keep import Keep

SURVEYS = ["harmonykit.cli.survey", "harmonykit.arrange.survey.run", "pyarrow.parquet"]
MANY_ANSWERS = PROGRESS.replace("range(1, 26)", "range(1, 76)")
KEPT = """
import sys
from harmonykit.workbook.base.keep import Keep
keep = Keep(sys.argv[1], "clock")
for number in range(1, 41):
    keep.put(number=str(number), filling="x" * 4000)
"""
WORKBOOK = """
import sys
from pathlib import Path
from harmonykit.workbook.launch import copy_notebooks
copy_notebooks(Path(sys.argv[1]))
"""


def _lesson_whole(out: Path) -> bool:
    return is_whole(out if out.exists() else out.with_name(out.name + ".previous"))


def _progress_whole(path: Path) -> bool:
    numbers = [each.number for each in read_progress(path).answers] if path.exists() else []
    return numbers == list(range(1, len(numbers) + 1))


def _kept_whole(path: Path) -> bool:
    keep = Keep(path, "clock")
    return not path.exists() or (not keep.trouble and len(keep["filling"]) == 4_000)


def _survey_whole(folder: Path) -> bool:
    """Whether every part is a table of whole rows, and each file that has a name is whole."""
    rows = []
    for part in folder.glob("parts/*.csv"):
        with part.open(encoding="utf-8", newline="") as file:
            rows += [None in row.values() for row in csv.DictReader(file)]
    listed = folder / "manifest.json"
    return not any(rows) and (not listed.exists() or bool(json.loads(listed.read_text())))


def _workbook_whole(folder: Path) -> bool:
    return all(
        json.loads(path.read_text(encoding="utf-8"))["cells"]
        for path in folder.rglob("*.ipynb")
        if not path.name.startswith(".")
    )


KILLED: dict[str, tuple[str, list[str], list[str], Callable[[Path], bool]]] = {
    "lesson": (COMMAND, NEEDS, ["lesson", "{src}/draft.md", "--out", "{out}"], _lesson_whole),
    "course": (COMMAND, NEEDS, ["course", "{src}/course.toml", "--out", "{out}"], _lesson_whole),
    "survey": (COMMAND, SURVEYS, "survey {src}/tunes --keys C --out {out}".split(), _survey_whole),
    "practice": (MANY_ANSWERS, ["harmonykit.practice.progress"], ["{out}"], _progress_whole),
    "what a panel keeps": (KEPT, ["harmonykit.workbook.base.keep"], ["{out}"], _kept_whole),
    "workbook": (WORKBOOK, ["harmonykit.workbook.launch"], ["{out}"], _workbook_whole),
}


@pytest.mark.skipif(os.name != "posix", reason="kills a process by signal")
@pytest.mark.parametrize("name", KILLED)
def test_killed_at_every_write(name: str, tmp_path: Path, tell: Tell) -> None:
    script, needs, words, whole = KILLED[name]
    source = sources(tmp_path / "src").parent
    write_tunes(source / "tunes", range(3))
    work = tmp_path / "work"
    work.mkdir()
    out = work / "out"
    arguments = [word.format(src=source, out=out) for word in words]
    if name in ("lesson", "course"):
        assert run(*arguments).returncode == 0
    step, most = 1, many(400)
    with dying(script, work, needs, *arguments) as dies_at:
        while step <= most and dies_at(step):
            assert whole(out), step
            if name in ("practice", "survey", "what a panel keeps"):
                shutil.rmtree(work)  # it begins anew each time
                work.mkdir()
            step += 1
    assert step > 5 or most <= 5
    tell(f"kill -9 at every write: {name}", str(step - 1), "real", "nothing lost")


BUILDS = """
import sys
from harmonykit.cli import main
sys.argv[1:] = ["lesson", sys.argv[1], "--out", sys.argv[2]]
main()
"""


@pytest.mark.parametrize("writers", [2, 4])
def test_writers_at_once(writers: int, tmp_path: Path, tell: Tell) -> None:
    """So many programs at one file of answers, and at one lesson's folder."""
    path, each = tmp_path / "progress.jsonl", 25
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    script = PROGRESS.replace('"quay"', "sys.argv[2]")
    running = [
        subprocess.Popen([sys.executable, "-c", script, str(path), f"seed{n}"], env=environment)
        for n in range(writers)
    ]
    assert [one.wait(300) for one in running] == [0] * writers
    answers = read_progress(path).answers
    assert len(answers) == each * writers
    source, out = sources(tmp_path / "src"), tmp_path / "out"
    builders = [
        subprocess.Popen(
            [sys.executable, "-c", BUILDS, str(source), str(out)],
            env=environment,
            stderr=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            text=True,
        )
        for _ in range(writers)
    ]
    said = [one.communicate(timeout=300)[1] for one in builders]
    codes = [one.returncode for one in builders]
    assert 0 in codes and set(codes) <= {0, 2} and not any("Traceback" in each for each in said)
    assert is_whole(out)
    left = sorted(p.name for p in tmp_path.iterdir())
    assert left == ["out", "progress.jsonl", "src"]
    tell(f"{writers} writers", "1 file, 1 folder", "real", f"all answers kept; lesson: {codes}")


def test_the_survey_killed_at_random(tmp_path: Path, tell: Tell) -> None:
    """Killed at a growing number of parts, begun again each time; the end is as undisturbed."""
    write_tunes(tmp_path / "tunes", range(6))
    words = ["survey", str(tmp_path / "tunes"), "--keys", "C,A", "--out"]
    assert run(*words, str(tmp_path / "whole")).returncode == 0
    out, kills, before = tmp_path / "out", 0, -1
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    for _ in range(many(20)):
        child = subprocess.Popen(
            [sys.executable, "-c", COMMAND, *words, str(out)],
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        while child.poll() is None and len(list(out.glob("parts/*"))) <= before + 1:
            pass
        if child.poll() is None:
            os.killpg(child.pid, signal.SIGKILL)
            kills += 1
        child.wait()
        before = len(list(out.glob("parts/*")))
        if child.returncode == 0:
            break
    assert run(*words, str(out)).returncode == 0
    parts = {p.name: p.read_bytes() for p in (out / "parts").iterdir()}
    assert parts == {p.name: p.read_bytes() for p in (tmp_path / "whole" / "parts").iterdir()}
    tell("kill -9 of a survey", str(kills), "real", "goes on; the same parts in the end")
