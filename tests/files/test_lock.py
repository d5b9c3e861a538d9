"""A lock keeps two writers apart, and ends with the program that holds it."""

from __future__ import annotations

import errno
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from harmonykit.files import lock as locks
from harmonykit.files.lock import Busy, lock_name, locked

HOLDER = """
import sys, time
from pathlib import Path
from harmonykit.files.lock import locked
with locked(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.read()
"""


def holder(path: Path) -> subprocess.Popen[bytes]:
    run = [sys.executable, "-c", HOLDER, str(path)]
    process = subprocess.Popen(run, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    assert process.stdout is not None and process.stdout.readline() == b"held\n"
    return process


def test_it_is_held_by_a_program_and_ends_with_it(tmp_path: Path) -> None:
    path = tmp_path / "x"
    with holder(path) as process:
        with pytest.raises(Busy, match="x is being written by another program"), locked(path):
            pass
        process.send_signal(signal.SIGKILL)
        process.wait()
    # The file that it left is taken over, and goes.
    assert lock_name(path).stat().st_size > 0
    with locked(path):
        assert lock_name(path).exists()
    assert [*tmp_path.iterdir()] == []


def test_who_waits_gets_it(tmp_path: Path) -> None:
    path = tmp_path / "x"
    with holder(path) as process:
        got = threading.Event()

        def wait() -> None:
            with locked(path, wait=60):
                got.set()

        thread = threading.Thread(target=wait)
        thread.start()
        assert not got.is_set()
        assert process.stdin is not None
        process.stdin.close()
        thread.join()
        assert got.is_set()
    assert [*tmp_path.iterdir()] == []


def test_many_threads_one_at_a_time(tmp_path: Path) -> None:
    path, inside, most = tmp_path / "x", [0], [0]

    def work() -> None:
        for _ in range(30):
            with locked(path, wait=60):
                inside[0] += 1
                most[0] = max(most[0], inside[0])
                inside[0] -= 1

    threads = [threading.Thread(target=work) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == [1] and [*tmp_path.iterdir()] == []


def test_a_disk_that_knows_no_locks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def flock(*_: object) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(locks.fcntl, "flock", flock)
    with locked(tmp_path / "x"):
        pass
    assert [*tmp_path.iterdir()] == []
