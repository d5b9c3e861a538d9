"""A lesson as it is typed: what is set on the page, as a value, and its file, opened and saved.

All of it is text, so that it is kept in a small file as it stands.

What the file held when it was last read or written is known by a fingerprint: if the file holds
something else when it is to be saved, somebody else has changed it, and it stays as it is.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files import plain_ends, read_text, write_whole
from harmonykit.files.file import slug
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.plan.source import MOST_BYTES
from harmonykit.paths import data_dir, find_data
from harmonykit.score.files import MOST_BYTES as MOST_TUNE
from harmonykit.values import asdict, dataclass, fields, replace

ENDING = ".md"


@dataclass(frozen=True, slots=True)
class WritingState:
    """What is set and typed.

    Parameters
    ----------
    text : str
        The lesson.
    file : str
        The name of the lesson's file, from the notebook's folder.
    disk : str
        The fingerprint of what that file held when it was last read or written; empty before.
    before : str
        The text that the last draft, or file that was opened, took the place of.
    tune, number, instrument, idea : str
        Of what the next draft is made.
    folder : str
        What the lesson is built into; empty for a folder of the file's name.
    shows : {"page", "script", "sheet"}
    built : str
        The fingerprint of the text that was last built.
    """

    text: str = ""
    file: str = ""
    disk: str = ""
    before: str = ""
    tune: str = ""
    number: str = ""
    instrument: str = "ukulele"
    idea: str = ""
    folder: str = ""
    shows: str = "page"
    built: str = ""

    @property
    def out(self) -> str:
        """The name of the folder that the lesson is built into."""
        return self.folder or self.file.removesuffix(ENDING) or "lesson"

    @property
    def wants_sheet(self) -> bool:
        """Whether the pages of the handout are to be seen."""
        return self.shows == "sheet"

    def as_typed(self) -> dict[str, str]:
        """Return it by names, as it is kept."""
        return asdict(self)

    @classmethod
    def of(cls, typed: Mapping[str, str]) -> WritingState:
        """Return what was kept; what is not known here is left out.

        Examples
        --------
        >>> WritingState.of({"text": "## A", "colour": "red"}).text
        '## A'
        """
        return cls(**{f.name: typed[f.name] for f in fields(cls) if f.name in typed})


def file_name(title: str) -> str:
    """Return the name of a lesson's file.

    Examples
    --------
    >>> file_name("New chords for Heron Landing")
    'new-chords-for-heron-landing.md'
    """
    return slug(title) + ENDING


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
        raise LessonError(
            f"{path.name!r} is not the name of a lesson", rule=f"a lesson's name ends in {ENDING}"
        )
    there, mine = on_disk(path), fingerprint(state.text)
    if there not in ("", state.disk, mine):
        raise LessonError(
            f"{path.name} was not overwritten",
            rule="someone else changed or wrote it since it was opened here",
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
        return f"not saved: someone else changed {path.name}, and saving does not overwrite it"
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
