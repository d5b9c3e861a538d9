"""What the commands ``lesson``, ``check``, ``hear`` and ``playalong`` do."""

from __future__ import annotations

import shutil
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.cli.called import as_called
from harmonykit.cli.commands.typed import refuse
from harmonykit.errors import HarmonyError, attempt
from harmonykit.files import refused, shown
from harmonykit.files.file import from_folder, slug, typed, write_whole
from harmonykit.files.manifest import Carried, listed
from harmonykit.lesson.arranging import play_level
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.lesson.playfiles import practice_slug, sound_files
from harmonykit.lesson.rehearsals import hard_span, led_of, rehearsed, said_bars
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import READABLE, TYPED, read_tune
from harmonykit.sound.performance import Performance
from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.sound.rendering import check_length
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted, lasting

if TYPE_CHECKING:
    from harmonykit.lesson.build import Play
    from harmonykit.lesson.plan.model import Front, Lesson, Played
    from harmonykit.score.typed import Typed


_LOOK_EVERY = 0.5
_LISTED = 6
_OF_A_LEVEL = "level-"
_FIRST_OPENED = "page.html"


@dataclass(frozen=True, slots=True)
class How:
    """For which instruments a lesson is built, whether again and again, and with what besides."""

    instruments: tuple[str, ...] = ()
    watch: bool = False
    wav: bool = False
    questions: bool = False
    numerals: bool = False


def build(file: str, out: Path | None, tune: str | None, number: int | None, how: How) -> None:
    """Build a lesson, once or again whenever its files change."""
    from harmonykit.lesson.build import build_loaded, load_class

    path = lesson_file(file, number, how.instruments)
    played = find_data("tunes", tune) if tune else None
    folder = out or Path("out") / path.stem
    terminal = sys.stderr.isatty()

    def load() -> tuple[Lesson, ...]:
        found = load_class(path, played, number, level_player(terminal=terminal), how.instruments)
        found = tuple(map(_with_numerals, found)) if how.numerals else found
        return tuple(_with_wav(each) for each in found) if how.wav else found

    def once() -> None:
        kept: list[Carried] = []
        noted: list[str] = []
        build_loaded(
            load, folder, progress=terminal, kept=kept.append, noted=noted.append,
            questions=_questions_of if how.questions else None,
        )  # fmt: skip
        click.echo("\n".join([*built(folder, kept), *map(as_called, noted)]))

    if not how.watch:
        once()
        return
    for _ in changes(watched(path, played)):
        try:
            once()
        except HarmonyError as error:
            # The folder is as it was; the next change may mend it.
            click.echo(as_called(str(error)), err=True)


def level_player(*, terminal: bool) -> Play:
    """Return what plays a level: to a person it says meanwhile which."""
    return _told_level if terminal else play_level


def _told_level(front: Front, index: int) -> Played:
    """Play a level, and say meanwhile which, on a line that goes again."""
    said = f"{front.title}, level {index + 1} of {len(front.levels)}: {front.levels[index].name}"
    # What took two lines would leave the first of them.
    said = said[: shutil.get_terminal_size().columns - 1]
    click.echo(said, err=True, nl=False)
    try:
        return play_level(front, index)
    finally:
        click.echo("\r" + " " * len(said) + "\r", err=True, nl=False)


def _questions_of(lesson: Lesson) -> str:
    """Return the page of questions about a lesson."""
    from harmonykit.home.practice import write_lessons_practice

    return write_lessons_practice(lesson)


def _with_numerals(lesson: Lesson) -> Lesson:
    return replace(lesson, front=replace(lesson.front, numerals=True))


def _with_wav(lesson: Lesson) -> Lesson:
    front = lesson.front
    return replace(lesson, front=replace(front, playalong=front.playalong.with_wav))


@dataclass(frozen=True, slots=True)
class Drafted:
    """What a draft is made of, beside its tune."""

    number: int | None = None
    instrument: str = "ukulele"
    idea: str = ""
    key: str = ""


def lesson_file(file: str, number: int | None, instruments: tuple[str, ...] = ()) -> Path:
    """Return the file of a lesson; of a tune that is given in its place, a first draft beside it.

    A draft that is there already is taken as it is.
    """
    if not _is_of_a_tune(file) or not Path(file).is_file():
        return find_data("lessons", file)
    path = Path(file).with_suffix(".md")
    if path.exists():
        click.echo(f"{shown(path)}: the lesson on {shown(Path(file))}")
    else:
        asked = Drafted(number, *instruments[:1])
        click.echo(write_new(file, asked, str(path)).partition(" Edit")[0])
    return path


