"""How long a play-along takes to be made, beside the encoder and bare strings, in one run.

The encoder is the work of others and the floor under what sound costs; four strings without box,
room, loudness or hand, by SciPy's filter, are to cost about as much as all that we add to it.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from measured import measured
from scipy.signal import lfilter

from harmonykit.lesson.build import load_lesson
from harmonykit.paths import find_data
from harmonykit.sound.events import play
from harmonykit.sound.files import mp3_bytes
from harmonykit.sound.pluck import pluck
from harmonykit.sound.rendering import Sound, render

FASTER, OF_BARE = 20, 1.5


def seconds(work: Callable[[], object], times: int = 5) -> float:
    """Return the least time of the processor that a piece of work takes."""
    spans = []
    for _ in range(times):
        begun = time.process_time()
        work()
        spans.append(time.process_time() - begun)
    return min(spans)


def karplus_strong(count: int, strings: int = 4) -> None:
    """Filter noise round a loop, a string after another: SciPy's filter, one voice each."""
    for string in range(strings):
        period = 100 + 12 * string
        noise = np.zeros(count)
        noise[:period] = np.random.default_rng(string).uniform(-1, 1, period)
        loop = np.zeros(period + 2)
        loop[0], loop[period], loop[period + 1] = 1, -0.498, -0.498
        lfilter([1.0], loop, noise)


def test_a_play_along_is_made_much_faster_than_it_sounds() -> None:
    """Notes, mix, room, loudness, MP3; and four bare strings by SciPy in the same run."""
    played = load_lesson(find_data("lessons", "stiff_dominant")).played[-1]
    performance = play(played.arrangement, bass=True, melody=True)

    def whole() -> None:
        pluck.cache_clear()
        mp3_bytes(Sound(performance))

    sound = render(performance, channels=2)
    ours, again = seconds(whole, 3), seconds(lambda: mp3_bytes(Sound(performance)), 3)
    encoding = seconds(lambda: mp3_bytes(sound), 3)
    theirs = seconds(lambda: karplus_strong(len(sound)), 3)
    said = f"a play-along of {performance.seconds:.0f} s"
    plays = ("its playing", performance.seconds)
    bare = ("four bare strings by SciPy", theirs)
    measured(f"{said}: encoding alone", encoding, beside=plays)
    measured(f"{said}: notes kept", again, beside=plays)
    rows = [
        measured(f"{said}: new notes", ours, beside=plays, least=FASTER),
        measured(f"{said}: all but the encoding", again - encoding, beside=bare, most=OF_BARE),
    ]
    assert all(row.met for row in rows)
