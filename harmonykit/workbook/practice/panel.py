"""Exercises in a notebook: asked, answered, hinted at, heard, told why, and kept.

Three layers: ``asking`` is the pure part (state, question, verdict, what comes next), ``scenes``
the pictures, and ``ExercisePanel`` a thin view that also keeps the user's files.

Files stand beside the notebook: ``my-exercises.jsonl`` has every answer that counts (``progress``),
``my-exercises-open.json`` the question that is open and what is written in its line.

Notebook: 09_exercises
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import ClassVar

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.practice.answered import Answered
from harmonykit.practice.day import NOTEBOOKS, daily, reached
from harmonykit.practice.heard import sounds_of
from harmonykit.practice.kinds import KINDS
from harmonykit.practice.memory import confusions
from harmonykit.practice.pictures import draw_progress, with_words
from harmonykit.practice.progress import Progress, now
from harmonykit.practice.sitting import Sitting
from harmonykit.practice.theme import EVERYTHING, Theme
from harmonykit.sound.chords import Pitches
from harmonykit.workbook.base.keep import Keep, read_state
from harmonykit.workbook.base.panel import Choice, Control, Panel, Value
from harmonykit.workbook.base.scene import Scene, Shown
from harmonykit.workbook.panels.neck import INSTRUMENTS
from harmonykit.workbook.practice import asking
from harmonykit.workbook.practice.scenes import prepare, scene_of, show

PROGRESS_FILE, OPEN_FILE = "my-exercises.jsonl", "my-exercises-open.json"
_TITLES = {kind.title: kind.name for kind in KINDS.values()}
_MEDIA = {said: medium for medium, said in asking.SAID.items()}


class ExercisePanel(Panel[asking.ExerciseState]):
    """Questions without end: write or press an answer, check it, be told why.

    Parameters
    ----------
    seed : str
        The same seed asks the same questions, on every machine.
    only : str
        One kind of ``KINDS``, or "all in turn".
    theme : Theme
        What is asked about; everything, unless it is a lesson's.
    read : sequence of str or None
        The notebooks that were read, by their numbers: nothing is asked that they have not taught.
    folder : str or Path or None
        Where the user's files are; the notebook's own folder unless given, none to keep nothing.

    Examples
    --------
    >>> panel = hk.workbook.ExercisePanel("harbour", only="scale", folder=None)
    >>> print(panel.asked.question.text)
    Complete G major sixth-diminished: G A B C D E♭ ? F♯. Write the note that is missing.
    >>> panel.press("pc-4")
    >>> panel.set("check")
    >>> print(panel.facts.splitlines()[1])
    Right. G major sixth-diminished: G A B C D E♭ E F♯.
    """

    kind: ClassVar[str] = "exercise"
    title: ClassVar[str] = "exercises"
    _theme: Theme = EVERYTHING
    _keep: Keep | None = None
    _files_trouble = ""

    def __init__(
        self,
        seed: str = "quay",
        only: str = asking.ALL,
        theme: Theme = EVERYTHING,
        folder: str | Path | None = ".",
        read: Sequence[str] | None = None,
    ) -> None:
        self._theme = theme
        if read is not None:
            self._theme = replace(theme, kinds=reached(read, theme))
        self._progress = self._opened(folder)
        begun = self._begun(seed, only)
        state = asking.first(begun, self._asked_about(begun))
        super().__init__(self._resumed(state))
        prepare(self._asked_about(state))

    # The user's files.

    def _opened(self, folder: str | Path | None) -> Progress:
        """Return the progress so far; a file that cannot be read is left as it is, and said."""
        if folder is None:
            return Progress()
        self._keep = Keep(Path(folder) / OPEN_FILE, self.kind)
        try:
            progress = Progress(Path(folder) / PROGRESS_FILE)
        except HarmonyError as error:
            self._files_trouble = f"{error.what}; answers are not kept"
            return Progress()
        self._files_trouble = progress.trouble or self._keep.trouble
        return progress

    def _begun(self, seed: str, only: str) -> asking.ExerciseState:
        """Return the state that follows from the answers given so far."""
        numbers = [each.number for each in self.progress.answers if each.seed == seed]
        standings = self.progress.standings()
        state = asking.ExerciseState(
            seed=seed,
            number=max(numbers, default=0) + 1,
            only=_TITLES.get(only, only),
            instrument=self._theme.instrument,
            standings=tuple(sorted(f"{kind}:{each}" for kind, each in standings.items())),
        )
        return self._planned(state) if only == asking.TODAY else state

    def _planned(self, state: asking.ExerciseState) -> asking.ExerciseState:
        """Return the state in which the ten of today are due."""
        today, answers = date.fromisoformat(now()[:10]), self.progress.answers
        read = () if self._theme.kinds else NOTEBOOKS
        items = daily(answers, today, read, self._asked_about(state))
        sitting = Sitting.of(items, state.number)
        pairs = {each.item: (each.wanted, each.given) for each in reversed(confusions(answers))}
        due = [replace(each, pair=pairs.get(each.item, ())) for each in sitting.due]
        return replace(state, due=Sitting(tuple(due)).texts)

    def _resumed(self, state: asking.ExerciseState) -> asking.ExerciseState:
        """Return the state in which the user left, where it is known and of this seed."""
        kept = self._keep.get("state") if self._keep is not None else ""
        try:
            found = read_state(self.kind, asking.ExerciseState(), kept) if kept else state
            asking.compute(replace(found, checked=False), self._asked_about(found))
        except HarmonyError:
            return state
        if found.seed != state.seed or found.student != state.student:
            return state
        found = replace(found, standings=state.standings)
        given = any(self._is_of(each, found) for each in self.progress.answers)
        return replace(found, counted=given, checked=found.checked and given)

    def _is_of(self, each: Answered, state: asking.ExerciseState) -> bool:
        spec = state.spec
        return (each.seed, each.number, each.kind, each.medium) == (
            spec.seed,
            spec.number,
            spec.kind,
            spec.medium,
        )

    @property
    def progress(self) -> Progress:
        """The answers that counted."""
        if not hasattr(self, "_progress"):
            self._progress = Progress()
        return self._progress

    @property
    def asked(self) -> asking.Asked:
        """The question, the hints taken, and the verdict where there is one."""
        return asking.compute(self._state, self._asked_about(self._state))

    def draw_progress(self, palette: str = "colour") -> Drawing:
        """Draw how level and right answers went.

        Parameters
        ----------
        palette : str
            The colours.

        Returns
        -------
        Drawing

        Examples
        --------
        >>> panel = hk.workbook.ExercisePanel("quay", folder=None)
        >>> panel.draw_progress().alt
        'No answers yet. The plot begins with the first answer.'
        """
        return draw_progress(self.progress, palette=palette)

    def answer(self, text: str, hints: int = 0) -> None:
        """Take some hints, write an answer, check it, and go on to the next question.

        Parameters
        ----------
        text : str
            What the answer's line holds.
        hints : int
            How many hints were taken.

        Raises
        ------
        HarmonyError
            If the answer cannot be read.

        Examples
        --------
        >>> panel = hk.workbook.ExercisePanel("quay", folder=None)
        >>> panel.set("only", "complete the scale")
        >>> print(panel.asked.question.text)
        Complete F major sixth-diminished: F G A B♭ C ? D E. Write the note that is missing.
        >>> panel.answer("Db")
        >>> [each.score for each in panel.progress.answers]
        [1.0]
        """
        for _ in range(hints):
            self.set("hint")
        self.set("answer", text)
        self.set("check")
        self.set("next")

    # What a panel is made of.

    @classmethod
    def _blank(cls) -> asking.ExerciseState:
        return asking.ExerciseState()

    def _asked_about(self, state: asking.ExerciseState) -> Theme:
        if self._theme.title or self._theme.instrument == state.instrument:
            return self._theme
        return replace(self._theme, instrument=state.instrument)

    def _scene(self, state: asking.ExerciseState) -> Scene:
        return scene_of(
            asking.compute(replace(state, checked=False), self._asked_about(state)).question
        )

    def _shown(self, state: asking.ExerciseState) -> Shown:
        shown = show(asking.compute(state, self._asked_about(state)))
        if not self._files_trouble:
            return shown
        return replace(shown, facts=f"{shown.facts}\n{self._files_trouble}")

    def _controls(self, state: asking.ExerciseState) -> tuple[Control, ...]:
        own = [KINDS[name].title for name in self._theme.kinds]
        titles = (asking.ALL, asking.TODAY, *(own or _TITLES))
        ways = (asking.ANY, *_MEDIA)
        only = KINDS[state.only].title if state.only in KINDS else state.only
        return (
            *self._answering(state),
            Control("only", "choice", "exercise", only, titles),
            Control("way", "choice", "asked", asking.SAID.get(state.way, asking.ANY), ways),
            Control("instrument", "choice", "instrument", state.instrument, self._instruments()),
        )

    def _answering(self, state: asking.ExerciseState) -> tuple[Control, ...]:
        # Once it is checked, Enter goes on.
        enter = "next" if state.checked else "check"
        asked = asking.compute(state, self._asked_about(state))
        both = (
            Control("yours", "button", "Yours"),
            Control("right", "button", "The right one"),
        )
        return (
            Control("answer", "text", "your answer", state.answer, enter=enter),
            Control("check", "button", "Check"),
            Control("hint", "button", "Hint"),
            *(both if asked.missed else ()),
            Control("next", "button", "Next question"),
        )

    def _instruments(self) -> tuple[str, ...]:
        own = self._theme.instrument
        return (own,) if self._theme.title else tuple(dict.fromkeys((own, *INSTRUMENTS)))

    def _after_press(self, state: asking.ExerciseState, part: str) -> asking.ExerciseState:
        return asking.pressed(state, self._asked_about(state), part)

    def _after_set(
        self, state: asking.ExerciseState, control: str, value: Value
    ) -> asking.ExerciseState:
        if control == "answer":
            return asking.written(state, str(value))
        if control == "check":
            return asking.checked(state, self._asked_about(state))
        if control == "hint":
            return asking.hinted(state, self._asked_about(state))
        if control == "next":
            return asking.following(state, self._asked_about(state))
        if control in ("yours", "right"):
            return replace(state, yours=control == "yours")
        if control == "only":
            only = _TITLES.get(str(value), str(value))
            state = replace(state, only=only, due=())
            state = self._planned(state) if only == asking.TODAY else state
        elif control == "way":
            state = replace(state, way=_MEDIA.get(str(value), asking.ANY))
        else:
            state = replace(state, instrument=str(value))
        return asking.first(state, self._asked_about(state))

    def _chords(self, state: asking.ExerciseState) -> tuple[Pitches, ...]:
        question = asking.question_of(state, self._asked_about(state))
        if not state.checked:
            return question.sounds
        given = state.answer if state.yours else question.answer
        return sounds_of(question, given) or question.sounds

    def _choice(self, state: asking.ExerciseState) -> Choice:
        seen = asking.compute(replace(state, checked=False), self._asked_about(state)).question.seen
        return Choice(seen.notes, seen.chord)

    # What it does beside: answers that count are in the file before they are shown.

    def set(self, control: str, value: Value = "") -> None:
        """Set a control, or press its button; the first check of a question counts.

        Parameters
        ----------
        control : str
            Its id: ``"check"``.
        value : str or bool
            What it is set to; not needed for a button.

        Examples
        --------
        >>> panel = hk.workbook.ExercisePanel("quay", folder=None)
        >>> panel.set("only", "find the shape")
        >>> panel.state.kind
        'shape'
        """
        if control == "check" and not self._state.counted:
            after = asking.checked(self._state, self._asked_about(self._state))
            self._record(asking.compute(after, self._asked_about(after)))
            self._go(after)
            return
        super().set(control, value)
        if control in ("yours", "right"):
            self._play()

    def _record(self, asked: asking.Asked) -> None:
        state, verdict = asked.state, asked.verdict
        assert verdict is not None  # it was just checked
        answered = Answered(
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
        try:
            self.progress.add(answered)
        except HarmonyError as error:
            self._go_on_without_files(error)
            self.progress.add(answered)

    def _go_on_without_files(self, error: HarmonyError) -> None:
        """Go on where nothing can be written, and say so once and for all."""
        self._files_trouble = f"{error.what}; answers are not kept"
        self._keep = self.progress.path = None

    def _go(self, state: asking.ExerciseState, done: frozenset[int] = frozenset()) -> None:
        super()._go(state, done)
        if self._keep is not None:
            try:
                self._files_trouble = self._keep.put(state=self.share()) or self._files_trouble
            except HarmonyError as error:
                self._go_on_without_files(error)
                super()._go(state, done)

    def draw(self) -> Drawing:
        """Return a still picture of the panel as it is, with the question in words.

        Returns
        -------
        Drawing
        """
        words = replace(self._now, facts=f"{self._now.lead}\n{self._now.facts}")
        return with_words(self._scene(self._state).still(words), self._now.lead)

    def __repr__(self) -> str:
        return f"<{type(self).__name__}: {self.share()}>"
