"""A panel on a page: what its lists offer leads on."""

from __future__ import annotations

from typing import Any

import pytest

import harmonykit as hk
from harmonykit.home.states import replays_of


def moves_of(page: dict[str, Any], at: int) -> dict[str, int]:
    """Return where the moves of a state lead, as the page's script reads them."""
    told = page["moves"][at]
    every = page["moves"][0] | told if at else told
    return {name: to for name, to in told.get("all", every).items() if to is not None}


@pytest.mark.parametrize("instrument", ["ukulele", "ukulele low g", "baritone ukulele", "guitar"])
def test_a_list_leads_nowhere_where_all_else_is_grey(instrument: str) -> None:
    """What a panel is for is not choosing the chord and the instrument alone."""
    panel = hk.workbook.OneNotePanel(hk.Chord.parse("Adim7"))
    (page,) = replays_of([panel])
    number = page["asked"]
    at = moves_of(page, 0)[str(number[f"set instrument {instrument}"])]
    chords = [name for name in number if name.startswith("set chord ")]
    here = moves_of(page, at)
    offered = [here[str(number[name])] for name in chords if str(number[name]) in here]
    assert len(offered) == 12 if instrument == "ukulele" else len(offered) < 12
    across = ("set chord ", "set instrument ")
    for there in offered:
        after = moves_of(page, there)
        open_ = [n for n in number if not n.startswith(across) and str(number[n]) in after]
        assert any(after[str(number[name])] != there for name in open_)
