"""Pages gathered and set by copies of this process, beside all else that it does.

A copy (``fork``) has the lesson as it was read and arranged, and leaves a PDF and nothing else.
Only a process with one thread is copied, and only on Linux, which says how many it has; elsewhere,
as in a notebook, pages are gathered here and set by another process.  What a copy could not do is
done here, and what is wrong with it is said here.
"""

import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress

from harmonykit.lesson.handout.typeset import Unset
from harmonykit.values import dataclass

Gather = Callable[[], Unset]
Pdf = Callable[[], bytes]


@contextmanager
def set_beside(gathers: Sequence[Gather]) -> Iterator[Callable[[int], Pdf]]:
    """Give what readies pages by their place, and returns what waits for their PDF.

    Where this process can be copied they are begun at once, as many at a time as there are
    processors; what is not done at the end is given up.
    """
    if not gathers or not _can_copy():
        yield lambda n: gathers[n]().pdf
        return
    begun, width = list[_Copy](), len(os.sched_getaffinity(0))
    try:
        for n, gather in enumerate(gathers):
            begun.append(_Copy.begun(gather, begun[n - width] if n >= width else None))
        yield lambda n: begun[n].pdf
    finally:
        for copy in begun:
            copy.end()


def _can_copy() -> bool:
    """Whether this process has one thread, as far as is known: a copy has no other."""
    try:
        return sys.platform == "linux" and len(os.listdir("/proc/self/task")) == 1
    except OSError:
        return False


@dataclass(frozen=True, slots=True)
class _Copy:
    """A copy of this process: its number, the file in memory that it fills, and a pipe.

    The system closes the pipe's other end when the copy ends, in whichever way.
    """

    gather: Gather
    number: int
    file: int
    pipe: int

    @classmethod
    def begun(cls, gather: Gather, before: "_Copy | None") -> "_Copy":
        """Begin a copy that waits until the one ``before`` has ended."""
        file, (pipe, end) = os.memfd_create("pages"), os.pipe()
        number = os.fork()
        if number == 0:
            _fill(file, gather, end, before)
        os.close(end)
        return cls(gather, number, file, pipe)

    def pdf(self) -> bytes:
        """Wait for the PDF, and return it."""
        ended = os.waitid(os.P_PID, self.number, os.WEXITED | os.WNOWAIT)
        if ended is None or (ended.si_code, ended.si_status) != (os.CLD_EXITED, 0):
            return self.gather().pdf()
        with open(self.file, "rb", closefd=False) as filled:
            filled.seek(0)
            return filled.read()

    def end(self) -> None:
        """End the copy where it has not ended."""
        os.kill(self.number, signal.SIGKILL)
        os.waitpid(self.number, 0)
        os.close(self.file)
        os.close(self.pipe)


def _fill(file: int, gather: Gather, end: int, before: _Copy | None) -> None:
    """Do what a copy is for and leave, without what this process would do at its own end."""
    status = 1
    with suppress(BaseException):
        _let_go({file, end, before.pipe} if before else {file, end})
        if before is not None:
            os.read(before.pipe, 1)
        with open(file, "wb") as target:
            target.write(gather().pdf_here())
        status = 0
    os._exit(status)


def _let_go(kept: set[int]) -> None:
    """Close what the process that was copied has open, such as a lock, and say nothing any more."""
    nothing = os.open(os.devnull, os.O_RDWR)
    for number in range(3):
        os.dup2(nothing, number)
    for number in map(int, os.listdir("/proc/self/fd")):
        if number > 2 and number not in kept:
            with suppress(OSError):
                os.close(number)
