"""A process that dies while it writes, at a step that is counted, not at a moment that is timed.

Every file that Python opens for writing, makes, renames or removes below a folder is a step that
the interpreter announces (PEP 578, audit hooks).  What is killed at each step in turn is killed in
all the states that a power cut may leave behind.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

HOOK = """
import os, signal, sys
def _die_at(step, folder):
    left = [step]
    def hook(event, given):
        if event == "open":
            writes = bool(given[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))
        else:
            writes = event in {"os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link"}
        path = given[0] if given else ""
        if not writes or not isinstance(path, (str, bytes, os.PathLike)):
            return
        if os.path.abspath(os.fsdecode(path)).startswith(folder):
            left[0] -= 1
            if not left[0]:
                os.kill(os.getpid(), signal.SIGKILL)
    sys.addaudithook(hook)
_die_at(int(sys.argv.pop(1)), sys.argv.pop(1))
"""


def dies_at(step: int, folder: Path, script: str, *arguments: str) -> bool:
    """Run a script that is killed before its step below a folder; whether it got that far.

    It passes or it is killed; to fail by itself is an error of the test.
    """
    done = subprocess.run(
        [sys.executable, "-c", HOOK + script, str(step), os.path.abspath(folder), *arguments],
        capture_output=True,
        text=True,
    )
    assert done.returncode in (0, -signal.SIGKILL), done.stderr
    return done.returncode != 0
