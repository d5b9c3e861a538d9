"""The play-along files of a lesson: each level's takes and practice, and the open strings.

A file is made while it is written, in blocks, so that a long one takes no more memory than a short
one.
"""

import io
from collections.abc import Callable, Iterator
from typing import BinaryIO

from harmonykit.files.file import slug
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan.model import Front, Lesson, Played
from harmonykit.lesson.plan.takes import DEFAULT, KINDS, TUNING, PlayAlong, Take
from harmonykit.lesson.rehearsals import rehearsed
from harmonykit.lesson.together.stems import stems_of
from harmonykit.sound import events, files
from harmonykit.sound.performance import DRUM, Performance
from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.sound.rehearsal_said import said_rehearsal
from harmonykit.sound.rendering import Sound
from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class PlayFile:
    """A file: its name, what made it, and what writes it to an open file."""

    name: str
    made_by: str
    write: Callable[[BinaryIO], object]

    @property
    def data(self) -> bytes:
        """All that it holds."""
        buffer = io.BytesIO()
        self.write(buffer)
        return buffer.getvalue()


def tuning_files(instrument: Instrument, wanted: PlayAlong, prefix: str = "") -> Iterator[PlayFile]:
    """Yield the file of open strings that a lesson has, if it is wanted."""
    if TUNING in wanted.files:
        sound = Sound(events.play_strings(instrument))
        yield _mp3(f"{prefix}{TUNING}", f"Tuning: {instrument.tuning_said}", sound)


def take_files(
    played: Played, wanted: PlayAlong, take: Take, prefix: str = ""
) -> Iterator[PlayFile]:
    """Yield the play-along files of one take of a level.

    Parameters
    ----------
    played : Played
        The level; its ``stem`` begins the files' names.
    wanted : PlayAlong
        Which files.
    take : Take
        One of those that are wanted.
    prefix : str
        What stands before the stem for another instrument of a mixed class; its files say in their
        titles which it is.
    """
    tempo = played.level.tempo * (wanted.slow if take.slow else 1)
    stem = prefix + played.stem + take.suffix
    if set(take.kinds) != {"loops"}:
        performance = events.play(
            played.arrangement,
            tempo,
            click=wanted.click,
            melody=wanted.melody,
            bass=take.bass,
            tuning=wanted.tuning,
        )
        if not wanted.percussion:
            performance = performance.without(DRUM)
        yield from sound_files(performance, stem, _title(played, take, prefix), take.kinds)
    if "loops" in take.kinds:
        loops = events.play_loops(
            played.arrangement, tempo, click=wanted.click, melody=wanted.melody, bass=take.bass
        )
        if not wanted.percussion:
            loops = tuple((name, loop.without(DRUM)) for name, loop in loops)
        yield from _loops(loops, stem)


def practice_files(
    played: Played, number: int, wanted: PlayAlong, prefix: str = ""
) -> Iterator[PlayFile]:
    """Yield the play-along files of a level as it is practised, of the kinds that are wanted.

    Parameters
    ----------
    played : Played
    number : int
        Which line of the level's practice, counted from 1.
    wanted : PlayAlong
    prefix : str
        As for ``take_files``.
    """
    how = played.level.practice[number - 1]
    kinds = practice_kinds(wanted)
    performance = rehearsed(played.arrangement, how, played.level.tempo)
    stem = practice_stem(played, number, prefix)
    strings = f", {played.arrangement.instrument.name}" if prefix else ""
    title = f"{played.arrangement.tune.title}: {played.level.name}{strings}, {how.words}"
    yield from sound_files(performance, stem, title, kinds)


def practice_kinds(wanted: PlayAlong) -> tuple[str, ...]:
    """Return the kinds of files that a line of practice is written as."""
    return tuple(kind for kind in KINDS if kind in wanted.files and kind != "loops") or DEFAULT


def practice_stem(played: Played, number: int, prefix: str = "") -> str:
    """Return how the name of a practice file begins: names sort as the lines stand."""
    lines = played.level.practice
    wide = len(str(len(lines)))
    return f"{prefix}{played.stem}-practice-{number:0{wide}}-{practice_slug(lines[number - 1])}"


def said_practice(front: Front, played: Played) -> list[str]:
    """Return a list in Markdown of a level's practice: each line, and the file that has it."""
    kind = practice_kinds(front.playalong)[-1]
    found = []
    for number, how in enumerate(played.level.practice, 1):
        file = f": `{practice_stem(played, number)}.{kind}`" if "sound" in front.outputs else ""
        said = said_rehearsal(how)
        found.append(f"- {said[:1].upper()}{said[1:]}{file}")
    return ["To practise, with a file or in the page:", "", *found, ""] if found else []


def part_files(lesson: Lesson, prefix: str = "") -> Iterator[PlayFile]:
    """Yield each part for everyone of a lesson's tune as sound, of the kinds that are wanted."""
    front = lesson.front
    kinds = front.playalong.part_kinds
    if kinds:
        for name, performance in stems_of(front.tune, front.instrument, front.knows):
            title = f"{front.tune.title}: {name.replace('-', ' ')}"
            yield from sound_files(performance, f"{prefix}{name}", title, kinds)


def practice_slug(how: Rehearsal) -> str:
    """Return a rehearsal's words as a part of a file's name.

    Examples
    --------
    >>> practice_slug(Rehearsal.parse("bars 9-10, tempi 60-100, click 2+4"))
    'bars-9-10-tempi-60-100-click-2-4'
    """
    return "-".join(slug(part) for part in how.words.split(","))


def _title(played: Played, take: Take, prefix: str) -> str:
    arrangement = played.arrangement
    strings = f", {arrangement.instrument.name}" if prefix else ""
    return f"{arrangement.tune.title}: {played.level.name}{strings}{take.words}"


def sound_files(
    performance: Performance, stem: str, title: str, kinds: tuple[str, ...]
) -> Iterator[PlayFile]:
    """Yield a performance as files of some kinds: ``mid``, ``wav``, ``mp3``."""
    if "mid" in kinds:
        midi = files.write_midi(performance)
        yield PlayFile(f"{stem}.mid", "sound.files", lambda file: file.write(midi))
    if kinds == ("mid",):
        return
    sound = Sound(performance)
    if "wav" in kinds:
        yield PlayFile(f"{stem}.wav", "sound.rendering", sound.write_wav)
    if "mp3" in kinds:
        yield _mp3(stem, title, sound)


def _mp3(stem: str, title: str, sound: Sound) -> PlayFile:
    def write(file: BinaryIO) -> None:
        file.write(files.titled(title, files.mp3_bytes(sound)))

    return PlayFile(f"{stem}.mp3", "sound.files", write)


def _loops(loops: tuple[tuple[str, Performance], ...], stem: str) -> Iterator[PlayFile]:
    taken: list[str] = []
    for section, performance in loops:
        name = slug(section)
        taken.append(name)
        # Sections "A" and "a" are two.
        again = f"-{taken.count(name)}" if taken.count(name) > 1 else ""
        sound = Sound(performance)
        yield PlayFile(f"{stem}-loop-{name}{again}.wav", "sound.rendering", sound.write_wav)
