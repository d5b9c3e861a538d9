"""Output that appears whole or not at all.

A folder is built beside its place under a name of its own; then the old folder is moved to
``NAME.previous``, the new one is moved in, and the previous one is removed.  A start after a crash
puts things right.  A folder without our ``manifest.json`` is never replaced.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from harmonykit.lesson.model import LessonError

MANIFEST = "manifest.json"
MADE_BY = "harmonykit"
_BUILDING = ".building-"


@contextmanager
def replaced_whole(out: Path) -> Iterator[Path]:
    """Yield an empty folder that takes the place of ``out`` when the block ends well.

    Raises
    ------
    LessonError
        If ``out`` is a file or a folder that we did not make, or its parent cannot be written to.
    """
    out = Path(os.path.abspath(out))
    _recover(out)
    _check_replaceable(out)
    building = _new_folder(out)
    try:
        yield building
        _swap(building, out)
    finally:
        shutil.rmtree(building, ignore_errors=True)


def _previous(out: Path) -> Path:
    return out.with_name(out.name + ".previous")


def _new_folder(out: Path) -> Path:
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(prefix=f".{out.name}{_BUILDING}", dir=out.parent))
        made.chmod(0o755)
        (made / _OWNER).write_text(str(os.getpid()))
    except OSError as error:
        raise LessonError(f"{out.parent} cannot be written to: {error.strerror}") from None
    return made


def _recover(out: Path) -> None:
    """Put right what a crash left: a previous folder without its successor, half-built ones."""
    previous = _previous(out)
    if previous.is_dir() and is_ours(previous):
        if out.exists():
            _discard(previous, out)
        else:
            previous.rename(out)
    for left in out.parent.glob(f".{out.name}{_BUILDING}*"):
        if left.is_dir() and not _in_use(left):
            shutil.rmtree(left, ignore_errors=True)


_OWNER = ".owner"


def _in_use(folder: Path) -> bool:
    """Whether the process that builds a folder still runs."""
    try:
        os.kill(int((folder / _OWNER).read_text()), 0)
    except (OSError, ValueError):
        return False
    return True


def _check_replaceable(out: Path) -> None:
    if out.is_symlink() or (out.exists() and not out.is_dir()):
        raise LessonError(f"{out} is no folder", rule="--out names a folder", mend="another name")
    if out.is_dir() and any(out.iterdir()) and not is_ours(out):
        raise LessonError(
            f"{out} holds something else",
            rule=f"only a folder with our {MANIFEST} is replaced",
            mend="a folder that does not exist yet",
        )
    previous = _previous(out)
    if previous.exists():
        raise LessonError(f"{previous} is in the way", mend="move it elsewhere")


def is_ours(folder: Path) -> bool:
    """Whether a folder holds a manifest that we wrote."""
    try:
        manifest = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(manifest, dict) and manifest.get("made_by") == MADE_BY


def _swap(building: Path, out: Path) -> None:
    (building / _OWNER).unlink(missing_ok=True)
    previous = _previous(out)
    if out.exists():
        out.rename(previous)
    building.rename(out)
    if previous.exists():
        _discard(previous, out)


def _discard(previous: Path, out: Path) -> None:
    """Remove an old folder, under the name of a half-built one.

    Half removed under its own name it would have no manifest: nobody could tell that it was ours.
    """
    doomed = previous.with_name(f".{out.name}{_BUILDING}{os.getpid()}-old")
    previous.rename(doomed)
    shutil.rmtree(doomed, ignore_errors=True)
