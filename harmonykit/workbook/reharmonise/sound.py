"""A way through the tune as sound, with the times at which its bars and chords begin.

Conventions.  Times are seconds from the first click of the count-in.  A *turn* is a stretch of bars
after which two ways change places when they are heard in turn: eight bars, or a section that is
shorter.
"""

from dataclasses import dataclass, replace
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.lesson.page.chart import step_times
from harmonykit.sound.events import play
from harmonykit.sound.rendering import Sound, wav_bytes

RATE = 22_050
TURN_BARS = 8
_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Heard:
    """A WAV file and its times, as the browser plays and follows it."""

    wav: bytes
    times: dict[str, Any]


def sound_of_way(way: Arrangement) -> Heard:
    """Return an arrangement at its tempo, with count-in, and the melody where there is one.

    Raises
    ------
    HarmonyError
        If it lasts longer than a sound file may.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.state import ReharmoniseState
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| C6 | Dm7 |", best=1)
    >>> heard = sound_of_way(find_best(state, lambda done, total: None).rows[0].arrangement)
    >>> heard.times["bars"]
    [4.0, 6.0]
    """
    performance = play(way, count_in=True, click=False, melody=bool(way.tune.melody))
    wav = wav_bytes(Sound(performance, RATE))
    bars = [round(start, _DIGITS) for _, start in performance.bars]
    times = {
        "seconds": round(performance.seconds, _DIGITS),
        "bars": bars,
        "steps": step_times(way, performance),
        "turns": [bars[place] for place in turn_bars(way)],
    }
    return Heard(wav, times)


def sound_of_bars(way: Arrangement, bars: range) -> bytes:
    """Return some bars of an arrangement as a WAV file, counted as played from 0.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("| C6 | Dm7 | G7 | C6 |", "ukulele", (), 1)
    >>> sound_of_bars(way, range(1, 3))[:4]
    b'RIFF'
    """
    whole = play(way, count_in=False, click=False, melody=bool(way.tune.melody))
    starts = [start for _, start in whole.bars]
    start = starts[bars.start]
    end = starts[bars.stop] if bars.stop < len(starts) else whole.seconds
    events = tuple(
        replace(event, onset=event.onset - start, length=min(event.length, end - event.onset))
        for event in whole.events
        if start <= event.onset < end
    )
    part = replace(
        whole, events=events, seconds=end - start, count_in_seconds=0.0, bars=(), steps=(),
        sections=(),
    )  # fmt: skip
    return wav_bytes(Sound(part, RATE))


def turn_bars(way: Arrangement) -> list[int]:
    """Return where turns begin: bars in playing order, counted from 0."""
    playing, found = way.tune.playing, [0]
    for index, played in enumerate(playing):
        new_section = played.section != playing[index - 1].section
        if index and (new_section or index - found[-1] >= TURN_BARS):
            found.append(index)
    return found
