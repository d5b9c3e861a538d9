"""Where someone who is asked begins, and goes on: what was read, and which answers were given."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.practice.day import FIRST, NOTEBOOKS, daily, keep_read, reached, read_so_far
from harmonykit.practice.memory import confusions
from harmonykit.practice.progress import Progress, now
from harmonykit.practice.sitting import Answered, Sitting
from harmonykit.practice.theme import Theme
from harmonykit.workbook.base.keep import read_state
from harmonykit.workbook.base.scene import Control
from harmonykit.workbook.practice import asking
from harmonykit.workbook.practice.asking import TODAY, Asked, ExerciseState

ENTER = "entered"
KIND = "exercise"
"""What a line of text that holds such a state begins with."""


def begun(progress: Progress, seed: str, only: str, theme: Theme) -> ExerciseState:
    """Return the state that follows from the answers given so far."""
    numbers = [each.number for each in progress.answers if each.seed == seed]
    standings = progress.standings()
    state = ExerciseState(
        seed=seed,
        number=max(numbers, default=0) + 1,
        only=only,
        instrument=theme.instrument,
        standings=tuple(sorted(f"{kind}:{each}" for kind, each in standings.items())),
    )
    return planned(state, progress, theme) if only == TODAY else state


def planned(state: ExerciseState, progress: Progress, theme: Theme) -> ExerciseState:
    """Return the state in which the ten of today are due."""
    today, answers = date.fromisoformat(now()[:10]), progress.answers
    items = daily(answers, today, () if theme.kinds else NOTEBOOKS, theme)
    sitting = Sitting.of(items, state.number)
    pairs = {each.item: (each.wanted, each.given) for each in reversed(confusions(answers))}
    due = [replace(each, pair=pairs.get(each.item, ())) for each in sitting.due]
    return replace(state, due=Sitting(tuple(due)).texts)


def resumed(
    kept: str,
    state: ExerciseState,
    progress: Progress,
    about: Callable[[ExerciseState], Theme],
) -> ExerciseState:
    """Return the state in which the user left, where it is known and of this seed."""
    try:
        found = read_state(KIND, ExerciseState(), kept) if kept else state
        asking.compute(replace(found, checked=False), about(found))
    except HarmonyError:
        return state
    if found.seed != state.seed or found.student != state.student:
        return state
    found = replace(found, standings=state.standings)
    given = any(is_of(each, found) for each in progress.answers)
    return replace(found, counted=given, checked=found.checked and given)


def is_of(each: Answered, state: ExerciseState) -> bool:
    """Whether an answer is one to the question of a state."""
    spec = state.spec
    return (each.seed, each.number, each.kind, each.medium) == (
        spec.seed,
        spec.number,
        spec.kind,
        spec.medium,
    )


def answered(asked: Asked) -> Answered:
    """Return the answer that was just checked, as it is kept."""
    state, verdict = asked.state, asked.verdict
    assert verdict is not None  # it was just checked
    return Answered(
        now(),
        state.seed,
        state.number,
        state.kind,
        state.medium,
        state.level,
        verdict.score,
        state.hints,
        state.answer,
        asked.question.item,
        asked.question.answer if asked.missed else "",
        ", ".join(verdict.instead),
    )


def entered(control: str, state: ExerciseState) -> str:
    """Return the button that the Enter key presses: once what stands there is checked, the next.

    What is written after that is another answer, which Enter checks.
    """
    if control != ENTER:
        return control
    return "next" if state.checked else "check"


def answering(asked: Asked) -> tuple[Control, ...]:
    """Return the controls with which a question is answered."""
    state = asked.state
    both = (Control("yours", "button", "Yours"), Control("right", "button", "The right one"))
    return (
        Control("answer", "text", "your answer", state.answer, enter=ENTER),
        Control("check", "button", "Check"),
        Control("hint", "button", "Hint"),
        *(both if asked.missed else ()),
        Control("next", "button", "Next question"),
    )


_TICK = "read-"


class Reader:
    """Which notebooks were read, and what is asked because of it.

    Parameters
    ----------
    theme : Theme
        What is asked about besides; a lesson teaches its own kinds, and nothing is ticked.
    folder : str or Path or None
        Where it is kept; None to keep nothing.
    read : sequence of str or None
        What was read before anything is ticked; None to ask everything until something is.

    Examples
    --------
    >>> reader = Reader(Theme(), None, ["00"])
    >>> reader.set("read-02", value=True)
    >>> reader.read, "parents" in reader.theme.kinds
    (('00', '02'), True)
    """

    def __init__(self, theme: Theme, folder: str | Path | None, read: Sequence[str] | None) -> None:
        self._about, self.trouble = theme, ""
        self._folder = None if folder is None or theme.title else Path(folder)
        kept = self._kept()
        if read is not None:
            reached(read)  # what is no notebook is refused
        numbers = read if kept is None else kept
        self.ticked = numbers is not None and not theme.title
        given = {each.partition("_")[0] for each in numbers or ()}
        self.read = tuple(number for number in NOTEBOOKS if number in given)

    def _kept(self) -> tuple[str, ...] | None:
        try:
            return read_so_far(self._folder) if self._folder is not None else None
        except HarmonyError as error:
            self.trouble, self._folder = f"{error.what}; ticks are not kept", None
            return None

    @property
    def theme(self) -> Theme:
        """What is asked about: nothing that was not read, once something is ticked."""
        if not self.ticked:
            return self._about
        return replace(self._about, kinds=reached(self.read or (FIRST,), self._about))

    @property
    def controls(self) -> tuple[Control, ...]:
        """A box to tick for each notebook that teaches something which is asked."""
        if not self.ticked:
            return ()
        return tuple(
            Control(f"{_TICK}{each}", "check", f"I have read {each}", each in self.read)
            for each in NOTEBOOKS
        )

    @staticmethod
    def has(control: str) -> bool:
        """Whether a control is one of the boxes."""
        return control.startswith(_TICK)

    def set(self, control: str, *, value: bool) -> None:
        """Tick a notebook, or untick it; it is kept, with what was ticked elsewhere meanwhile."""
        number = control.removeprefix(_TICK)
        kept = self._kept()
        self.read = self.read if kept is None else kept
        now = {*self.read, number} if value else {*self.read} - {number}
        self.read = tuple(each for each in NOTEBOOKS if each in now)
        if self._folder is not None:
            try:
                keep_read(self._folder, self.read)
            except HarmonyError as error:
                self.trouble, self._folder = f"{error.what}; ticks are not kept", None
