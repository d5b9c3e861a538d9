"""A lesson's file while it is written: opened, saved on request, and never written over unseen.

What the file held when it was last read or written is known by a fingerprint: if the file holds
something else when it is to be saved, somebody else has changed it, and it stays as it is.
"""

import hashlib
from dataclasses import replace
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files import plain_ends, read_text, write_whole
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.plan.source import MOST_BYTES
from harmonykit.paths import data_dir, find_data
from harmonykit.score.files import MOST_BYTES as MOST_TUNE
from harmonykit.workbook.writing.state import ENDING, WritingState


def fingerprint(text: str) -> str:
    """Return what tells a text from others.

    Examples
    --------
    >>> fingerprint("a") == fingerprint("a"), fingerprint("a") == fingerprint("b")
    (True, False)
    """
    return hashlib.sha256(text.encode()).hexdigest()[:20]


def well_formed(text: str) -> str:
    """Return a text that can be written as UTF-8, its lines ended by a line feed.

    Examples
    --------
    >>> well_formed("a\\r\\nb\\ud800")
    'a\\nb�'
    """
    return plain_ends(text).encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def path_of(state: WritingState, folder: Path) -> Path:
    """Return where a lesson stands, or would stand once it is saved."""
    return folder / (state.file or f"lesson{ENDING}")


def on_disk(path: Path) -> str:
    """Return the fingerprint of what a lesson's file holds; nothing where there is none."""
    if not path.is_file():
        return ""
    try:
        return fingerprint(read_text(path, MOST_BYTES, LessonError))
    except HarmonyError:
        return "unreadable"


def opened(state: WritingState, folder: Path, name: str) -> WritingState:
    """Return the state with a lesson's file opened; one that ships is opened as a copy.

    Raises
    ------
    HarmonyError
        If there is no such file, or it cannot be read.
    """
    beside = folder / name
    path = beside if beside.is_file() else find_data("lessons", name)
    text = read_text(path, MOST_BYTES, LessonError)
    ships = path.parent == data_dir() / "lessons"
    file = path.name if ships else name
    return replace(
        state,
        text=text,
        before=state.text,
        file=file,
        disk="" if ships else fingerprint(text),
    )


def saved(state: WritingState, folder: Path) -> WritingState:
    """Save a lesson, and return the state that knows of it.

    Raises
    ------
    HarmonyError
        If the name is no lesson's, or the file holds what was not seen here; it then stays.
    """
    path = path_of(state, folder)
    if path.suffix != ENDING:
        raise LessonError(f"{path.name!r} is not the name of a lesson", rule=f"it ends in {ENDING}")
    there, mine = on_disk(path), fingerprint(state.text)
    if there not in ("", state.disk, mine):
        raise LessonError(
            f"{path.name} holds something that was not opened here, and was not overwritten",
            rule="it was changed, or written, by someone else",
            mend="save under another name; or open the file, and your text is kept beside it",
        )
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, state.text, LessonError)
    return replace(state, disk=mine)


def said_of(state: WritingState, folder: Path) -> str:
    """Return how the text stands to its file, in words."""
    path = path_of(state, folder)
    there = on_disk(path)
    if there == fingerprint(state.text):
        return f"saved as {path.name}"
    if there not in ("", state.disk):
        return f"{path.name} was changed by someone else: saving does not overwrite it"
    return f"changed since it was saved as {path.name}" if there else "not saved to a file yet"


def taken_in(name: str, data: bytes, folder: Path) -> str:
    """Put a tune's file that was picked beside the lesson, and return the name that it has there.

    A file of that name with something else in it is left alone.

    Raises
    ------
    HarmonyError
        If it is too large, or cannot be written.
    """
    if len(data) > MOST_TUNE:
        raise HarmonyError(f"{name} is too large", rule=f"{MOST_TUNE:,} bytes at most")
    plain = Path(name.replace("\\", "/")).name.lstrip(".") or "tune"
    stem, suffix = Path(plain).stem, Path(plain).suffix
    for count in range(1, 1000):
        path = folder / (plain if count == 1 else f"{stem}-{count}{suffix}")
        if not path.exists():
            write_whole(path, data)
            return path.name
        if path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data:
            return path.name
    raise HarmonyError(f"there are too many files called {plain}", mend="another name")
