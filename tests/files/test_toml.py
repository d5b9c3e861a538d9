"""Whatever is wrong with a TOML file is one of our errors, for every reader of such files."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import harmonykit
from harmonykit.errors import HarmonyError
from harmonykit.files.toml import MOST_DEPTH, read_toml, read_toml_file, toml_strings
from harmonykit.fretboard.strings.shipped import read_instruments
from harmonykit.lesson.check import check_answer
from harmonykit.lesson.course import read_course
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune

# Each with the line that it is in, as far as that is known, and words of what is said.
BROKEN = {
    "deep lists": ("a = " + "[" * 5_000, None, "nests too deeply"),
    "deep tables": ("a = " + "{a=" * 5_000, None, "nests too deeply"),
    "closed deep lists": ("a = " + "[" * 60 + "]" * 60, None, "nests too deeply"),
    "dotted keys": ("format = 1\na" + ".a" * 100_000 + " = 1", None, "nests too deeply"),
    "dotted header": ("[a" + ".a" * 5_000 + "]\nb = 1", None, "nests too deeply"),
    "dotted in a table": ("x = {a" + ".a" * 5_000 + " = 1}", None, "nests too deeply"),
    "5,000 digits": ("format = " + "9" * 5_000, None, "more than 4,300 digits"),
    "70 bits": (f"a = {2**70}", None, "too large for a 64-bit number"),
    "in a list": (f"a = [[-{2**63 + 1}]]", None, "too large for a 64-bit number"),
    "a date": ("b = 1\na = 2031-13-45", 2, "is not TOML"),
    "a time": ("a = 25:61:00", 1, "is not TOML"),
    "a null": ('b = 1\na = "\0"', 2, "is not TOML"),
    "half a string": ('a = "', 1, "is not TOML"),
    "twice": ("a = 1\na = 2", 2, "is not TOML"),
}
READERS: dict[str, Callable[[Path], object]] = {
    "a tune": read_tune,
    "a lesson": lambda path: read_lesson(path),
    "a course": read_course,
    "an answer": lambda path: check_answer(find_data("lessons", "four_dominants"), path),
    "instruments": read_instruments,
}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("fault", BROKEN)
def test_every_reader_says_it(tmp_path: Path, reader: str, fault: str) -> None:
    source, line, words = BROKEN[fault]
    lesson = reader == "a lesson"
    path = tmp_path / "broken.toml"
    path.write_text(f"+++\n{source}\n+++\n" if lesson else source, encoding="utf-8")
    with pytest.raises(HarmonyError, match=words) as caught:
        READERS[reader](path)
    place = caught.value.place
    assert place is not None and place.source == "broken.toml"
    if line is not None:
        assert place.line == line + lesson
    assert len(str(caught.value)) < 600


def test_one_module_reads_toml() -> None:
    package = Path(harmonykit.__file__).parent
    found = set()
    for path in package.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if "tomllib" in names or (
                isinstance(node, ast.ImportFrom) and node.module == "tomllib"
            ):
                found.add(path.relative_to(package).as_posix())
    assert found == {"files/toml.py"}


def test_what_is_allowed(tmp_path: Path) -> None:
    deep = "a = " + "[" * (MOST_DEPTH - 1) + "]" * (MOST_DEPTH - 1)
    text = f"{deep}\nb = {2**63 - 1}\nc = -{2**63}\nd = 2031-12-24\n" + 'e = "a.b.c.d"'
    path = tmp_path / "x.toml"
    path.write_text(text, encoding="utf-8")
    values, places = read_toml_file(path, "the file")
    assert values == tomllib.loads(text)
    assert places.key(("", 0, "c")).line == 3


@given(st.text(alphabet="ab.=[]{}\"'\n #,1-:T\\", max_size=60))
def test_it_reads_what_tomllib_reads_and_no_more(source: str) -> None:
    try:
        wanted = tomllib.loads(source)
    except ValueError:
        with pytest.raises(HarmonyError):
            read_toml(source, "x", "the file")
    else:
        assert read_toml(source, "x", "the file")[0] == wanted


@given(st.lists(st.text(max_size=20), max_size=4))
def test_tomllib_reads_the_strings_that_are_written(texts: list[str]) -> None:
    texts += ['"', "\\u0041", "\x7f", "\U0001d12a", "Für\tElise\n"]
    assert tomllib.loads(f"a = {toml_strings(texts)}") == {"a": texts}


@pytest.mark.parametrize(
    ("source", "line", "column", "said"),
    [
        ('a = 1\ntitle = "No\\u0000w"\n', 2, 12, r"title has a control character \(U\+0000\)"),
        ('[[levels]]\nname = "A"\n[[levels]]\nname = "\\u001b"\n', 4, 9, "name has a control"),
        ('notes = "one\\ntwo\\tthree \\u2028"\n', 1, 26, r"notes has .*U\+2028"),
        ('title = "a \u202eb"\n', 1, 12, r"title has a control character \(U\+202E\)"),
    ],
)
def test_a_control_character_is_refused_at_its_place(
    source: str, line: int, column: int, said: str
) -> None:
    """Category Cc of Unicode, which TOML lets in by escapes; tab and new line are text."""
    with pytest.raises(HarmonyError, match=said) as caught:
        read_toml(source, "a.toml", "the file")
    place = caught.value.place
    assert place is not None and (place.line, place.column) == (line, column)
    assert caught.value.mend == "the same line without it"
    assert read_toml('a = "one\\ntwo\\tthree"\n', "a.toml", "it")[0] == {"a": "one\ntwo\tthree"}


def test_words_without_quotes_are_shown_as_they_should_be_typed() -> None:
    for line in ("class = Thursday ukes", "title=Ebb, and flow  # ours"):
        with pytest.raises(HarmonyError) as fault:
            read_toml(f"format = 1\n{line}\n", "a.toml", "the lesson")
        key, words = (part.strip() for part in line.partition("#")[0].split("=", 1))
        assert fault.value.mend == f'{key} = "{words}"'
