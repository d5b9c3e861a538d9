"""What is said of a path, and of what the system refused: one message for each cause."""

import errno
import os
import shlex

from harmonykit.errors import HarmonyError

_SPACE = "free some space, or choose another disk"
_ELSEWHERE = "a folder that you may write to"
# The reason in words, and what to do.
_CAUSES = {
    errno.ENOSPC: ("the disk is full", _SPACE),
    errno.EDQUOT: ("your disk quota is used up", _SPACE),
    errno.EFBIG: ("the system allows no file of that size", _SPACE),
    errno.EROFS: ("the disk is read-only", _ELSEWHERE),
    errno.EACCES: ("permission denied", _ELSEWHERE),
    errno.EPERM: ("permission denied", _ELSEWHERE),
    errno.ENAMETOOLONG: ("the name is too long", "a shorter name"),
    errno.EEXIST: ("part of the path is a file, not a folder", "another folder"),
    errno.ENOTDIR: ("part of the path is a file, not a folder", "another folder"),
    errno.ELOOP: ("its links form a circle", "another folder"),
    errno.EBUSY: ("another program is using the folder", "a folder inside it"),
}
# What is missing when a file is written is a folder around it.
_WRITING = _CAUSES | {
    errno.ENOENT: ("a folder of the path is missing", "make that folder first, or name another")
}


def shown(path: str | os.PathLike[str]) -> str:
    """Return a path as it can be printed on one line.

    Line feeds, other signs that do not print, and bytes that are not UTF-8 are escaped.

    Examples
    --------
    >>> shown("[a] *b*"), shown("a\\nb"), shown(b"caf\\xe9".decode("utf-8", "surrogateescape"))
    ('[a] *b*', 'a\\\\nb', 'caf\\\\xe9')
    """
    return "".join(map(_escaped, os.fspath(path)))


def _escaped(sign: str) -> str:
    if sign.isprintable():
        return sign
    if "\udc80" <= sign <= "\udcff":
        return f"\\x{ord(sign) - 0xDC00:02x}"
    return sign.encode("unicode_escape").decode("ascii")


def typed(path: str | os.PathLike[str]) -> str:
    """Return a path as it is typed in a command: quoted where it has blanks or signs.

    Examples
    --------
    >>> typed("my-lesson"), typed("my lesson"), typed("[x]")
    ('my-lesson', "'my lesson'", "'[x]'")
    """
    return shlex.quote(shown(path))


def reason(trouble: OSError) -> str:
    """Return in a few words why the system refused something."""
    return _CAUSES.get(trouble.errno or 0, (trouble.strerror or str(trouble), ""))[0]


def refused(
    path: str | os.PathLike[str],
    trouble: OSError,
    error: type[HarmonyError] = HarmonyError,
) -> HarmonyError:
    """Return the error that says what could not be written, why, and what to do.

    Examples
    --------
    >>> print(refused("out", OSError(errno.ENOSPC, "No space left on device")))
    out cannot be written: the disk is full
      try: free some space, or choose another disk
    """
    why, mend = _WRITING.get(trouble.errno or 0, (reason(trouble), ""))
    return error(f"{shown(path)} cannot be written: {why}", mend=mend)
