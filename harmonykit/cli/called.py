"""How the command was called: what is told to be typed next begins with what was typed before.

``shared/start.py`` says so in ``HARMONYKIT_CALLED``; without it the command is ``harmonykit``.
"""

import os
import re

import click

CALLED = os.environ.get("HARMONYKIT_CALLED", "") or "harmonykit"
# Helps are read before the group has all its commands; a test compares the two.
NAMES = (
    "lesson course parts playalong check hear tune compare idioms survey chord ideas sheet words "
    "practice results workbook"
).split()
_COMMAND = re.compile(rf"\bharmonykit(?= (?:{'|'.join(NAMES)})\b)")


def as_called(text: str) -> str:
    """Return a text in which each command begins as the one that runs.

    Examples
    --------
    >>> as_called("what harmonykit has: harmonykit words") == f"what harmonykit has: {CALLED} words"
    True
    """
    return _COMMAND.sub(lambda _: CALLED, text)


def told_as_called(command: click.Command) -> click.Command:
    """Return a command whose help names commands as they are called here."""
    if command.help:
        command.help = as_called(command.help)
    for each in command.params:
        if isinstance(each, click.Option) and each.help:
            each.help = as_called(each.help)
    return command
