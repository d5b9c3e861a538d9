"""What the readme promises: its commands exist, its example runs, its files are there."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

from harmonykit.cli import app

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
LINES = re.findall(r"^python3 shared/start\.py (.+)$", README, flags=re.MULTILINE)


def test_it_opens_with_the_job_and_then_the_two_commands() -> None:
    title, job, commands, *_ = README.split("\n\n")
    assert title == "# harmonykit"
    assert len(job.split()) > 60
    assert re.fullmatch(r"```\n.*start\.py lesson \S+.*\n.*start\.py test\n```", commands)


def test_its_commands_exist() -> None:
    assert {line.split()[0] for line in LINES} <= {*app.commands, "test", "bench"}


def test_the_lesson_that_it_builds_ships() -> None:
    lesson = next(line.split()[1] for line in LINES if line.startswith("lesson "))
    assert (ROOT / lesson).is_file()


def test_its_example_runs() -> None:
    ran = doctest.testfile(str(ROOT / "README.md"), module_relative=False)
    assert ran.attempted > 0
    assert ran.failed == 0
