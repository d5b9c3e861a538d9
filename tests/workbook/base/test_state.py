"""States as lines of text: there and back, and nothing else read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.state import read_state, write_state
from harmonykit.workbook.panels.catalogue_filter import CatalogueState
from harmonykit.workbook.panels.clock import ClockState
from harmonykit.workbook.panels.cube import CubeState
from harmonykit.workbook.panels.distance_measure import DistanceState
from harmonykit.workbook.panels.neck import NeckState
from harmonykit.workbook.panels.one_note_move import OneNoteState

STATES = [
    ("clock", ClockState(PcSet.of(0, 3, 6, 9), axes=True, mirror=7)),
    ("neck", NeckState(PcSet.of(0, 4, 7, 9), "C6", "baritone ukulele", 2)),
    ("one-note", OneNoteState("C#dim7", "raise", 4, True, "guitar")),
    ("distance", DistanceState(("C6/E", "F#m7b5", "Bb"), "inf", True, 3, 1)),
    ("cube", CubeState("Ddim7", ("0000", "0100", "0110"))),
    (
        "catalogue",
        CatalogueState("7-Z18", "7", ". . 4 . . .", "turns or mirrors", "0 3 6", "C7b9", 11),
    ),
]


@pytest.mark.parametrize(("kind", "state"), STATES)
def test_a_line_says_all(kind: str, state: object) -> None:
    line = write_state(kind, state)
    assert "\n" not in line and line.startswith(f"{kind} 1;")
    assert read_state(kind, type(state)(), line) == state
    assert read_state(kind, type(state)(), f"  {line.replace('; ', ' ;')}\n") == state


@given(st.integers(0, 4095), st.booleans(), st.integers(0, 11))
def test_there_and_back(mask: int, axes: bool, mirror: int) -> None:
    state = ClockState(PcSet(mask), axes=axes, mirror=mirror)
    assert read_state("clock", ClockState(), write_state("clock", state)) == state


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("", "not a saved line of a clock panel"),
        ("neck 1; notes=047", "not a saved line of a clock panel"),
        ("clock 2; notes=047", "not a saved line of a clock panel"),
        ("clock 1; colour=red", "unknown setting 'colour'"),
        ("clock 1; axes=maybe", "axes='maybe' cannot be read"),
        ("clock 1; mirror=seven", "mirror='seven' cannot be read"),
        ("clock 1; mirror=12", "T12I"),
        ("clock 1; notes=0H", "not a pitch-class set"),
        ("clock 1; chord=C7; notes=0", "not those of C7"),
    ],
)
def test_what_is_no_state_is_refused(line: str, said: str) -> None:
    with pytest.raises(HarmonyError, match=said):
        read_state("clock", ClockState(), line)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    for line in (text, f"clock 1; {text}", f"clock 1; notes={text}"):
        try:
            assert isinstance(read_state("clock", ClockState(), line), ClockState)
        except HarmonyError:
            continue
