"""Quotation marks that stand alone in ABC; what is kept is worked out by hand."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from harmonykit.score.abc_lines import ALONE, mend_quotes
from harmonykit.score.interchange import read_score

HEAD = "X:1\nT:Trial\nM:4/4\nL:1/4\nK:C\n"


@pytest.mark.parametrize(
    ("line", "mended"),
    [
        ('"C"C4|"G"G4|', '"C"C4|"G"G4|'),
        ('"Am7 C2 "D7"D2|', '~Am7~ C2 "D7"D2|'),
        ('"Am7"C2 "D7 D2|', '"Am7"C2 ~D7~ D2|'),
        ('C2 Am7" C2 "D7"D2|', 'C2 ~Am7~ C2 "D7"D2|'),
        ('"C"C4|"G D4|"Am"E4|', '"C"C4|~G~ D4|"Am"E4|'),
        ('"C"C4|D2 E2"|"G"D4|', '"C"C4|D2 E2~~|"G"D4|'),
        ('"C C4|"G D4|"Am"E4|', '~C~ C4|~G~ D4|"Am"E4|'),
        ('"C"C4|"^to here | go on"D4|', '"C"C4|"^to here | go on"D4|'),
        ('"^slowly"C4|"G"D4|E2"F2|', '"^slowly"C4|"G"D4|E2~~F2|'),
    ],
)
def test_a_mark_alone_costs_what_stands_beside_it(line: str, mended: str) -> None:
    assert mend_quotes(line).replace(ALONE, "~") == mended


def test_the_tune_is_read_and_the_loss_is_said() -> None:
    music = '"C"C4|"G7 D2 "C"E2|"F"F4|\n"G"G4|]\n'
    tune = read_score("trial.abc", ".abc", (HEAD + music).encode(), None)
    assert [str(change.chord) for change in tune.changes] == ["C", "C", "F", "G"] or [
        str(change.chord) for change in tune.changes
    ] == ["C", "F", "G"]
    assert [str(note.note) for note in tune.melody] == ["C4", "D4", "E4", "F4", "G4"]
    assert any("quotation mark is not closed; G7 is left out" in doubt for doubt in tune.doubts)


@pytest.mark.parametrize(
    ("music", "chords"),
    [
        ('"C"CDEF "G7"|"C"G4|]', [("C", 0), ("C", 4)]),
        ('"C"CDEF"G7":|"C"G4|]', [("C", 0), ("C", 4), ("C", 8)]),
        ('"C"CDEF "Am"|G4|]', [("C", 0), ("Am", 4)]),
        ('"C"CDEF "G7 |"C"G4|]', [("C", 0), ("C", 4)]),
        ('"C"CDEF "^slow"|"C"G4|]', [("C", 0), ("C", 4)]),
    ],
)
def test_a_symbol_before_a_bar_line_takes_no_place_from_the_next(
    music: str, chords: list[tuple[str, int]]
) -> None:
    """A symbol belongs to the note that follows (ABC 2.1, 4.18), which keeps its own."""
    tune = read_score("trial.abc", ".abc", (HEAD + music).encode(), None)
    assert [(str(change.chord), int(change.onset)) for change in tune.changes] == chords
    pitches = [str(note.note) for note in tune.melody]
    assert pitches[:4] == ["C4", "D4", "E4", "F4"] and pitches[-1] == "G4"
    lost = "G7" in music
    assert any("G7" in doubt and "left out" in doubt for doubt in tune.doubts) == lost


def test_two_symbols_on_one_note_are_alternatives() -> None:
    # ABC 2.1, 4.18: several symbols of a note are alternatives.
    tune = read_score(
        "trial.abc", ".abc", (HEAD + '"C""Am7"C4|"G7"D4|"^soft""C"C4|]\n').encode(), None
    )
    found = [(str(change.chord), change.beats) for change in tune.changes]
    assert found == [("C", 4), ("G7", 4), ("C", 4)]
    assert [str(each) for each in tune.bars[0].changes[0].alternates] == ["Am7"]
    assert any("C is kept; alternates: Am7" in doubt for doubt in tune.doubts)


def test_wherever_a_mark_stands_alone_the_rest_is_kept() -> None:
    """A mark put anywhere costs one symbol, or one note, at most."""
    music = '"C"C2"G7"D2|"Am"E2"F"F2|"Dm7"D2"G"B2|"C6"c4|]'
    symbols, notes = heard(music)
    assert len(symbols) == len(notes) == 7
    for where in range(len(music) + 1):
        kept, sung = heard(mend_quotes(f'{music[:where]}"{music[where:]}'))
        lost = len(symbols) - sum((Counter(symbols) & Counter(kept)).values())
        lost += len(notes) - sum((Counter(notes) & Counter(sung)).values())
        assert lost <= 1 and len(kept) <= len(symbols), (where, kept, sung)


def heard(line: str) -> tuple[list[str], list[str]]:
    """Return the symbols and the letters of notes in a line in which each mark has a partner."""
    left = re.sub(f"{ALONE}[^{ALONE}]*{ALONE}", "", line)
    return re.findall('"([^"]*)"', left), re.findall("[A-Ga-g]", re.sub('"[^"]*"', "", left))
