"""What is the user's in a folder of ours, taken into the folder that comes in its place.

A file that the old folder's manifest does not list is the user's, and keeps its name.  One that is
listed and holds something else than we wrote was edited: it is kept beside the new one, as
``script (yours).md``.  Files are linked, so that they take no space and are never half copied;
where the disk knows no links they are copied.  The old folder is left as it is.
"""

import os
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, count
from pathlib import Path, PurePosixPath

from harmonykit.files.manifest import file_hash
from harmonykit.files.said import shown

_LONGEST_NAME = 255


@dataclass(frozen=True, slots=True)
class Carried:
    """A file of the user's: where it stood in the old folder, and where it stands now."""

    was: str
    name: str
    edited: bool

    def __str__(self) -> str:
        if self.edited:
            return f"your changed {shown(self.was)} is kept as {shown(self.name)}"
        moved = "" if self.was == self.name else f" as {shown(self.name)}"
        return f"your {shown(self.was)} is kept{moved}"


def carry(old: Path, new: Path, ours: Mapping[str, str]) -> list[Carried]:
    """Take what is the user's from an old folder into a new one; done twice, it changes nothing.

    Parameters
    ----------
    old, new : Path
    ours : mapping of str to str
        The files of ours in the old folder, and their hashes, as ``manifest.listed`` gives them.

    Raises
    ------
    OSError
        If something cannot be read or written.
    """
    there = {_mark(path) for path in _walk(new)}
    folders = {str(parent) for name in ours for parent in PurePosixPath(name).parents}
    found = []
    for path in _walk(old):
        name = path.relative_to(old).as_posix()
        if path.is_dir() and not path.is_symlink():
            if name not in folders:
                _made(new, name)
        elif _mark(path) not in there and not _unchanged(path, name, ours):
            taken = _take(path, new, name, edited=name in ours)
            found += [taken] if taken else []
    return found


def _walk(folder: Path) -> Iterator[Path]:
    """Yield all that is in a folder, and in the folders in it; links are not followed."""
    with os.scandir(folder) as entries:
        inside = sorted(entries, key=lambda entry: entry.name)
    for entry in inside:
        path = Path(entry.path)
        yield path
        if entry.is_dir(follow_symlinks=False):
            yield from _walk(path)


def _mark(path: Path) -> tuple[int, int]:
    """Return what a file has under every name that it is linked to."""
    found = path.lstat()
    return found.st_dev, found.st_ino


def _unchanged(path: Path, name: str, ours: Mapping[str, str]) -> bool:
    if name not in ours or path.is_symlink() or not path.is_file():
        return False
    try:
        return not ours[name] or file_hash(path) == ours[name]
    except PermissionError:
        return False


def _take(path: Path, new: Path, name: str, *, edited: bool) -> Carried | None:
    """Link a file into the new folder; nothing where it exists already."""
    parent = _made(new, PurePosixPath(name).parent.as_posix())
    own = path.name
    for target in chain((parent / own,), yours(parent / own)):
        if os.path.lexists(target):
            if _same(path, target):
                return None
        elif not edited or target.name != own:
            _link(path, target)
            return Carried(name, target.relative_to(new).as_posix(), edited)
    raise AssertionError("names without an end")  # pragma: no cover


def yours(path: Path) -> Iterator[Path]:
    """Yield names beside a file for what the user made of it, without an end.

    Examples
    --------
    >>> names = yours(Path("script.md"))
    >>> next(names).name, next(names).name
    ('script (yours).md', 'script (yours, 2).md')
    """
    for number in count(1):
        mark = f" (yours{f', {number}' if number > 1 else ''})"
        stem, suffix = path.stem, path.suffix
        while len(os.fsencode(stem + mark + suffix)) > _LONGEST_NAME:
            stem, suffix = (stem[:-1], suffix) if len(stem) > 1 else (stem, suffix[:-1])
        yield path.with_name(stem + mark + suffix)


def _made(new: Path, name: str) -> Path:
    """Return a folder in the new one, made where it is not there."""
    folder = new
    for part in PurePosixPath(name).parts:
        names = chain((folder / part,), yours(folder / part))
        # Something of ours may have taken a folder's name.
        folder = next(each for each in names if not os.path.lexists(each) or _is_folder(each))
        folder.mkdir(exist_ok=True)
    return folder


def _is_folder(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()


def _same(one: Path, other: Path) -> bool:
    """Whether two names stand for one file, or for two that hold the same."""
    if one.is_symlink() or other.is_symlink():
        links = one.is_symlink() and other.is_symlink()
        return links and os.readlink(one) == os.readlink(other)
    if not (one.is_file() and other.is_file()) or one.stat().st_size != other.stat().st_size:
        return False
    return file_hash(one) == file_hash(other)


def _link(path: Path, target: Path) -> None:
    try:
        os.link(path, target, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(path, target, follow_symlinks=False)
