"""The commands about lessons: build one, build a course, judge what a student typed or played."""

import sys
from pathlib import Path

import click

from harmonykit.cli.called import as_called
from harmonykit.cli.commands import typed
from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class _Lesson:
    """What was typed after ``lesson``, by the names of its options."""

    file: str | None
    out: Path | None
    tune: str | None
    number: int | None
    new: str | None
    idea: str
    key: str
    instrument: tuple[str, ...]
    numerals: bool
    watch: bool
    practice: bool
    wav: bool
    calls: bool


@click.command(short_help="Build a lesson: script, handout, page, scores, play-alongs.")
@click.argument("file", required=False)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Write to this folder; default out/FILE. With --new: write the draft to this .md file, "
    "or in this folder.",
)
@click.option("--tune", help="Use this tune instead: a path, or an included tune.")
@typed.NUMBER
@click.option("--new", metavar="TUNE", help="Write a first draft on this tune to FILE instead.")
@click.option(
    "--idea",
    default="",
    help="Draft about this idea: a name (harmonykit ideas --list), or a file of yours.",
)
@click.option("--key", default="", help="Draft in this key; default the tune's own.")
@click.option(
    "--instrument",
    multiple=True,
    help="Build for this instrument; repeat it for each one of the class.",
)
@click.option("--numerals", is_flag=True, help="Write Roman numerals under the handout's chords.")
@click.option("--watch", is_flag=True, help="Build again whenever lesson or tune changes.")
@click.option("--practice", is_flag=True, help="Write practice.html too: questions to take home.")
@click.option("--wav", is_flag=True, help="Write each play-along as WAV too.")
@click.option("--calls", is_flag=True, help="List every key and call of a lesson file.")
@typed.as_one(_Lesson)
def lesson(given: _Lesson) -> None:
    """Build the lesson of FILE, a path or the name of an included lesson.

    FILE may be a tune (.toml, .musicxml, .abc, .txt ...): a first draft is written beside it and
    built.  A draft that is already there is built as it is.

    Makes one folder with script, page, handout, scores and play-alongs.  An older lesson in that
    folder is replaced whole.  Files of your own in it stay, and one that you changed is kept
    beside the new one.  Any other folder is left alone.

    \b
    Example:
      harmonykit lesson stiff_dominant --out my-lesson
      harmonykit lesson my/lesson.md --tune reels.abc --number 80 --out my-lesson
      harmonykit lesson four_dominants --instrument ukulele --instrument guitar
      harmonykit lesson my/draft.md --new slack_water_waltz --instrument guitar
      harmonykit lesson new.md --new ropewalk_blues --idea four_dominants
    """
    from harmonykit.cli.lesson import Drafted, How, build, write_new

    if given.calls:
        from harmonykit.lesson.statements.reference import reference

        typed.refuse("--calls lists every key and call, and that alone", but=("calls",))
        typed.say(map(as_called, reference()))
    elif given.new is not None:
        if len(given.instrument) > 1:
            raise click.UsageError("a draft is for one instrument; build it for several")
        typed.refuse("--new names the draft's tune", "tune")
        later = "a draft is written first; build it with this option after that"
        typed.refuse(later, "numerals", "watch", "practice", "wav")
        if given.file is not None:
            typed.refuse(f"the draft is written to {given.file}", "out")
        strings = given.instrument[0] if given.instrument else Drafted().instrument
        asked = Drafted(given.number, strings, given.idea, given.key)
        click.echo(write_new(given.new, asked, given.file, given.out))
    elif given.idea or given.key:
        raise click.UsageError("--idea and --key belong to a draft: name its tune with --new TUNE")
    elif given.file is None:
        raise click.UsageError("name the FILE of a lesson, or --new TUNE for a first draft")
    else:
        how = How(given.instrument, given.watch, given.wav, given.practice, given.numerals)
        build(given.file, given.out, given.tune, given.number, how)


