"""Undo and redo: back through all that was set, and on again, whatever was looked at."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from harmonykit.workbook.reharmonise.history import History
from harmonykit.workbook.reharmonise.state import ReharmoniseState, toggled

FIRST = ReharmoniseState(text="| C6 | A7 | Dm7 | G7 |")


@given(st.lists(st.sampled_from(["set", "undo", "redo"]), max_size=40), st.data())
def test_it_goes_as_two_stacks_do(acts: list[str], data: st.DataObject) -> None:
    """Against the plainest model: a list of all states and a place in it."""
    history, now = History(), FIRST
    line, place = [FIRST], 0
    for act in acts:
        if act == "set":
            after = toggled(now, data.draw(st.integers(1, 4)))
            history.left(now)
            line, place = [*line[: place + 1], after], place + 1
            now = after
        else:
            step = -1 if act == "undo" else 1
            can = 0 <= place + step < len(line)
            assert can == (history.can_undo if step < 0 else history.can_redo)
            found = history.undo(now) if step < 0 else history.redo(now)
            assert (found is not None) == can
            place, now = (place + step, found) if found else (place, now)
        assert now == line[place]


def test_what_is_about_the_same_is_one_step() -> None:
    history, now = History(), FIRST
    for text in ("| C |", "| C | F |", "| C | F | G |"):
        history.left(now, "text")
        now = replace(now, text=text)
    assert history.undo(now) == FIRST and not history.can_undo


def test_what_is_looked_at_stays() -> None:
    history = History()
    history.left(FIRST)
    now = replace(toggled(FIRST, 1), view="staff", beside="best-2")
    assert history.undo(now) == replace(FIRST, view="staff", beside="best-2")
