"""The play-along of a level: what a class plays with, slowly, at tempo, or round and round.

All files of a level come from one arrangement, and all files of a lesson are equally loud.  In a
mixed class each instrument has files of its own: its arrangement is another.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from harmonykit.fretboard.instrument import Instrument
from harmonykit.lesson.model import Played
from harmonykit.lesson.names import slug
from harmonykit.lesson.takes import TUNING, PlayAlong, Take
from harmonykit.show.compressed import mp3_bytes, titled
from harmonykit.show.events import play, play_loops, play_strings
from harmonykit.show.midi import write_midi
from harmonykit.show.performance import Performance
from harmonykit.show.pluck import Samples
from harmonykit.show.sound import render, wav_bytes


@dataclass(frozen=True, slots=True)
class PlayFile:
    """A file: its name, what it holds, and what made it."""

    name: str
    data: bytes
    made_by: str


def playalong_files(played: Played, wanted: PlayAlong, prefix: str = "") -> Iterator[PlayFile]:
    """Yield the play-along files of a level.

    Parameters
    ----------
    played : Played
        The level; its ``stem`` begins the files' names.
    wanted : PlayAlong
        Which files.
    prefix : str
        What stands before the stem for another instrument of a mixed class; its files say in their
        titles which it is.
    """
    # The encoder leaves the interpreter alone while it works: takes are made side by side.
    with ThreadPoolExecutor() as pool:
        for files in pool.map(lambda take: _take_files(played, wanted, take, prefix), wanted.takes):
            yield from files


def tuning_files(instrument: Instrument, wanted: PlayAlong, prefix: str = "") -> Iterator[PlayFile]:
    """Yield the file of open strings that a lesson has, if it is wanted."""
    if TUNING in wanted.files:
        samples = render(play_strings(instrument))
        data = titled(f"Tuning: {instrument.tuning}", mp3_bytes(samples))
        yield PlayFile(f"{prefix}{TUNING}.mp3", data, "show.compressed")


def _take_files(played: Played, wanted: PlayAlong, take: Take, prefix: str) -> list[PlayFile]:
    tempo = played.level.tempo * (wanted.slow if take.slow else 1)
    stem = prefix + played.stem + take.suffix
    found: list[PlayFile] = []
    if set(take.kinds) != {"loops"}:
        performance = play(
            played.arrangement,
            tempo,
            click=wanted.click,
            melody=wanted.melody,
            bass=take.bass,
            tuning=wanted.tuning,
        )
        found += _whole(performance, stem, _title(played, take, prefix), take.kinds)
    if "loops" in take.kinds:
        loops = play_loops(
            played.arrangement, tempo, click=wanted.click, melody=wanted.melody, bass=take.bass
        )
        found += _loops(loops, stem)
    return found


def _title(played: Played, take: Take, prefix: str) -> str:
    arrangement = played.arrangement
    strings = f", {arrangement.instrument.name}" if prefix else ""
    return f"{arrangement.tune.title}: {played.level.name}{strings}{take.words}"


def _whole(
    performance: Performance, stem: str, title: str, kinds: tuple[str, ...]
) -> Iterator[PlayFile]:
    if "mid" in kinds:
        yield PlayFile(f"{stem}.mid", write_midi(performance), "show.midi")
    if kinds == ("mid",):
        return
    samples: Samples = render(performance)
    if "wav" in kinds:
        yield PlayFile(f"{stem}.wav", wav_bytes(samples), "show.sound")
    if "mp3" in kinds:
        data = titled(title, mp3_bytes(samples))
        yield PlayFile(f"{stem}.mp3", data, "show.compressed")


def _loops(loops: tuple[tuple[str, Performance], ...], stem: str) -> Iterator[PlayFile]:
    taken: list[str] = []
    for section, performance in loops:
        name = slug(section)
        taken.append(name)
        # Sections "A" and "a" are two.
        again = f"-{taken.count(name)}" if taken.count(name) > 1 else ""
        data = wav_bytes(render(performance))
        yield PlayFile(f"{stem}-loop-{name}{again}.wav", data, "show.sound")
