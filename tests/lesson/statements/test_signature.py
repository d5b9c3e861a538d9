"""Arguments of a call: names, numbers and kinds, checked before the call is made."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError, Place
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.plan.source import Body
from harmonykit.lesson.statements.calls import answer_call, assemble, read_call
from harmonykit.lesson.statements.functions import Functions
from harmonykit.lesson.statements.signature import EXAMPLES, Given, check_arguments


def call(text: str, count: int, *more: str, share: float = 0.5, loud: bool = False) -> str:
    return text


GOOD = ['call("a", 1)', 'call("a", 1, "b", "c")', 'call(count=2, text="a")',
        'call("a", 1, share=1)', 'call("a", 1, loud=True)']  # fmt: skip
BAD = [
    ("call()", "needs text", 1),
    ('call("a")', "needs count", 1),
    ('call("a", True)', "count of call is true, not a whole number", 11),
    ('call("a", 1.5)', "count of call is 1.5, not a whole number", 11),
    ('call("a", "1")', "count of call is '1', not a whole number", 11),
    ("call(1, 1)", "text of call is 1, not text in quotes", 6),
    ('call("a", 1, 2)', "more of call is 2, not text in quotes", 14),
    ('call("a", 1, shape=2)', "no argument 'shape'", 14),
    ('call("a", 1, text="b")', "text of call is given twice", 14),
    ('call("a", 1, share=True)', "share of call is true, not a number", 14),
    ('call("a", 1, loud=1)', "loud of call is 1, not true or false", 14),
    ('call(["a"], 1)', "text of call is ['a'], not text in quotes", 6),
    ('call("é", [1])', "count of call is [1]", 11),
]


@pytest.mark.parametrize("source", GOOD)
def test_what_fits_passes(source: str) -> None:
    assert answer_call({"call": call}, source) == "a"


@pytest.mark.parametrize(("source", "words", "column"), BAD)
def test_what_does_not_fit_is_said_where_it_stands(source: str, words: str, column: int) -> None:
    with pytest.raises(LessonError) as caught:
        answer_call({"call": call}, source)
    assert words in caught.value.what
    assert caught.value.place == Place(column=column)
    assert "call(text, count, more, ..., share=0.5, loud=False)" in caught.value.rule


def test_too_many_are_refused() -> None:
    def bare() -> str:
        return ""

    with pytest.raises(LessonError, match="takes no arguments, not 1"):
        check_arguments("bare", bare, [Given(1)])


def test_the_caret_stands_under_the_argument_in_its_line() -> None:
    body = Body("a.md", ('Say {{  call("a", "b") }} now.',), 7)
    with pytest.raises(HarmonyError) as caught:
        assemble(body, {"call": call})
    place = caught.value.place
    assert place is not None and place.column is not None
    assert (place.line, place.text[place.column - 1 : place.column + 2]) == (7, '"b"')


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, write_lesson: object) -> Functions:
    assert callable(write_lesson)
    lesson = load_lesson(write_lesson(tmp_path_factory.mktemp("signature")))
    return Functions(lesson.front, lesson.played)


def test_every_call_has_an_example_that_fits_its_signature(small: Functions) -> None:
    table = small.table()
    assert sorted(EXAMPLES) == sorted(table)
    for name, example in EXAMPLES.items():
        read, given = read_call(example)
        assert read == name
        check_arguments(name, table[name], given)


VALUES = ["1", "-1", "0", "True", "False", "1.5", "[]", "['a']", '""', '"x"', '"C7"', "10**0",
          str(10**30), '"Cdim7"', '"\\x00"', '"2213"', '"' + "9" * 50 + '"']  # fmt: skip


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_no_argument_whatever_brings_out_more_than_our_error(small: Functions, name: str) -> None:
    """Each call with every value in each of its first places: an answer, or an error of ours."""
    table = small.table()
    _, given = read_call(EXAMPLES[name])
    good = [repr(one.value) for one in given if not one.key]
    tried = [f"{name}({value})" for value in VALUES]
    for place in range(len(good)):
        for value in VALUES:
            tried.append(f"{name}({', '.join([*good[:place], value, *good[place + 1 :]])})")
    for source in tried:
        try:
            answer_call(table, source)
        except HarmonyError as error:
            said = str(error)
            assert "positional" not in said and "NoneType" not in said and "()" not in error.what


@pytest.mark.parametrize(
    ("given", "told"),
    [(3, "pair takes at most 2 arguments, not 3"), (5, "pair takes at most 2 arguments, not 5")],
)
def test_one_too_many_is_told_with_how_many_there_may_be(given: int, told: str) -> None:
    def pair(one: int, other: int = 0) -> str:
        return ""

    with pytest.raises(LessonError) as caught:
        check_arguments("pair", pair, [Given(n, column=n) for n in range(1, given + 1)])
    assert caught.value.what == told
    assert caught.value.place == Place(column=3)
    assert caught.value.rule == "it is written pair(one, other=0)"


def test_one_argument_is_one() -> None:
    def single(one: str) -> str:
        return one

    with pytest.raises(LessonError, match="single takes one argument, not 2"):
        check_arguments("single", single, [Given("a"), Given("b")])
    # What goes by its name is counted apart.
    with pytest.raises(LessonError, match="single takes one argument, not 2"):
        check_arguments("single", single, [Given("a"), Given("b"), Given("c", key="one")])
