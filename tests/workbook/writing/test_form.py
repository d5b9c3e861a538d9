"""The controls of the page, and what setting one does."""

from __future__ import annotations

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import shipped
from harmonykit.workbook.writing.form import form, with_value
from harmonykit.workbook.writing.typed import WritingState, file_name

STATE = WritingState(text="a", tune="heron_landing", file="a.md")


def test_every_choice_stands_on_one_of_its_options_and_can_be_used() -> None:
    for placed in form(STATE, (), busy=False):
        if placed.control.kind == "choice":
            assert placed.control.value in placed.control.options
    by_id = {each.control.id: each for each in form(STATE, (), busy=False)}
    assert by_id["tune"].suggested == shipped("tunes")
    assert all(Instrument.named(name) for name in by_id["instrument"].control.options)


def test_what_would_disturb_work_is_off_while_it_goes_on() -> None:
    off = {each.control.id for each in form(STATE, (), busy=True) if each.off}
    assert off == {"draft", "open", "back", "build"}
    assert {each.control.id for each in form(STATE, (), busy=False) if each.off} == {"back"}
    state = WritingState(text="a", before="b", file="a.md")
    assert not [each for each in form(state, (), busy=False) if each.off]


def test_another_tune_forgets_the_number() -> None:
    state = with_value(STATE, "number", "8 Dry Rope")
    assert state.number == "8"
    assert with_value(state, "tune", "heron_landing").number == "8"
    assert with_value(state, "tune", "slack_water_waltz").number == ""


def test_the_folder_is_named_after_the_file_unless_it_is_named() -> None:
    assert STATE.out == "a" and WritingState().out == "lesson"
    assert with_value(STATE, "folder", " class ").out == "class"
    assert file_name("Très Loud!") == "tres-loud.md"


def test_a_state_is_kept_as_it_is() -> None:
    assert WritingState.of(STATE.as_typed()) == STATE
