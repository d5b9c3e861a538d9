"""The commands about tunes: read and move one, compare arrangements, find idioms, survey many."""

from pathlib import Path
from typing import Any

import click

from harmonykit.cli.commands import typed
from harmonykit.values import dataclass


class _WithMoves(click.Command):
    """A command whose help ends with the moves and the styles."""

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the help, and then them."""
        from harmonykit.cli.words import moves_and_styles

        super().format_help(ctx, formatter)
        formatter.write("\n")
        for line in moves_and_styles():
            formatter.write(line + "\n")


@dataclass(frozen=True, slots=True)
class _Compare:
    """What was typed after ``compare``, by the names of its options."""

    tune: str
    instrument: str
    number: int | None
    csv: Path | None
    plots: Path | None
    front: bool
    block_chords: bool
    every: bool
    offers: bool
    style: str
    density: str
    texture: str
    contour: str
    lock: str
    without: tuple[str, ...]
    own: Path | None
    intro: str
    ending: str
    take: str
    at: str
    refuse: tuple[str, ...]
    choose: tuple[tuple[str, str], ...]
    out: Path | None


@click.command(cls=_WithMoves, short_help="Compare arrangements of a tune; export one.")
@click.argument("tune")
@typed.INSTRUMENT
@typed.NUMBER
@click.option("--csv", type=click.Path(path_type=Path), help="Write the table to this CSV file.")
@click.option("--plots", type=click.Path(path_type=Path), help="Save figures in this folder.")
@click.option(
    "--front", is_flag=True, help="With --plots: seek and draw the Pareto front; takes longer."
)
@click.option(
    "--chord-melody", "--block-chords", "block_chords", is_flag=True, help="Add a chord melody."
)
@click.option("--all", "every", is_flag=True, help="Compare each move alone, and every style.")
@click.option("--offers", is_flag=True, hidden=True, help="What is compared without --all.")
@click.option("--style", default="", metavar="STYLE", help="Use this style only.")
@click.option(
    "--density",
    default="",
    metavar="HOW",
    help="Add chords as usual, wherever one fits (full), or in 2, 4 or 8 places in 8 bars.",
)
@click.option(
    "--texture", default="", metavar="NAME", help="Use shapes of this texture: shells, fourths."
)
@click.option(
    "--contour",
    default="",
    metavar="NAMES",
    help="Shape the top line, one name a phrase: rise,fall.",
)
@click.option("--lock", default="", metavar="BARS", help="Leave these bars as written: 3,7-8.")
@click.option("--without", multiple=True, metavar="MOVE", help="Leave out this move or idiom.")
@click.option(
    "--own",
    type=click.Path(path_type=Path),
    help="Use idioms of this file too; default idioms.toml beside the tune.",
)
@click.option(
    "--intro", default="", metavar="NAME", help='Add bars before the tune: "last four bars".'
)
@click.option("--ending", default="", metavar="NAME", help="Add bars after the last chord: tag.")
@click.option(
    "--take",
    default="",
    metavar="NAME|N",
    help="Show one arrangement: its changes and their reasons.",
)
@click.option(
    "--at", default="", metavar="BAR[@BEAT]", help="With --take: list the chords that fit there."
)
@click.option(
    "--refuse",
    multiple=True,
    metavar="BAR[@BEAT]",
    help="Refuse the chord added there; the whole is searched again.",
)
@click.option(
    "--choose",
    multiple=True,
    nargs=2,
    metavar="BAR[@BEAT] CHORDS",
    help="With --take: put these chords in that bar; | begins the next.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="With --take: write FILE.musicxml, .mid, .toml or .pdf.",
)
@typed.as_one(_Compare)
def compare(given: _Compare) -> None:
    """Compare arrangements of TUNE: a path, an included tune, or chords between bar lines.

    First come the tune's chords with Roman numerals, its cadences and its ii-V chains.  Then come a
    few arrangements that differ in kind: plain, two strings, sparse, walking, rich, low on the neck
    and, where there is a melody, chord melody; each only where it differs from those before it.
    Each names the chords that it adds: C♯°7 8@3 is C♯°7 in bar 8 on beat 3.  Then come numbers, the
    first beside the others, and what a higher number of each means.

    With --all they are many: the tune as written, the best arrangement with each move alone, and
    the best with all moves in each style.  --style shows that style beside each move.

    With --take one arrangement is shown alone: each change with bar, beat, chords, shape, reason
    and how often it was heard in the tunes that were counted.  There a chord can be refused or
    another chosen.  --out writes it; an older file is kept under another name.

    "harmonykit words" explains the moves and the measures.  Figures show the voice movement bar by
    bar, the distances between the chords, and each arrangement on a map of them; --front adds the
    Pareto front.

    --intro and --ending add bars, which are counted as the others: the last four bars, a pedal on
    the dominant or a turnaround twice before the tune, a tag or another cadence after it.

    A chord melody has the melody as the highest note of its chords: on strong beats, under long
    notes and at changes of chord.  Notes between are played alone.

    \b
    Example:
      harmonykit compare heron_landing
      harmonykit compare heron_landing --all --csv numbers.csv
      harmonykit compare my/tune.musicxml --instrument guitar --plots figures
      harmonykit compare heron_landing --take rich --out heron.musicxml
      harmonykit compare heron_landing --take rich --lock 1-4 --out heron.pdf
      harmonykit compare heron_landing --intro "last four bars" --ending tag
      harmonykit compare ropewalk_blues --chord-melody
      harmonykit compare heron_landing --take walking --at 8
      harmonykit compare heron_landing --take walking --choose 8 "D7sus4 D7"
      harmonykit compare heron_landing --take rich --refuse 4@3 --out heron.toml
    """
    if given.front and not given.plots:
        raise click.UsageError("--front needs --plots: --plots figures --front")
    if not given.take:
        _need_take(out=given.out, at=given.at, refuse=given.refuse, choose=given.choose)
    from harmonykit.arrange.styles import STYLES
    from harmonykit.cli import asked as does
    from harmonykit.cli.compare import named
    from harmonykit.cli.comparing import Wanted, check_files, compared
    from harmonykit.fretboard.strings.instrument import as_instrument

    style = does.style_asked(given.style)
    taken = named(given.take, STYLES) if style else ""
    if taken and taken != style:
        raise click.UsageError(f"--take {taken} has a style of its own: leave out --style {style}")
    check_files(given.csv, given.out)
    read = does.framed_tune(does.tune_of(given.tune, given.number), given.intro, given.ending)
    neck = as_instrument(given.instrument)
    said, own = does.own_idioms(given.tune, given.own)
    asked = does.Asked(
        style,
        given.density,
        given.texture,
        does.contours_asked(given.contour),
        does.bars_asked(given.lock, read),
        does.moves_asked(given.without, own),
        given.refuse,
        given.choose,
        own,
    )
    by_kind = given.offers or not (given.every or given.style)
    wanted = Wanted(
        read, neck, asked, given.take, given.at, by_kind, given.block_chords, given.front
    )
    if said:
        click.echo(said)
    typed.say(compared(wanted, given.csv, given.plots, given.out))


def _need_take(**given: object) -> None:
    """Refuse what is asked of one arrangement where none is taken."""
    for name, value in given.items():
        if value:
            raise click.UsageError(f"--{name} needs --take: --take rich --{name} ...")


@click.command(short_help="Read a tune from a file or a message; transpose and save it.")
@click.argument("source", required=False, metavar="[TUNE]")
@typed.NUMBER
@click.option("--key", default="", help="Set the key if the text names none: Bb, Dm.")
@click.option("--meter", "--metre", default="", help="Set the metre if the text names none: 3/4.")
@click.option("--title", default="", help="Set the title if the text has none.")
@click.option(
    "--naming",
    type=click.Choice(("letters", "german", "latin")),
    help="Read chord names this way; default: found from the text.",
)
@click.option(
    "--to", default="", metavar="KEY", help='Transpose the tune to a key: "E♭ major", Dm.'
)
@click.option(
    "--by", default=0, metavar="N", help="Transpose the tune N semitones; below 0 is down."
)
@click.option("--out", type=click.Path(path_type=Path), help="Write FILE.toml, .musicxml or .mid.")
def tune(**given: Any) -> None:
    """Read TUNE, report what was read, move it to another key, write it as a file.

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
    A message, as people type it:
      | F | Gm7 C7 |          bars; the chords of a bar share it
      | F / / C7 |            each chord and each / is one beat
      |1. F |2. C7 |          bars may be numbered
      |: F |1. C7 :|2. F |    repeats, first and second endings; :|x3
      | % | - | N.C. |        the bar before; nothing new; silence
      Verse:   A:   [B]       names of sections, before a row or alone
      Verse 2: same chords    the bars of an earlier section are played again
      Key: F   3/4   120 bpm  on lines of words, as Capo 2 and Form: AABA
      | The kite | is up |    under a row: the words of its bars
      # a remark              left out and listed, as other lines of words are
    Words of a song may have their chords above them, or in brackets within
    them.  Without bar lines each chord is a bar.  data/README.md explains the
    whole form.
    """
    from harmonykit.cli.tune import Asked, told

    typed.say(told(Asked(**given)))


@click.command(short_help="List idioms of arranging; find them in a tune.")
@click.argument("tune", required=False)
@click.option(
    "--own",
    type=click.Path(path_type=Path),
    help="Read more idioms from this file; default idioms.toml beside the tune.",
)
def idioms(tune: str | None, own: Path | None) -> None:
    """Find the idioms in TUNE: a file, an included tune, or chords between bar lines.

    Without TUNE every idiom is listed; with the name of an idiom, that one is explained.

    A file of your own has, for each idiom, five lines; data/README.md explains them:

    \b
      [[idiom]]
      name = "minor fourth"
      means = "The minor subdominant replaces the dominant."
      before = "V7 I"
      after = ["iv6", "I"]
      reason = "{1} replaces {was 1}"

    \b
    Example:
      harmonykit idioms
      harmonykit idioms "delayed tonic"
      harmonykit idioms "| C6 A7 | Dm7 G7 | C6 |"
      harmonykit idioms my/tune.toml --own my/idioms.toml
    """
    from harmonykit.cli.lookup import idiom_lines

    typed.say(idiom_lines(tune, own))


@click.command(short_help="Measure many tunes in every key, on every instrument.")
@click.argument("paths", nargs=-1, required=True)
@click.option(
    "--out", type=click.Path(path_type=Path), required=True, help="Keep the survey in this folder."
)
@click.option(
    "--keys", default="all", show_default=True, help="Use these keys: all, written, or C,G,D."
)
@click.option(
    "--instruments",
    default="ukulele",
    show_default=True,
    help="Use these instruments: ukulele,guitar.",
)
@click.option(
    "--levels", default="all", show_default=True, help="Use these levels of the hand: 1,2,3."
)
@click.option(
    "--by", default="written_playability", show_default=True, help="Rank the keys by this measure."
)
@click.option(
    "--workers",
    type=click.IntRange(1),
    help="Use this number of processes; default one a processor.",
)
@click.option("--scheduler", default="", help="Use the dask.distributed scheduler at this address.")
@click.option("--retry", is_flag=True, help="Read again the tunes that failed.")
@click.option("--plots", is_flag=True, help="Save figures in the folder, too.")
def survey(**given: Any) -> None:
    """Measure every tune of PATHS in every key, on every instrument, at every level.

    PATHS are files, folders, and names of included tunes.  A tune keeps its mode.  A level is that
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
    from harmonykit.cli.survey import Wanted, interrupted, run

    try:
        run(Wanted(**given))
    except KeyboardInterrupt:
        click.echo(interrupted(given["out"]), err=True)
        raise
