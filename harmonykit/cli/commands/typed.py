"""What commands share: options that several have, what was typed as one value, lines to say."""

from collections.abc import Callable, Iterable
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar

import click

T = TypeVar("T")
_TYPED = click.core.ParameterSource.COMMANDLINE

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


def refuse(why: str, *names: str, but: tuple[str, ...] = ()) -> None:
    """Refuse what was typed and has no effect.

    Parameters
    ----------
    why : str
        Where it would have one, or what has none beside it: "--wav: " stands before it.
    *names : str
        The names of options and arguments; all of the command where none is given.
    but : tuple of str
        Those that may be typed nevertheless.

    Raises
    ------
    click.UsageError
        If one of them was typed.
    """
    context = click.get_current_context()
    for each in context.command.params:
        name = each.name or ""
        if (name in names or not names) and name not in but:
            if context.get_parameter_source(name) is _TYPED:
                said = each.opts[0] if isinstance(each, click.Option) else name.upper()
                raise click.UsageError(f"{said} has no effect here: {why}")


def say(lines: Iterable[str]) -> None:
    """Print lines, each as it comes."""
    for line in lines:
        click.echo(line)
