"""One file, written whole or not at all."""

import errno
import os
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files.said import refused, shown

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
