"""The command ``harmonykit``.

Each command loads what it needs when it runs, so that ``--help`` costs nothing.  Exit status: 0
when done, 2 when the input cannot be used (one message, no traceback), 130 when interrupted.
"""

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from harmonykit import __version__
from harmonykit.errors import HarmonyError
from harmonykit.files.said import reason, shown

DONE, UNUSABLE, INTERRUPTED = 0, 2, 130


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__)
def app() -> None:
    """Harmony for small fretted instruments, from one idea to the lesson that teaches it."""


@app.command(short_help="Build a lesson: script, handout, page, scores, play-alongs.")
@click.argument("file", required=False)
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write to this folder; default out/FILE."
)
@click.option("--tune", help="Use this tune instead: a path, or a shipped name.")
@click.option("--number", type=int, help="Take this tune of a collection (X: in ABC).")
@click.option("--new", metavar="TUNE", help="Write a first draft on this tune to FILE instead.")
@click.option(
    "--instrument", default="ukulele", show_default=True, help="Choose it for a new draft."
)
@click.option("--watch", is_flag=True, help="Build again whenever lesson or tune changes.")
@click.option("--calls", is_flag=True, help="List every key and call of a lesson file.")
def lesson(
    file: str | None,
    out: Path | None,
    tune: str | None,
    number: int | None,
    new: str | None,
    instrument: str,
    *,
    watch: bool,
    calls: bool,
) -> None:
    """Build the lesson of FILE, a path or the name of a shipped lesson.

    Makes one folder with script, page, handout, scores and play-alongs.  An older lesson in that
    folder is replaced whole.  Files of your own in it stay, and one that you changed is kept
    beside the new one.  Any other folder is left alone.

    \b
    Example:
      harmonykit lesson stiff_dominant --out my-lesson
      harmonykit lesson my/lesson.md --tune reels.abc --number 80 --out my-lesson
      harmonykit lesson my/draft.md --new slack_water_waltz --instrument guitar
    """
    from harmonykit.cli.lesson import build, write_new

    if calls:
        from harmonykit.lesson.statements.reference import reference

        click.echo("\n".join(reference()))
    elif new is not None:
        click.echo(write_new(new, number, instrument, file))
    elif file is None:
        raise click.UsageError("name the FILE of a lesson, or --new TUNE for a first draft")
    else:
        build(file, out, tune, number, watch=watch)


@app.command(short_help="Build a course: its lessons, contents, and one handout book.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write to this folder; default out/FILE."
)
def course(file: Path, out: Path | None) -> None:
    """Build the lessons that FILE names, with a contents page and one handout book.

    \b
    Example:
      harmonykit course spring.toml --out spring

    \b
    FILE names shipped lessons, or paths beside it:
      format = 1
      title = "Spring"
      lessons = ["stiff_dominant", "my/lesson.md"]
    """
    from harmonykit.cli.lesson import built
    from harmonykit.files.carry import Carried
    from harmonykit.lesson.course import build_course

    folder = out or Path("out") / file.stem
    kept: list[Carried] = []
    build_course(file, folder, progress=sys.stderr.isatty(), kept=kept.append)
    click.echo("\n".join(built(folder, kept)))


@app.command(short_help="Judge a student's shapes against a level of a lesson.")
@click.argument("lesson")
@click.argument("answer", type=click.Path(path_type=Path))
def check(lesson: str, answer: Path) -> None:
    """Judge the shapes that a student typed in ANSWER against a level of LESSON.

    Any shape that sounds the chord is right; each fault is explained.

    \b
    Example:
      harmonykit check stiff_dominant my-answer.toml

    \b
    ANSWER has a shape for each chord of the level, and | between bars:
      format = 1
      level = 1
      shapes = "| 2212 | 0201 |"
    """
    from harmonykit.cli.lesson import judge

    for line in judge(lesson, answer):
        click.echo(line)