@click.command(short_help="Build a course: its lessons, contents, and one handout book.")
@click.argument("file", type=click.Path(path_type=Path))
@typed.FOLDER
def course(file: Path, out: Path | None) -> None:
    """Build the lessons in FILE with a table of contents, one handout book and a term plan.

    \b
    Example:
      harmonykit course spring.toml --out spring

    \b
    FILE names included lessons, or paths relative to it:
      format = 1
      title = "Spring"
      lessons = ["stiff_dominant", "my/lesson.md"]
      class_file = "thursday.toml"
    """
    from harmonykit.cli.lesson import built, level_player
    from harmonykit.files.manifest import Carried
    from harmonykit.lesson.course import build_course

    folder = out or Path("out") / file.stem
    kept: list[Carried] = []
    terminal = sys.stderr.isatty()
    play = level_player(terminal=terminal)
    build_course(file, folder, progress=terminal, kept=kept.append, play=play)
    typed.say(built(folder, kept))


@click.command(short_help="Write parts of one tune for a whole class.")
@click.argument("tune", required=False)
@click.option(
    "--class",
    "class_file",
    type=click.Path(path_type=Path),
    help="Use the grips of this class file.",
)
@click.option("--instrument", help="Play on this instrument; default the class's first.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write pages and stems to this folder."
)
@click.option("--wav", is_flag=True, help="Write each stem as WAV too.")
@click.option("--example", is_flag=True, help="Print a class file to start from.")
def parts(
    tune: str | None,
    class_file: Path | None,
    instrument: str | None,
    out: Path | None,
    *,
    wav: bool,
    example: bool,
) -> None:
    """Say how a class plays TUNE together: new grips, easier grips (rescues), what fits, and keys.

    TUNE is a path, the name of an included tune, or chords between bar lines.  With --out FOLDER
    six parts are written, half a page, a MIDI file and an MP3 each: one finger, two strings, usual
    grips, rich grips, bass, and the melody or a line to sing.

    \b
    Example:
      harmonykit parts heron_landing --out parts
      harmonykit parts --example > thursday.toml
      harmonykit parts slack_water_waltz --class thursday.toml
    """
    from harmonykit.cli import class_work as does
    from harmonykit.cli.asked import tune_of
    from harmonykit.tune.class_file import EXAMPLE

    if example:
        typed.refuse("--example prints a class file, and that alone", but=("example",))
        click.echo(EXAMPLE, nl=False)
        return
    if tune is None:
        raise click.UsageError("name the TUNE, or --example for a class file")
    if out is None:
        typed.refuse("stems are written with --out FOLDER", "wav")
    played, knows = tune_of(tune), does.class_of(class_file)
    neck = does.instrument_of(instrument, knows)
    typed.say(does.parts_told(played, neck, knows))
    if out is not None:
        if sys.stderr.isatty():
            click.echo("Now the parts: pages, MIDI and sound.", err=True)
        click.echo(does.write(played, neck, knows, out, wav=wav))


@click.command(short_help="Judge a student's shapes against a level of a lesson.")
@click.argument("lesson")
@click.argument("answer", type=click.Path(path_type=Path))
def check(lesson: str, answer: Path) -> None:
    """Judge the shapes that a student typed in ANSWER against a level of LESSON.

    Any shape that sounds the chord is right; each fault is explained.

    \b
    Example:
      harmonykit check stiff_dominant my-answer.toml

    \b
    ANSWER has a shape for each chord of the level, and | between bars.  They
    stand in playing order, or each once as the handout prints them:
      format = 1
      level = 1
      shapes = "| 2212 | 0201 |"
    """
    from harmonykit.cli.lesson import judge

    typed.say(judge(lesson, answer))


@click.command(short_help="Say which chords are heard in a recording of a level.")
@click.argument("lesson")
@click.argument("recording", type=click.Path(path_type=Path))
@click.option("--level", type=int, default=1, show_default=True, help="Compare with this level.")
@click.option("--instrument", default="ukulele", show_default=True, help="Where LESSON is a tune.")
def hear(lesson: str, recording: Path, level: int, instrument: str) -> None:
    """Compare RECORDING, made by a phone for instance, with a level of LESSON.

    Each change is followed, slower or faster than the level, with or without a count-in; what was
    heard is said with how sure it is.  Play alone, on one instrument, an arm's length from the
    phone.  WAV, MP3, OGG, FLAC, AIFF and CAF are read, up to ten minutes; M4A is not.

    LESSON may be a tune instead, a file or the name of an included one: then its plain
    arrangement is compared.

    \b
    Example:
      harmonykit hear stiff_dominant my-playing.wav --level 2
      harmonykit hear heron_landing my-playing.mp3 --instrument guitar
    """
    from harmonykit.cli.lesson import heard

    typed.say(heard(lesson, recording, level, instrument))
