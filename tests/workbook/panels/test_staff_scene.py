"""The staff: notes on their lines, accidentals clear of one another, ledger lines where needed."""

from __future__ import annotations

import pytest

from harmonykit.draw.tree import Path
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.note import Note
from harmonykit.workbook.panels.staff_scene import SPACE_MM, Staff


def chord(*names: str) -> list[tuple[Note, str]]:
    return [(Note.parse(name), "head") for name in names]


@pytest.mark.parametrize(
    ("name", "line"),
    [("E4", 2), ("G4", 1), ("B4", 0), ("D5", -1), ("F5", -2), ("C4", 3), ("A5", -3)],
)
def test_the_lines_of_the_treble_clef(name: str, line: int) -> None:
    """E G B D F from the lowest line up; C4 one ledger line below, A5 one above."""
    staff = Staff(1, 4)
    assert staff.y(Note.parse(name)) == pytest.approx(staff.middle + line * SPACE_MM)


def test_accidentals_do_not_move_a_note() -> None:
    staff = Staff(1, 4)
    assert staff.y(Note.parse("Bb4")) == staff.y(Note.parse("B4")) != staff.y(Note.parse("A#4"))


def test_ledger_lines() -> None:
    staff = Staff(1, 4)
    names = ("G4", "D4", "C4", "A3", "A5", "C6")
    drawn = [Path(staff.ledgers([chord(name)])).strokes() for name in names]
    assert [len(strokes) for strokes in drawn] == [0, 0, 1, 2, 1, 2]
    # The first line below the staff is a space under its lowest line: three from the middle.
    ((start, end),) = drawn[2]
    assert start[1] == end[1] == pytest.approx(staff.middle + 3 * SPACE_MM)


def test_neighbours_stand_side_by_side_and_signs_keep_clear() -> None:
    looks = Staff(1, 4).looks([chord("Eb4", "Gb4", "B4", "C5")])
    x = [looks[f"note-1-{v}"].at[0] for v in (1, 2, 3, 4)]
    assert x[0] == x[1] == x[2] < x[3]
    assert looks["note-1-1"].text == "♭" and looks["note-1-2"].text == "♭\u2002"


def test_the_sign_of_a_note_that_stands_aside_keeps_clear_of_its_neighbour() -> None:
    looks = Staff(1, 4).looks([chord("E4", "F#4")])
    assert looks["note-1-2"].at[0] > looks["note-1-1"].at[0]
    assert looks["note-1-2"].text == "♯\u2003"


def test_low_strings_are_written_an_octave_up() -> None:
    assert Staff.for_neck(Instrument.named("guitar"), 1).low
    assert not Staff.for_neck(Instrument.named("ukulele"), 1).low
    low, plain = Staff(1, 6, low=True), Staff(1, 4)
    assert low.y(Note.parse("E3")) == plain.y(Note.parse("E4"))


def test_the_clef_is_an_outline() -> None:
    assert Staff(1, 4).clef().outline[0][0] == "M"
