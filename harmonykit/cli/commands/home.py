"""The commands about what is taken home: a page of questions, and the results that come back."""

from dataclasses import dataclass
from pathlib import Path

import click

from harmonykit.cli.commands.typed import as_one


@dataclass(frozen=True, slots=True)
class _Practice:
    """What was typed after ``practice``, by the names of its options."""

    lesson: str | None
    idea: str | None
    instrument: str
    questions: int
    out: Path


@click.command(short_help="Write a page of questions that students take home.")
@click.option("--lesson", help="Ask about this lesson: a path, or an included lesson.")
@click.option("--idea", help="Ask about this idea: a name (harmonykit ideas --list), or a file.")
@click.option(
    "--instrument",
    default="ukulele",
    show_default=True,
    help="Ask for this instrument; a lesson has its own.",
)
@click.option(
    "--questions",
    type=click.IntRange(10, 600),
    default=300,
    show_default=True,
    help="Write this many questions.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default="practice.html",
    show_default=True,
    help="Write to this file.",
)
@as_one(_Practice)
def practice(given: _Practice) -> None:
    """Write one page of questions, with answers, reasons and sound: it needs no server.

    Send the file, or put it on any web space.  It asks ten questions a day and brings back what
    was missed.  Answers stay on the student's device.  The student copies a code with the results;
    harmonykit results reads the codes of a class.

    \b
    Example:
      harmonykit practice --lesson stiff_dominant --out practice.html
      harmonykit practice --idea four_dominants --instrument guitar
    """
    from harmonykit.cli.home import write_page

    if given.lesson and given.idea:
        raise click.UsageError("name a --lesson or an --idea, not both")
    click.echo(write_page(given.lesson, given.idea, given.instrument, given.questions, given.out))


@click.command(short_help="Read the results of a class from the codes that students send.")
@click.argument("codes", nargs=-1, required=True)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Write the table to this file too: .csv or .html.",
)
def results(codes: tuple[str, ...], out: Path | None) -> int:
    """Read CODES, or text files with a code a line, into a table of the class.

    A code is what a student copies from a page of questions.  Of several codes of one student the
    one with the most answers counts.  A code that is not copied whole is named and left out.

    \b
    Example:
      harmonykit results codes.txt --out class.csv
      harmonykit results B76J-BBHA-AABA-GUKD-J6T6-QXPH-X
    """
    from harmonykit.cli.home import told

    return told(codes, out)
