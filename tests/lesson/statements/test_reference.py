"""The page on what may stand in a lesson file names all of it, and shows it as it is called."""

from __future__ import annotations

import re
from pathlib import Path

from click.testing import CliRunner

from harmonykit.cli import app
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.statements.functions import Functions
from harmonykit.lesson.statements.reference import reference


def test_every_call_and_statement_is_told(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    known = Functions(lesson.front, lesson.played).table()
    told = re.findall(r"^  \{\{ (\w+)\(", "\n".join(reference()), re.MULTILINE)
    assert sorted(told) == sorted(known)


def test_every_entry_says_what_it_does() -> None:
    lines = list(reference())
    for entry, said in zip(lines, lines[1:], strict=False):
        if entry.startswith("  {{"):
            assert re.match(r"      [A-Z].+\.$", said), entry


def test_the_command_shows_it() -> None:
    shown = CliRunner().invoke(app, ["lesson", "--calls"])
    assert shown.exit_code == 0
    assert "[[levels]]" in shown.output and "{{ diagram(frets, chord" in shown.output
