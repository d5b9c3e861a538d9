"""``manifest.json``: what a folder of ours is, and the hash of every file that we put there.

::

    {"format": 1, "made_by": "harmonykit", "kind": "lesson", ...,
     "files": {"script.md": {"made_by": "lesson.script", "sha256": "..."}, ...}}

An older manifest has no kind: it follows from what it names.  A file that it lists without a hash
is taken for ours as it stands; one that it does not list is the user's.
"""

import contextlib
import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from harmonykit.files.whole import write_whole

MANIFEST, MADE_BY, FORMAT = "manifest.json", "harmonykit", 1
KINDS = ("lesson", "course", "survey")
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
    for name in files:
        _settle_on_disk(folder / name)
    entries = {
        name: {"made_by": made_by, "sha256": file_hash(folder / name)}
        for name, made_by in sorted(files.items())
    }
    head = {"format": FORMAT, "made_by": MADE_BY, "kind": kind}
    text = json.dumps({**head, **about, "files": entries}, ensure_ascii=False, indent=2)
    write_whole(folder / MANIFEST, f"{text}\n")


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
