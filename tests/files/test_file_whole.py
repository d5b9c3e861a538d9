"""A file is written whole or not at all, and nothing stays of one that was not."""

from __future__ import annotations

import errno
import os
import resource
import signal
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.files import file, write_new, write_whole
from harmonykit.files.manifest import write_beside


@pytest.mark.parametrize("call", ["replace", "fsync"])
@pytest.mark.parametrize(
    ("number", "said"), [(errno.ENOSPC, "the disk is full"), (errno.EIO, os.strerror(errno.EIO))]
)
def test_a_write_that_fails_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str, number: int, said: str
) -> None:
    path = tmp_path / "x.txt"
    write_whole(path, "old ♭")

    def full(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(file.os, call, full)
    with pytest.raises(HarmonyError, match=f"x.txt cannot be written: {said}"):
        write_whole(path, b"new")
    assert [each.name for each in tmp_path.iterdir()] == ["x.txt"]
    assert path.read_text(encoding="utf-8") == "old ♭"


FULL = """
import resource, signal, sys
from pathlib import Path
from harmonykit.errors import HarmonyError
from harmonykit.files import write_new, write_whole
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
for write, name in ((write_whole, "old"), (write_whole, "new"), (write_new, "newer")):
    try:
        write(Path(sys.argv[1]) / name, b"x" * 5000)
    except HarmonyError as error:
        print(error.what.rpartition(": ")[2])
"""


def test_a_disk_that_takes_no_more_leaves_no_empty_file(tmp_path: Path) -> None:
    # A limit on the size of files breaks a write off in its middle, as a full disk does.
    (tmp_path / "old").write_text("old")
    run = [sys.executable, "-c", FULL, str(tmp_path)]
    said = subprocess.run(run, capture_output=True, text=True, check=True).stdout.splitlines()
    assert said == ["the system allows no file of that size"] * 3
    assert [each.name for each in tmp_path.iterdir()] == ["old"]
    assert (tmp_path / "old").read_text() == "old"


def test_permissions_and_links_stay(tmp_path: Path) -> None:
    path, link = tmp_path / "x", tmp_path / "link"
    write_whole(path, "old")
    path.chmod(0o600)
    link.symlink_to("x")
    write_whole(link, "new")
    assert link.is_symlink() and path.read_text() == "new"
    assert path.stat().st_mode & 0o777 == 0o600


def test_a_folder_and_a_mangled_path_are_said(tmp_path: Path) -> None:
    for write in (write_whole, write_new):
        with pytest.raises(HarmonyError, match="is a folder|exists already"):
            write(tmp_path, "x")
        with pytest.raises(HarmonyError, match="is not a path"):
            write(tmp_path / "a\0b", "x")
        with pytest.raises(HarmonyError, match="the name is too long"):
            write(tmp_path / ("x" * 300), "x")
    assert [*tmp_path.iterdir()] == []


@pytest.mark.parametrize("links", [True, False])
def test_a_new_file_takes_no_name_that_is_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    if not links:

        def refuse(*_: object) -> None:
            raise OSError(errno.EPERM, "no links")

        monkeypatch.setattr(file.os, "link", refuse)
    won: list[int] = []

    def write(number: int) -> None:
        try:
            write_new(tmp_path / "x", f"{number}" * 1000)
            won.append(number)
        except HarmonyError as error:
            assert "exists already" in error.what

    threads = [threading.Thread(target=write, args=(n,)) for n in range(8 if links else 1)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(won) == 1 and (tmp_path / "x").read_text() == f"{won[0]}" * 1000
    write(9)
    assert len(won) == 1 and [each.name for each in tmp_path.iterdir()] == ["x"]


WRITER = """
import sys
from pathlib import Path
from harmonykit.files import write_whole
for n in range(1_000_000):
    write_whole(Path(sys.argv[1]), f"{n:6}" * 3000)
    print(n, flush=True)
"""


def test_killed_while_it_writes(tmp_path: Path) -> None:
    path = tmp_path / "x"
    for number in range(5):
        command = [sys.executable, "-c", WRITER, str(path)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            for _ in range(1 + 7 * number):
                process.stdout.readline()
            process.send_signal(signal.SIGKILL)
        text = path.read_text()
        assert len(text) == 18_000 and len({text[n : n + 6] for n in range(0, 18_000, 6)}) == 1


assert resource.RLIMIT_FSIZE  # What the test of the full disk needs.


@pytest.mark.parametrize("write", [write_whole, write_beside])
def test_a_pipe_or_a_device_is_never_replaced(
    tmp_path: Path, write: Callable[[Path, bytes], object]
) -> None:
    pipe, link = tmp_path / "pipe", tmp_path / "link"
    os.mkfifo(pipe)
    link.symlink_to("pipe")
    for path in (pipe, link):
        with pytest.raises(HarmonyError, match=f"{path.name} is not a file"):
            write(path, b"x")
    assert stat.S_ISFIFO(pipe.lstat().st_mode) and link.is_symlink()
    assert len(os.listdir(tmp_path)) == 2


@pytest.mark.parametrize("write", [write_whole, write_beside])
def test_no_name_and_a_missing_folder_are_said(
    tmp_path: Path, write: Callable[[Path, bytes], object]
) -> None:
    with pytest.raises(HarmonyError, match="is a folder") as caught:
        write(Path(""), b"x")
    assert caught.value.mend == "the name of a file"
    with pytest.raises(HarmonyError, match="a folder of the path is missing") as caught:
        write(tmp_path / "not" / "x.csv", b"x")
    assert caught.value.mend == "make that folder first, or name another"
    assert not os.listdir(tmp_path)
