"""What ``harmonykit playalong`` does: a level or a tune as it is practised, as files."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.cli.parts import tune_of
from harmonykit.errors import HarmonyError
from harmonykit.files import shown
from harmonykit.files.file import write_whole
from harmonykit.files.names import slug
from harmonykit.lesson.arranging import play_level
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.lesson.playfiles import practice_slug, sound_files
from harmonykit.lesson.rehearsals import hard_span, led_of, rehearsed, said_bars
from harmonykit.paths import find_data
from harmonykit.sound.performance import Performance
from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.sound.rendering import check_length
from harmonykit.words.numbers import counted


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked for: a level of a lesson, or a tune; a line of practice; groove and strum."""

    source: str
    level: int
    instrument: str
    line: str
    strums: tuple[str, ...] = ()


def write(asked: Asked, folder: Path, kinds: tuple[str, ...]) -> Iterator[str]:
    """Write a play-along; yield what it holds, then its files.

    Raises
    ------
    HarmonyError
        For a source, a level or bars that there are not.
    """
    how = Rehearsal.parse(asked.line)
    way, tempo, name = _way(asked)
    for strum in filter(None, asked.strums):
        way = way.strummed(strum)
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
        way = reharmonise(tune_of(asked.source), asked.instrument, moves=(), k=1)[0]
        return way, way.tempo, ""
    front = read_lesson(lesson)[0]
    if not 1 <= asked.level <= len(front.levels):
        levels = counted(len(front.levels), "level")
        raise HarmonyError(f"level {asked.level}: the lesson has {levels}", mend="--level 1")
    played = play_level(front, asked.level - 1)
    return played.arrangement, played.level.tempo, played.level.name


def _lesson(source: str) -> Path | None:
    """Return the file of a lesson; none where it is a tune."""
    path = Path(source)
    if path.is_file():
        return path if path.suffix == ".md" else None
    try:
        return find_data("lessons", source)
    except HarmonyError:
        return None


def _told(
    way: Arrangement, how: Rehearsal, tempo: float, performance: Performance
) -> Iterator[str]:
    said = how.words
    if how.hard:
        said += f" ({said_bars(way, hard_span(way, how, tempo))})"
    yield f"{way.tune.title}: {said}, {performance.seconds:.0f} seconds"
    if how.sing:
        yield from (f"  {led.words}" for led in led_of(way))
    if how.names:
        yield "  The next chord's root sounds a beat before; the lesson's page speaks its name."
