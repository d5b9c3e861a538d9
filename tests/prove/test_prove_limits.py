"""Limits that a machine sets: memory, a user who is not root, no way out but loopback.

Whole commands, each in processes of its own, from the first line of Python on.
"""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from made_tunes import write_tunes
from proving import Tell

ROOT = Path(__file__).resolve().parents[2]
OLD = ROOT / "tests" / "data" / "0.1.0"
LIMIT = 2**30
COMMANDS = {
    "chord": ["chord", "C13"],
    "ideas": ["ideas", "dim7"],
    "compare": ["compare", "heron_landing"],
    "sheet": ["sheet", "C", "Am", "F", "G7", "--out", "sheet.pdf"],
    "lesson with sound": ["lesson", "stiff_dominant", "--out", "lesson"],
    "course": ["course", "old/course.toml", "--out", "course"],
    "parts": ["parts", "heron_landing", "--out", "parts"],
    "playalong": ["playalong", "heron_landing", "--out", "along"],
    "practice": ["practice", "--out", "practice.html"],
    "survey": ["survey", "tunes", "--keys", "C", "--workers", "2", "--out", "survey"],
    "check": ["check", "old/draft.md", "old/answer.toml"],
}


def limited() -> None:
    """Leave this process, and each that it starts, an address space of 1 GiB."""
    resource.setrlimit(resource.RLIMIT_AS, (LIMIT, LIMIT))


