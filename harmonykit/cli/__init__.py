"""The command ``harmonykit``.

Each command loads what it needs when it runs, so that ``--help`` costs nothing.  Exit status: 0
when done, 2 when the input cannot be used (one message, no traceback), 130 when interrupted.
"""

import gc
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import click

from harmonykit import __version__
from harmonykit.cli.called import CALLED, as_called, told_as_called
from harmonykit.cli.commands import chords, home, lessons, tunes
from harmonykit.cli.commands.typed import say
from harmonykit.cli.usage import OneOfEach, lacking
from harmonykit.cli.waiting import told_at_work
from harmonykit.errors import HarmonyError
from harmonykit.files.file import reason, shown

DONE, UNUSABLE, INTERRUPTED = 0, 2, 130
# New values, less those that are gone, after which circles are looked for; Python's own is 700.
# A million of them take some 100 MB.
_SWEPT_AFTER = 1_000_000
_THREADS = "OPENBLAS_NUM_THREADS"
_COMMANDS = (
    *(lessons.lesson, lessons.course, lessons.parts, home.playalong),
    *(lessons.check, lessons.hear),
    *(tunes.tune, tunes.compare, tunes.idioms, tunes.survey),
    *(chords.chord, chords.ideas, chords.sheet, chords.words),
    *(home.practice, home.results),
)


# They show how far they are.
_WITH_A_BAR = ("lesson", "course", "survey")


@click.group(cls=OneOfEach, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__)
def app() -> None:
    """Harmony for small fretted instruments, from one idea to the lesson that teaches it."""


for _each in _COMMANDS:
    _told = told_as_called(_each)
    app.add_command(_told if _each.name in _WITH_A_BAR else told_at_work(_told))


@app.command(short_help="Open your own copy of the notebooks.")
@click.option(
    "--folder",
    type=click.Path(path_type=Path),
    default="harmonykit-workbook",
    show_default=True,
    help="Keep your copy of the notebooks in this folder.",
)
@click.option(
    "--port", type=int, default=8888, show_default=True, help="Use this port, or the next free one."
)
@click.option("--browser/--no-browser", default=True, help="Open the browser.")
@click.option(
    "--pages",
    type=click.Path(path_type=Path),
    help="Write essays and questions to this folder, as pages that need no server, instead.",
)
def workbook(folder: Path, port: int, pages: Path | None, *, browser: bool) -> None:
    """Open your own copy of the notebooks in JupyterLab.

    A notebook already in your folder is never overwritten.  The server listens only on this
    machine and asks for a token.

    \b
    Example:
      harmonykit workbook --folder my-workbook
      harmonykit workbook --pages to-take-home
    """
    if pages is not None:
        from harmonykit.cli.class_work import write_workbook

        say(write_workbook(pages))
        return
    from harmonykit.workbook.launch import copy_notebooks, open_lab

    copied = copy_notebooks(folder)
    say(copied.report())
    open_lab(copied, port, browser=browser)


told_as_called(workbook)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command and leave with its exit status."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks ♭ shows a question mark rather than ending the work.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    if arguments is None and sys.argv[1:2] != ["workbook"]:
        # Our arrays are small: threads for large ones would take a while to start, and a process
        # with one thread can be copied.  What is computed in notebooks is the user's affair.
        os.environ.setdefault(_THREADS, "1")
    with _seldom_swept():
        status = _run(arguments)
    if arguments is None:
        # The program ends: Python need not look for circles in what it throws away whole.
        gc.freeze()
    sys.exit(status)


@contextmanager
def _seldom_swept() -> Iterator[None]:
    """Let Python look for circles of values less often: ours are trees, and a command ends soon."""
    before = gc.get_threshold()
    gc.set_threshold(_SWEPT_AFTER, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)


def _named(arguments: Sequence[str] | None) -> click.Command | None:
    """Return the command that a command line names."""
    first = [*(sys.argv[1:] if arguments is None else arguments), ""][0]
    return app.commands.get(first)


def _run(arguments: Sequence[str] | None) -> int:
    try:
        status = app.main(arguments, prog_name=CALLED, standalone_mode=False)
        return status if isinstance(status, int) else DONE
    except click.ClickException as error:
        for line in (lines := lacking(error, _named(arguments))):
            click.echo(line, err=True)
        if not lines:
            error.show()
        if "unexpected extra arg" in error.format_message():
            click.echo('A name with blanks in it stands in quotes: "my song.txt"', err=True)
    except (click.Abort, KeyboardInterrupt):
        return INTERRUPTED
    except HarmonyError as error:
        click.echo(as_called(str(error)), err=True)
    except OSError as error:
        # What the system refused: a missing file, a folder without permission, a full disk.
        said = f"{shown(error.filename or 'the system')}: {reason(error)}"
        click.echo(str(HarmonyError(said)), err=True)
    return UNUSABLE
