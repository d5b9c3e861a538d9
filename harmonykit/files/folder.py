"""A folder of ours that appears whole or not at all, and in which nothing of the user's is lost.

It is built beside its place, under a name of its own; what is the user's in the old folder is taken
into it (``manifest.carry``); then the two change names in one step, and the old one is removed.
Where the system has no such step the old one is first moved to ``NAME.previous``, with a mark in
it, and a start after a crash puts things right.  A folder without our ``manifest.json``, or of
another kind, is never replaced.  The lock of the folder is held all the while.
"""

import contextlib
import ctypes
import errno
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from itertools import count
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.files.file import refused, shown, typed
from harmonykit.files.lock import locked
from harmonykit.files.manifest import MANIFEST, Carried, carry, listed, read_manifest
from harmonykit.values import dataclass, field

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


_OF_THE_DISK = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS, errno.EIO}
_DONE, _MOVED = "-old", ".moved-by-harmonykit"


@dataclass(slots=True)
class NewFolder:
    """A folder that is being built, and what was the user's in the one that it replaces."""

    path: Path
    carried: list[Carried] = field(default_factory=list)


@contextmanager
def replaced_whole(out: Path, kind: str) -> Iterator[NewFolder]:
    """Yield an empty folder that takes the place of ``out`` when the block ends well.

    Parameters
    ----------
    out : Path
    kind : str
        What is built; a folder of another kind is never replaced.  The block writes a manifest.

    Raises
    ------
    HarmonyError
        If ``out`` cannot be replaced, is being written by another program, or the disk is full.
    """
    out = place_of(out, replaced=True)
    made = _make_parents(out)
    try:
        with locked(out):
            _recover(out)
            check_kind(out, kind)
            with _building(out) as new:
                yield new
                _swap(new, out)
    finally:
        for parent in made:
            # Only those that stayed empty.
            with contextlib.suppress(OSError):
                parent.rmdir()


def place_of(out: Path, *, replaced: bool = False) -> Path:
    """Return the full path of a folder for output, if it may be one.

    Parameters
    ----------
    out : Path
    replaced : bool
        Whether another folder comes in its place: that cannot be the one in which the user works.

    Raises
    ------
    HarmonyError
        If it is a file, a link, the root, the home folder or one around it; or, where it is
        replaced, the folder in which the user works or one around it.
    """
    rule = "--out names a new folder, or one that this command made"
    full, working = _full(out)
    if full.is_symlink():
        target = typed(os.path.realpath(full))
        raise HarmonyError(f"{shown(out)} is a link", rule=rule, mend=f"--out {target}")
    if full.exists() and not full.is_dir():
        raise HarmonyError(f"{shown(out)} is not a folder", rule=rule, mend="another name")
    if full == full.parent:
        raise HarmonyError(f"{shown(out)} is the root of the disk", rule=rule, mend="--out lesson")
    home = os.path.realpath(os.path.expanduser("~"))
    if Path(home).is_relative_to(full):
        what = "your home folder, or a folder that contains it"
        raise HarmonyError(f"{shown(out)} is {what}", rule=rule, mend="--out lesson")
    if replaced and working.is_relative_to(full):
        raise HarmonyError(
            f"{shown(out)} is the folder in which you are working, or one that contains it",
            rule="the whole folder is replaced",
            mend="a folder inside it: --out lesson",
        )
    return full


def _full(out: Path) -> tuple[Path, Path]:
    """Return the full paths of a place, its own link not followed, and of the working folder."""
    if "\0" in str(out):
        raise HarmonyError(f"{str(out)!r} is not a path", mend="another name")
    try:
        full = Path(os.path.abspath(out))
        full = Path(os.path.realpath(full.parent), full.name)
        full.exists()  # A name that is too long is refused here.
        return full, Path(os.path.realpath(Path.cwd()))
    except OSError as trouble:
        raise refused(out, trouble) from None


# What is several things.
_SEVERAL = {"parts": "parts of a tune", "pages": "pages to take home"}


def check_kind(out: Path, kind: str) -> None:
    """Make sure that a folder is missing, without any file, or one of ours of that kind.

    Raises
    ------
    HarmonyError
        If it holds something else; the message says what, and what to type.
    """
    try:
        empty = not out.is_dir() or not _holds_a_file(out)
    except OSError as trouble:
        raise refused(out, trouble) from None
    found = read_manifest(out)
    if empty or found.get("kind") == kind:
        return
    ours = _SEVERAL.get(kind, f"a {kind}")
    other = str(found.get("kind", ""))
    what = _SEVERAL.get(other, f"a {other}") if other else f"something other than {ours}"
    raise HarmonyError(
        f"{shown(out)} holds {what}",
        rule=f"only a folder with {ours} and its {MANIFEST} is replaced",
        mend=f"another folder: --out {typed(f'{out.name}-{kind}')}",
    )


