"""One file: its name, read up to a limit, written whole or not at all; what the system refused.

A file that is read is decoded as UTF-8.  What is said of a path, and of a refusal, is one message
for each cause.
"""

import errno
import os
import re
import shlex
import stat
import tempfile
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from harmonykit.errors import HarmonyError, missing_file
from harmonykit.files.text import decode

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
    errno.ELOOP: ("its symbolic links form a loop", "another folder"),
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


PART = ".part"


def check_file(path: Path, error: type[HarmonyError] = HarmonyError) -> None:
    """Make sure that a file may be put in a place: nothing is there yet, or a plain file.

    A device, a pipe or a socket is never replaced by a file.

    Raises
    ------
    HarmonyError
        If something else is there, or the folder around it is not.
    """
    try:
        target = Path(os.path.realpath(path))
        if target.is_dir():
            raise error(f"{shown(path) or repr('')} is a folder", mend="the name of a file")
        if target.exists() and not target.is_file():
            raise error(f"{shown(path)} is not a file", mend="the name of a file")
        if not target.parent.exists():
            raise refused(path, FileNotFoundError(errno.ENOENT, ""), error)
    except OSError as trouble:
        raise refused(path, trouble, error) from None
    except ValueError:
        # A null character, as a mangled path may have.
        raise error(f"{str(path)!r} is not a path") from None


def write_whole(path: Path, data: bytes | str, error: type[HarmonyError] = HarmonyError) -> None:
    """Write a file whole, or leave what was there as it was.

    The new file is written beside it, is on the disk before it takes the name, and has the old
    one's permissions.  Of a link, what it leads to is written.

    Raises
    ------
    HarmonyError
        If it cannot be written.
    """
    with _refusing(path, error):
        check_file(path, error)
        target = Path(os.path.realpath(path))
        with _written(target, data) as part:
            part.chmod(_mode(target))
            os.replace(part, target)


def write_new(path: Path, data: bytes | str, error: type[HarmonyError] = HarmonyError) -> None:
    """Write a file that is not there yet, whole or not at all; one that is there stays.

    Raises
    ------
    HarmonyError
        If it exists already, or cannot be written.
    """
    with _refusing(path, error):
        if os.path.lexists(path):
            raise FileExistsError
        with _written(path, data) as part:
            part.chmod(0o666 & ~_UMASK)
            _name(part, path)


@contextmanager
def _refusing(path: Path, error: type[HarmonyError]) -> Iterator[None]:
    """Say what the system refused in words."""
    try:
        yield
    except FileExistsError:
        raise error(f"{shown(path)} exists already", mend="another name") from None
    except OSError as trouble:
        raise refused(path, trouble, error) from None
    except ValueError:
        raise error(f"{str(path)!r} is not a path") from None


def _name(part: Path, path: Path) -> None:
    """Give a written file a name that nothing has; the system refuses one that is taken."""
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except OSError:
        # A disk without links.
        if os.path.lexists(path):
            raise FileExistsError from None
        os.rename(part, path)


@contextmanager
def _written(target: Path, data: bytes | str) -> Iterator[Path]:
    """Write a file beside the target under a name of its own; it is gone unless it is moved."""
    number, name = tempfile.mkstemp(PART, _beginning(target), target.parent)
    part = Path(name)
    try:
        with os.fdopen(number, "wb") as file:
            file.write(data.encode() if isinstance(data, str) else data)
            file.flush()
            os.fsync(file.fileno())
        yield part
    finally:
        part.unlink(missing_ok=True)


def _beginning(target: Path) -> str:
    return f".{target.name[:60]}."


def sweep(path: Path) -> None:
    """Remove what programs that were killed left of a file; nobody else may be writing it."""
    for left in path.parent.iterdir():
        if left.name.startswith(_beginning(path)) and left.name.endswith(PART):
            left.unlink(missing_ok=True)


def _mode(target: Path) -> int:
    try:
        return stat.S_IMODE(target.stat().st_mode)
    except FileNotFoundError:
        return 0o666 & ~_UMASK


def _umask() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


# Read once: the system has no way to ask for it without setting it.
_UMASK = _umask()


def read_bytes(path: Path, most: int, error: type[HarmonyError] = HarmonyError) -> bytes:
    """Return what a file holds, unless it is too much.

    Parameters
    ----------
    path : Path
    most : int
        The largest size, in bytes; no more than that is ever read.
    error : type of HarmonyError
        What is raised.

    Raises
    ------
    HarmonyError
        If the file is missing, cannot be read, or is too large.
    """
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError:
        raise missing_file(path, error) from None
    except OSError as trouble:
        raise error(f"{shown(path)} cannot be read: {reason(trouble)}") from None
    except ValueError:
        # A null character, as a mangled path may have.
        raise error(f"{str(path)!r} is not a path") from None
    if len(data) > most:
        raise error(f"{shown(path)} is too large", rule=f"{most:,} bytes at most")
    return data


def read_text(path: Path, most: int, error: type[HarmonyError] = HarmonyError) -> str:
    """Return the text of a file of at most so many bytes, its lines ended by ``\\n``.

    Raises
    ------
    HarmonyError
        As ``read_bytes`` and ``decode``.
    """
    text = decode(read_bytes(path, most, error), path.name, error)
    return plain_ends(text)


def plain_ends(text: str) -> str:
    """Return a text with every line ended by ``\\n``.

    Examples
    --------
    >>> plain_ends("one\\r\\ntwo\\rthree")
    'one\\ntwo\\nthree'
    """
    return text.replace("\r\n", "\n").replace("\r", "\n")


def slug(text: str) -> str:
    """Return a text as a part of a file's name: lower-case ASCII letters, figures and hyphens.

    Examples
    --------
    >>> slug("Up the neck, très haut!"), slug("C#dim7")
    ('up-the-neck-tres-haut', 'csharpdim7')
    """
    spelled = text.replace("#", "sharp").replace("♯", "sharp").replace("♭", "b")
    plain = unicodedata.normalize("NFKD", spelled).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:40].strip("-") or "level"


def from_folder(folder: Path, file: Path) -> str:
    """Return how a file in a folder names another one: so that both may be moved together.

    Where no way leads from one to the other, as between two drives, it is named in full.

    Examples
    --------
    >>> from_folder(Path("lessons"), Path("tunes/reel.toml"))
    '../tunes/reel.toml'
    """
    there = file.resolve()
    try:
        return Path(os.path.relpath(there, folder.resolve())).as_posix()
    except ValueError:
        return str(there)
