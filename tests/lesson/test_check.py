"""A student's answer, judged: the sheet's own shapes, equivalents, and faults."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.cli import main
from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.check import check_answer, read_bars
from harmonykit.paths import find_data

# Invented.  On g C E A (by arithmetic) 0-2-0-2 sounds G6, 1-2-1-2 G♯°7, 0-1-0-0 A7, 2-2-2-2 D6.
TUNE = """format = 1
title = "Half Hitch"
key = "D"
meter = "4/4"
[[sections]]
name = "A"
changes = "| G6 G#dim7 | A7 | Em7 A7 | D6 |"
"""
LESSON = """+++
format = 1
title = "A hitch"
tune = "hitch.toml"
instrument = "ukulele"
chord = "C#dim7"
scale = "D major"
[[levels]]
moves = []
hand = 3
+++

## The tune

{{ chart(1) }}
"""


@pytest.fixture
def lesson_path(tmp_path: Path) -> Path:
    (tmp_path / "hitch.toml").write_text(TUNE, encoding="utf-8")
    path = tmp_path / "hitch.md"
    path.write_text(LESSON, encoding="utf-8")
    return path


def answer(lesson_path: Path, shapes: str, level: int = 1) -> Path:
    path = lesson_path.parent / "answer.toml"
    path.write_text(f'format = 1\nlevel = {level}\nshapes = """\n{shapes}\n"""\n', encoding="utf-8")
    return path


def test_the_sheet_itself_is_right(lesson_path: Path) -> None:
    (played,) = load_lesson(lesson_path).played
    bars = played.arrangement.bars()
    typed = " | ".join(" ".join(s.voicing.digits for s in bar if s.voicing) for bar in bars)
    report = check_answer(lesson_path, answer(lesson_path, f"| {typed} |"))
    assert report.right == len(report.verdicts) == len(played.arrangement.steps)


def test_bars_may_stand_once_each_as_a_chart_with_repeats_prints_them(tmp_path: Path) -> None:
    once = "| G6 | D7 |"
    for tune, bars in (
        (f"Form: A B A\nA: {once}\nB: {once}\n", 4),  # six are played
        ("A: |: G6 | D7 :|\n", 2),
        ("A: |: G6 | D7 |1 C | D7 :|2 C | G6 |\n", 6),
    ):
        (tmp_path / "t.txt").write_text("In G\n" + tune, encoding="utf-8")
        path = tmp_path / "t.md"
        path.write_text(LESSON.replace("hitch.toml", "t.txt"), encoding="utf-8")
        (played,) = load_lesson(path).played
        shapes: dict[int, str] = {}
        for bar, steps in zip(
            played.arrangement.tune.playing, played.arrangement.bars(), strict=True
        ):
            shapes.setdefault(id(bar.bar), " ".join(s.voicing.digits for s in steps if s.voicing))
        report = check_answer(path, answer(path, f"| {' | '.join(shapes.values())} |"))
        assert len(shapes) == bars and not report.empty
        assert report.right == len(report.verdicts) == len(played.arrangement.bars())
        wrong = ["0001", *[*shapes.values()][1:]]
        report = check_answer(path, answer(path, f"| {' | '.join(wrong)} |"))
        assert {verdict.bar for verdict in report.verdicts if not verdict.right} >= {1}


ONCE = "Form: A A B A Tag\nA: | G6 | D7 | C | G6 |\nB: | Em7 | A7 | D6 | D7 |\nTag: | A7 | G6 |\n"
OF_A, OF_B, OF_TAG = "0202 | 2223 | 0003 | 0202", "0202 | 0100 | 2222 | 2223", "0100 | 0202"


@pytest.mark.parametrize(
    ("shapes", "right", "words"),
    [
        # Each bar once, the tag left out: A is played three times, and 16 of 18 bars are answered.
        (f"{OF_A} | {OF_B}", 16, "no answer yet: bars 17 and 18; read as the bars of the handout: "
         "8 of 10"),
        (f"{OF_A} | {OF_B} | {OF_TAG}", 18, ""),
        (f"{OF_A} | {OF_A} | {OF_B} | {OF_A}", 16, "no answer yet: bars 17 and 18"),
    ],
)  # fmt: skip
def test_bars_are_read_in_the_order_that_fits_best_and_those_that_lack_are_named(
    tmp_path: Path, shapes: str, right: int, words: str
) -> None:
    (tmp_path / "t.txt").write_text("In G\n" + ONCE, encoding="utf-8")
    path = tmp_path / "t.md"
    path.write_text(LESSON.replace("hitch.toml", "t.txt"), encoding="utf-8")
    report = check_answer(path, answer(path, f"| {shapes} |"))
    assert report.words == "; ".join(filter(None, (f"{right} of {right} right", words)))


def test_an_answer_that_lacks_a_bar_in_the_middle_is_told_how_many_there_are(
    tmp_path: Path,
) -> None:
    (tmp_path / "t.txt").write_text(
        "In G\n| G6 | D7 | C | Em7 | A7 | D6 | D7 | G6 |", encoding="utf-8"
    )
    path = tmp_path / "t.md"
    path.write_text(LESSON.replace("hitch.toml", "t.txt"), encoding="utf-8")
    shapes = "| 0202 | 2223 | 0202 | 0100 | 2222 | 2223 | 0202 |"
    report = check_answer(path, answer(path, shapes))
    assert report.words.endswith("; 7 bars answered: the tune has 8 as played")


def test_an_equivalent_shape_is_right(lesson_path: Path) -> None:
    """G6 and the diminished seventh elsewhere on the neck (common practice, no source)."""
    report = check_answer(lesson_path, answer(lesson_path, "| 4435 4545 |"))
    assert [verdict.fault for verdict in report.verdicts] == ["", ""]


def test_an_empty_bar_is_not_judged(lesson_path: Path) -> None:
    report = check_answer(lesson_path, answer(lesson_path, "| 0202 1212 | | 0202 0100 |"))
    assert [verdict.bar for verdict in report.verdicts] == [1, 1, 3, 3]
    assert report.right == 4


def test_what_is_wrong_and_what_has_no_answer_are_named(lesson_path: Path) -> None:
    """The tune has four bars; 0-2-0-2 is the G6 of bar 1, and no A7."""
    some = check_answer(lesson_path, answer(lesson_path, "| 0202 1212 | 0202 |"))
    assert some.words == "2 of 3 right; look again at bar 2; no answer yet: bars 3 and 4"
    none = check_answer(lesson_path, answer(lesson_path, "| 0202 1212 | 0100 | | 2222 |"))
    assert none.words == "4 of 4 right; no answer yet: bar 3"
    twice = lesson_path.parent / "hitch.toml"
    twice.write_text(TUNE.replace("| G6", "|: G6").replace("D6 |", "D6 :|"), encoding="utf-8")
    half = check_answer(lesson_path, answer(lesson_path, "| 0202 1212 | 0100 | | 2222 |"))
    assert half.empty == (3,)  # each bar is asked for once, however often it is played


FAULTS = [
    # Bar 1 has G6 and G#dim7; 2-2-2-3 is A D F# C on g C E A, which is D7.
    ("| 0202 2223 |", "G♯°7", "A on the g string, F♯ on the E string and C on the A string"),
    ("| 0202 2223 |", "G♯°7", "C on the A string do not belong to G♯°7"),
    ("| 0203 1212 |", "G6", "C on the A string does not belong to G6"),
    ("| 0202 2223 |", "G♯°7", "this is D7"),
    ("| 0232 1212 |", "G6", "E is missing"),
    ("| 0202 |", "G6 G♯°7", "1 shape for G6 and G♯°7"),
    ("| 0202 12 |", "G♯°7", "string"),
    ("| 0202 1-2-1-99 |", "G♯°7", "99"),
]


@pytest.mark.parametrize(("shapes", "asked", "words"), FAULTS)
def test_a_fault_says_why(lesson_path: Path, shapes: str, asked: str, words: str) -> None:
    report = check_answer(lesson_path, answer(lesson_path, shapes))
    (wrong,) = [verdict for verdict in report.verdicts if not verdict.right]
    assert wrong.bar == 1 and wrong.asked == asked
    assert words in wrong.fault


def test_more_bars_than_the_tune_has(lesson_path: Path) -> None:
    shapes = "| 0202 1212 | 0100 | 0202 0100 | 2222 | 2222 |"
    report = check_answer(lesson_path, answer(lesson_path, shapes))
    assert report.verdicts[-1].fault == "the tune has 4 bars"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("format = 1", "is not an answer"),
        ("format = 2\nshapes = ''", "is not an answer"),
        ("format = 1\nlevel = 9\nshapes = '| 0202 |'", "unknown level 9"),
        ("format = 1\nshapes = 3", "shapes is 3"),
        ("format = 1\nshape = ''\nshapes = ''", "not a key of an answer"),
        ("= =", "the answer is not TOML"),
    ],
)
def test_what_is_no_answer(lesson_path: Path, text: str, words: str) -> None:
    path = lesson_path.parent / "answer.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(HarmonyError, match=words):
        check_answer(lesson_path, path)


def test_the_command(lesson_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = answer(lesson_path, "| 0202 2223 |")
    with pytest.raises(SystemExit) as ended:
        main(["check", str(lesson_path), str(path)])
    out = capsys.readouterr().out
    assert ended.value.code == 0
    assert "1 of 2 right" in out and "bar 1" in out and "D7" in out


BARS = [
    ("|| 0003 | 2010 0232 ||", [["0003"], ["2010", "0232"]]),
    ("| 0003 | 2010 |", [["0003"], ["2010"]]),
    ("| 0003 || 2010 |", [["0003"], ["2010"]]),
    ("| | 0003 |", [[], ["0003"]]),
    ("| 0003 | - | 2010 |", [["0003"], [], ["2010"]]),
    ("| 0003 | % | 2010 |", [["0003"], ["0003"], ["2010"]]),
    ("| 0003 |\n| 2010 | 0232 |\n\n| 0003 ||\n|| 2010 |",
     [["0003"], ["2010"], ["0232"], ["0003"], ["2010"]]),
    ("| 0003\n2010 | 0232", [["0003", "2010"], ["0232"]]),
    ("|: 0003 | 2010 :| 0232 |", [["0003"], ["2010"], ["0003"], ["2010"], ["0232"]]),
    ("| 0003 |: 2010 :|x3", [["0003"], ["2010"], ["2010"], ["2010"]]),
    ("|: 0003 :|: 2010 :|", [["0003"], ["0003"], ["2010"], ["2010"]]),
    ("||: 0003 :||", [["0003"], ["0003"]]),
    ("| x-0-0-3 :|x2 x003 |", [["x-0-0-3"], ["x-0-0-3"], ["x003"]]),
    ("", []),
]  # fmt: skip


@pytest.mark.parametrize(("text", "bars"), BARS)
def test_bar_lines_are_read_as_players_write_them(text: str, bars: list[list[str]]) -> None:
    assert read_bars(text) == bars


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("| % |", "first bar"),
        ("| 0 :|x9999", "an answer of 9999 bars"),
        ("|0" * 9999, "an answer of 9999 bars"),
    ],
)
def test_bars_that_cannot_be_read_are_refused(text: str, words: str) -> None:
    with pytest.raises(HarmonyError, match=words):
        read_bars(text)


@pytest.mark.parametrize("start", ["||", "|", "| \n|", ""])
def test_the_first_bar_is_the_first_whatever_line_begins_it(lesson_path: Path, start: str) -> None:
    (played,) = load_lesson(lesson_path).played
    rows = [" ".join(s.voicing.digits for s in b if s.voicing) for b in played.arrangement.bars()]
    typed = f"{start} {rows[0]} || {rows[1]} |\n| {rows[2]} | {rows[3]} ||"
    report = check_answer(lesson_path, answer(lesson_path, typed))
    assert report.right == len(report.verdicts) == len(played.arrangement.steps)


def test_a_level_that_is_true_is_not_a_number(lesson_path: Path) -> None:
    path = lesson_path.parent / "answer.toml"
    path.write_text("format = 1\nlevel = true\nshapes = '| 0003 |'\n", encoding="utf-8")
    with pytest.raises(HarmonyError, match="level is True, not a whole number"):
        check_answer(lesson_path, path)


def test_the_help_shows_an_answer_that_is_right(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(["check", "--help"])
    lines = [line.strip() for line in capsys.readouterr().out.splitlines()]
    start = lines.index("format = 1")
    path = tmp_path / "answer.toml"
    path.write_text("\n".join(lines[start : start + 3]), encoding="utf-8")
    report = check_answer(find_data("lessons", "stiff_dominant"), path)
    # On g C E A 2-2-1-2 sounds A D F B, Dm6, and 0-2-0-1 G D E Bb, Gm6.
    assert [(each.asked, each.right) for each in report.verdicts] == [("Dm6", True), ("Gm6", True)]
