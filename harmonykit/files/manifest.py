"""What is ours in a folder, by its manifest; what is the user's: carried over, or kept beside.

::

    {"format": 1, "made_by": "harmonykit", "kind": "lesson", ...,
     "files": {"script.md": {"made_by": "lesson.script", "sha256": "..."}, ...}}

An older manifest has no kind: it follows from what it names.  A file that it lists without a hash
is taken for ours as it stands; one that it does not list is the user's, and keeps its name in the
folder that comes in the old one's place.  One that is listed and holds something else than we wrote
was edited: it is kept beside the new one, as ``script (yours).md``.  Files are linked, so that they
take no space and are never half copied; where the disk knows no links they are copied.  The old
folder is left as it is.
"""

import contextlib
import hashlib
import json
import os
import shutil
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from itertools import chain, count
from pathlib import Path, PurePosixPath
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.files.file import check_file, refused, shown, write_whole
from harmonykit.files.lock import WAIT, locked
from harmonykit.values import dataclass

MANIFEST, MADE_BY, FORMAT = "manifest.json", "harmonykit", 1
KINDS = ("lesson", "course", "survey", "parts", "pages")
MOST_BYTES = 100_000_000
_BLOCK = 1 << 20

Manifest = dict[str, Any]


def read_manifest(folder: Path) -> Manifest:
    """Return what a folder says of itself, its kind filled in; nothing where it is not ours."""
    found = _read(folder / MANIFEST)
    if found.get("made_by") != MADE_BY:
        return {}
    kind = found.get("kind") or next((each for each in ("course", "lesson") if each in found), "")
    return found | {"kind": str(kind)}


def is_ours(folder: Path) -> bool:
    """Whether a folder holds a manifest that we wrote."""
    return bool(read_manifest(folder))


def _read(path: Path) -> Manifest:
    try:
        if not path.is_file() or path.stat().st_size > MOST_BYTES:
            return {}
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def listed(folder: Path) -> dict[str, str]:
    """Return the files of ours in a folder: their paths with ``/``, and hashes where there are.

    The folders of an older course have manifests of their own.
    """
    manifest = read_manifest(folder)
    if not manifest:
        return {}
    found = dict(_entries(manifest)) | {MANIFEST: ""}
    lessons = manifest.get("lessons")
    for name in lessons if isinstance(lessons, list) else ():
        inner = folder / str(name)
        if os.sep not in str(name) and is_ours(inner):
            own = dict(_entries(read_manifest(inner))) | {MANIFEST: ""}
            found = {f"{name}/{path}": sha for path, sha in own.items()} | found
    return found


def _entries(manifest: Manifest) -> Iterator[tuple[str, str]]:
    files = manifest.get("files")
    for name, entry in files.items() if isinstance(files, dict) else ():
        sha = entry.get("sha256") if isinstance(entry, dict) else None
        yield str(name), sha if isinstance(sha, str) else ""


def write_manifest(
    folder: Path, kind: str, about: Mapping[str, Any], files: Mapping[str, str]
) -> None:
    """Write a folder's manifest: its kind, what it is about, and each file with its hash.

    Parameters
    ----------
    folder : Path
    kind : str
        One of ``KINDS``.
    about : mapping
        What else is said of it.
    files : mapping of str to str
        Paths in the folder, with ``/``, and what made each.
    """
    # The disk takes several at once in little more time than one.
    with ThreadPoolExecutor(_AT_ONCE) as waiting:
        list(waiting.map(_settle_on_disk, (folder / name for name in files)))
    entries = {
        name: {"made_by": made_by, "sha256": file_hash(folder / name)}
        for name, made_by in sorted(files.items())
    }
    head = {"format": FORMAT, "made_by": MADE_BY, "kind": kind}
    text = json.dumps({**head, **about, "files": entries}, ensure_ascii=False, indent=2)
    write_whole(folder / MANIFEST, f"{text}\n")


_AT_ONCE = 8


def _settle_on_disk(path: Path) -> None:
    """Wait until a file is on the disk: the power may go when the old folder is gone."""
    with contextlib.suppress(OSError):
        number = os.open(path, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def file_hash(path: Path) -> str:
    """Return the SHA-256 of a file, as 64 hexadecimal figures."""
    sums = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(_BLOCK):
            sums.update(block)
    return sums.hexdigest()


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


def write_beside(
    path: Path, data: bytes | str, ours: str = "", error: type[HarmonyError] = HarmonyError
) -> Carried | None:
    """Write a file whole; what stood there and holds something else is kept under another name.

    Parameters
    ----------
    path : Path
    data : bytes or str
    ours : str
        The SHA-256 of what was written there before: that is replaced.

    Returns
    -------
    Carried or None
        What was kept, and as what.

    Raises
    ------
    HarmonyError
        If it cannot be written; what stood there is then as it was.
    """
    data = data.encode() if isinstance(data, str) else data
    check_file(path, error)
    with locked(path, WAIT):
        kept = keep_aside(path, ours) if path.is_file() and path.read_bytes() != data else None
        try:
            write_whole(path, data, error)
        except HarmonyError:
            if kept is not None and not path.exists():
                path.with_name(kept.name).rename(path)
            raise
    return kept


def keep_aside(path: Path, ours: str = "") -> Carried | None:
    """Give a file another name, unless it holds what we wrote."""
    try:
        if ours and file_hash(path) == ours:
            return None
        aside = next(name for name in yours(path) if not os.path.lexists(name))
        path.rename(aside)
    except OSError as trouble:
        raise refused(path, trouble) from None
    return Carried(path.name, aside.name, edited=bool(ours))
