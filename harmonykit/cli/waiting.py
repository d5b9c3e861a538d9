"""A word for whoever waits: a command that works for more than a second says so."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import wraps
from threading import Timer
from typing import Any

import click

_SECONDS = 1.0
_SAID = "harmonykit: at work; a long tune, or many of them, can take a minute"


def told_at_work(command: click.Command) -> click.Command:
    """Return a command that says so on a terminal while it works longer than a second.

    Only a person waits: what goes into a file or to another program is left as it is.
    """
    made = command.callback
    if made is not None:

        @wraps(made)
        def done(*args: Any, **keywords: Any) -> Any:
            with _telling():
                return made(*args, **keywords)

        command.callback = done
    return command


@contextmanager
def _telling() -> Iterator[None]:
    if not sys.stderr.isatty():
        yield
        return
    timer = Timer(_SECONDS, click.echo, [_SAID], {"err": True})
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
