"""A lock that one program holds on a file or a folder; and a small file that several may add to.

The system holds the lock on a small file beside, ``.NAME.lock``, for as long as that is open: a
program that is killed lets go of it.  The file is removed with the lock; one that a killed program
left is taken over.  On a disk that knows no locks nothing is held.

What a user types may come from several programs at once.  Whoever writes holds the file's lock, and
looks at what the file holds by then: nothing that another wrote is cut off or written over.  Lines
are added at the end, each of them whole; what a program that died left half written there is the
only thing that is ever cut.
"""

import contextlib
import errno
import json
import os
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files.file import refused, shown

# Seconds between two looks at a lock that another holds.
_LOOK_EVERY = 0.01
_NO_LOCKS = {errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS}
_MARK = b"harmonykit works here; this file goes when it is done\n"


class Busy(HarmonyError):
    """Another program, or another part of this one, holds the lock."""


def lock_name(path: Path) -> Path:
    """Return the file on which the lock of a file or a folder is held."""
    return path.with_name(f".{path.name}.lock")


@contextmanager
def locked(path: Path, wait: float = 0.0) -> Iterator[None]:
    """Hold the lock of a file or a folder.

    Parameters
    ----------
    path : Path
        It need not be there, the folder around it must.
    wait : float
        Seconds to wait for another that holds it.

    Raises
    ------
    Busy
        If another holds it still.
    HarmonyError
        If nothing can be written there.
    """
    lock = lock_name(path)
    try:
        number = _taken(lock, time.monotonic() + wait)
    except OSError as trouble:
        raise refused(path, trouble) from None
    if number is None:
        raise Busy(
            f"{shown(path)} is being written by another program",
            rule="one program at a time writes a file",
            mend="save again when it is done, or use another name",
        )
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            lock.unlink()
        os.close(number)
        if os.name != "posix":
            # There a file that is open cannot be removed.
            with contextlib.suppress(OSError):
                lock.unlink()


def _taken(lock: Path, until: float) -> int | None:
    """Return the descriptor that holds the lock; nothing if another holds it too long."""
    while True:
        number = os.open(lock, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o644)
        try:
            held = _hold(number)
            if held and _is_still(lock, number):
                if os.fstat(number).st_size == 0:
                    with contextlib.suppress(OSError):
                        os.write(number, _MARK)
                return number
        except BaseException:
            os.close(number)
            raise
        os.close(number)
        if not held:
            if time.monotonic() >= until:
                return None
            time.sleep(_LOOK_EVERY)


def _is_still(lock: Path, number: int) -> bool:
    """Whether an open file is still the one of that name: who held it before removed it."""
    try:
        return os.path.samestat(os.stat(lock), os.fstat(number))
    except FileNotFoundError:
        return False


if os.name == "posix":
    import fcntl

    def _hold(number: int) -> bool:
        try:
            fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError as trouble:
            return trouble.errno in _NO_LOCKS
        return True

else:
    import msvcrt

    def _hold(number: int) -> bool:
        try:
            msvcrt.locking(number, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        except OSError:
            return False
        return True


# Seconds to wait for another that writes: it needs a thousandth of that.
WAIT = 20.0
_BLOCK = 1 << 16


def json_line(values: Mapping[str, object]) -> bytes:
    """Return values as a line of JSON, as it is added to a file.

    Examples
    --------
    >>> json_line({"at": "now"})
    b'{"at": "now"}\\n'
    """
    return (json.dumps(values, ensure_ascii=False) + "\n").encode()


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
            f"{shown(path)} is a file of another kind",
            rule="it is left unchanged",
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
