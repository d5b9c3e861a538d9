"""A lesson built from the page where it is written, and what came of it, to be opened."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files import read_bytes
from harmonykit.files.carry import Carried
from harmonykit.files.manifest import listed, read_manifest
from harmonykit.lesson.build import build_loaded, load_class
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.write import KIND
from harmonykit.workbook.base.task import Progress
from harmonykit.workbook.writing.reader import LessonReader

MOST_BYTES = 60_000_000
_KINDS = {
    ".html": "text/html",
    ".pdf": "application/pdf",
    ".md": "text/plain;charset=utf-8",
    ".wav": "audio/wav",
    ".mp3": "audio/mpeg",
    ".mid": "audio/midi",
    ".musicxml": "application/vnd.recordare.musicxml+xml",
    ".csv": "text/csv;charset=utf-8",
    ".svg": "image/svg+xml",
}
# What is opened first stands first.
_GROUPS = {
    ".html": "Page",
    ".pdf": "To print",
    ".md": "Script",
    ".musicxml": "Scores",
    ".mid": "MIDI",
    ".wav": "Sound",
    ".mp3": "Sound",
    ".csv": "Tables",
}


@dataclass(frozen=True, slots=True)
class Result:
    """A file that was built: its name in the folder, and the group that it is listed in."""

    name: str
    group: str


def build(
    path: Path,
    out: Path,
    reader: LessonReader,
    progress: Progress,
    kept: Callable[[Carried], object] | None = None,
) -> Path:
    """Build a lesson, with the arrangements that the reader knows already.

    ``kept`` is told of each file of the teacher's that was kept in the folder.

    Raises
    ------
    HarmonyError
        If the lesson cannot be built; what ``progress`` raises ends the build as well.
    """

    def load() -> tuple[Lesson, ...]:
        return load_class(path, play=lambda front, index: reader.play(front, index, progress))

    return build_loaded(load, out, progress=progress, kept=kept)


def results_in(out: Path) -> tuple[Result, ...]:
    """Return what a folder holds that was built, what is opened first first."""
    names = listed(out) if read_manifest(out).get("kind") == KIND else {}
    order = list(dict.fromkeys(_GROUPS.values()))
    found = [Result(n, _GROUPS[Path(n).suffix]) for n in names if Path(n).suffix in _GROUPS]
    return tuple(sorted(found, key=lambda each: (order.index(each.group), each.name)))


def read_result(out: Path, name: str) -> tuple[str, bytes]:
    """Return the kind (as the web names it) and the bytes of a file that was built.

    Raises
    ------
    HarmonyError
        If it is none of those that were built, or is gone.
    """
    if name not in {each.name for each in results_in(out)}:
        raise HarmonyError(f"{name!r} was not built", mend="build all")
    return _KINDS[Path(name).suffix], read_bytes(out / name, MOST_BYTES)
