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
from pathlib import Path
from typing import ClassVar

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.shipped import names as instrument_names
from harmonykit.practice.kinds import KINDS
from harmonykit.practice.pictures import draw_progress, with_words
from harmonykit.practice.plain import sounds_of
from harmonykit.practice.progress import Progress
from harmonykit.practice.theme import EVERYTHING, Theme
from harmonykit.sound.chords import Pitches
from harmonykit.workbook.base import keep, live, panel
from harmonykit.workbook.base.scene import Control, Scene, Shown, Value
from harmonykit.workbook.practice import asking, resuming, scenes, writing_in
from harmonykit.workbook.practice.asking import ALL, ANY, SAID, TODAY, ExerciseState
from harmonykit.workbook.practice.resuming import Reader, answering

PROGRESS_FILE, OPEN_FILE = "my-exercises.jsonl", "my-exercises-open.json"
_TITLES = {kind.title: kind.name for kind in KINDS.values()}
_MEDIA = {said: medium for medium, said in SAID.items()}


class ExercisePanel(panel.Panel[ExerciseState]):
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
        The notebooks that were read, by their numbers, until they are ticked in the panel: nothing
        is asked that they have not taught.
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
    _keep: keep.Keep | None = None
    _reader = Reader(EVERYTHING, None, None)
    _files_trouble = ""

    def __init__(
        self,
        seed: str = "quay",
        only: str = ALL,
        theme: Theme = EVERYTHING,
        folder: str | Path | None = ".",
        read: Sequence[str] | None = None,
    ) -> None:
        self._theme = theme
        self._progress = self._opened(folder)
        self._reader = Reader(theme, folder, read)
        self._files_trouble = self._files_trouble or self._reader.trouble
        self._theme = self._reader.theme
        begun = resuming.begun(self.progress, seed, _TITLES.get(only, only), self._theme)
        state = asking.first(begun, self._asked_about(begun))
        super().__init__(self._resumed(state))
        scenes.prepare(self._asked_about(state))

    # The user's files.

    def _opened(self, folder: str | Path | None) -> Progress:
        """Return the progress so far; a file that cannot be read is left as it is, and said."""
        if folder is None:
            return Progress()
        self._keep = keep.Keep(Path(folder) / OPEN_FILE, self.kind)
        try:
            progress = Progress(Path(folder) / PROGRESS_FILE)
        except HarmonyError as error:
            self._files_trouble = f"{error.what}; answers are not kept"
            return Progress()
        self._files_trouble = progress.trouble or self._keep.trouble
        return progress

    def _resumed(self, state: ExerciseState) -> ExerciseState:
        """Return the question that was open, with what was written, where it is known."""
        kept = self._keep.get("state") if self._keep is not None else ""
        return resuming.resumed(kept, state, self.progress, self._asked_about)

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
    def _blank(cls) -> ExerciseState:
        return ExerciseState()

    def _asked_about(self, state: ExerciseState) -> Theme:
        if self._theme.title or self._theme.instrument == state.instrument:
            return self._theme
        return replace(self._theme, instrument=state.instrument)

    def _scene(self, state: ExerciseState) -> Scene:
        return scenes.scene_of(
            asking.compute(replace(state, checked=False), self._asked_about(state)).question
        )

    def _shown(self, state: ExerciseState) -> Shown:
        shown = scenes.show(asking.compute(state, self._asked_about(state)))
        if not self._files_trouble:
            return shown
        return replace(shown, facts=f"{shown.facts}\n{self._files_trouble}")

    def _controls(self, state: ExerciseState) -> tuple[Control, ...]:
        own = [KINDS[name].title for name in self._theme.kinds]
        titles = (ALL, TODAY, *(own or _TITLES))
        ways = (ANY, *_MEDIA)
        only = KINDS[state.only].title if state.only in KINDS else state.only
        return (
            *answering(asking.compute(state, self._asked_about(state))),
            Control("only", "choice", "exercise", only, titles),
            Control("way", "choice", "asked", SAID.get(state.way, ANY), ways),
            Control("instrument", "choice", "instrument", state.instrument, self._instruments()),
            *self._reader.controls,
        )

    def _instruments(self) -> tuple[str, ...]:
        own = self._theme.instrument
        return (own,) if self._theme.title else tuple(dict.fromkeys((own, *instrument_names())))

    def _after_press(self, state: ExerciseState, part: str) -> ExerciseState:
        return writing_in.pressed(state, self._asked_about(state), part)

    def _after_set(self, state: ExerciseState, control: str, value: Value) -> ExerciseState:
        if control == "answer":
            return writing_in.written(state, str(value))
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
            state = (
                resuming.planned(state, self.progress, self._asked_about(state))
                if only == TODAY
                else state
            )
        elif control == "way":
            state = replace(state, way=_MEDIA.get(str(value), ANY))
        else:
            state = replace(state, instrument=str(value))
        return asking.first(state, self._asked_about(state))

    def _chords(self, state: ExerciseState) -> tuple[Pitches, ...]:
        question = asking.question_of(state, self._asked_about(state))
        if not state.checked:
            return question.sounds
        given = state.answer if state.yours else question.answer
        return sounds_of(question, given) or question.sounds

    def _choice(self, state: ExerciseState) -> panel.Choice:
        seen = asking.compute(replace(state, checked=False), self._asked_about(state)).question.seen
        return panel.Choice(seen.notes, seen.chord)

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
        control = resuming.entered(control, self._state)
        if control == "check" and not self._state.counted:
            after = asking.checked(self._state, self._asked_about(self._state))
            self._record(asking.compute(after, self._asked_about(after)))
            self._go(after)
            return
        if Reader.has(control):
            self._tick(control, value=bool(value))
            return
        super().set(control, value)
        if control in ("yours", "right"):
            self._play()

    def _tick(self, control: str, *, value: bool) -> None:
        """Ask from what was read from now on; a question that this teaches stays."""
        live.check_value(control, value, {each.id: each.options for each in self.controls()})
        self._reader.set(control, value=value)
        self._files_trouble = self._reader.trouble or self._files_trouble
        self._theme, state = self._reader.theme, self._state
        about = self._asked_about(state)
        if state.only == TODAY:
            state = resuming.planned(replace(state, due=()), self.progress, about)
        stays = state.kind in (*self._theme.kinds, state.only)
        self._go(state if stays else asking.first(state, about))

    def _record(self, asked: asking.Asked) -> None:
        answered = resuming.answered(asked)
        try:
            self.progress.add(answered)
        except HarmonyError as error:
            self._go_on_without_files(error)
            self.progress.add(answered)

    def _go_on_without_files(self, error: HarmonyError) -> None:
        """Go on where nothing can be written, and say so once and for all."""
        self._files_trouble = f"{error.what}; answers are not kept"
        self._keep = self.progress.path = None

    def _go(self, state: ExerciseState, done: frozenset[int] = frozenset()) -> None:
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
