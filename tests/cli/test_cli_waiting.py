"""A command that works for long tells so, to a person at a terminal and to nobody else."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click
import pytest

from harmonykit.cli import app, called, waiting


class AtOnce:
    """A timer whose time has come when it is started."""

    cancelled = 0

    def __init__(self, _: float, do: Callable[..., None], args: list[Any], keywords: Any) -> None:
        self.due = lambda: do(*args, **keywords)
        self.daemon = False

    def start(self) -> None:
        self.due()

    def cancel(self) -> None:
        type(self).cancelled += 1


@pytest.mark.parametrize("person", [True, False])
def test_a_person_is_told_that_it_is_at_work(
    person: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(waiting, "Timer", AtOnce)
    monkeypatch.setattr("sys.stderr.isatty", lambda: person)
    before = AtOnce.cancelled

    @click.command()
    def work() -> None:
        raise ValueError

    with pytest.raises(ValueError):
        waiting.told_at_work(work).main([], standalone_mode=False)
    out, err = capsys.readouterr()
    assert out == "" and err.startswith("harmonykit: at work" if person else "") and err[-1:] != " "
    assert (err == "") != person and AtOnce.cancelled - before == person


@pytest.mark.parametrize("command", ["compare", "parts", "survey", "lesson", "course"])
def test_only_what_shows_no_bar_says_that_it_is_at_work(command: str) -> None:
    """A line in the middle of a bar breaks it."""
    made: Any = app.commands[command].callback
    told = made.__code__.co_filename == waiting.__file__
    assert told == (command in ("compare", "parts"))


def test_what_is_told_to_be_typed_next_begins_as_it_was_called_for_every_command() -> None:
    """The names stand by themselves, since a help is read before all commands are known."""
    assert set(called.NAMES) == set(app.commands)


@pytest.mark.parametrize("typed", [["ideas", "--keys"], ["lesson", "--calls"]])
def test_keys_name_commands_as_they_are_called(
    typed: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(called, "CALLED", "my-kit")
    app.main(typed, standalone_mode=False)
    out = capsys.readouterr().out
    assert "(my-kit compare --help)" in out and "harmonykit compare" not in out
