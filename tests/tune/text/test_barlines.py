"""Bar lines, repeats and endings cut out of text; faults placed."""

from __future__ import annotations

import pytest

from harmonykit.errors import Place
from harmonykit.tune.bar import TuneError
from harmonykit.tune.text.barlines import RawBar, gather, scan


def where(text: str):
    return lambda index: Place("", 1, index + 1, text)


def cut(text: str) -> list[RawBar]:
    return gather(scan(text, where(text)), where(text))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("C", [["C"]]),
        ("| C | D |", [["C"], ["D"]]),
        ("|C|D", [["C"], ["D"]]),
        ("| C || D |", [["C"], ["D"]]),
        ("| C |\n| D |", [["C"], ["D"]]),
        ("| C | | D |", [["C"], [], ["D"]]),
        ("|  | D |", [[], ["D"]]),
        ("| C # not | D\n| E |", [["C"], ["E"]]),
        ("| F#m | #\n G |", [["F#m"], ["G"]]),
        ("|: C :| |: D :|", [["C"], ["D"]]),
        ("| C:|D", [["C"], ["D"]]),
        ("| C7(b9)/E / |", [["C7(b9)/E", "/"]]),
        ("| C7[b9] |", [["C7[b9]"]]),
        ("", []),
        ("| |", [[]]),
    ],
)
def test_words_between_bar_lines(text, words):
    assert [[word.text for word in bar.words] for bar in cut(text)] == words


def test_repeats_and_endings_belong_to_bars():
    found = cut("| C ||: D | [1,2 E | F :|x3 [3 G || A |")
    assert [(b.opens, b.closes, b.ending) for b in found] == [
        (False, 0, ()),
        (True, 0, ()),
        (False, 0, (1, 2)),
        (False, 3, (1, 2)),
        (False, 0, (3,)),
        (False, 0, ()),
    ]


@pytest.mark.parametrize(
    ("text", "column", "message"),
    [
        (":| C |", 1, "has no bar to repeat"),
        ("| C :| :| D |", 8, "has no bar to repeat"),
        ("| C :|x99 D |", 5, "99 times"),
        ("| C [1 D |", 5, "inside a bar"),
        ("| [C] |", 3, "cannot be used here"),
        ("| {3/4 C |", 3, "cannot be used here"),
        ("| C : D |", 5, "cannot be used here"),
    ],
)
def test_faults_have_their_column(text, column, message):
    with pytest.raises(TuneError, match=message) as caught:
        cut(text)
    assert caught.value.place.column == column
