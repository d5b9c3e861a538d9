"""Calls in the text: what is read, and all that is not."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError, Place
from harmonykit.lesson.plan.model import Chart, LessonError, Text
from harmonykit.lesson.plan.source import Body
from harmonykit.lesson.statements.calls import (
    Answer,
    answer_call,
    assemble,
    fill,
    placed,
    read_call,
)


def echo(*args: object, **keywords: object) -> str:
    return f"<{args} {keywords}>"


def chart(level: int) -> Chart:
    return Chart(level)


FUNCTIONS = {"echo": echo, "chart": chart}


def put_in(*lines: str) -> tuple[object, ...]:
    return tuple(
        block
        for section in assemble(Body("lesson.md", lines, 5), FUNCTIONS)
        for block in section.blocks
    )


def test_literals_of_every_kind() -> None:
    name, found = read_call("f(1, -2.5, 'a', [True, ('b', 3)], k=\"v\")")
    assert name == "f"
    assert [each.value for each in found] == [1, -2.5, "a", [True, ["b", 3]], "v"]
    assert [each.key for each in found] == ["", "", "", "", "k"]


NOT_CALLS = [
    "echo", "echo.upper()", "echo(x)", "echo(1 + 2)", "echo(**{})", "echo(*[1])", "(lambda: 1)()",
    "echo(open('f'))", "echo([x for x in 'ab'])", "echo(f'{1}')", "echo(", "", "1", "echo(None)",
    "__import__('os').system('true')", "echo(b'1')", "echo(-'a')", "echo()()",
]  # fmt: skip


@pytest.mark.parametrize("source", NOT_CALLS)
def test_nothing_but_calls_with_literals_is_read(source: str) -> None:
    with pytest.raises(LessonError):
        read_call(source)


@given(st.text(max_size=40))
def test_any_text_gives_a_call_or_our_error(source: str) -> None:
    try:
        read_call(source)
    except LessonError:
        pass


def test_inside_a_sentence_a_call_puts_in_text() -> None:
    (text,) = put_in("Say {{ echo(1) }} and {{echo(2)}}.")
    assert text == Text("Say <(1,) {}> and <(2,) {}>.")


def test_on_its_own_line_a_call_puts_in_a_block() -> None:
    assert put_in("before", "{{ chart(0) }}", "after") == (Text("before"), Chart(0), Text("after"))


@pytest.mark.parametrize(
    "lines",
    [
        ("{{ echo(1) }}",), ("Say {{ echo(1) }} now.",), ("{{ echo(1) }}{{ echo(2) }}",),
        ("First,", "{{ echo(1) }}", "then {{ echo(2) }}.", "{{ echo(3) }}", "Last."),
        ("No call.", "None here."),
    ],
)  # fmt: skip
def test_what_calls_gave_is_known_by_its_place(lines: tuple[str, ...]) -> None:
    """Cut out of the text at the places told, the answers are those of the calls, in order."""
    (text,) = put_in(*lines)
    assert isinstance(text, Text)
    asked = [f"<({number},) {{}}>" for number in re.findall(r"echo\((\d)\)", " ".join(lines))]
    assert [text.markdown[start:end] for start, end in text.put_in] == asked
    assert text.lines == tuple(range(5, 5 + len(lines)))


def test_headings_make_sections() -> None:
    body = Body("lesson.md", ("first", "## One", "a", "## Two {{ echo(3) }}", "b"), 1)
    sections = assemble(body, FUNCTIONS)
    assert [s.title for s in sections] == ["", "One", "Two <(3,) {}>"]


def test_code_blocks_are_left_alone() -> None:
    (text,) = put_in("```", "{{ echo(1) }}", "## no heading", "```")
    assert text == Text("```\n{{ echo(1) }}\n## no heading\n```")


FAULTS = [
    ("text {{ chart(0) }} text", 6, "must be alone"),
    ("text {{ ehco(1) }}", 6, "echo"),
    ("x {{ echo(1)", 3, "no closing braces"),
    ("{{ chart() }}", 1, "needs level"),
    ("{{ import os }}", 1, "not a call"),
]


@pytest.mark.parametrize(("line", "column", "words"), FAULTS)
def test_a_fault_has_line_and_column(line: str, column: int, words: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        put_in("fine", line)
    place = caught.value.place
    assert place is not None and (place.line, place.column) == (6, column)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("line", "inner", "column"),
    [("x {{ echo(1) }}", 6, 11), ("x {{echo(1)}}", 6, 10), ("x {{ echo(1) }}", 1, 3)],
)
def test_the_caret_goes_under_the_argument(line: str, inner: int, column: int) -> None:
    error = HarmonyError("no", place=Place("call", 1, inner, "echo(1)"))
    found = placed(error, Place("lesson.md", 6, 3, line)).place
    assert found is not None and (found.line, found.column) == (6, column)


class Listed:
    """Answers that go on after a fault, and list it."""

    def __init__(self) -> None:
        self.faults: list[tuple[int | None, int | None, str]] = []

    def answer(self, place: Place, source: str) -> Answer:
        try:
            return answer_call(FUNCTIONS, source)
        except LessonError as error:
            return self.fault(LessonError(error.what, place=place))

    def fault(self, error: LessonError) -> str:
        assert error.place is not None
        self.faults.append((error.place.line, error.place.column, error.what))
        return "[fault]"


def test_a_reader_who_goes_on_hears_of_every_fault() -> None:
    answers = Listed()
    lines = ("## A {{ no(1) }}", "x {{ chart(0) }} y {{ echo(1) }}", "{{ chart(1) }}", "{{ echo(")
    (section,) = fill(Body("lesson.md", lines, 5), answers)
    assert section.title == "A [fault]"
    first, chart, last = section.blocks
    assert first == Text("x [fault] y <(1,) {}>") and chart == Chart(1)
    assert last == Text("[fault]  echo(")
    assert [(line, column) for line, column, _ in answers.faults] == [(5, 6), (6, 3), (8, 1)]


def test_the_line_of_each_call_is_told_before_it_is_answered() -> None:
    """Facts name the line that states them: counted in the file, with its header."""
    told: list[object] = []
    functions = {"echo": lambda number: told.append(number) or "said"}
    lines = ("one", "{{ echo(1) }}", "", "so {{ echo(2) }} and {{ echo(3) }}")
    assemble(Body("lesson.md", lines, 5), functions, lambda line: told.append(f"line {line}"))
    assert told == ["line 6", 1, "line 8", 2, "line 8", 3]


def test_a_text_knows_what_was_put_in_and_where() -> None:
    """Line by line: what stands between the places is what the calls said."""
    lines = (
        "one {{ echo(1) }} and",
        "",
        "{{ echo(2) }} two {{ echo(3) }}",
        "none",
        "{{echo(44)}}.",
    )
    (text,) = put_in(*lines)
    assert isinstance(text, Text)
    assert [text.markdown[a:b] for a, b in text.put_in] == [f"<({n},) {{}}>" for n in (1, 2, 3, 44)]