def _holds_a_file(folder: Path) -> bool:
    """Whether a folder, or one inside, holds a file or a link; a full disk may leave empty ones."""

    def refuse(trouble: OSError) -> None:
        raise trouble

    for here, folders, files in os.walk(folder, onerror=refuse):
        if files or any(os.path.islink(os.path.join(here, name)) for name in folders):
            return True
    return False


def _make_parents(out: Path) -> list[Path]:
    """Make the folders around a place; return those that were not there, the inmost first."""
    missing = [parent for parent in out.parents if not parent.exists()]
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise refused(out.parent, trouble) from None
    return missing


@contextmanager
def _building(out: Path) -> Iterator[NewFolder]:
    """Give a folder beside a place; what is left of it at the end is removed."""
    try:
        path = Path(tempfile.mkdtemp(prefix=_prefix(out), dir=out.parent))
        path.chmod(0o755)
    except OSError as trouble:
        raise refused(out.parent, trouble) from None
    try:
        yield NewFolder(path)
    except OSError as trouble:
        # What the system refused inside is said of the folder that was asked for.
        inside = str(trouble.filename or "").startswith(str(path))
        if inside or (trouble.filename is None and trouble.errno in _OF_THE_DISK):
            raise refused(out, trouble) from None
        raise
    finally:
        shutil.rmtree(path, ignore_errors=True)


def _prefix(out: Path) -> str:
    return f".{out.name}.building-"


def _swap(new: NewFolder, out: Path) -> None:
    """Put the new folder in the old one's place, with all that is the user's in that."""
    try:
        if not out.exists():
            new.path.rename(out)
            return
        shutil.copymode(out, new.path)
        ours = listed(out)
        new.carried = carry(out, new.path, ours)
        old = new.path if exchange(new.path, out) else _moved_in(new.path, out)
    except OSError as trouble:
        raise refused(trouble.filename or out, trouble) from None
    _settle(old, out, ours, new.carried)


def _moved_in(new: Path, out: Path) -> Path:
    """Put a folder in another's place in two steps; return where that one is now."""
    previous = _free_previous(out)
    (out / _MOVED).touch()
    out.rename(previous)
    new.rename(out)
    return previous


def _settle(old: Path, out: Path, ours: dict[str, str], carried: list[Carried]) -> None:
    """Remove an old folder, once what was saved in it meanwhile is in the new one too."""
    before = old
    old = _put_away(old, out, "-rest")
    try:
        carried += carry(old, out, {**ours, _MOVED: ""})
    except OSError as trouble:
        raise HarmonyError(
            f"{shown(out)} is written, but the older {shown(before.name)} "
            "could not be read completely",
            rule=f"files that you saved in the meantime are in {shown(old)}",
            mend=trouble.strerror or "look in that folder",
        ) from None
    shutil.rmtree(_put_away(old, out, _DONE), ignore_errors=True)


def _put_away(folder: Path, out: Path, ending: str) -> Path:
    """Give an old folder a name that says to a later start how far it is done with."""
    names = (folder.with_name(f"{_prefix(out)}{os.getpid()}-{n}{ending}") for n in count(1))
    name = next(each for each in names if not os.path.lexists(each))
    folder.rename(name)
    return name


def _free_previous(out: Path) -> Path:
    names = (out.with_name(f"{out.name}.previous{f'-{n}' if n > 1 else ''}") for n in count(1))
    return next(each for each in names if not os.path.lexists(each))


def _recover(out: Path) -> None:
    """Put right what a crash left beside a place; its lock is held, so nobody works there."""
    try:
        left = [path for path in out.parent.iterdir() if path.is_dir() and not path.is_symlink()]
    except OSError as trouble:
        raise refused(out.parent, trouble) from None
    for path in left:
        if path.name.startswith(f"{out.name}.previous") and (path / _MOVED).is_file():
            if out.exists():
                _rescue(path, out)
            else:
                path.rename(out)
    with contextlib.suppress(OSError):
        (out / _MOVED).unlink(missing_ok=True)
    for path in left:
        if path.name.startswith(_prefix(out)) and path.is_dir():
            if path.name.endswith(_DONE) or not read_manifest(path):
                shutil.rmtree(path, ignore_errors=True)
            else:
                _rescue(path, out)


def _rescue(left: Path, out: Path) -> None:
    """Take what is the user's in a whole folder that a crash left, and remove it.

    It is the new one, which holds what the old one holds, or the old one, in which something may
    have been saved at the last moment.
    """
    if out.is_dir():
        _settle(left, out, listed(left), [])
    else:
        shutil.rmtree(left, ignore_errors=True)
