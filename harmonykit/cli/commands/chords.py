"""The commands about chords and words: look one up, print diagrams, explain a term."""

from pathlib import Path
from typing import Any

import click

from harmonykit.cli.commands import typed


@click.command(short_help="Look up a chord, or name a shape by its frets.")
@click.argument("symbol", required=False)
@click.option("--frets", help="Name this shape in place of a symbol: 2213, x32010, 10-12-10-12.")
@typed.INSTRUMENT
@typed.CAPO
@typed.LEVEL
@typed.SMALL_HAND
@click.option(
    "--thumb", is_flag=True, help="Let the thumb fret the nearest string, a guitar's sixth."
)
@click.option(
    "--after",
    default="",
    metavar="FRETS",
    help="List first the shapes that follow FRETS most naturally.",
)
@click.option(
    "--texture",
    default="",
    metavar="NAME",
    help='Show shapes of one texture: shells, "drop 2", "two strings", fourths.',
)
@click.option("--key", help='Say what the chord does in this key, "C major"; default all keys.')
@click.option("--diagrams", "form", flag_value="diagrams", help="Draw the most usual shapes.")
@click.option(
    "--read-out", "form", flag_value="read out", help="Describe the shapes for a screen reader."
)
@click.option(
    "--json", "form", flag_value="json", help="Print everything, with every shape, as JSON."
)
def chord(**given: Any) -> None:
    """Describe the chord SYMBOL: its tones, scales, resolutions, neighbours and shapes.

    With --frets, list the notes of a shape, the chords that it can be read as, and its steps in
    the scale of chords.  Nearby shapes of other chords follow.

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
    from harmonykit.cli.chord import DIAGRAMS, READ_OUT, Asked, told

    if given["frets"] is not None:
        hand = "level", "small_hand", "thumb", "after", "texture"
        typed.refuse("it chooses among the shapes of a symbol, and --frets names one", *hand)
        typed.refuse("it is for a symbol, and --frets is a shape", "key")
    if given["form"] in (DIAGRAMS, READ_OUT):
        typed.refuse(f"--{given['form'].replace(' ', '-')} shows shapes alone", "key")
    click.echo(told(Asked(**given)))


@click.command(short_help="Print chord diagrams on a page.")
@click.argument("symbols", nargs=-1, required=True)
@click.option(
    "--out", type=click.Path(path_type=Path), required=True, help="Write FILE.pdf or FILE.svg."
)
@typed.INSTRUMENT
@typed.CAPO
@click.option("--most", type=click.IntRange(1), help="Print this number of shapes of each chord.")
@click.option(
    "--marks",
    type=click.Choice(("fingers", "roles", "plain")),
    default="fingers",
    show_default=True,
    help="Mark fingers, chord tones (roles), or neither.",
)
@click.option("--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True)
@typed.LEVEL
@typed.SMALL_HAND
@click.option(
    "--left-handed", is_flag=True, help="Draw the mirror image, for a left-handed player."
)
def sheet(symbols: tuple[str, ...], out: Path, **given: Any) -> None:
    """Print the shapes of SYMBOLS as a sheet of chord diagrams, the most usual first.

    Each chord has its name, each shape its fingers and its notes.  A page is A4 or letter, in
    black on white.  As SVG, a second page becomes FILE-2.svg.

    \b
    Example:
      harmonykit sheet Dm6 Gm6 A7 Bb7 --out shapes.pdf
      harmonykit sheet Bm7b5 E7 --instrument guitar --marks roles --out a.svg
    """
    from harmonykit.cli.chord import Wanted, write_sheet

    # Symbols may be pasted as one word in quotes, or with commas between.
    asked = [each.rstrip(",;") for word in symbols for each in word.split()]
    typed.say(write_sheet(list(filter(None, asked)), Wanted(**given), out))


@click.command(short_help="Find ideas for lessons about a chord, a scale or a shape.")
@click.argument("source", required=False)
@click.option(
    "--list", "listed", is_flag=True, help="List the lesson ideas that come with harmonykit."
)
@click.option("--keys", is_flag=True, help="List every key of an idea file.")
@typed.INSTRUMENT
@click.option(
    "--tune",
    "tunes",
    multiple=True,
    metavar="TUNE",
    help="Count where each idea occurs in this tune, or fits if it is moved: a path, an "
    "included tune, or chords between bar lines.",
)
@click.option(
    "--class",
    "class_file",
    default="",
    metavar="FILE",
    help="Count as new the grips that this class file lacks; default: all but open ones.",
)
@click.option(
    "--most",
    type=click.IntRange(1),
    default=10,
    show_default=True,
    help="Print this number of ideas.",
)
def ideas(
    source: str | None,
    instrument: str,
    tunes: tuple[str, ...],
    class_file: str,
    most: int,
    *,
    listed: bool,
    keys: bool,
) -> None:
    """List what is true of SOURCE and worth a lesson, the most useful first.

    SOURCE is a chord (Bdim7), a kind of chord (dim7), a scale ("whole tone"), notes ("0 1 4 6"), a
    shape (2-3-2-3), or a tune. Each idea has its proof, a near miss, how it is played and heard,
    and where it occurs.

    \b
    Example:
      harmonykit ideas C+ --instrument ukulele
      harmonykit ideas "half-whole" --most 5
      harmonykit ideas dim7 --tune heron_landing
      harmonykit ideas --list
    """
    from harmonykit.cli.lookup import ideas_lines, keys_of_ideas, shipped_ideas

    if keys:
        typed.refuse("--keys lists the keys of an idea file, and that alone", but=("keys",))
        typed.say(keys_of_ideas())
    elif listed:
        typed.refuse("--list lists the included ideas, and that alone", but=("listed",))
        typed.say(shipped_ideas())
    elif source is None:
        raise click.UsageError("name a SOURCE, such as dim7, or --list for the included ideas")
    else:
        typed.say(ideas_lines(source, instrument, tunes, most, class_file))


@click.command(short_help="Explain a term of the trade.")
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

    typed.say(lines_of(term))
