"""How long a minute of play-along takes: playing and rendering against encoding, in one run.

The encoder is the work of others and the floor under what a minute of sound costs; what we add to
it is to stay below it.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from harmonykit.lesson.build import load_lesson
from harmonykit.paths import find_data
from harmonykit.sound.events import play
from harmonykit.sound.files import mp3_bytes
from harmonykit.sound.rendering import RATE, render, wav_bytes


def seconds(work: Callable[[], object], times: int = 5) -> float:
    """Return the least time of the processor that a piece of work takes."""
    spans = []
    for _ in range(times):
        begun = time.process_time()
        work()
        spans.append(time.process_time() - begun)
    return min(spans)


def test_a_minute_of_sound_costs_less_than_its_encoding() -> None:
    played = load_lesson(find_data("lessons", "stiff_dominant")).played[-1]
    samples = render(played.performance)
    minutes = len(samples) / RATE / 60
    ours = seconds(lambda: wav_bytes(render(play(played.arrangement, bass=True)))) / minutes
    theirs = seconds(lambda: mp3_bytes(samples)) / minutes
    print(f"\na minute of sound: WAV {ours:.3f} s, and as MP3 {theirs:.3f} s more")
    assert ours < theirs
