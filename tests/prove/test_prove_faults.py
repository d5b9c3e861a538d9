"""Faults of the machine: a full disk, a kill at every write, folders of others, no home, no net.

What a user had is whole afterwards, old or new; what failed said so in one message.
"""

from __future__ import annotations

import csv
import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from dying import dying
from made_tunes import write_tunes
from proving import Tell, many

from harmonykit.practice.progress import Progress, read_progress
from harmonykit.workbook.base.keep import Keep

ROOT = Path(__file__).resolve().parents[2]
OLD = ROOT / "tests" / "data" / "0.1.0"
COMMAND = "from harmonykit.cli import main; main()"
SURVEYS = ["harmonykit.cli.survey", "harmonykit.arrange.survey.run", "pyarrow.parquet"]
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


@contextmanager
def small_disk(folder: Path, kib: int) -> Iterator[Path]:
    """Mount a file system of so many KiB, which takes root."""
    folder.mkdir(exist_ok=True)
    size = ["mount", "-t", "tmpfs", "-o", f"size={kib}k", "tmpfs", str(folder)]
    if os.name != "posix" or subprocess.run(size, capture_output=True).returncode:
        pytest.skip("mounting a small disk takes root on Linux")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


WRITES = {
    "lesson": ["lesson", "{src}/draft.md", "--out", "{disk}/out"],
    "course": ["course", "{src}/course.toml", "--out", "{disk}/out"],
    "parts": ["parts", "{src}/lantern_steps.toml", "--out", "{disk}/out"],
    "sheet": ["sheet", "Am7", "D7", "--out", "{disk}/out.pdf"],
    "tune": ["tune", "{src}/lantern_steps.toml", "--out", "{disk}/out.musicxml"],
    "survey": "survey {src}/lantern_steps.toml --keys C --out {disk}/out".split(),
}


