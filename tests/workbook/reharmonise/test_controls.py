"""What is set on the page of reharmonisation: every control, and kept as text."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.styles import STYLES
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names
from harmonykit.workbook.reharmonise.controls import CONTROLS, OPTIONS, after_set, value_of
from harmonykit.workbook.reharmonise.state import (
    ALLOWED,
    OWN_STYLE,
    ReharmoniseState,
    from_kept,
    to_kept,
)

BLANK = ReharmoniseState()


@pytest.mark.parametrize("move", MOVES)
def test_a_move_is_put_on_and_off_and_the_others_stay_in_their_order(move: str) -> None:
    on = after_set(BLANK, f"move-{move}", True)
    assert set(on.moves) == {*BLANK.moves, move}
    assert on.moves == tuple(each for each in MOVES if each in on.moves)
    off = after_set(on, f"move-{move}", False)
    assert set(off.moves) == set(BLANK.moves) - {move}


def test_a_preferred_move_is_one_that_may_be_used() -> None:
    asked = after_set(BLANK, "prefer", "descending passing diminished")
    assert (
        asked.prefer == "descending passing diminished"
        and "descending passing diminished" in asked.moves
    )
    assert after_set(asked, "move-descending passing diminished", False).prefer == ""


@pytest.mark.parametrize("name", STYLES)
def test_a_style_sets_the_weights_and_weights_tell_their_style(name: str) -> None:
    state = after_set(replace(BLANK, moves=()), "style", name)
    assert state.weights == STYLES[name].weights and state.prefer == STYLES[name].prefer
    dearer = after_set(state, "weight-travel", "77")
    assert (dearer.style, dearer.weights.travel) == (OWN_STYLE, 77)
    again = after_set(dearer, "weight-travel", str(STYLES[name].weights.travel))
    assert again.style == name


def test_a_level_keeps_its_name_on_another_instrument() -> None:
    state = after_set(after_set(BLANK, "hand", "level 2"), "instrument", "guitar")
    assert state.hand == "level 2"
    assert state.limits == limits_at(2, Instrument.named("guitar"))
    wide = after_set(state, "stretch_mm", "81.5")
    assert (wide.hand, wide.limits.stretch_mm) == ("your own", 81.5)
    assert after_set(wide, "barre", "none").limits.barre == "none"


@pytest.mark.parametrize(
    ("control", "value"),
    [
        ("best", "0"),
        ("best", "13"),
        ("tempo", "fast"),
        ("tempo", "9"),
        ("tempo", "nan"),
        ("max_fret", "-1"),
        ("stretch_mm", "inf"),
        ("changes_a_bar", "99"),
        ("weight-clash", "-5"),
        ("weight-clash", "1e9"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(control: str, value: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        after_set(BLANK, control, value)
    assert caught.value.rule


def test_no_tempo_is_the_tunes_own() -> None:
    assert after_set(after_set(BLANK, "tempo", "90"), "tempo", " ").tempo == 0
    assert value_of(after_set(BLANK, "tempo", "90.5"), "tempo") == "90.5"


def test_every_control_has_a_value_and_a_choice_is_one_of_its_options() -> None:
    for control in CONTROLS:
        value = value_of(BLANK, control)
        assert isinstance(value, bool) or value in OPTIONS.get(control, (value,))


def test_a_style_brings_its_own_moves_and_another_leaves_them() -> None:
    rich = after_set(BLANK, "style", "rich")
    assert set(rich.moves) == set(STYLES["rich"].moves) and "idioms" in rich.moves
    assert rich.moves == tuple(each for each in ALLOWED if each in rich.moves)
    assert after_set(rich, "style", "smooth").moves == rich.moves


def test_a_contour_is_set_for_each_phrase() -> None:
    state = after_set(BLANK, "contour-1", "rise")
    assert (value_of(state, "contour-0"), value_of(state, "contour-1")) == ("", "rise")
    assert after_set(state, "contour-1", "") == BLANK


def test_every_shipped_instrument_is_offered_and_open_strings_can_be_typed() -> None:
    assert OPTIONS["instrument"] == names()
    own = after_set(after_set(BLANK, "hand", "level 2"), "strings", " D3 G3 B3 D4 ")
    assert (own.hand, value_of(own, "strings")) == ("level 2", "D3 G3 B3 D4")
    assert from_kept(to_kept(own)) == own
    assert value_of(after_set(own, "instrument", "mandolin"), "strings") == ""
    assert after_set(BLANK, "strings", "banjo").instrument == "five-string banjo"
    with pytest.raises(HarmonyError, match="octave"):
        after_set(BLANK, "strings", "D G B D")
