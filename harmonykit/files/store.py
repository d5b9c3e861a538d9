"""What a user types, kept in a small file that several programs may write to at once.

Whoever writes holds the file's lock, and looks at what the file holds by then: nothing that another
wrote is cut off or written over.  Lines are added at the end, each of them whole; what a program
that died left half written there is the only thing that is ever cut.
"""

import errno
import os
from collections.abc import Callable
from itertools import count
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files.lock import locked
from harmonykit.files.said import refused, shown

# Seconds to wait for another that writes: it needs a thousandth of that.
WAIT = 20.0
_BLOCK = 1 << 16


def append(path: Path, head: bytes, line: bytes, is_whole: Callable[[bytes], bool]) -> bytes:
    """Add a line to a file, after what anybody wrote before.

    Parameters
    ----------
    path : Path
        Made with ``head`` as its first line, if it is not there.
    head, line : bytes
        Each ends in a line feed.
    is_whole : callable
        Whether bytes without a line feed at the end of the file are a line all the same, as after
        an editor.

    Returns
    -------
    bytes
        What was torn at the end of the file, and cut off.

    Raises
    ------
    HarmonyError
        If the file cannot be written, or holds one line that is not ours; it is then as it was.
    """
    with locked(path, WAIT):
        try:
            number = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644)
            try:
                return _append(number, path, head, line, is_whole)
            finally:
                empty = os.fstat(number).st_size == 0
                os.close(number)
                if empty:
                    path.unlink()
        except OSError as trouble:
            raise refused(path, trouble) from None


def _append(
    number: int, path: Path, head: bytes, line: bytes, is_whole: Callable[[bytes], bool]
) -> bytes:
    end, tail = _tail(number)
    if tail and is_whole(tail):
        _write(number, end + len(tail), b"\n" + line)
        return b""
    if tail and not end and not head.startswith(tail[:40]):
        raise HarmonyError(
            f"{shown(path)} now holds something else",
            rule="it is left as it is",
            mend="move it away to start a new one",
        )
    os.ftruncate(number, end)
    _write(number, end, line if end else head + line)
    return tail


def _tail(number: int) -> tuple[int, bytes]:
    """Return where the last whole line of an open file ends, and what comes after it."""
    size = start = os.fstat(number).st_size
    tail = b""
    while start:
        block = min(_BLOCK, start)
        start -= block
        os.lseek(number, start, os.SEEK_SET)
        tail = os.read(number, block) + tail
        if b"\n" in tail[:block]:
            end = start + tail.rfind(b"\n") + 1
            return end, tail[end - start :]
    return size - len(tail), tail


def _write(number: int, place: int, data: bytes) -> None:
    """Write all of it at a place, or leave the file as long as it was."""
    os.lseek(number, place, os.SEEK_SET)
    left = data
    try:
        while left:
            written = os.write(number, left)
            if not written:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            left = left[written:]
        os.fsync(number)
    except BaseException:
        os.ftruncate(number, place)
        raise


def free_name(path: Path, mark: str, first: int = 1) -> Path:
    """Return a name beside a file that nothing has yet: its own with a mark and a number."""
    names = (path.with_name(f"{path.stem}{mark}{n}{path.suffix}") for n in count(first))
    return next(name for name in names if not os.path.lexists(name))
