"""A lock that one program holds on a file or a folder, and that ends with the program.

The system holds it on a small file beside, ``.NAME.lock``, for as long as that is open: a program
that is killed lets go of it.  The file is removed with the lock; one that a killed program left is
taken over.  On a disk that knows no locks nothing is held.
"""

import contextlib
import errno
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files.said import refused, shown

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
            rule="one at a time",
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