@pytest.mark.skipif(sys.platform != "linux", reason="the limit of Linux on address space")
@pytest.mark.parametrize("name", COMMANDS)
def test_a_gibibyte_is_enough(name: str, tmp_path: Path, tell: Tell) -> None:
    """Of address space, which is more than what is in use, for every process of a command."""
    shutil.copytree(OLD, tmp_path / "old")
    write_tunes(tmp_path / "tunes", range(4))
    done = subprocess.run(
        [sys.executable, "-m", "harmonykit", *COMMANDS[name]],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
        preexec_fn=limited,  # noqa: PLW1509  no thread runs here
        capture_output=True,
        text=True,
        timeout=550,
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024
    tell(
        f"1 GiB for each process: {name}",
        "1 command",
        "real (RLIMIT_AS)",
        f"done; {most} MiB so far",
    )


# What another user's Python finds: that of the machine, and the libraries of this one.
SYSTEM = Path(f"/usr/bin/python3.{sys.version_info[1]}")
NOBODY = 65534


@pytest.fixture
def place() -> Iterator[Path]:
    """Give a folder that belongs to nobody, in one that everybody may enter."""
    with tempfile.TemporaryDirectory() as name:
        os.chmod(name, 0o755)
        mine = Path(name) / "mine"
        shutil.copytree(OLD, mine)
        for path in (mine, *mine.rglob("*")):
            os.chown(path, NOBODY, NOBODY)
        yield mine


def as_nobody(place: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run a command as a user who never was root and has no home."""
    libraries = next(path for path in sys.path if path.endswith("site-packages"))
    user = ["setpriv", f"--reuid={NOBODY}", f"--regid={NOBODY}", "--clear-groups"]
    return subprocess.run(
        [*user, str(SYSTEM), "-P", "-m", "harmonykit", *words],
        cwd=place,
        env={"PATH": "/usr/bin:/bin", "PYTHONPATH": f"{ROOT}:{libraries}", "HOME": "/nonexistent"},
        capture_output=True,
        text=True,
        timeout=550,
    )


def test_a_user_who_is_not_root(place: Path, tell: Tell) -> None:
    """All that is written: into a folder of one's own, and into folders and files of others."""
    if os.geteuid() or not (SYSTEM.exists() and shutil.which("setpriv")):
        pytest.skip("another user from the start takes root, and a Python that all may run")
    writes = {
        "lesson": ["lesson", "draft.md", "--out", "{out}"],
        "course": ["course", "course.toml", "--out", "{out}"],
        "practice": ["practice", "--questions", "10", "--out", "{out}.html"],
        "sheet": ["sheet", "C", "G7", "--out", "{out}.pdf"],
        "tune": ["tune", "lantern_steps.toml", "--out", "{out}.musicxml"],
        "survey": ["survey", "lantern_steps.toml", "--keys", "C", "--out", "{out}"],
        "parts": ["parts", "lantern_steps.toml", "--out", "{out}"],
    }
    roots = place.parent / "of root"
    readable = place / "read-only"
    for folder, mode in ((roots, 0o755), (readable, 0o555)):
        folder.mkdir()
        folder.chmod(mode)
    os.chown(readable, NOBODY, NOBODY)
    refused = 0
    for name, words in writes.items():
        own = as_nobody(place, *[word.format(out=f"own-{name}") for word in words])
        assert own.returncode == 0, own.stderr
        for folder in (roots, readable):
            done = as_nobody(place, *[word.format(out=folder / name) for word in words])
            assert done.returncode == 2 and "Traceback" not in done.stderr, (name, done.stderr)
            assert len(done.stderr.strip()) > 20 and folder.name in done.stderr, done.stderr
            assert not list(folder.iterdir()), name
            refused += 1
    tell(
        "a user who is not root", f"{len(writes)} kinds, {2 * len(writes)} foreign or read-only",
        "real (setpriv, from the first line)", f"{len(writes)} written, {refused} refused by name",
    )  # fmt: skip


def test_a_file_of_another_in_ones_own_folder(place: Path, tell: Tell) -> None:
    """What may be replaced is replaced whole; what may not be read is named."""
    if os.geteuid() or not (SYSTEM.exists() and shutil.which("setpriv")):
        pytest.skip("another user from the start takes root, and a Python that all may run")
    hidden = place / "hidden.toml"
    shutil.copy(place / "lantern_steps.toml", hidden)
    hidden.chmod(0o600)
    os.chown(hidden, 0, 0)
    done = as_nobody(place, "compare", "hidden.toml")
    assert done.returncode == 2 and "hidden.toml" in done.stderr
    assert "Traceback" not in done.stderr
    theirs = place / "theirs.musicxml"
    theirs.write_text("not a score")
    theirs.chmod(0o644)
    done = as_nobody(place, "tune", "lantern_steps.toml", "--out", "theirs.musicxml")
    written = theirs.read_text(encoding="utf-8")
    assert "Traceback" not in done.stderr
    whole = written.rstrip().endswith("</score-partwise>")
    assert whole if done.returncode == 0 else written == "not a score"
    tell("files of another", "2", "real (setpriv)", "named, or replaced whole")


LOOPBACK = """
import fcntl, os, socket, struct, sys
with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
    name = struct.pack("16sH14x", b"lo", 1 | 8)  # up and loopback
    fcntl.ioctl(one, 0x8914, name)
os.execv(sys.executable, [sys.executable, *sys.argv[1:]])
"""


def test_a_notebook_with_loopback_alone(tmp_path: Path, tell: Tell) -> None:
    """A kernel is spoken to over loopback; there is no other way out of the name space."""
    alone = ["unshare", "-n"]
    if not shutil.which("unshare") or subprocess.run([*alone, "true"]).returncode:
        pytest.skip("a network of its own takes root on Linux")
    from lab_in_browser import private, write_notebook

    cells = ("import harmonykit as hk", 'hk.workbook.ClockPanel("C7")', 'hk.chord("C13")')
    refused = (
        "import socket\ntry:\n    socket.create_connection(('192.0.2.1', 80), 3)\n"
        "except OSError as error:\n    print('no way out:', error)"
    )
    write_notebook(tmp_path / "one.ipynb", *cells, refused)
    execute = ["-m", "nbconvert", "--to", "notebook", "--execute", "one.ipynb", "--output", "two"]
    done = subprocess.run(
        [*alone, sys.executable, "-c", LOOPBACK, *execute],
        cwd=tmp_path,
        env={**os.environ, **private(tmp_path), "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=550,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert "no way out" in (tmp_path / "two.ipynb").read_text(encoding="utf-8")
    tell("loopback alone", "1 notebook", "real (a name space)", "run, its kernel reached")
