"""Where the bars of a part stand on a page: in columns that all parts share, none beside it."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby, pairwise

import pytest

from harmonykit.draw.base.fonts import text_width
from harmonykit.lesson.together.bars import BARS_A_ROW, WIDE_MM, Bars, cells_of
from harmonykit.tune.tune import Tune


def tune(changes: str, other: str = "", form: str = "", names: str = "AB") -> Tune:
    text = 'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\n'
    text += f"form = [{', '.join(map(repr, form))}]\n" if form else ""
    for name, bars in zip(names.split("|") if "|" in names else names, (changes, other),
                          strict=True):  # fmt: skip
        text += f'[[sections]]\nname = "{name}"\nchanges = "{bars}"\n' if bars else ""
    return Tune.parse(text)


@pytest.mark.parametrize(
    ("changes", "other", "places"),
    [
        ("| C | F | G7 | C | F |", "", [(0, 0), (0, 1), (0, 2), (0, 3), (1, 0)]),
        # A section begins a row, a pick-up stands before the first.
        ("| C | F |", "| G7 | C |", [(0, 0), (0, 1), (1, 0), (1, 1)]),
        ("| {1 quarter} C | F | G7 | C | F | C |", "",
         [(0, -1), (0, 0), (0, 1), (0, 2), (0, 3), (1, 0)]),
        # A second ending stands under the first, whatever the column.
        ("|: C | F | [1 G7 :| [2 C ||", "", [(0, 0), (0, 1), (0, 2), (1, 2)]),
        ("|: C | [1 G7 | F :| [2 C | C ||", "", [(0, 0), (0, 1), (0, 2), (1, 1), (1, 2)]),
    ],
)  # fmt: skip
def test_bars_stand_in_rows_of_four(
    changes: str, other: str, places: list[tuple[int, int]]
) -> None:
    cells = cells_of(tune(changes, other))
    assert [(cell.row, cell.column) for cell in cells] == places


@pytest.mark.parametrize("lead", ["", "{1 quarter} C |", "{2 quarters} C |", "{7/2 quarters} C |"])
def test_four_bars_and_a_pick_up_fill_a_row_and_none_reaches_beyond_it(lead: str) -> None:
    song = tune(f"| {lead} C | F | G7 | C | F | {{3 quarters}} C |")
    bars, cells = Bars(song), cells_of(song)
    for _, group in groupby(cells, key=lambda cell: cell.row):
        for one, two in pairwise(group):
            assert bars.start(one) + bars.wide(one) == pytest.approx(bars.start(two))
    full = [cell for cell in cells if cell.row == 0]
    first, last = full[0], full[-1]
    # Before the first stands room for a clef or a number, behind the last for its line.
    assert bars.start(first) == pytest.approx(12) and len(full) == BARS_A_ROW + bool(lead)
    assert bars.start(last) + bars.wide(last) == pytest.approx(WIDE_MM - 1.8)
    short = cells[-1]
    assert bars.wide(short) == pytest.approx(bars.column * 3 / 4)
    if lead:
        share = float(first.bar.length / 4)
        assert bars.wide(first) == pytest.approx(bars.column * share)
    # Each row begins where the first whole bar does.
    assert bars.start(cells[-2]) == bars.start(full[bool(lead)])


def test_beats_stand_in_their_order_at_equal_distances_inside_the_lines() -> None:
    song = tune("| C | F |")
    bars = Bars(song)
    for cell in cells_of(song):
        places = [bars.at(cell, Fraction(n)) for n in range(5)]
        steps = [b - a for a, b in pairwise(places)]
        assert steps == pytest.approx([steps[0]] * 4) and steps[0] > 5
        assert places[0] == pytest.approx(bars.start(cell) + 2.5)
        assert places[-1] == pytest.approx(bars.start(cell) + bars.wide(cell) - 1.0)


def test_a_bar_bears_the_numbers_of_each_time_that_it_is_played() -> None:
    song = tune("| C | F |", "| G7 |", form="ABA")
    bars = Bars(song)
    assert [bars.numbers(cell.bar) for cell in cells_of(song)] == ["1 · 4", "2 · 5", "3"]
    assert [bars.begun(cell.bar) for cell in cells_of(song)] == ["A", "", "B"]
    # What shares their line stands behind them.
    often = tune("| C | F |", "| G7 |", form="ABABABABA")
    many = Bars(often)
    assert many.numbers(often.bars[0]) == "1 · 4 · 7 · 10 · 13"
    shifts = [many.shift(cell) for cell in cells_of(often)]
    assert shifts[0] > text_width("1 · 4 · 7 · 10 · 13", 8.0) - 2.5
    assert bars.shift(cells_of(song)[2]) == 5.0 < shifts[0]
    alone = tune("| C | F |")
    assert [Bars(alone).begun(cell.bar) for cell in cells_of(alone)] == ["", ""]
    long = tune("| C |", "| F |", names="Verse|B2")
    assert [Bars(long).begun(cell.bar) for cell in cells_of(long)] == ["Verse", "B2"]


def test_a_pick_up_has_no_number_and_nothing_gives_way_to_it() -> None:
    song = tune("| {1 quarter} C | F |")
    first, second = cells_of(song)
    bars = Bars(song)
    assert bars.shift(first) == 0.0 and bars.shift(second) >= 5.0