def _is_of_a_tune(file: str) -> bool:
    return Path(file).suffix.lower() in (*READABLE, TYPED)


def built(folder: Path, kept: list[Carried]) -> Iterator[str]:
    """Yield what was made in a folder, and which files in it are the user's, line by line."""
    made = sorted({name.partition("/")[0] for name in listed(folder)})
    # Those of another instrument of the class have its name before.
    told = [shown(name) for name in made if _OF_A_LEVEL not in f"-{name}"]
    if played := len(made) - len(told):
        told.append(f"{played} files of the levels (level-...): scores and sound")
    yield f"{shown(folder)}: {', '.join(told)}"
    if _FIRST_OPENED in made:
        yield f"Open first: {shown(folder / _FIRST_OPENED)}"
    yield from (f"{each}" for each in kept if each.edited)
    others = [shown(each.name) for each in kept if not each.edited]
    more = f" and {len(others) - _LISTED} more" if len(others) > _LISTED else ""
    if others:
        yield f"kept, because harmonykit did not make it: {', '.join(others[:_LISTED])}{more}"


def watched(path: Path, tune: Path | None) -> tuple[Path, ...]:
    """Return the files that a lesson is made from: itself, its tune, and tunes beside it."""
    return (path, *([tune] if tune else []), *sorted(path.parent.glob("*.toml")))


def changes(files: tuple[Path, ...], every: float = _LOOK_EVERY) -> Iterator[None]:
    """Yield at once, and then whenever one of the files has another time or size."""
    seen: list[tuple[float, int] | None] | None = None
    while True:
        now = [_stamp(path) for path in files]
        if now != seen:
            seen = now
            yield
        else:
            time.sleep(every)


def _stamp(path: Path) -> tuple[float, int] | None:
    try:
        stat = path.stat()
    except OSError:
        return None
    return stat.st_mtime, stat.st_size


def write_new(tune: str, asked: Drafted, file: str | None, out: Path | None = None) -> str:
    """Write a first draft of a lesson on a tune; return what was done in a sentence.

    Where no file is named, it is written to ``out``, a file .md or a folder, and called after the
    tune in a folder.
    """
    from harmonykit.fretboard.strings.instrument import Instrument
    from harmonykit.lesson.draft.writing import write_draft
    from harmonykit.score.typed import take_in_file

    found = find_data("tunes", tune)
    stem = "-".join(filter(None, (found.stem, Path(asked.idea).stem)))
    into = out or Path()
    path = into if into.suffix == ".md" else into / f"{stem}.md"
    path = Path(file) if file else path
    if path.exists():
        raise HarmonyError(
            f"{shown(path)} exists already",
            rule="a draft is not written over what you have",
            mend=f"harmonykit lesson {typed(path)} builds it; for another draft name another file: "
            f"harmonykit lesson other.md --new {typed(Path(tune))}",
        )
    named = tune if not Path(tune).exists() else from_folder(path.parent, found)
    read = take_in_file(found, asked.number)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise refused(path.parent, trouble) from None
    write_draft(
        path,
        read.tune,
        named,
        Instrument.named(asked.instrument),
        asked.number,
        asked.idea,
        asked.key,
    )
    then = as_called(f"harmonykit lesson {typed(path)} --out {typed(path.stem)}")
    return (
        f"{_doubts(read, found, asked.number)}{shown(path)}: a first draft. Edit it, then: {then}"
    )


def _doubts(read: Typed, file: Path, number: int | None) -> str:
    """Return how many doubts there are about a tune, how much is left out, and what tells it."""
    which = f" --number {number}" if number else ""
    told = as_called(f"harmonykit tune {typed(file)}{which}")
    doubts, left = len(read.tune.doubts), len(read.left_out)
    said = [f"{counted(doubts, 'doubt')} about how it was read"] * bool(doubts)
    said += [f"{counted(left, 'piece')} of its text left out"] * bool(left)
    return f"{shown(file)}: {', '.join(said)}; see {told}\n" if said else ""


