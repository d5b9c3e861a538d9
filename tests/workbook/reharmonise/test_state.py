"""What is set on the page of reharmonisation: what asks for a search, and what is demanded."""

from __future__ import annotations

from dataclasses import replace

from harmonykit.workbook.reharmonise.state import ReharmoniseState, toggled

BLANK = ReharmoniseState()


def test_what_is_only_looked_at_asks_for_no_search() -> None:
    seen = replace(BLANK, chosen="front-2", beside="best-1", view="staff", step=4, order="cost")
    assert seen.asked == BLANK.asked
    assert toggled(BLANK, 3).asked != BLANK.asked


def test_a_bar_is_locked_and_unlocked() -> None:
    assert toggled(toggled(BLANK, 3), 3) == BLANK
    assert toggled(BLANK, 3).demands().locked == {3}
