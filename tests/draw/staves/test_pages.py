"""An arrangement as pages of staves: which bars stand on which line."""

from __future__ import annotations

import pytest

from harmonykit.arrange.passes import alike_each_time
from harmonykit.arrange.search import reharmonise
from harmonykit.draw.staves import pages
from harmonykit.draw.staves.pages import staff_pages
from harmonykit.tune.tune import Tune


def test_a_pickup_stands_before_the_first_four_and_the_metre_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """By hand: pick-up and bars 1 to 4, then 5 to 8, then the last two; a repeat is kept."""
    lines: list[tuple[range, bool]] = []
    drawn = pages.draw_measures

    def spy(score, bars, palette, *, a_line, goes_on):
        assert a_line == len(bars)
        lines.append((bars, goes_on))
        return drawn(score, bars, palette, a_line=a_line, goes_on=goes_on)

    monkeypatch.setattr(pages, "draw_measures", spy)
    tune = Tune.parse(
        "| {1 quarter} G7 |: C | F | G7 | C | F | C | [1 G7 | C :| [2 G7 | C |", key="C"
    )
    way = reharmonise(tune, "ukulele", (), k=1)[0]
    (page,) = staff_pages(alike_each_time(way)[0], title="Ebb at the Weir", paper="letter")
    assert lines == [(range(5), False), (range(5, 9), True), (range(9, 11), True)]
    assert "Ebb at the Weir" in page.svg
