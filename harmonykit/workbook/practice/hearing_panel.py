"""A student is heard in a notebook: a recording of a level is given, and what was heard is seen.

``hearing_scene`` is the picture; ``lesson.listening`` hears.

Notebook: 09_exercises
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import ClassVar

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.written import printed_numbers
from harmonykit.errors import HarmonyError
from harmonykit.lesson.listening import hear_playing
from harmonykit.lesson.plan.model import Played
from harmonykit.lesson.verdicts import ALIKE, Hearing
from harmonykit.sound.chords import Pitches
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.control import Control, Value
from harmonykit.workbook.base.panel import Choice
from harmonykit.workbook.base.scene import Scene, Shown
from harmonykit.workbook.practice.hearing_scene import Cell, looks_of, scene_of
from harmonykit.workbook.practice.recordings import GIVE, HearingFiles

_BEFORE = (
    "Record the level once through, from the first bar on, with a phone within an arm's length "
    "of the instrument and nothing else sounding. Then give the file: WAV, MP3, M4A or OGG."
)


@dataclass(frozen=True, slots=True)
class HearingState:
    """What is set.

    Parameters
    ----------
    lesson : str
        A lesson file, or the bare name of one that ships.
    level : int
        Counted from 1.
    picked : int
        The change that is looked at, from 0; -1 for none.
    """

    lesson: str = "stiff_dominant"
    level: int = 1
    picked: int = -1


class HearingPanel(HearingFiles[HearingState]):
    """A recording of a level is heard: which chord at each change, and how sure that is.

    Parameters
    ----------
    lesson : str or Path
        A lesson file, or the bare name of one that ships.
    level : int
        Counted from 1.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> played = hk.lesson.read_lesson("stiff_dominant").played[0]
    >>> file = hk.sound.write_wav(Path(mkdtemp()) / "mine.wav", played.performance)
    >>> panel = hk.workbook.HearingPanel("stiff_dominant")
    >>> panel.hear_file(file)
    >>> panel.press("change-3")
    >>> print(panel.facts.splitlines()[0])
    0:13, bar 4, D7 (2-2-2-3): D7 heard (sure).
    """

    kind: ClassVar[str] = "hearing"
    title: ClassVar[str] = "what was heard of a level"
    hearing: Hearing | None = None
    _busy = ""
    _loaded: tuple[str, tuple[Played, ...]] = ("", ())

    def __init__(self, lesson: str | Path = "stiff_dominant", level: int = 1) -> None:
        super().__init__(HearingState(str(lesson), level))

    @classmethod
    def _blank(cls) -> HearingState:
        return HearingState()

    def _levels(self, state: HearingState) -> tuple[Played, ...]:
        """Return the levels of the lesson, loaded once."""
        from harmonykit.lesson.build import load_lesson

        if self._loaded[0] != state.lesson:
            self._loaded = (state.lesson, load_lesson(state.lesson).played)
        return self._loaded[1]

    def _way(self, state: HearingState) -> Arrangement:
        levels = self._levels(state)
        if not 1 <= state.level <= len(levels):
            raise HarmonyError(f"unknown level {state.level}", rule=f"1 to {len(levels)}")
        return levels[state.level - 1].arrangement

    def _cells(self, state: HearingState) -> tuple[Cell, ...]:
        return _cells(self._way(state))

    def _scene(self, state: HearingState) -> Scene:
        return scene_of(self._cells(state), self._way(state).instrument)

    def _shown(self, state: HearingState) -> Shown:
        heard = self.hearing.heard if self.hearing is not None and self.hearing.fits else ()
        cells, neck = self._cells(state), self._way(state).instrument
        looks, lines = looks_of(cells, neck, heard, state.picked)
        return Shown(looks, lines, self._told(state), self._busy)

    def _told(self, state: HearingState) -> str:
        """Return what is said: of the change that is looked at, then of all."""
        hearing = self.hearing
        if hearing is None:
            return _BEFORE
        if not hearing.fits:
            return "\n".join(hearing.remarks)
        lines = [hearing.summary, *hearing.remarks, ALIKE]
        if 0 <= state.picked < len(hearing.heard):
            one = hearing.heard[state.picked]
            chord = f"{one.clock}, bar {one.bar}, {one.asked} ({one.shape})"
            lines.insert(0, f"{chord}: {one.told}.")
        return "\n".join(lines)

    def _controls(self, state: HearingState) -> tuple[Control, ...]:
        levels = enumerate(self._levels(state), 1)
        names = tuple(f"{n}. {each.level.name}" for n, each in levels)
        return (
            GIVE,
            Control("level", "choice", "level", names[state.level - 1], names),
        )

    def _after_press(self, state: HearingState, part: str) -> HearingState:
        return replace(state, picked=int(part.removeprefix("change-")))

    def _after_set(self, state: HearingState, control: str, value: Value) -> HearingState:
        if control != "level":
            return state
        level = int(str(value).partition(".")[0])
        if level != state.level:
            self.hearing = None
        return HearingState(state.lesson, level)

    def _chords(self, state: HearingState) -> tuple[Pitches, ...]:
        cells = self._cells(state)
        chosen = [cells[state.picked]] if 0 <= state.picked < len(cells) else cells
        return tuple(cell.shape.sounding for cell in chosen)

    def _choice(self, state: HearingState) -> Choice:
        cells = self._cells(state)
        cell = cells[state.picked if 0 <= state.picked < len(cells) else 0]
        return Choice(PcSet.of(*(pitch % 12 for pitch in cell.shape.sounding)))

    def hear_file(self, path: str | Path) -> None:
        """Hear a recording of the level that is chosen.

        Parameters
        ----------
        path : str or Path
            A sound file: WAV, MP3, OGG, FLAC, AIFF or CAF, up to ten minutes.

        Raises
        ------
        HarmonyError
            If it cannot be read, or is silent or too short.
        """
        self._busy = f"Listening to {Path(path).name}"
        self._go(self._state)
        try:
            self.hearing = hear_playing(self._way(self._state), path)
        finally:
            self._busy = ""
            self._go(replace(self._state, picked=-1))


def _cells(way: Arrangement) -> tuple[Cell, ...]:
    numbers = printed_numbers(way)
    return tuple(
        Cell(
            numbers[step.bar][0],
            step.chord.unicode if step.chord is not None else step.voicing.digits,
            step.voicing,
        )
        for step in way.steps
        if step.voicing is not None
    )
