"""The commands about practising at home: a play-along, a page of questions, the results."""

from pathlib import Path

import click

from harmonykit.cli.commands.typed import as_one, refuse, say
from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass


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
def practice(
    lesson: str | None, idea: str | None, instrument: str, questions: int, out: Path
) -> None:
    """Write one page of questions, with answers, reasons and sound: it needs no server.

    Send the file, or put it on any web space.  It asks ten questions a day and brings back what
    was missed.  Answers stay on the student's device.  The student copies a code with the results;
    harmonykit results reads the codes of a class.

    \b
    Example:
      harmonykit practice --lesson stiff_dominant --out practice.html
      harmonykit practice --idea four_dominants --instrument guitar
    """
    from harmonykit.cli.class_work import write_page

    if lesson and idea:
        raise click.UsageError("name a --lesson or an --idea, not both")
    if lesson:
        refuse("the lesson names its instrument", "instrument")
    click.echo(write_page(lesson, idea, instrument, questions, out))


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
    from harmonykit.cli.class_work import results_told

    return results_told(codes, out)


@dataclass(frozen=True, slots=True)
class _PlayAlong:
    """What was typed after ``playalong``, by the names of its options."""

    source: str
    level: int
    instrument: str
    out: Path
    bars: str
    hard: int | None
    loop: str
    tempi: str
    times: int | None
    count_in: str
    intro: bool
    without: tuple[str, ...]
    with_: tuple[str, ...]
    click: str
    call: bool
    disappearing: bool
    names: str
    leading_tones: bool
    groove: str
    strum: str
    mid: bool
    wav: bool


@click.command(short_help="Write a play-along to practise with: bars, tempi, parts left out.")
@click.argument("source")
@click.option(
    "--level", type=int, default=1, show_default=True, help="Play this level of a lesson."
)
@click.option(
    "--instrument", default="ukulele", show_default=True, help="Play a tune on this instrument."
)
@click.option("--bars", default="", help="Play these bars alone: 9-10.")
@click.option(
    "--hard-change",
    "hard",
    type=int,
    help="Play round the hardest change (1), or the second hardest (2).",
)
@click.option(
    "--loop",
    type=click.Choice(["2", "4"]),
    default="2",
    show_default=True,
    help="Take two bars, or four, for --hard-change.",
)
@click.option("--tempi", default="", help="Play at these per cent of the tempo: 60-100, or 50,100.")
@click.option("--times", type=int, help="Play this number of times at each tempo.")
@click.option("--count-in", type=click.Choice(["1", "2"]), help="Count in one bar, or two.")
@click.option("--intro", is_flag=True, help="Play the last bars of the tune before it.")
@click.option(
    "--without", multiple=True, help="Leave out: strum, bass, percussion, melody or click."
)
@click.option("--with", "with_", multiple=True, help="Play also: melody.")
@click.option("--click", default="", help="Click on these beats alone: 2+4.")
@click.option("--call", is_flag=True, help="Play two bars, leave two to the class.")
@click.option("--disappearing", is_flag=True, help="Be silent two bars in eight, then four.")
@click.option(
    "--names",
    type=click.Choice(["once", "always"]),
    help="Sound the next chord's root a beat before; once: the first time through.",
)
@click.option("--leading-tones", is_flag=True, help="Sound the roots to sing leading tones over.")
@click.option("--groove", default="", help="Play in this groove (harmonykit words groove).")
@click.option("--strum", default="", help='Strum these strokes: "D - D U - U D U".')
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=".",
    show_default=True,
    help="Write to this folder.",
)
@click.option("--mid", is_flag=True, help="Write MIDI too.")
@click.option("--wav", is_flag=True, help="Write WAV too.")
@as_one(_PlayAlong)
def playalong(given: _PlayAlong) -> None:
    """Write a play-along of SOURCE to practise with, as an MP3 file.

    SOURCE is a lesson or a tune: a path, the name of an included one, or chords between bar lines.
    Bars are told by their printed numbers.  The tempi follow one another without a stop.

    The same words make a file with a lesson, in one of its levels, and are offered in its page:
    practice = ["hard change, tempi 60-100", "call and answer"]

    \b
    Example:
      harmonykit playalong stiff_dominant --level 2 --bars 9-10
      harmonykit playalong ropewalk_blues --tempi 60-100 --click 2+4
      harmonykit playalong heron_landing --hard-change 1 --without bass
      harmonykit playalong "| Dm7 | G7 | C6 | C6 |" --call --times 4 --wav
      harmonykit playalong heron_landing --groove bossa
      harmonykit playalong heron_landing --strum "D - D U - U D U"
      harmonykit playalong heron_landing --intro --with melody
      harmonykit playalong slack_water_waltz --leading-tones --out singing
    """
    from harmonykit.cli import lesson as does

    if given.out.suffix.lower() in (".mp3", ".wav", ".mid"):
        raise HarmonyError(
            f"--out {given.out} is the name of a file",
            rule="--out is the folder of the files, which are named by what they play",
            mend=f"--out {given.out.stem}",
        )
    if given.hard is None:
        refuse("it is how many bars --hard-change takes", "loop")
    line = ", ".join(_line(given))
    asked = does.Asked(given.source, given.level, given.instrument, line, given.groove, given.strum)
    say(does.write(asked, given.out, ("mp3", *["mid"] * given.mid, *["wav"] * given.wav)))


def _parts(typed: tuple[str, ...]) -> list[str]:
    """Return what was typed again and again, or with commas."""
    return [part.strip() for each in typed for part in each.split(",") if part.strip()]


def _line(given: _PlayAlong) -> list[str]:
    """Return what was typed as the parts of a line of practice."""
    hard = f"hard change {given.hard} {given.loop} bars" if given.hard is not None else ""
    found = [
        f"bars {given.bars}" if given.bars else "",
        hard,
        f"tempi {given.tempi.replace(',', ' ')}" if given.tempi else "",
        f"times {given.times}" if given.times is not None else "",
        f"count-in {given.count_in}" if given.count_in else "",
        "intro" if given.intro else "",
        *(f"without {part}" for part in _parts(given.without)),
        *(f"with {part}" for part in _parts(given.with_)),
        f"click {given.click.replace(',', '+')}" if given.click else "",
        "call and answer" if given.call else "",
        "disappearing" if given.disappearing else "",
        f"names {given.names}" if given.names else "",
        "leading tones" if given.leading_tones else "",
    ]
    return [part for part in found if part]
