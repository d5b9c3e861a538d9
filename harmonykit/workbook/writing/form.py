"""The controls of the page where a lesson is written, as they stand."""

from dataclasses import dataclass, replace

from harmonykit.fretboard.strings.shipped import names as instrument_names
from harmonykit.lesson.draft.ideas import IDEAS
from harmonykit.paths import shipped
from harmonykit.workbook.base.panel import Control
from harmonykit.workbook.writing.preview import PAGE, SCRIPT, SHEET
from harmonykit.workbook.writing.state import WritingState

# Where each control stands; the browser has a row for each.
BEGIN, FILE, VIEW, BUILD = "begin", "file", "view", "build"
SHOWS = (PAGE, SCRIPT, SHEET)


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
        Placed(
            BEGIN, Control("idea", "choice", "Idea", state.idea or next(iter(IDEAS)), tuple(IDEAS))
        ),
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
