"""Which bars share a row, against the rules of a lead sheet (common practice, no source).

Rows have four bars at most; a section and a repeat begin one; phrases keep to rows of their own; a
second ending stands under the first; a pick-up stands before the first bar.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_arrangements import played_plainly

from harmonykit.arrange.written import written_bars
from harmonykit.lesson.handout.chart import Chart
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.phrases import parts_of_row, row_plans
from harmonykit.tune.tune import Tune

Rows = list[list[tuple[int, int]]]


def rows_of(text: str, columns: int = 4) -> Rows:
    tune = Tune.parse(text)
    plans = row_plans(tune, written_bars(played_plainly(tune)), columns)
    return [[(bar.number, column) for bar, column in plan] for plan in plans]


def tune_of(*sections: str, more: str = "") -> str:
    head = 'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\n' + more
    return head + "".join(
        f'[[sections]]\nname = "{name}"\n{fields}\n'
        for name, fields in zip("ABC", sections, strict=False)
    )


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        # Seven bars: four and three.
        ("| C | F | G7 | C | C | F | G7 |", [[1, 2, 3, 4], [5, 6, 7]]),
        # A repeat begins a row.
        ("| C | F |: G7 | C | Am :| Dm |", [[1, 2], [3, 4, 5, 6]]),
        # A section begins one, and the row of the one before stays as it is.
        ("A:\n| C | F |\nB:\n| G | C | G | C | D |\nForm: AB", [[1, 2], [3, 4, 5, 6], [7]]),
    ],
)
def test_rows_begin_where_something_begins(text: str, rows: list[list[int]]) -> None:
    found = rows_of(text)
    assert [[number for number, _ in row] for row in found] == rows
    assert all([column for _, column in row] == [*range(len(row))] for row in found)


def test_other_endings_stand_under_the_first() -> None:
    assert rows_of("|: C | F | G7 |1. C :|2. C | Dm | Em |") == [
        [(1, 0), (2, 1), (3, 2), (4, 3)], [(5, 3)], [(6, 0), (7, 1)],
    ]  # fmt: skip
    assert rows_of("|: C | F |1. C :|2. Dm :|3. Em |") == [
        [(1, 0), (2, 1), (3, 2)], [(4, 2)], [(5, 2)],
    ]  # fmt: skip
    # An ending of two bars.
    assert rows_of("|: C | F |1. C | C :|2. Dm | Em |") == [
        [(1, 0), (2, 1), (3, 2), (4, 3)], [(5, 2), (6, 3)],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("phrases", "rows"),
    [
        ("[3, 3]", [3, 3]), ("[4, 2]", [4, 2]), ("[2, 4]", [2, 4]), ("[6]", [3, 3]),
        ("[1, 5]", [1, 3, 2]), ("[5, 1]", [3, 2, 1]),
    ],
)  # fmt: skip
def test_phrases_have_rows_of_their_own_as_equal_as_can_be(phrases: str, rows: list[int]) -> None:
    found = rows_of(tune_of(f'changes = "| C | F | G7 | C | F | C |"\nphrases = {phrases}'))
    assert [len(row) for row in found] == rows
    assert [number for row in found for number, _ in row] == [1, 2, 3, 4, 5, 6]


def test_phrases_of_the_second_section_count_from_its_start() -> None:
    found = rows_of(
        tune_of(
            'changes = "| C | F | G7 | C | F |"\nphrases = [2, 3]',
            'changes = "| C | F | G7 | C | F |"\nphrases = [3, 2]',
        )
    )
    assert [len(row) for row in found] == [2, 3, 3, 2]


def test_a_pick_up_shares_the_row_of_the_bar_after_it() -> None:
    found = rows_of(tune_of('changes = "| {1 quarter} N.C. |: C | F | G7 | C | F :|"'))
    assert found == [[(0, -1), (1, 0), (2, 1), (3, 2), (4, 3)], [(5, 0)]]


def test_a_bar_in_two_halves_has_one_column() -> None:
    """A repeat in the middle of bar 2: its second half bears the number of the first."""
    fields = 'changes = "| C |: {2 quarters} F | {2 quarters} G7 | C | C | F :|"'
    found = rows_of(tune_of(fields))
    for row in found:
        columns = [column for _, column in row]
        assert columns == sorted(columns) and max(columns) <= 3
        for (number, column), (after, next_column) in pairwise(row):
            assert (number == after) == (column == next_column)


@given(st.lists(st.integers(1, 9), min_size=1, max_size=4), st.integers(1, 4))
def test_every_bar_stands_once_in_order_in_rows_that_are_full(
    phrases: list[int], columns: int
) -> None:
    count = sum(phrases)
    changes = "| " + " | ".join("CFG"[n % 3] for n in range(count)) + " |"
    text = tune_of(f'changes = "{changes}"\nphrases = {phrases}')
    found = rows_of(text, columns)
    assert [number for row in found for number, _ in row] == [*range(1, count + 1)]
    starts = {row[0][0] for row in found}
    assert {1 + sum(phrases[:n]) for n in range(len(phrases))} <= starts
    for row in found:
        assert [column for _, column in row] == [*range(len(row))] and len(row) <= columns
    if columns == 4:
        # As few rows as can be, none longer than another of its phrase by more than one.
        lengths = [len(row) for row in found]
        for phrase in phrases:
            rows = -(-phrase // 4)
            own, lengths = lengths[:rows], lengths[rows:]
            assert sum(own) == phrase and max(own) - min(own) <= 1
            assert own == sorted(own, reverse=True)
        assert not lengths


def test_a_row_in_parts_keeps_its_columns_and_its_pick_up() -> None:
    tune = Tune.parse(tune_of('changes = "| {1 quarter} N.C. | C | F | G7 | C |"'))
    (plan,) = row_plans(tune, written_bars(played_plainly(tune)), 4)

    def parts(count: int) -> list[list[int]]:
        return [[bar.number for bar, _ in part] for part in parts_of_row(plan, count)]

    assert parts(4) == [[0, 1, 2, 3, 4]]
    assert parts(3) == [[0, 1, 2, 3], [4]]
    assert parts(2) == [[0, 1, 2], [3, 4]]
    assert parts(1) == [[0, 1], [2], [3], [4]]
    # Two halves of a bar stay together.
    halved = [(bar, column - (column == 2)) for bar, column in plan]
    assert [[bar.number for bar, _ in p] for p in parts_of_row(halved, 2)] == [[0, 1, 2, 3], [4]]


def test_a_pickup_that_completes_a_bar_stands_before_the_row_that_it_begins() -> None:
    tune = Tune.parse(
        "|: {1 quarter} - | C | F | {3 quarters} G7 :"
        "|: {1 quarter} - | Am | Dm | {3 quarters} E7 :|"
    )
    way = played_plainly(tune)
    rows = [*row_plans(tune, written_bars(way), 4)]
    assert [[column for _, column in row] for row in rows] == [[-1, 0, 1, 2], [-1, 0, 1, 2]]
    placed = Chart(way, Figures()).data()["rows"]
    for row in placed:
        edges = [bar["x"] for bar in row["bars"]]
        assert edges == sorted(set(edges)) and edges[1] == placed[0]["bars"][1]["x"]
        assert not row["bars"][0]["names"]  # another chord rings on each time
        assert all(bar["names"] for bar in row["bars"][1:])
