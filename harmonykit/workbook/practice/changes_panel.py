"""Changes of shapes in a notebook: two necks, a loop to play along with, a tempo that rises.

Two layers: ``changing`` is the pure part, ``ChangesPanel`` a thin view that also keeps the rounds,
in ``my-changes.jsonl`` beside the notebook.

Notebook: 09_exercises
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import ClassVar

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.shipped import names as instrument_names
from harmonykit.practice import changes, heard_loop, pictures, progress
from harmonykit.practice.changes import Change, ChangeStanding
from harmonykit.practice.rounds import FASTEST, SLOWEST, Round, change_loop, keep_round, read_rounds
from harmonykit.practice.theme import Theme
from harmonykit.sound.chords import Clip, Pitches
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.panel import Choice
from harmonykit.workbook.base.scene import HEAR, SHARE, Control, Scene, Shown, Value
from harmonykit.workbook.practice import changing, hearing_panel
from harmonykit.workbook.practice.changing import ChangeState

ROUNDS_FILE = "my-changes.jsonl"
_YOURS = "Did every string ring, and every change come in time? Say so."


class ChangesPanel(hearing_panel.HearingFiles[ChangeState]):
    """A change of shapes, practised at a rising tempo: play the loop, then say how it went.

    Parameters
    ----------
    lesson : str or Path, optional
        Whose changes are practised: a lesson file, or the bare name of one that ships.
    level : int
        Of the lesson, counted from 1; without a lesson how hard the changes are, 1 to 4.
    instrument : str
        Where there is no lesson.
    folder : str or Path or None
        Where the rounds are kept; the notebook's own folder unless given, none to keep nothing.

    Examples
    --------
    >>> panel = hk.workbook.ChangesPanel(folder=None)
    >>> panel.set("own", "C6 to G7")
    >>> for _ in range(2):
    ...     panel.set("hear")
    ...     panel.set("clean")
    >>> panel.tempo, panel.standing.best
    (54, 50)
    """

    kind: ClassVar[str] = "changes"
    title: ClassVar[str] = "a change of shapes at a rising tempo"
    _trouble_of_files = ""
    _changes: tuple[Change, ...] = ()
    _path: Path | None = None
    _of_lesson, _level = False, 1
    _said = ""

    def __init__(
        self,
        lesson: str | Path = "",
        level: int = 1,
        instrument: str = "ukulele",
        folder: str | Path | None = ".",
    ) -> None:
        self._level, self._of_lesson = level, bool(lesson)
        if lesson:
            self._changes = changes.changes_of_lesson(lesson, level)
            instrument = self._instrument_of(lesson)
        else:
            self._changes = changes.named_changes(Theme(instrument=instrument), level)
        self._rounds: list[Round] = []
        if folder is not None:
            self._open(Path(folder) / ROUNDS_FILE)
        blank = changing.blank_on(instrument)
        super().__init__(changing.at(blank, self._order(instrument)[0]) if self._changes else blank)

    @staticmethod
    def _instrument_of(lesson: str | Path) -> str:
        from harmonykit.lesson.build import load_lesson

        return load_lesson(lesson).front.instrument.name

    def _open(self, path: Path) -> None:
        """Read the rounds so far; a file that cannot be read is left as it is, and said."""
        try:
            self._rounds = list(read_rounds(path))
        except HarmonyError as error:
            self._trouble_of_files = f"{error.what}; rounds are not kept"
        else:
            self._path = path

    def _order(self, instrument: str) -> tuple[Change, ...]:
        """Return the changes: what lay longest and is slowest first, as the lesson has them."""
        pairs = {(each.before, each.after): each for each in self._changes}
        found = changes.change_standings(self.rounds, pairs, instrument, self._today)
        return tuple(pairs[each.before, each.after] for each in found)

    @property
    def _today(self) -> date:
        return date.fromisoformat(progress.now()[:10])

    @property
    def rounds(self) -> list[Round]:
        """The rounds that were played."""
        if not hasattr(self, "_rounds"):
            self._rounds = []
        return self._rounds

    @property
    def tempo(self) -> int:
        """The tempo of the next round, in quarters a minute."""
        return changing.tempo_of(self._state, self.rounds, self._today)

    @property
    def standing(self) -> ChangeStanding:
        """How one stands with the change."""
        return changing.standing(self._state, self.rounds, self._today)

    @classmethod
    def _blank(cls) -> ChangeState:
        return ChangeState()

    def _scene(self, state: ChangeState) -> Scene:
        return changing.scene_of(state)

    def _shown(self, state: ChangeState) -> Shown:
        shown = changing.show(state, self.rounds, self._today)
        if self._said:
            shown = replace(shown, facts=f"{self._said}\n{shown.facts}")
        if not self._trouble_of_files:
            return shown
        return replace(shown, facts=f"{shown.facts}\n{self._trouble_of_files}")

    def controls(self) -> tuple[Control, ...]:
        """Return the controls as they stand.

        Returns
        -------
        tuple of Control
        """
        own, line = self._controls(self._state), super().controls()[-1]
        play = Control(HEAR.id, "button", "Play the loop")
        told = (Control("clean", "button", "It was clean"), Control("not", "button", "Not yet"))
        return (play, *(told if self._state.heard else ()), hearing_panel.GIVE, *own, line)

    def _controls(self, state: ChangeState) -> tuple[Control, ...]:
        labels = [each.label for each in self._changes]
        mine = state.change.label
        options = tuple(dict.fromkeys([*labels, mine]))
        lists = (
            Control("slower", "button", "Slower"),
            Control("faster", "button", "Faster"),
            Control("change", "choice", "change", mine, options),
            Control("own", "text", "your own change: two chords, or two shapes"),
        )
        if self._of_lesson:
            return lists
        necks = tuple(dict.fromkeys((state.instrument, *instrument_names())))
        return (*lists, Control("instrument", "choice", "instrument", state.instrument, necks))

    def _after_press(self, state: ChangeState, part: str) -> ChangeState:
        return changing.moved(state, part)

    def _after_set(self, state: ChangeState, control: str, value: Value) -> ChangeState:
        if control == "change":
            known = {each.label: each for each in (*self._changes, state.change)}
            return changing.at(state, known[str(value)])
        if control == "own":
            return changing.at(state, changing.own_change(str(value), state)) if value else state
        if control in ("slower", "faster"):
            step = changing.STEP if control == "faster" else -changing.STEP
            tempo = min(FASTEST, max(SLOWEST, self.tempo + step))
            return replace(state, tempo=tempo, heard=False)
        self._changes = changes.named_changes(Theme(instrument=str(value)), self._level)
        return changing.at(changing.blank_on(str(value)), self._order(str(value))[0])

    def set(self, control: str, value: Value = "") -> None:
        """Set a control, or press its button; a round counts once its loop was played.

        Parameters
        ----------
        control : str
            Its id: ``"clean"``.
        value : str or bool
            What it is set to; not needed for a button.

        Raises
        ------
        HarmonyError
            If there is no such control, or the loop was not played yet.

        Examples
        --------
        >>> panel = hk.workbook.ChangesPanel(folder=None)
        >>> panel.set("hear")
        >>> panel.set("not")
        >>> panel.tempo, panel.standing.best
        (44, 0)
        """
        if control in ("clean", "not"):
            self._told(clean=control == "clean")
            return
        super().set(control, value)
        if control in (HEAR.id, SHARE):  # a state that was handed on was not played here
            self._go(replace(self._state, heard=control == HEAR.id))

    def _told(self, *, clean: bool) -> None:
        """Keep the round that was just played."""
        if not self._state.heard:
            raise HarmonyError("play the loop first", mend="then say how it went")
        self._keep_round(clean=clean)

    def hear_file(self, path: str | Path) -> None:
        """Hear a recording of the change, a bar of each shape in turn, eight bars.

        Where a shape was another, or there was a wait, the round is kept as not yet clean; else it
        is for the player to say.

        Parameters
        ----------
        path : str or Path
            A sound file, of the instrument alone.

        Raises
        ------
        HarmonyError
            If it cannot be read, or is silent or too short.

        Examples
        --------
        >>> from pathlib import Path
        >>> from tempfile import mkdtemp
        >>> panel = hk.workbook.ChangesPanel(folder=None)
        >>> file = Path(mkdtemp()) / "mine.wav"
        >>> _ = file.write_bytes(panel.hear().wav)
        >>> panel.hear_file(file)
        >>> print(panel.facts.splitlines()[0].partition(";")[0])
        Each of 8 bars had its shape
        """
        state = self._state
        found = heard_loop.hear_change(state.change, path, state.instrument, self.tempo)
        said = found.told
        if found.judged and not found.clean:
            self._keep_round(clean=False)
            said = f"{said} Kept as not yet clean."
        elif found.clean:
            said = f"{said} {_YOURS}"
        if found.judged:
            self._go(replace(self._state, heard=found.clean))
        self._said = said
        self._go(self._state)
        self._said = ""

    def _keep_round(self, *, clean: bool) -> None:
        state, tempo = self._state, self.tempo
        played = Round(
            progress.now(), state.instrument, state.before, state.after, tempo, clean,
            changing.seconds_of(tempo),
        )  # fmt: skip
        if self._path is not None:
            try:
                keep_round(self._path, played)
            except HarmonyError as error:
                self._trouble_of_files, self._path = f"{error.what}; rounds are not kept", None
        self.rounds.append(played)
        self._go(replace(state, tempo=0, heard=False))

    def hear(self) -> Clip:
        """Return the loop at the tempo of the next round, as a WAV file.

        Returns
        -------
        Clip
        """
        state = self._state
        return change_loop(state.before, state.after, state.instrument, self.tempo, changing.TURNS)

    def _chords(self, state: ChangeState) -> tuple[Pitches, ...]:
        return tuple(shape.sounding for shape, _ in state.sides)

    def _choice(self, state: ChangeState) -> Choice:
        shape, chord = state.sides[1]
        return Choice(PcSet.of(*(pitch % 12 for pitch in shape.sounding)), chord)

    def draw(self) -> Drawing:
        """Return a still picture of the panel as it is, with what it says.

        Returns
        -------
        Drawing
        """
        words = replace(self._now, facts=f"{self._now.lead}\n{self._now.facts}")
        return pictures.with_words(self._scene(self._state).still(words), self._now.lead)
