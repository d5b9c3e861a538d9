"""Faults of the machine: a full disk, folders of others, odd names, no home, no net, a wrong clock.

What a user had is whole afterwards, old or new; what failed said so in one message.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from broken import COMMAND, NEEDS, OLD, PROGRESS, ROOT, refused, run, sources
from proving import Tell, many

from harmonykit.practice.progress import Progress, read_progress


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
