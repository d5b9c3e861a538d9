"""An instrument with a capo: shorter, with higher strings, its frets counted from the capo.

A shape keeps its digits and its name as a shape; what it sounds rises by a semitone for each fret
behind the capo.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from harmonykit.errors import HarmonyError
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note

if TYPE_CHECKING:
    from harmonykit.fretboard.strings.instrument import Instrument

# Each rise by the interval that keeps open strings plainly named (E up six frets is Bb).
_RISES = ("P1", "m2", "M2", "m3", "M3", "P4", "d5", "P5", "m6", "M6", "m7", "M7")


def put_on(instrument: Instrument, fret: int) -> Instrument:
    """Return an instrument with a capo at a fret, 0 for none: see ``Instrument.with_capo``."""
    if fret and instrument.capo:
        raise HarmonyError(
            f"the {instrument.name} has a capo at fret {instrument.capo} already",
            rule="a neck takes one capo",
        )
    if not 0 <= fret < instrument.frets:
        raise HarmonyError(
            f"a capo at fret {fret} leaves no frets",
            rule=f"the {instrument.name} has {instrument.frets} frets",
        )
    return replace(
        instrument,
        strings=tuple(_raised(note, fret) for note in instrument.strings),
        doubles=tuple(
            tuple(_raised(note, fret) for note in beside) for beside in instrument.doubles
        ),
        scale_mm=instrument.scale_mm * 2 ** (-fret / 12),
        frets=instrument.frets - fret,
        capo=fret,
    )


def _raised(note: Note, fret: int) -> Note:
    octaves, rest = divmod(fret, 12)
    steps = Interval.parse(_RISES[rest]).steps
    return note.transpose(Interval(steps + 7 * octaves, fret)).plain()
