"""Two folders that change their names in one step, where the system can do that."""

import ctypes
import errno
import os
import sys
from functools import lru_cache
from pathlib import Path
from typing import Any

# Linux 3.15: renameat2(2); macOS 10.12: renamex_np(2).
_AT_FDCWD, _RENAME_EXCHANGE, _RENAME_SWAP = -100, 2, 2
_CANNOT = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EPERM}


def exchange(one: Path, other: Path) -> bool:
    """Exchange what two paths name, in one step that nothing can come between.

    Returns
    -------
    bool
        Whether the system can do it; if not, nothing was done.

    Raises
    ------
    OSError
        If it can, and refuses.
    """
    call = _call()
    if call is None:
        return False
    ctypes.set_errno(0)
    if call(os.fsencode(one), os.fsencode(other)) == 0:
        return True
    number = ctypes.get_errno()
    if number in _CANNOT:
        return False
    raise OSError(number, os.strerror(number), str(one))


@lru_cache(maxsize=1)
def _call() -> Any:
    """Return the system's call as a function of two names, or nothing."""
    try:
        library = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "linux":
            rename = library.renameat2
            return lambda a, b: rename(_AT_FDCWD, a, _AT_FDCWD, b, _RENAME_EXCHANGE)
        if sys.platform == "darwin":
            swap = library.renamex_np
            return lambda a, b: swap(a, b, _RENAME_SWAP)
    except (OSError, AttributeError, TypeError):
        pass
    return None