class _WithMoves(click.Command):
    """A command whose help ends with the moves and the styles."""

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the help, and then them."""
        from harmonykit.cli.words import moves_and_styles

        super().format_help(ctx, formatter)
        formatter.write("\n")
        for line in moves_and_styles():
            formatter.write(line + "\n")


@app.command(cls=_WithMoves, short_help="Compare arrangements of a tune; export one.")
@click.argument("tune")
@click.option(
    "--instrument", default="ukulele", show_default=True, help="Name it, or type its strings."
)
@click.option("--number", type=int, help="Take this tune of a collection (X: in ABC).")
@click.option("--csv", type=click.Path(path_type=Path), help="Write the table to this CSV file.")
@click.option("--plots", type=click.Path(path_type=Path), help="Draw figures into this folder.")
@click.option("--block-chords", is_flag=True, help="Add a chord under each melody note.")
@click.option("--take", type=int, metavar="N", help="Show arrangement N with numerals and reasons.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write N to FILE.musicxml or FILE.mid."
)
def compare(
    tune: str,
    instrument: str,
    number: int | None,
    csv: Path | None,
    plots: Path | None,
    *,
    block_chords: bool,
    take: int | None,
    out: Path | None,
) -> None:
    """Compare arrangements of TUNE, a path or the name of a shipped tune.

    First come the tune's chords with Roman numerals, its cadences and its ii-V chains.  Then come
    the tune as written, the best arrangement with each move alone, and the best with all moves in
    each style.  The table measures voice leading, travel of the hand, stretch, shapes to learn,
    changes in a bar and added clashes.

    "harmonykit words" explains the moves and the measures.  Figures show the voice movement bar by
    bar, the Pareto front, the distances of the chords, and each arrangement on a map of them.

    Block chords have the melody as their highest note.  They add no bass, no passing notes and no
    second voice, and the hand changes with every note.

    \b
    Example:
      harmonykit compare heron_landing
      harmonykit compare my/tune.musicxml --instrument guitar --plots figures
      harmonykit compare heron_landing --take 3 --out heron.musicxml
      harmonykit compare ropewalk_blues --block-chords
    """
    if out is not None and take is None:
        raise click.UsageError("--out writes what --take names: --take 3 --out FILE.musicxml")
    from harmonykit.paths import find_data

    path = find_data("tunes", tune)

    from harmonykit.cli.compare import check_way_file, compare_tune
    from harmonykit.files.whole import check_file
    from harmonykit.fretboard.given import as_instrument
    from harmonykit.score.files import read_tune

    for file in filter(None, (csv, out)):
        check_file(file)
    if out is not None:
        check_way_file(out)
    read = read_tune(path, number=number)
    found = compare_tune(read, as_instrument(instrument), block_chords=block_chords)
    way = "" if take is None else found.told_of(take)
    click.echo(found.text)
    if way:
        click.echo("\n" + way)
    if csv is not None:
        from harmonykit.files.beside import write_beside

        if kept := write_beside(csv, found.csv):
            click.echo(f"{kept}")
    if plots is not None:
        click.echo("\n" + found.write_plots(plots))
    if take is not None and out is not None:
        click.echo("\n" + found.write_way(take, out))


@app.command(short_help="Read a tune from a file or a message; move it, write it.")
@click.argument("source", required=False, metavar="[TUNE]")
@click.option("--number", type=int, help="Take this tune of a collection (X: in ABC).")
@click.option("--key", default="", help="Set the key that the text does not say: Bb, Dm.")
@click.option(
    "--meter", "--metre", default="", help="Set the metre that the text does not say: 3/4."
)
@click.option("--title", default="", help="Set the title that the text does not say.")
@click.option(
    "--naming",
    type=click.Choice(("letters", "german", "latin")),
    help="Read chords so; else found.",
)
@click.option("--to", default="", metavar="KEY", help='Move it to a key: "E♭ major", Dm.')
@click.option("--by", default=0, metavar="N", help="Move it N semitones up; down with a minus.")
@click.option("--out", type=click.Path(path_type=Path), help="Write FILE.toml, .musicxml or .mid.")
def tune(
    source: str | None,
    number: int | None,
    key: str,
    meter: str,
    title: str,
    naming: str | None,
    to: str,
    by: int,
    out: Path | None,
) -> None:
    """Read TUNE, say what was read, move it to another key, write it as a file.

    TUNE is a file, the name of a tune that ships, or a text message with bar lines.  Without it
    the text is read from standard input.  Files: our text form (.toml), MusicXML, ABC, a chord
    list (.lab), the melody of a MIDI file, or a message (.txt).

    \b
    Example:
      harmonykit tune "|1. F D7 | Gm7 C7 |"
      harmonykit tune "Key: F| F / / C7 | F |" --to "E♭ major" --out tune.toml
      harmonykit tune message.txt --by -2 --out tune.musicxml
      harmonykit tune --meter 3/4 < message.txt

    \b
    A message, typed as people do:
      | F | Gm7 C7 |          bars; the chords of a bar share it
      | F / / C7 |            each chord and each / is one beat
      |1. F |2. C7 |          bars may be numbered
      |: F |1. C7 :|2. F |    repeats, first and second endings; :|x3
      | % | - | N.C. |        the bar before; nothing new; silence
      Verse:   A:   [B]       names of sections, before a row or alone
      Key: F   3/4   120 bpm  on lines of words, as Capo 2 and Form: AABA
      # a remark              left out and listed, as lines of words are
    Chords in brackets within words are read.  Without bar lines each chord
    is a bar.  data/README.md explains the whole form.
    """
    from harmonykit.cli.tune import Asked, told
    from harmonykit.tune.text.pasted.given import Given

    given = Given.of(key, meter, naming or "", title)
    for line in told(Asked(source, number, given, to, by, out)):
        click.echo(line)


@app.command(short_help="Look up a chord, or name a shape by its frets.")
@click.argument("symbol", required=False)
@click.option("--frets", help="A shape in place of a symbol: 2213, x32010, 10-12-10-12.")
@click.option(
    "--instrument", default="ukulele", show_default=True, help="Name it, or type its strings."
)
@click.option("--capo", type=int, default=0, help="Put a capo at this fret; frets count from it.")
@click.option("--level", type=click.IntRange(1, 3), help="Keep to the reach of this level.")
@click.option("--small-hand", is_flag=True, help="Keep to the reach of a small hand.")
@click.option("--thumb", is_flag=True, help="Let the thumb press the first string.")
@click.option(
    "--after",
    default="",
    metavar="FRETS",
    help="Shapes in the order in which a player takes them after FRETS.",
)
@click.option(
    "--texture",
    default="",
    metavar="NAME",
    help='Shapes of one texture: shells, "drop 2", "two strings", tenths.',
)
@click.option("--key", help='Tell what the chord does in this key: "C major"; else in all keys.')
@click.option("--diagrams", "form", flag_value="diagrams", help="Draw the most usual shapes.")
@click.option("--read-out", "form", flag_value="read out", help="Say them for a screen reader.")
@click.option("--json", "form", flag_value="json", help="Everything, with every shape, as JSON.")
def chord(
    symbol: str | None,
    frets: str | None,
    instrument: str,
    capo: int,
    level: int | None,
    *,
    small_hand: bool,
    thumb: bool,
    after: str,
    texture: str,
    key: str | None,
    form: str | None,
) -> None:
    """Tell what is known of the chord SYMBOL: tones, scales, where it leads, neighbours, shapes.

    With --frets, tell what a shape sounds, how it reads as chords, and its steps in the scale of
    chords.  Shapes of other chords that are near follow.

    \b
    Example:
      harmonykit chord "F#dim7" --instrument ukulele
      harmonykit chord Bbm7b5 --instrument "G3 D4 A4 E5" --json
      harmonykit chord --frets x32010 --instrument guitar
      harmonykit chord C9 --diagrams
      harmonykit chord C9 --read-out
      harmonykit chord C7 --after x-5-7-5-6-x --instrument guitar
      harmonykit chord C7 --texture shells --instrument guitar
    """
    from harmonykit.about.shapes import Hand
    from harmonykit.cli.chord.command import TEXT, Asked, told

    asked = Asked(
        symbol, frets, instrument, capo, Hand(level, small_hand, thumb, after, texture), key
    )
    click.echo(told(asked, form or TEXT))


@app.command(short_help="Print chord diagrams on a page.")
@click.argument("symbols", nargs=-1, required=True)
@click.option(
    "--out", type=click.Path(path_type=Path), required=True, help="Write FILE.pdf or FILE.svg."
)
@click.option(
    "--instrument", default="ukulele", show_default=True, help="Name it, or type its strings."
)
@click.option("--capo", type=int, default=0, help="Put a capo at this fret; frets count from it.")
@click.option("--most", type=click.IntRange(1), help="Print so many shapes of each chord.")
@click.option(
    "--marks",
    type=click.Choice(("fingers", "roles", "plain")),
    default="fingers",
    show_default=True,
    help="Mark fingers, chord tones (roles), or neither.",
)
@click.option("--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True)
@click.option("--level", type=click.IntRange(1, 3), help="Keep to the reach of this level.")
@click.option("--small-hand", is_flag=True, help="Keep to the reach of a small hand.")
def sheet(
    symbols: tuple[str, ...],
    out: Path,
    instrument: str,
    capo: int,
    most: int | None,
    marks: str,
    paper: str,
    level: int | None,
    *,
    small_hand: bool,
) -> None:
    """Print the shapes of SYMBOLS as a sheet of chord diagrams, the most usual first.

    Each chord has its name, each shape its fingers and its notes.  A page is A4 or letter, in
    black on white.  As SVG, a second page becomes FILE-2.svg.

    \b
    Example:
      harmonykit sheet Dm6 Gm6 A7 Bb7 --out shapes.pdf
      harmonykit sheet Bm7b5 E7 --instrument guitar --marks roles --out a.svg
    """
    from harmonykit.about.shapes import Hand
    from harmonykit.cli.sheet import Wanted, write_sheet
    from harmonykit.fretboard.given import as_instrument

    neck = as_instrument(instrument).with_capo(capo)
    limits = Hand(level, small_hand).limits(neck)
    for line in write_sheet(symbols, Wanted(neck, limits, most, marks, paper), out):
        click.echo(line)


@app.command(short_help="Open the notebooks, on a copy that is yours.")
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
def workbook(folder: Path, port: int, *, browser: bool) -> None:
    """Open the notebooks in JupyterLab, on a copy that is yours.

    A notebook that is already in your folder is never written over.  The server listens on this
    machine alone and asks for a token.

    \b
    Example:
      harmonykit workbook --folder my-workbook
    """
    from harmonykit.workbook.copies import copy_notebooks
    from harmonykit.workbook.launch import open_lab

    copied = copy_notebooks(folder)
    for line in copied.report():
        click.echo(line)
    open_lab(copied, port, browser=browser)


@app.command(short_help="Measure many tunes in every key, on every instrument.")
@click.argument("paths", nargs=-1, required=True)
@click.option(
    "--out", type=click.Path(path_type=Path), required=True, help="Keep the survey in this folder."
)
@click.option("--keys", default="all", show_default=True, help="Choose all, written, or C,G,D.")
@click.option("--instruments", default="ukulele", show_default=True, help="List them with commas.")
@click.option("--levels", default="all", show_default=True, help="List levels of the hand: 1,2,3.")
@click.option(
    "--by", default="written_playability", show_default=True, help="Rank the keys by this measure."
)
@click.option(
    "--workers", type=click.IntRange(1), help="Use so many processes; default one a processor."
)
@click.option("--scheduler", default="", help="Use the dask.distributed scheduler at this address.")
@click.option("--retry", is_flag=True, help="Read again the tunes that failed.")
@click.option("--plots", is_flag=True, help="Draw figures into the folder.")
def survey(
    paths: tuple[str, ...],
    out: Path,
    keys: str,
    instruments: str,
    levels: str,
    by: str,
    workers: int | None,
    scheduler: str,
    *,
    retry: bool,
    plots: bool,
) -> None:
    """Measure every tune of PATHS in every key, on every instrument, at every level.

    PATHS are files, folders, and names of shipped tunes.  A tune keeps its mode.  A level is that
    of the hand, as in "harmonykit chord --level": 1 without barres and low on the neck, 2 with half
    barres, 3 with all of them up to fret 12.

    Each row of survey.csv measures one best arrangement with the moves of the diminished seventh.
    The work is saved as it comes: run the same command again to go on.

    \b
    Example:
      harmonykit survey heron_landing slack_water_waltz --out keys
      harmonykit survey my/tunes --instruments "ukulele,guitar" --out term --plots
      harmonykit survey book.abc --keys C,G,D,F --by travel_mm --out book
    """
    from harmonykit.cli.survey.command import Wanted, interrupted, run

    try:
        run(Wanted(paths, out, keys, instruments, levels, by, workers, scheduler, retry, plots))
    except KeyboardInterrupt:
        click.echo(interrupted(out), err=True)
        raise


@app.command(short_help="List idioms of arranging; say where they stand in a tune.")
@click.argument("tune", required=False)
@click.option(
    "--own",
    type=click.Path(path_type=Path),
    help="Read more idioms from this file; default idioms.toml beside the tune.",
)
def idioms(tune: str | None, own: Path | None) -> None:
    """Say which idioms stand in TUNE: a file, a shipped name, or chords between bar lines.

    Without TUNE every idiom is listed; the name of an idiom in its place tells that one.

    \b
    Example:
      harmonykit idioms
      harmonykit idioms "delayed tonic"
      harmonykit idioms "| C6 A7 | Dm7 G7 | C6 |"
      harmonykit idioms my/tune.toml --own my/idioms.toml
    """
    from harmonykit.cli.idioms import lines_of

    for line in lines_of(tune, own):
        click.echo(line)


@app.command(short_help="Explain a term of the trade.")
@click.argument("term", required=False)
def words(term: str | None) -> None:
    """Explain TERM of the trade in one line, or print the whole glossary.

    A word finds every term that has it. Moves and styles are terms too.

    \b
    Example:
      harmonykit words
      harmonykit words "tritone substitution"
      harmonykit words diminished
    """
    from harmonykit.cli.words import lines_of

    for line in lines_of(term):
        click.echo(line)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command and leave with its exit status."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks ♭ shows a question mark rather than ending the work.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    sys.exit(_run(arguments))


def _run(arguments: Sequence[str] | None) -> int:
    try:
        status = app.main(arguments, prog_name="harmonykit", standalone_mode=False)
        return status if isinstance(status, int) else DONE
    except click.ClickException as error:
        error.show()
    except (click.Abort, KeyboardInterrupt):
        return INTERRUPTED
    except HarmonyError as error:
        click.echo(str(error), err=True)
    except OSError as error:
        # What the system refused: a missing file, a folder without permission, a full disk.
        click.echo(f"{shown(error.filename or 'the system')}: {reason(error)}", err=True)
    return UNUSABLE