@pytest.mark.parametrize("name", WRITES)
def test_a_full_disk(name: str, tmp_path: Path, tell: Tell) -> None:
    """Room for one page of 4 KiB more each time, until all fits; what stood there stays whole."""
    source = sources(tmp_path / "src").parent
    tried, room, most = 0, 4, 4 + 4 * many(400)
    with small_disk(tmp_path / "disk", 8_192) as disk:
        arguments = [word.format(src=source, disk=disk) for word in WRITES[name]]
        first = run(*arguments)
        assert first.returncode == 0, first.stderr
        out = next(disk.glob("out*"))
        before = _contents(out)
        used = sum(len(data) for data in before.values())
        filler = disk / "filler"
        while room < most:
            free = os.statvfs(disk).f_bavail * os.statvfs(disk).f_frsize
            filler.write_bytes(b"\0" * max(0, filler.stat().st_size if filler.exists() else 0))
            with filler.open("ab") as file:
                file.write(b"\0" * max(0, free - room * 1024))
            tried += 1
            failed = refused(run(*arguments))
            if not failed:
                break
            assert _contents(out) == before
            filler.unlink()
            room = room + 4 if room < 64 else room + max(4, room // 8 // 4 * 4)
        assert room * 1024 <= 4 * used + 512 * 1024 or many(400) < 400
    tell(f"full disk: {name}", str(tried), "real (a small tmpfs)", "old files whole, one message")


def _contents(path: Path) -> dict[str, bytes]:
    """Return what a file or folder holds; of a manifest, that it is whole: it has the time."""
    files = [path] if path.is_file() else sorted(p for p in path.rglob("*") if p.is_file())
    found = {str(p.relative_to(path.parent)): p.read_bytes() for p in files}
    for name in found:
        if name.endswith("manifest.json"):
            found[name] = "".join(sorted(json.loads(found[name])["files"])).encode()
    return found


@pytest.fixture
def open_path() -> Iterator[Path]:
    """Give a folder that every user may enter."""
    with tempfile.TemporaryDirectory() as name:
        os.chmod(name, 0o755)
        yield Path(name)


def test_folders_that_may_not_be_written(open_path: Path, tell: Tell) -> None:
    """By a user who is not root, in a copy of a process that was root while it loaded Python."""
    if not hasattr(os, "fork") or os.geteuid():
        pytest.skip("to become another user takes root")
    source = sources(open_path / "src").parent
    homes = {"read-only": 0o555, "of another": 0o755}
    came = []
    for name, mode in homes.items():
        folder = open_path / name
        folder.mkdir()
        os.chmod(folder, mode)
        words = ["lesson", str(source / "draft.md"), "--out", str(folder / "out")]
        script = FORKED.format(needs=NEEDS, words=words, source=str(source / "draft.md"))
        done = subprocess.run(
            [sys.executable, "-c", script],
            capture_output=True,
            text=True,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            timeout=300,
        )
        assert "Traceback" not in done.stderr, done.stderr
        assert done.returncode == 2 and "out" in done.stderr
        assert not list(folder.iterdir())
        came.append(done.stderr.strip().splitlines()[0])
    tell("folders of others", str(len(came)), "real (another user)", "; ".join(came)[:120])


FORKED = """
import os, sys, tempfile
for name in {needs!r}:
    __import__(name)
from harmonykit.lesson.build import build_lesson
with tempfile.TemporaryDirectory() as scratch:
    build_lesson({source!r}, os.path.join(scratch, "out"))
os.setgid(65534)
os.setuid(65534)
sys.argv[1:] = {words!r}
from harmonykit.cli import main
main()
"""
ODD = [
    "a b.md", "-dash.md", "läng.md", "潮.md", "semi;colon.md", "qu'ote.md", 'dou"ble.md', "$H.md",
    "new\nline.md", "tab\t.md", "%s.md", "{x}.md", "#hash.md", "back\\slash.md", "star*.md", "..md",
    "\u202eright.md", "e\u0301.md", "&amp;.md", "<b>.md", "a" * 200 + ".md", "con.md", "~.md",
]  # fmt: skip


def test_names_with_every_odd_sign(tmp_path: Path, tell: Tell) -> None:
    built = 0
    for number, name in enumerate(ODD[: many(len(ODD))]):
        folder = tmp_path / f"{number}"
        path = sources(folder).rename(folder / name)
        done = run("lesson", str(path), "--out", str(folder / f"out of {name}"[:120].strip(".")))
        if not refused(done):
            built += 1
    assert built >= many(len(ODD)) - 3
    tell("names with odd signs", str(many(len(ODD))), "real", f"{built} built, others refused")


def test_no_home_and_no_caches(tmp_path: Path, tell: Tell) -> None:
    source = sources(tmp_path / "src")
    nowhere = "/proc/nowhere"
    kept = {name: os.environ[name] for name in ("PATH", "LANG") if name in os.environ}
    spoilt = {
        "no variables": {},
        "a home that is not there": {"HOME": nowhere, "XDG_CACHE_HOME": nowhere},
        "no temporary folder's name": {"TMPDIR": nowhere, "MPLCONFIGDIR": nowhere},
        "plain C as language": {"LC_ALL": "C", "PYTHONUTF8": "0", "HOME": nowhere},
    }
    for number, given in enumerate(spoilt.values()):
        env = {**kept, "PYTHONPATH": str(ROOT), **given}
        done = run("lesson", str(source), "--out", str(tmp_path / f"out{number}"), env=env)
        assert done.returncode == 0, done.stderr
        done = run("compare", str(source.parent / "lantern_steps.toml"), env=env)
        assert done.returncode == 0, done.stderr
    tell("no home, no caches", str(len(spoilt)), "real (variables)", "lesson and compare done")


def test_without_a_network(tmp_path: Path, tell: Tell) -> None:
    """In a network name space of its own, where not even loopback is up."""
    alone = ["unshare", "-n"]
    if not shutil.which("unshare") or subprocess.run([*alone, "true"]).returncode:
        pytest.skip("a network of its own takes root on Linux")
    source = sources(tmp_path / "src")
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    for words in (
        ["lesson", str(source), "--out", str(tmp_path / "out")],
        ["lesson", "two_strings_are_enough", "--out", str(tmp_path / "whole")],
        ["compare", str(source.parent / "lantern_steps.toml")],
        ["ideas", "dim7"],
        ["chord", "C13"],
    ):
        done = subprocess.run(
            [*alone, sys.executable, "-c", COMMAND, *words],
            capture_output=True,
            text=True,
            env=environment,
            timeout=300,
        )
        assert done.returncode == 0, done.stderr
    tell("no network", "5 commands", "real (a name space)", "all done")


def test_a_clock_that_goes_back(tmp_path: Path, tell: Tell) -> None:
    """Answers of today, then of ten years before: all are kept, in the order of their giving."""
    path = tmp_path / "progress.jsonl"
    shutil.copy(OLD / "progress.jsonl", path)
    before = len(read_progress(path).answers)
    script = PROGRESS.replace("2031-05-04", "{day}")
    for day in ("2036-01-01", "2016-01-01", "1970-01-01", "2036-01-02"):
        done = subprocess.run(
            [sys.executable, "-c", script.replace("{day}", day), str(path)],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
    progress = Progress(path)
    assert progress.trouble == "" and len(progress.answers) == before + 100
    tell("a clock that goes back", "4 sittings", "stood in for (dates given)", "100 of 100 kept")


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
