"""The controls of the page where a lesson is written, and the draft on a tune that they ask for."""

from functools import lru_cache
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files import decode, read_bytes
from harmonykit.files.file import from_folder
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names as instrument_names
from harmonykit.lesson.draft.ideas import OFFERS
from harmonykit.lesson.draft.writing import draft
from harmonykit.paths import find_data, shipped
from harmonykit.score.abc_lines import split_tunes
from harmonykit.score.files import MOST_BYTES
from harmonykit.values import dataclass, replace
from harmonykit.workbook.base.scene import Control
from harmonykit.workbook.writing.preview import PAGE, SCRIPT, SHEET
from harmonykit.workbook.writing.reader import LessonReader
from harmonykit.workbook.writing.typed import ENDING, WritingState, file_name, path_of

# Where each control stands; the browser has a row for each.
BEGIN, FILE, VIEW, BUILD = "begin", "file", "view", "build"
SHOWS = (PAGE, SCRIPT, SHEET)
IDEAS = (*OFFERS, *shipped("ideas"))
"""What a draft may be about."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A control, the row it stands in, and whether it can be used at the moment."""

    row: str
    control: Control
    suggested: tuple[str, ...] = ()
    off: bool = False
    hint: str = ""

    def as_dict(self) -> dict[str, object]:
        """Return it as the browser reads it."""
        return {
            **self.control.as_dict(),
            "row": self.row,
            "suggested": list(self.suggested),
            "off": self.off,
            "hint": self.hint,
        }


def form(state: WritingState, numbers: tuple[str, ...], *, busy: bool) -> tuple[Placed, ...]:
    """Return all controls.

    Parameters
    ----------
    state : WritingState
    numbers : tuple of str
        The tunes of a file that holds many, as ``"80 Its title"``.
    busy : bool
        Whether something is being drafted or built.
    """
    tunes = shipped("tunes")
    picked = next((each for each in numbers if each.split(" ")[0] == state.number), "")
    begin = [
        Placed(BEGIN, Control("tune", "text", "Tune", state.tune, enter="draft"), tunes),
        Placed(BEGIN, Control("pick", "file", "Add a file…")),
    ]
    if numbers:
        begin.append(Placed(BEGIN, Control("number", "choice", "Which", picked, ("", *numbers))))
    instruments = instrument_names()
    begin += [
        Placed(BEGIN, Control("instrument", "choice", "Instrument", state.instrument, instruments)),
        Placed(BEGIN, Control("idea", "choice", "Idea", state.idea or next(iter(OFFERS)), IDEAS)),
        Placed(BEGIN, Control("draft", "button", "Draft a lesson"), off=busy),
    ]
    file = [
        Placed(FILE, Control("file", "text", "Lesson file", state.file), shipped("lessons")),
        Placed(FILE, Control("open", "button", "Open"), off=busy),
        Placed(FILE, Control("save", "button", "Save")),
    ]
    kept = bool(state.before) and state.before != state.text
    back = Control("back", "button", "Previous text")
    hint = "Bring back the text before the last draft or opened file"
    file.append(Placed(FILE, back, off=not kept, hint=hint))
    out = Control("folder", "text", "Build into the folder", state.out)
    return (
        *begin,
        *file,
        Placed(VIEW, Control("shows", "choice", "Preview of the", state.shows, SHOWS)),
        Placed(BUILD, out),
        Placed(BUILD, Control("build", "button", "Save and build all"), off=busy),
    )


def with_value(state: WritingState, control: str, value: str) -> WritingState:
    """Return the state with a line or a choice set."""
    if control == "number":
        value = value.split(" ")[0]
    if control == "tune" and value != state.tune:
        return replace(state, tune=value, number="")
    return replace(state, **{control: value.strip()})


def drafted(state: WritingState, folder: Path, reader: LessonReader) -> WritingState:
    """Return the state with a draft for its tune, instrument and idea, in a file of its own.

    Raises
    ------
    HarmonyError
        If the tune cannot be read, or has no shape to start from on the instrument.
    """
    number = int(state.number) if state.number.isdigit() else None
    tune = reader.read_tune(tune_path(state.tune, folder), number)
    idea = state.idea if state.idea in IDEAS else ""
    text = draft(tune, _named(state.tune, folder), Instrument.named(state.instrument), number, idea)
    name = file_name(text.split('title = "', 1)[1].split('"', 1)[0])
    fresh = replace(state, text=text, before=state.text, file=name, disk="", folder="")
    return replace(fresh, file=_free(fresh, folder))


def _named(name: str, folder: Path) -> str:
    """Return what the lesson calls its tune: a path typed in full is told from the folder."""
    path = Path(name)
    return from_folder(folder, path) if path.is_absolute() else name


def tune_path(name: str, folder: Path) -> Path:
    """Return the file of a tune: one beside the lesson, or one that ships.

    Raises
    ------
    HarmonyError
        If there is none.
    """
    if not name:
        raise HarmonyError("no tune is named", mend="the name of an included tune, or a path")
    beside = folder / name
    return beside if beside.is_file() else find_data("tunes", name)


def tunes_in(name: str, folder: Path) -> tuple[str, ...]:
    """Return the tunes of an ABC file that holds several, each as its number and title."""
    try:
        path = tune_path(name, folder)
        stat = path.stat()
        return _tunes(path, stat.st_mtime_ns, stat.st_size) if path.suffix == ".abc" else ()
    except (HarmonyError, OSError):
        return ()


@lru_cache(maxsize=8)
def _tunes(path: Path, _changed: int, _size: int) -> tuple[str, ...]:
    """Return the tunes of a file as it was at one moment."""
    found = split_tunes(decode(read_bytes(path, MOST_BYTES), path.name))
    return tuple(f"{each.number} {each.title}".strip() for each in found) if found[1:] else ()


def _free(state: WritingState, folder: Path) -> str:
    """Return the file's name, or one like it that nothing has yet."""
    stem, count = state.file.removesuffix(ENDING), 1
    while path_of(state, folder).exists():
        count += 1
        state = replace(state, file=f"{stem}-{count}{ENDING}")
    return state.file
