"""What goes on beside the page where a lesson is written: it is looked at, drafted and built.

Two things at most: what the preview waits for is worked out, and one errand is done, a draft or a
build.  Both tell of their progress and can be stopped.
"""

import time
from collections.abc import Callable
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files import read_bytes
from harmonykit.files.manifest import Carried, listed, read_manifest
from harmonykit.lesson.build import build_loaded, load_class
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.write import KIND
from harmonykit.values import dataclass
from harmonykit.workbook.base.work import Progress, Worker
from harmonykit.workbook.writing.reader import LessonReader, Look
from harmonykit.workbook.writing.typed import WritingState

Change = Callable[[WritingState], WritingState]
DRAWING = "Arranging and drawing"


@dataclass(frozen=True, slots=True)
class Asked:
    """A text that is looked at.

    Parameters
    ----------
    path : Path
        Where it stands or would stand: its tune is looked for beside it.
    text : str
    sheet : bool
        Whether the pages of the handout are wanted.
    """

    path: Path
    text: str
    sheet: bool = False


@dataclass(frozen=True, slots=True)
class Going:
    """What goes on beside the page.

    Parameters
    ----------
    busy : str
        What it is, in words; or nothing.
    progress : (int, int)
        How many parts are done, and of how many.
    stopped : bool
        Whether something is waited for that nobody works out.
    """

    busy: str
    progress: tuple[int, int]
    stopped: bool


@dataclass(frozen=True, slots=True)
class Listeners:
    """What is called from the threads of the work.

    Parameters
    ----------
    drawn : callable
        Called when what was waited for is there.
    done : callable
        Given what an errand changes.
    failed : callable
        Given the error in which something ended.
    told : callable
        Called when there is news of the progress.
    """

    drawn: Callable[[], None]
    done: Callable[[Change], None]
    failed: Callable[[HarmonyError], None]
    told: Callable[[], None]


class Beside:
    """Works beside the page.

    Attributes
    ----------
    busy : str
        What goes on, in words; or nothing.
    progress : (int, int)
        How many parts are done, and of how many.
    """

    def __init__(self, reader: LessonReader, listeners: Listeners) -> None:
        self.busy, self.progress = "", (0, 1)
        self._reader, self._listeners = reader, listeners
        self._drawer: Worker[Look] = Worker(self._drawn, self._failed, self._drawing)
        self._errand: Worker[Change] = Worker(self._done, self._failed, self._doing, self._ended)
        self._wanted: frozenset[str] = frozenset()
        # What was worked out last, or is not to be.
        self._answered: Asked | None = None

    @property
    def on_an_errand(self) -> bool:
        """Whether a draft or a build goes on."""
        return self._errand.busy

    def wait(self, seconds: float) -> bool:
        """Wait until nothing goes on; whether that is so."""
        until = time.monotonic() + seconds
        # What ends may begin something else: a draft is drawn.
        while self._errand.busy or self._drawer.busy:
            left = until - time.monotonic()
            if left < 0 or not (self._errand.wait(left) and self._drawer.wait(left)):
                return False
        return self._errand.wait(seconds) and self._drawer.wait(seconds)

    def draw(self, asked: Asked, look: Look) -> None:
        """Begin to work out what a look waits for, unless that goes on already, or was stopped."""
        if not look.waits or asked == self._answered:
            return
        if self._drawer.busy and look.waits <= self._wanted:
            return
        self._wanted = look.waits

        def work(progress: Progress) -> Look:
            found = self._reader.work_out(asked.path, asked.text, progress, sheet=asked.sheet)
            self._answered = asked
            return found

        self._drawer.start(work)

    def run(self, busy: str, work: Callable[[Progress], Change]) -> None:
        """Begin an errand; ``busy`` says what it is."""
        self.busy, self.progress = busy, (0, 1)
        self._errand.start(work)

    def stop(self, asked: Asked) -> None:
        """Stop all; what this text waits for is worked out once it changes, or on request."""
        self._errand.stop()
        self._drawer.stop()
        self._answered, self.busy = asked, ""

    def go_on(self) -> None:
        """Let what was stopped be worked out after all."""
        self._answered = None

    def going(self, asked: Asked, look: Look) -> Going:
        """Return what goes on, and whether a look waits for what was stopped."""
        return Going(self.busy, self.progress, bool(look.waits) and asked == self._answered)

    def _drawing(self, done: int, total: int) -> None:
        if self.busy in ("", DRAWING):
            self.busy, self.progress = DRAWING, (done, total)
            self._listeners.told()

    def _drawn(self, _look: Look) -> None:
        if self.busy == DRAWING:
            self.busy = ""
        self._listeners.drawn()

    def _doing(self, done: int, total: int) -> None:
        self.progress = (done, total)
        self._listeners.told()

    def _done(self, change: Change) -> None:
        self.busy = ""
        self._listeners.done(change)

    def _failed(self, error: HarmonyError) -> None:
        self.busy = ""
        self._listeners.failed(error)

    def _ended(self) -> None:
        self.busy = ""
        self._listeners.told()


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
