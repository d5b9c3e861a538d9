"""A process that dies while it writes, at a step that is counted, not at a moment that is timed.

Every file that Python opens for writing, makes, renames or removes below a folder is a step that
the interpreter announces (PEP 578, audit hooks).  What is killed at each step in turn is killed in
all the states that a power cut may leave behind.

Each death is a copy (``fork``) of one process that has loaded what the script needs, and that has
one thread: to load it anew for each step would take most of the time.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

Dies = Callable[[int], bool]

# Reads a step from each line that comes in, and answers with the status of the copy that was to
# die there.  Whatever a copy says, it says on the error stream.
ORIGINAL = """
import json, os, signal, sys
script, folder, needs, arguments = json.loads(sys.argv[1])
for name in needs:
    __import__(name)

def die_at(step):
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

for line in sys.stdin:
    copy = os.fork()
    if not copy:
        os.dup2(2, 1)
        sys.argv[1:] = arguments
        die_at(int(line))
        exec(script, {"__name__": "__main__"})
        sys.exit()
    print(os.waitstatus_to_exitcode(os.waitpid(copy, 0)[1]), flush=True)
"""


@contextmanager
def dying(script: str, folder: Path, needs: list[str], *arguments: str) -> Iterator[Dies]:
    """Give a function that runs a script that is killed before a step below a folder.

    It returns whether the script got that far.  The script passes or it is killed; to fail by
    itself is an error of the test.

    Parameters
    ----------
    script : str
    folder : Path
    needs : list of str
        Modules that are loaded once for all runs.
    *arguments : str
        Of the script's command line.
    """
    given = json.dumps([script, os.path.abspath(folder), needs, arguments])
    with subprocess.Popen(
        [sys.executable, "-c", ORIGINAL, given],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        text=True,
    ) as original:
        assert original.stdin is not None and original.stdout is not None

        def dies_at(step: int) -> bool:
            print(step, file=original.stdin, flush=True)
            status = int(original.stdout.readline())
            assert status in (0, -signal.SIGKILL), status
            return status != 0

        yield dies_at
        original.stdin.close()
