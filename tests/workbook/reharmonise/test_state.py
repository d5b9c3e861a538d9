"""What is set on the page of reharmonisation: what asks for a search, what is demanded and kept."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.weights import Weights
from harmonykit.errors import HarmonyError
from harmonykit.workbook.reharmonise.controls import OPTIONS
from harmonykit.workbook.reharmonise.decisions import Decisions, Tunes
from harmonykit.workbook.reharmonise.state import (
    OWN_STYLE,
    ReharmoniseState,
    from_kept,
    to_kept,
    toggled,
)

BLANK = ReharmoniseState()


def test_what_is_only_looked_at_asks_for_no_search() -> None:
    seen = replace(BLANK, chosen="front-2", beside="best-1", view="staff", step=4, order="cost")
    assert seen.asked == BLANK.asked
    assert toggled(BLANK, 3).asked != BLANK.asked


def test_a_bar_is_locked_and_unlocked() -> None:
    assert toggled(toggled(BLANK, 3), 3) == BLANK
    assert toggled(BLANK, 3).demands().locked == {3}


def named(state: ReharmoniseState) -> ReharmoniseState:
    """Return a state whose weights are those of its style, where it has a name."""
    own = STYLES.get(state.style)
    return state if own is None else replace(state, weights=own.weights)


states = st.builds(
    ReharmoniseState,
    text=st.text(max_size=60),
    name=st.text(max_size=8),
    number=st.integers(0, 99),
    moves=st.sets(st.sampled_from(list(MOVES))).map(lambda s: tuple(m for m in MOVES if m in s)),
    weights=st.builds(Weights, travel=st.integers(0, 99), clash=st.integers(0, 99)),
    style=st.sampled_from([*STYLES, OWN_STYLE]),
    tempo=st.sampled_from([0.0, 90.0, 112.5]),
    decided=st.builds(Decisions, locked=st.frozensets(st.integers(0, 300))),
    tunes=st.builds(
        Tunes, now=st.text(max_size=4), others=st.just((("other", Decisions(key="A minor")),))
    ),
    no_clashes=st.booleans(),
    view=st.sampled_from(OPTIONS["view"]),
).map(named)


@given(states)
def test_a_state_comes_back_from_its_text(state: ReharmoniseState) -> None:
    assert from_kept(to_kept(state)) == state


def test_a_style_by_name_asks_for_its_own_weights_whatever_was_kept() -> None:
    assert ReharmoniseState().weights == STYLES["usual"].weights
    old = replace(ReharmoniseState(text="| C6 |"), weights=Weights(clash=0))
    assert from_kept(to_kept(old)) == ReharmoniseState(text="| C6 |")


@pytest.mark.parametrize("settings", ["", "[]", "{}", '{"limits": 3}', "null"])
def test_settings_that_are_none_are_refused(settings: str) -> None:
    with pytest.raises(HarmonyError, match="cannot be read"):
        from_kept({"tune": "| C6 |", "settings": settings})
