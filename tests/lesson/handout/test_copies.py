"""Pages set by copies of a process: the same PDF, each once, and nothing left behind."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

# What a process of its own does: one thread, unless it says otherwise.
SCRIPT = """
import os, signal, sys, threading
from harmonykit.lesson.handout.copies import set_beside
from harmonykit.lesson.handout.typeset import Unset

HERE = os.getpid()

class Said:
    def __init__(self, text):
        self.text = text
    def pdf(self):
        return b"by another process: " + self.text
    def pdf_here(self):
        return b"by a copy: " + self.text

def gather(text, only_copied=None, fails=False):
    def gathered():
        if only_copied is not None and os.getpid() != HERE:
            only_copied()
        if fails:
            raise ValueError("what is wrong with it")
        return Said(text)
    return gathered

def die():
    os.kill(os.getpid(), signal.SIGKILL)

def no_copies():
    try:
        os.waitpid(-1, 0)
    except ChildProcessError:
        return True
"""
PLAYED = (
    SCRIPT
    + """
# More than there are processors, and longer than a pipe holds.
texts = [bytes([65 + n]) * 100_000 for n in range(6)]
with set_beside([gather(text) for text in texts]) as ready:
    assert [ready(n)() for n in range(6)] == [b"by a copy: " + text for text in texts]
assert no_copies()

# One that dies, or goes wrong, does not keep those behind it waiting.
wrong = [gather(b"0", die), gather(b"1", lambda: 1 / 0), gather(b"2", die), gather(b"3")]
with set_beside(wrong) as ready:
    found = [ready(n)() for n in range(4)]
assert found == [b"by another process: %d" % n for n in range(3)] + [b"by a copy: 3"], found
with set_beside([gather(b"", fails=True)]) as ready:
    try:
        ready(0)()
    except ValueError as error:
        assert str(error) == "what is wrong with it"
    else:
        raise AssertionError

# What is given up is ended.
try:
    with set_beside([gather(b"", lambda: threading.Event().wait())]):
        raise KeyboardInterrupt
except KeyboardInterrupt:
    assert no_copies()

# A copy that waits for what another thread holds would wait for ever.
stop = threading.Event()
threading.Thread(target=stop.wait).start()
with set_beside([gather(b"1")]) as ready:
    assert ready(0)() == b"by another process: 1"
stop.set()
"""
)
REAL = (
    SCRIPT
    + """
pages = Unset.of("cues", {"title": "One", "pages": []})
with set_beside([lambda: pages]) as ready:
    assert ready(0)() == pages.pdf()
assert "typst" not in sys.modules
"""
)


@pytest.mark.skipif(sys.platform != "linux", reason="copies are made on Linux")
@pytest.mark.parametrize("script", [PLAYED, REAL], ids=["played", "real"])
def test_copies_of_a_process_set_its_pages(script: str) -> None:
    alone = os.environ | {"OPENBLAS_NUM_THREADS": "1"}
    done = subprocess.run(
        [sys.executable, "-c", script], env=alone, capture_output=True, text=True, timeout=120
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
