"""What is asked on the page of ideas: as a frozen value, with what is read from what is typed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names as instrument_names
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune
from harmonykit.workbook.base.control import Control

FIND, DRAFT = "find", "draft"
SUGGESTED = (
    "dim7", "aug", "7", "m7b5", "m6", "6", "sus4", "7b5", "whole tone", "half-whole",
    "C major", "0 1 4 6", "2-3-2-3",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class IdeasState:
    """What is asked.

    Parameters
    ----------
    source : str
        A chord, a kind of chord, a scale, notes or a shape.
    instrument : str
    tunes : str
        Names of shipped tunes, or paths, with commas between them.
    chosen : int
        Which finding is looked at, counted from 0.
    """

    source: str = "dim7"
    instrument: str = "ukulele"
    tunes: str = "heron_landing"
    chosen: int = 0

    @property
    def asked(self) -> tuple[str, str, str]:
        """All that the findings follow from."""
        return self.source, self.instrument, self.tunes

    @property
    def neck(self) -> Instrument:
        """The instrument."""
        return Instrument.named(self.instrument)

    @property
    def tune_names(self) -> tuple[str, ...]:
        """The tunes as they were typed.

        Examples
        --------
        >>> IdeasState(tunes="heron_landing, reel.abc").tune_names
        ('heron_landing', 'reel.abc')
        """
        return tuple(name for each in self.tunes.split(",") if (name := each.strip()))

    def read_tunes(self) -> list[Tune]:
        """Return the tunes.

        Raises
        ------
        HarmonyError
            If one cannot be read.
        """
        return [read_tune(find_data("tunes", name)) for name in self.tune_names]


def controls(state: IdeasState, *, busy: bool, found: bool) -> tuple[dict[str, object], ...]:
    """Return the controls as the browser reads them."""
    line = Control("source", "text", "Chord, scale, notes or shape", state.source, enter=FIND)
    neck = Control("instrument", "choice", "Instrument", state.instrument, instrument_names())
    tunes = Control("tunes", "text", "Tunes, separated by commas", state.tunes, enter=FIND)
    lesson = Control(DRAFT, "button", "Draft a lesson")
    hint = "Write an idea file and the draft of a lesson on the first tune, beside the notebook"
    return (
        {**line.as_dict(), "row": "ask", "suggested": list(SUGGESTED)},
        {**neck.as_dict(), "row": "ask"},
        {**tunes.as_dict(), "row": "ask", "suggested": list(shipped("tunes"))},
        {**Control(FIND, "button", "Find ideas").as_dict(), "row": "ask", "off": False},
        {**Control("hear", "button", "Hear it").as_dict(), "row": "do", "off": not found},
        {**lesson.as_dict(), "row": "do", "off": busy or not found, "hint": hint},
    )


def with_value(state: IdeasState, control: str, value: str) -> IdeasState:
    """Return the state with a line or a choice set.

    Raises
    ------
    HarmonyError
        If a line is far too long.
    """
    if len(value) > 400:
        raise HarmonyError(
            "the line is longer than 400 characters", mend="a chord, a scale or notes"
        )
    return replace(state, **{control: value.strip()})  # type: ignore[arg-type]
