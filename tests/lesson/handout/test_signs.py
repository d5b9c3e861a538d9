"""Repeats, endings, jumps, numbers and names of a chart, read from what is drawn.

How signs say the order of play is common practice, no source: a thick line where the music ends,
two thin ones where the paper does, a sign of return over the end of its bar.
"""

from __future__ import annotations

from typing import Any

import pytest
from small_arrangements import played_plainly

from harmonykit.arrange.written import written_bars
from harmonykit.lesson.handout.chart import Chart
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.once import print_once
from harmonykit.lesson.handout.signs import Signs, rows_named
from harmonykit.tune.tune import Tune

SAID = ("label", "open", "close", "ending", "times", "over", "after", "meter")


def tune_of(*sections: str, form: str = "") -> Tune:
    head = f'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\n{form}'
    return Tune.parse(
        head
        + "".join(
            f'[[sections]]\nname = "{name}"\nchanges = "{bars}"\n'
            for name, bars in zip("ABC", sections, strict=False)
        )
    )


def drawn(tune: Tune) -> list[list[dict[str, Any]]]:
    """Return the rows of a tune's chart: of each bar what is said at it."""
    data = Chart(played_plainly(tune), Figures(), boxes=False).data()
    return [
        [{key: bar[key] for key in SAID if bar[key]} for bar in row["bars"]] for row in data["rows"]
    ]


def plain(label: str, **more: Any) -> dict[str, Any]:
    return {"label": label, "open": "bar"} | more


def bracket(text: str, *, starts: bool = True, stops: bool = True) -> dict[str, Any]:
    return {"text": text, "starts": starts, "stops": stops}


REPEATED = "| {1 quarter} N.C. |: C | F | G7 |[1 C :|[2 C |"
JUMPS = "|: {segno} C | F :| {fine} C | G7 {D.S. al fine} |"
CODA = "| C | {segno} F {to coda} | G7 {D.S. al coda} | {coda} C |"


def test_a_repeat_with_two_endings() -> None:
    assert drawn(tune_of(REPEATED)) == [
        [
            {}, {"label": "1", "open": "repeat"}, plain("2"), plain("3"),
            plain("4", close="repeat", ending=bracket("1.")),
        ],
        [plain("5", close="end", ending=bracket("2."))],
    ]  # fmt: skip


def test_an_ending_of_two_bars_has_one_bracket_and_its_number_once() -> None:
    rows = drawn(tune_of("|: C |[1,2 F | G7 :|[3 C | C |"))
    endings = [bar.get("ending") for row in rows for bar in row]
    assert endings == [
        None, bracket("1., 2.", stops=False), bracket("", starts=False),
        bracket("3.", stops=False), bracket("", starts=False),
    ]  # fmt: skip
    # Its brackets say how often: no number over the repeat.
    assert all("times" not in bar for row in rows for bar in row)


@pytest.mark.parametrize(("sign", "times"), [(":|", 0), (":|x3", 3), (":|x4", 4)])
def test_more_than_two_times_are_told(sign: str, times: int) -> None:
    ((first, last),) = drawn(tune_of(f"|: C | F {sign}"))
    assert first == {"label": "1", "open": "repeat"}
    more = {"times": times} if times else {}
    assert last == plain("2", close="repeat", **more)


def test_the_piece_ends_where_it_is_played_last() -> None:
    assert drawn(tune_of(JUMPS)) == [
        [
            {"label": "1", "open": "repeat", "over": ["segno"]}, plain("2", close="repeat"),
            plain("3", close="end", after=["Fine"]),
            plain("4", close="double", after=["D.S. al Fine"]),
        ]
    ]  # fmt: skip
    assert drawn(tune_of(CODA)) == [
        [
            plain("1"), plain("2", over=["segno"], after=["To coda"]),
            plain("3", close="double", after=["D.S. al Coda"]),
        ],
        [plain("4", close="end", over=["coda"])],
    ]  # fmt: skip


def test_sections_that_come_back_are_printed_once_with_all_their_numbers() -> None:
    back = drawn(tune_of("| C | F |", "| G7 | C |", form='form = ["A", "B", "A"]\n'))
    assert back == [
        [plain("1 · 5"), plain("2 · 6", close="end", after=["Fine"])],
        [plain("3"), plain("4", close="double", after=["D.C. al Fine"])],
    ]
    mixed = drawn(tune_of("| C | F |", "| G7 | C |", form='form = ["A", "A", "B", "A", "B"]\n'))
    assert mixed == [
        [plain("1 · 3 · 7"), plain("2 · 4 · 8", close="double")],
        [plain("5 · 9"), plain("6 · 10", close="end")],
    ]
    twice = drawn(tune_of("| C | F |", "| G7 | C |", form='form = ["A", "A", "B"]\n'))
    assert twice[0] == [
        {"label": "1 · 3", "open": "repeat"}, plain("2 · 4", close="repeat"),
    ]  # fmt: skip


