"""The picture: what is written over what is played, reasons by number, and what differs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.workbook.reharmonise.charts import Charts
from harmonykit.workbook.reharmonise.decisions import Decisions
from harmonykit.workbook.reharmonise.picture import Picture, picture_of
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Ways, find_best

TUNE = """format = 1
title = "Bollard Round"
key = "G minor"
meter = "4/4"
form = ["A", "B", "A"]
[[sections]]
name = "A"
changes = "| Gm6 | Bb7 | Eb6 | D7 |"
[[sections]]
name = "B"
changes = "| Cm6 | Am7b5 |"
"""


def found(**asked: object) -> Ways:
    state = ReharmoniseState(text=TUNE, best=3, **asked)  # type: ignore[arg-type]
    return find_best(state, lambda done, total: None)


@pytest.fixture(scope="module")
def ways() -> Ways:
    return found()


def picture(ways: Ways, **look: str) -> Picture:
    return picture_of(ways, replace(ways.state, **look), Charts())  # type: ignore[arg-type]


def test_the_bars_stand_in_playing_order_under_their_written_numbers(ways: Ways) -> None:
    shown = picture(ways)
    bars = [bar for phrase in shown.phrases for bar in phrase.bars]
    assert [bar.number for bar in bars] == ["1", "2", "3", "4", "5", "6", "1", "2", "3", "4"]
    assert [bar.part for bar in bars if bar.part] == ["A", "B", "A"]
    # Sections of four, two and four bars are phrases (by hand).
    assert [len(phrase.bars) for phrase in shown.phrases] == [4, 2, 4]


def test_the_tunes_own_chords_stand_over_what_is_played(ways: Ways) -> None:
    shown = picture(ways)
    bars = [bar for phrase in shown.phrases for bar in phrase.bars]
    own = [" ".join(filter(None, (c.written for c in bar.lanes[0].cells))) for bar in bars]
    assert own == ["Gm6", "B♭7", "E♭6", "D7", "Cm6", "Am7♭5", "Gm6", "B♭7", "E♭6", "D7"]


def test_every_added_chord_has_the_number_of_a_reason_and_no_other(ways: Ways) -> None:
    shown, way = picture(ways), ways.chosen("best-1").arrangement
    notes = [note for phrase in shown.phrases for note in phrase.notes]
    cells = [c for phrase in shown.phrases for bar in phrase.bars for c in bar.lanes[0].cells]
    assert [bool(cell.mark) for cell in cells] == [step.added for step in way.steps]
    for cell in cells:
        if cell.mark:
            (note,) = (note for note in notes if note.about.step == cell.cell.step)
            assert (note.mark, note.about.chord) == (cell.mark, cell.cell.name)
            assert (
                f"added where the tune has {way.steps[cell.cell.step].written.unicode}" in cell.said
            )
    # A reason is said once: where it holds again, its bar is named.
    said = [note.about.reason for note in notes if not note.as_in]
    assert len(set(said)) == len(said) < len(notes)
    for note in notes:
        if note.as_in:
            (first,) = (n for n in notes if n.mark == note.mark and not n.as_in)
            assert note.as_in == f"as in bar {first.about.bar}"
            assert note.about.reason == first.about.reason
    for phrase in shown.phrases:
        inside = {bar.index for bar in phrase.bars}
        assert all(way.steps[note.about.step].bar in inside for note in phrase.notes)


def test_bars_that_differ_are_marked_and_no_others(ways: Ways) -> None:
    shown = picture(ways, beside="written")
    one, two = (ways.chosen(name).arrangement for name in ("best-1", "written"))

    def heard(bar: int) -> list[list[object]]:
        return [
            [(s.chord, s.onset, s.voicing) for s in way.steps if s.bar == bar] for way in (one, two)
        ]

    bars = [bar for phrase in shown.phrases for bar in phrase.bars]
    for bar in bars:
        first, second = heard(bar.index)
        assert bar.differs == (first != second) != bar.lanes[1].same
        assert bar.lanes[1].way == "beside" and not any(cell.id for cell in bar.lanes[1].cells)
    assert {bar.differs for bar in bars} == {True, False}
    assert [letter for letter, *_ in shown.names] == ["a", "b"]
    assert picture(ways).names[0][0] == ""


def test_a_bar_as_written_is_locked_each_time_and_says_so() -> None:
    ways = found(decided=Decisions(frozenset((2,))))
    bars = [bar for phrase in picture(ways).phrases for bar in phrase.bars]
    assert [bar.index for bar in bars if bar.held] == [1, 7]
    for bar in bars:
        assert all(cell.said.endswith("locked") == bar.held for cell in bar.lanes[0].cells)


def test_what_was_refused_is_told_in_its_phrase() -> None:
    ways = found()
    step = ways.chosen("best-1").arrangement.added[0]
    decided = Decisions(refused=((step.onset, step.chord),))
    shown = picture_of(ways, replace(ways.state, decided=decided), Charts())
    told = [(phrase.number, phrase.refused) for phrase in shown.phrases if phrase.refused]
    assert told == [(0, ((0, step.chord.unicode),))]


def test_each_chord_has_its_numeral_and_says_what_it_does() -> None:
    ways = found(moves=())
    bars = [bar for phrase in picture(ways, chosen="written").phrases for bar in phrase.bars]
    # By hand in G minor (common practice, no source): Bb7 is the dominant of Eb, D7 of G minor.
    numerals = [[cell.numeral for cell in bar.lanes[0].cells] for bar in bars[:6]]
    assert numerals == [["i6"], ["V7/♭VI"], ["♭VI6"], ["V7"], ["iv6"], ["iiø7"]]
    assert bars[1].lanes[0].cells[0].said == "bar 2: B♭7, dominant of ♭VI"
