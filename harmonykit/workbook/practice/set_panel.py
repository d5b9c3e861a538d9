"""A set of exercises in a notebook: a name, the questions in a row, and a results file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import ClassVar

from harmonykit.errors import HarmonyError
from harmonykit.practice import sitting, theme
from harmonykit.practice.progress import Progress
from harmonykit.practice.sets import ExerciseSet, slug_of
from harmonykit.workbook.base.keep import Keep, read_state
from harmonykit.workbook.base.panel import Panel
from harmonykit.workbook.base.scene import Control, Shown, Value
from harmonykit.workbook.practice import panel, resuming, scenes
from harmonykit.workbook.practice.asking import ExerciseState, checked, compute

LONGEST_NAME = 60


class SetPanel(panel.ExercisePanel):
    """The questions of a set, answered under a name.

    Parameters
    ----------
    text : str or ExerciseSet
        The set, as the notebook that was handed out has it.
    folder : str or Path or None
        Where the results are kept; the notebook's own folder unless given, none to keep nothing.

    Examples
    --------
    >>> panel = hk.workbook.SetPanel(hk.practice.make_set(["scale", "distance"], 4), folder=None)
    >>> panel.set("student", "desk 3")
    >>> panel.set("answer", panel.asked.question.answer)
    >>> panel.set("check")
    >>> panel.facts.splitlines()[-1]
    'Question 1 of 4; 1 answered.'
    """

    kind: ClassVar[str] = "exercise-set"
    title: ClassVar[str] = "a set of exercises"

    def __init__(self, text: str | ExerciseSet, folder: str | Path | None = ".") -> None:
        self.exercises = ExerciseSet.from_text(text) if isinstance(text, str) else text
        self._theme = self.exercises.theme
        self._folder = None if folder is None else Path(folder)
        self._progress = Progress()
        if self._folder is not None:
            self._keep = Keep(self._folder / f"{self.exercises.slug}-open.json", self.kind)
            self._files_trouble = self._keep.trouble
        Panel.__init__(self, self._resumed(self._begun_by(self._keep)))
        scenes.prepare(self._theme)

    def _asked_about(self, _state: ExerciseState) -> theme.Theme:
        return self._theme

    def _at(self, number: int, student: str = "") -> ExerciseState:
        """Return the state with one of the set's questions, as it was left."""
        spec = self.exercises.specs[number - 1]
        state = ExerciseState(
            spec.seed,
            spec.number,
            spec.kind,
            spec.medium,
            spec.level,
            instrument=self._theme.instrument,
            standings=(f"{spec.kind}:{spec.level}.0.0",),
            student=student,
        )
        given = [each for each in self.progress.answers if resuming.is_of(each, state)]
        if not given:
            return state
        done = replace(state, answer=given[0].answer, hints=given[0].hints)
        return replace(checked(done, self._theme), student=student)

    def _go_on_without_files(self, error: HarmonyError) -> None:
        """Refuse to go on: results are to be handed back."""
        raise error

    def _begun_by(self, keep: Keep | None) -> ExerciseState:
        """Return the state of who worked here before, if their results can be read."""
        try:
            return self._named(self._at(1), keep.get("student") if keep is not None else "")
        except HarmonyError as error:
            self._files_trouble = error.what
            return self._at(1)

    def _named(self, state: ExerciseState, name: str) -> ExerciseState:
        """Return the state of somebody: the first question that they have not answered."""
        name = " ".join(name.split())
        if not name:
            return state
        if len(name) > LONGEST_NAME or not slug_of(name):
            rule = f"letters and figures, {LONGEST_NAME} characters at most"
            raise HarmonyError(f"{name[:20]!r} cannot name a results file", rule=rule)
        owner = sitting.Owner(name, self.exercises.mark)
        file = f"{self.exercises.slug}-results-{slug_of(name)}.jsonl"
        self._progress = Progress(None if self._folder is None else self._folder / file, owner)
        self._files_trouble = self._progress.trouble
        return self._at(self._first_open(), name)

    def _resumed(self, state: ExerciseState) -> ExerciseState:
        """Return the question that was open, with what was written, where it is known."""
        kept = self._keep.get("state") if self._keep is not None else ""
        try:
            found = read_state(self.kind, ExerciseState(), kept) if kept else state
        except HarmonyError:
            return state
        if found.spec not in self.exercises.specs or found.student != state.student:
            return state
        open_one = self._at(found.number, state.student)
        if open_one.counted:
            return open_one
        return replace(open_one, answer=found.answer, hints=found.hints)

    def _first_open(self) -> int:
        done = {each.number for each in self.progress.answers}
        numbers = range(1, len(self.exercises.specs) + 1)
        return next((number for number in numbers if number not in done), numbers[-1])

    def _shown(self, state: ExerciseState) -> Shown:
        shown = super()._shown(state)
        standing = compute(state, self._theme).standing
        total = len(self.exercises.specs)
        done = len({each.number for each in self.progress.answers})
        told = f"Question {state.number} of {total}; {done or 'none'} answered."
        if not state.student:
            told = f"{told} Write your name first."
        elif done == total:
            told = f"{told} You have answered all questions: hand in your results file."
        return replace(shown, facts=shown.facts.replace(standing, told))

    def _controls(self, state: ExerciseState) -> tuple[Control, ...]:
        answer, check, hint, *both, onward = resuming.answering(compute(state, self._theme))
        back = Control("previous", "button", "Previous question")
        name = Control("student", "text", "your name", state.student)
        return (name, answer, check, hint, *both, back, onward)

    def _after_set(self, state: ExerciseState, control: str, value: Value) -> ExerciseState:
        if control in ("next", "previous"):
            way = 1 if control == "next" else -1
            number = min(max(1, state.number + way), len(self.exercises.specs))
            return self._at(number, state.student)
        return super()._after_set(state, control, value)

    def set(self, control: str, value: Value = "") -> None:
        """Set a control, or press its button; nothing counts before there is a name.

        Parameters
        ----------
        control : str
            Its id: ``"check"``.
        value : str or bool
            What it is set to; not needed for a button.

        Raises
        ------
        HarmonyError
            If there is no such control.

        Examples
        --------
        >>> short = hk.practice.make_set(["parents"], 3, title="Three")
        >>> panel = hk.workbook.SetPanel(short.as_text(), folder=None)
        >>> panel.set("student", "Ada")
        >>> panel.state.student
        'Ada'
        """
        control = resuming.entered(control, self._state)
        if control == "check" and not self._state.student:
            raise HarmonyError("write your name first: results are kept under it")
        if control == "student":
            self._go(self._named(self._state, str(value)))
            if self._keep is not None:
                said = self._keep.put(student=self._state.student)
                self._files_trouble = said or self._files_trouble
        else:
            super().set(control, value)
