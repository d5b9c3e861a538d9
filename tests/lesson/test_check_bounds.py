"""Answers at their limits: how many bars there is room for, what is placed where, what is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.check import Report, check_answer, read_bars

MOST = 5000


def bars_of(text: str) -> int:
    return len(read_bars(text))


@pytest.mark.parametrize(
    ("before", "repeated", "times"),
    [(0, 1, 5000), (1, 1, 4999), (2, 2, 2499), (0, 2, 2500), (0, 5000, 1), (4998, 1, 2),
     (4000, 500, 2), (10, 499, 10)],
)  # fmt: skip
def test_there_is_room_for_five_thousand_bars_however_they_are_written(
    before: int, repeated: int, times: int
) -> None:
    """As many as a tune may have: one time more, or one bar more, is one too many."""

    def typed(extra_bars: int = 0, extra_times: int = 0, behind: str = "") -> str:
        text = "| 0 " * (before + extra_bars)
        many = times + extra_times
        text += "|: " + "| ".join(["1 "] * repeated)
        return text + (f":|x{many}" if many > 1 else "|") + behind

    assert before + repeated * times == MOST == bars_of(typed())
    for wrong, count in (
        (typed(extra_bars=1), MOST + 1), (typed(behind="| 2 |"), MOST + 1),
        (typed(extra_times=1), MOST + repeated),
    ):  # fmt: skip
        with pytest.raises(HarmonyError) as caught:
            read_bars(wrong)
        assert caught.value.what == f"an answer of {count} bars"
        assert caught.value.rule == "5000 at most"


@pytest.mark.parametrize(
    ("text", "bars"),
    [
        ("|: 0 | % :|", [["0"], ["0"]] * 2), ("| 0 | % | % |", [["0"]] * 3),
        ("| 0 1 |: % :|x3", [["0", "1"]] * 4), ("| 0 |: 1 :| 2 :|",
         [["0"], ["1"], ["1"], ["2"], ["2"]]),
        ("|: 0 :|x1 1 |", [["0"], ["1"]]), ("| - | - |", [[], []]), ("| 0 |: - | 1 :|",
         [["0"], [], ["1"], [], ["1"]]), ("0", [["0"]]), ("0 |", [["0"]]), ("| 0 -", [["0"]]),
    ],
)  # fmt: skip
def test_signs_of_repeats_are_read_as_players_write_them(text: str, bars: list[list[str]]) -> None:
    assert read_bars(text) == bars


@pytest.fixture
def judge(lesson_path: Path) -> object:
    """Return a function that judges an answer's lines."""
    path = lesson_path.with_name("answer.toml")

    def judged(*lines: str) -> Report:
        path.write_text("\n".join(("format = 1", *lines)) + "\n", "utf-8")
        return check_answer(lesson_path, path)

    return judged


@pytest.mark.parametrize(
    ("lines", "at", "what"),
    [
        (("level = 0", "shapes = '| 0201 |'"), "level = 0", "unknown level 0"),
        (("level = 2", "shapes = '| 0201 |'"), "level = 2", "unknown level 2"),
        (("level = -1", "shapes = '| 0201 |'"), "level = -1", "unknown level -1"),
        (("level = '1'", "shapes = '| 0201 |'"), "level = '1'", "level is '1', not a whole number"),
        (("shapes = 3",), "shapes = 3", "shapes is 3, not text in quotes"),
        (("shapes = ''", "shape = 1"), "shape = 1", "'shape' is not a key of an answer"),
    ],
)
def test_what_is_wrong_in_an_answer_is_placed_at_its_line(
    judge: object, lines: tuple[str, ...], at: str, what: str
) -> None:
    with pytest.raises(HarmonyError) as caught:
        judge(*lines)  # type: ignore[operator]
    place = caught.value.place
    assert caught.value.what == what and place is not None
    assert (place.source, place.text) == ("answer.toml", at)


def test_the_first_level_is_asked_where_none_is_named(judge: object) -> None:
    with_level = judge("level = 1", "shapes = '| 0201 |'")  # type: ignore[operator]
    assert judge("shapes = '| 0201 |'") == with_level  # type: ignore[operator]
    assert with_level.level == "Leading"


def test_what_is_played_instead_is_named_where_it_is_a_chord(judge: object) -> None:
    """The first bar has G minor sixth and A diminished: A C E flat G flat.

    On g4 C4 E4 A4 the frets 0-0-0-3 are G C E C, 2-2-2-3 A D F sharp C, and 0-1-0-0
    G C sharp E A (by hand).
    """

    def said(shape: str) -> str:
        report = judge(f"shapes = '| 0201 {shape} |'")  # type: ignore[operator]
        assert [report.right, len(report.verdicts)] == [1, 2]
        return str(report.verdicts[1].fault)

    assert said("0003").endswith("; this is C")
    assert said("2223").endswith("; this is D7") and "D on the C string does not" in said("2223")
    assert said("0100").endswith("; this is A7")
    assert "C, E♭ and G♭ are missing" in said("x-x-x-0")


def test_what_no_hand_can_hold_is_told(judge: object) -> None:
    """On g4 C4 E4 A4 the frets 12-2-6-7 are G, D, B flat and E, ten frets apart (by hand)."""
    report = judge("shapes = '| 12-2-6-7 0101 |'")  # type: ignore[operator]
    assert report.verdicts[0].fault == "12-2-6-7 sounds Gm6, but no hand can hold it"
    assert not report.verdicts[0].right and report.verdicts[0].lacking == ""