def judge(lesson: str, answer: Path) -> Iterator[str]:
    """Yield what is said of a student's answer, line by line."""
    from harmonykit.lesson.check import check_answer

    report = check_answer(find_data("lessons", lesson), answer)
    for verdict in report.verdicts:
        right = f"right, {verdict.lacking}" if verdict.lacking else "right"
        word = right if verdict.right else f"no: {verdict.fault}"
        yield f"bar {verdict.bar}  {verdict.asked}  {verdict.answer}  {word}"
    yield f"{report.level}: {report.words}"


def heard(lesson: str, recording: Path, level: int, instrument: str) -> Iterator[str]:
    """Yield what is heard in a recording of a level, or of a tune, line by line."""
    from harmonykit.arrange.search import reharmonise
    from harmonykit.lesson.listening import hear_playing
    from harmonykit.lesson.verdicts import ALIKE

    if _is_of_a_tune(lesson) or lesson in shipped("tunes"):
        yield from _without_levels(lesson, level)
        tune = read_tune(find_data("tunes", lesson))
        hearing = hear_playing(reharmonise(tune, instrument, (), k=1)[0], recording)
    else:
        refuse("the lesson names its instrument", "instrument")
        hearing = hear_playing(find_data("lessons", lesson), recording, level)
    yield from hearing.remarks
    if hearing.fits:
        yield from (
            f"{each.clock}  bar {each.bar}  {each.shape}  {each.told}" for each in hearing.heard
        )
        yield hearing.summary
        yield ALIKE


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked for: a level of a lesson, or a tune; a line of practice; groove and strum."""

    source: str
    level: int
    instrument: str
    line: str
    groove: str
    strum: str


def write(asked: Asked, folder: Path, kinds: tuple[str, ...]) -> Iterator[str]:
    """Write a play-along; yield what it holds, then its files.

    Raises
    ------
    HarmonyError
        For a source, a level or bars that there are not.
    """
    how = Rehearsal.parse(asked.line)
    way, tempo, name = _way(asked)
    for strum in filter(None, (asked.groove, asked.strum)):
        way = way.strummed(strum)
    if not name:
        yield from _without_levels(way.tune.title, asked.level)
    performance = rehearsed(way, how, tempo)
    check_length(performance.seconds, "play-along")
    yield from _told(way, how, tempo, performance)
    title = way.tune.title + (f": {name}" if name else "")
    stem = "-".join(slug(part) for part in (way.tune.title, name) if part)
    folder.mkdir(parents=True, exist_ok=True)
    for file in sound_files(performance, f"{stem}-{practice_slug(how)}", title, kinds):
        path = folder / file.name
        write_whole(path, file.data)
        yield shown(path)


def _way(asked: Asked) -> tuple[Arrangement, float, str]:
    """Return what is played, its tempo, and the level's name."""
    lesson = None if "|" in asked.source else _lesson(asked.source)
    if lesson is None:
        from harmonykit.cli.asked import tune_of

        way = reharmonise(tune_of(asked.source), asked.instrument, moves=(), k=1)[0]
        return way, way.tempo, ""
    refuse("the lesson names its instrument", "instrument")
    front = read_lesson(lesson)[0]
    if not 1 <= asked.level <= len(front.levels):
        levels = counted(len(front.levels), "level")
        raise HarmonyError(f"level {asked.level}: the lesson has {levels}", mend="--level 1")
    played = play_level(front, asked.level - 1)
    return played.arrangement, played.level.tempo, played.level.name


def _without_levels(tune: str, level: int) -> Iterator[str]:
    """Yield that a tune has no level to be chosen, where another than the first was asked for."""
    if level != 1:
        yield f"{tune} is a tune, and has no levels: --level {level} is left aside."


def _lesson(source: str) -> Path | None:
    """Return the file of a lesson; none where it is a tune."""
    path = Path(source)
    if path.is_file():
        return path if path.suffix == ".md" else None
    return attempt(find_data, "lessons", source)


def _told(
    way: Arrangement, how: Rehearsal, tempo: float, performance: Performance
) -> Iterator[str]:
    said = how.words
    if how.hard:
        said += f" ({said_bars(way, hard_span(way, how, tempo))})"
    yield f"{way.tune.title}: {said}, {lasting(performance.seconds)}"
    if how.sing:
        yield from (f"  {led.words}" for led in led_of(way))
    if how.names:
        yield "  The next chord's root sounds a beat before; the lesson's page speaks its name."
