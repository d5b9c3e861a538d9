"""What commands share: options that several have, what was typed as one value, lines to say."""

from collections.abc import Callable, Iterable
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar

import click

T = TypeVar("T")

INSTRUMENT = click.option(
    "--instrument",
    default="ukulele",
    show_default=True,
    help="Name the instrument, or type its strings.",
)
CAPO = click.option(
    "--capo", type=int, default=0, help="Put a capo at this fret; frets count from it."
)
LEVEL = click.option(
    "--level", type=click.IntRange(1, 3), help="Use only shapes within this level's reach."
)
SMALL_HAND = click.option(
    "--small-hand", is_flag=True, help="Use only shapes within a small hand's reach."
)
NUMBER = click.option("--number", type=int, help="Take this tune of a collection (X: in ABC).")
FOLDER = click.option(
    "--out", type=click.Path(path_type=Path), help="Write to this folder; default out/FILE."
)


def as_one(kind: Callable[..., T]) -> Callable[[Callable[[T], None]], Callable[..., None]]:
    """Return what hands a command its arguments and options as one value of a kind.

    Click hands in each of them by its name; the kind has a field for each.
    """

    def make(command: Callable[[T], None]) -> Callable[..., None]:
        @wraps(command)
        def run(**typed: Any) -> None:
            command(kind(**typed))

        return run

    return make


def say(lines: Iterable[str]) -> None:
    """Print lines, each as it comes."""
    for line in lines:
        click.echo(line)