def test_a_double_line_ends_a_section_and_no_tune_of_one() -> None:
    two = drawn(tune_of("| C | F |", "| G7 | C |"))
    assert two == [[plain("1"), plain("2", close="double")], [plain("3"), plain("4", close="end")]]
    one = drawn(tune_of("| C | F | G7 | C | F | C |"))
    assert [row[-1].get("close") for row in one] == ["bar", "end"]


def sections(tune: Tune) -> list[tuple[str, str]]:
    rows = Chart(played_plainly(tune), Figures(), boxes=False).data()["rows"]
    return [(row["section"], row["beside"]) for row in rows]


def test_names_of_sections_stand_before_their_rows_where_there_are_several() -> None:
    assert sections(tune_of("| C | F | G7 | C | F | C |")) == [("", "beside"), ("", "beside")]
    assert sections(tune_of("| C | F | G7 | C | F | C |", "| F |")) == [
        ("A", "beside"), ("", "beside"), ("B", "beside"),
    ]  # fmt: skip
    # A pick-up takes the place of a name of one letter, and no section is called after it.
    rows = sections(tune_of("| {1 quarter} N.C. | C | F |", "| F |"))
    assert rows == [("A", "before"), ("B", "beside")]
    long = Tune.parse(
        'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\n'
        '[[sections]]\nname = "A longer verse"\nchanges = "| C |"\n'
        '[[sections]]\nname = "B"\nchanges = "| F |"\n'
    )
    assert sections(long) == [("A longer verse", "over"), ("B", "beside")]


def test_rows_have_names_for_a_page_of_words() -> None:
    """With letters, by letter and number; written out, by the number of the first bar."""
    letters = played_plainly(tune_of("| C | F |", "| G7 | C |", form='form = ["A", "B", "A"]\n'))
    assert rows_named(letters, 4) == (
        ("A", "B", "A"), [("A 1 · 5", (0, 1)), ("B 3", (2, 3))],
    )  # fmt: skip
    assert rows_named(letters, 1) == (
        ("A", "B", "A"), [("A 1 · 5", (0,)), ("2 · 6", (1,)), ("B 3", (2,)), ("4", (3,))],
    )  # fmt: skip
    plain_one = played_plainly(tune_of("| C | F | G7 | C | F |"))
    assert rows_named(plain_one, 4) == ((), [("1", (0, 1, 2, 3)), ("5", (4,))])
    assert rows_named(plain_one, 2) == ((), [("1", (0, 1)), ("3", (2, 3)), ("5", (4,))])
    # With signs a bar keeps its number each time: no row holds bars whose numbers do not run on.
    again = played_plainly(tune_of("|: C | F | G7 | C | [1 F | C :| [2 F | C |"))
    assert rows_named(again, 4) == (
        (), [("1", (0, 1, 2, 3)), ("5", (4, 5)), ("1", (6, 7, 8, 9)), ("7", (10, 11))],
    )  # fmt: skip
    led = played_plainly(
        tune_of("| {1 quarter} N.C. | C | F |", "| G7 | C |", form='form = ["A", "B", "B"]\n')
    )
    order, rows = rows_named(led, 4)
    assert order == ("A", "B", "B")
    assert [bars for _, bars in rows] == [(0,), (1, 2), (3, 4)]
    assert rows[1][0].endswith("1") and rows[2][0] == "B 3 · 5"


def signs_of(tune: Tune) -> Signs:
    way = played_plainly(tune)
    return Signs(way, print_once(way, written_bars(way)))


def test_a_diagram_keeps_off_the_signs_over_its_bar() -> None:
    """A sign reaches 14 mm into its bar from the start, a word 30 mm from the end."""
    tune = tune_of(CODA)
    chart = Chart(played_plainly(tune), Figures(), boxes=False)
    found = signs_of(tune)
    from harmonykit.lesson.handout.phrases import row_plans

    plan = next(row_plans(tune, chart.bars, 4))
    row = chart._laid(plan, 1)
    first, second, third = row
    assert first.bar.number == 1 and second.bar.number == 2

    def meets(x: float, wide: float = 10.0, left: float = 2.0) -> bool:
        return found.meet(row, [{"x": x, "wide": wide, "left": left}])

    # Bar 1 has no sign: a diagram well inside of it meets none.
    assert not meets(first.x + 5)
    # Bar 2 has a segno at its start and a word at its end.
    assert meets(second.x + 1) and meets(second.x + 8)
    assert meets(second.end - 12)
    # A diagram whose outer sides end before the sign begins meets nothing.
    assert not meets(second.x - 12.1) and meets(second.x - 11.9)
    assert found.meet(row, []) is False
    assert not signs_of(tune_of("| C | F | G7 | C |")).meet(
        row[:1], [{"x": 0, "wide": 9, "left": 1}]
    )
    assert third.bar.number == 3
