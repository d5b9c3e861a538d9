"""A way as sound: its length, its times, and the turns of two ways."""

from __future__ import annotations

import io
import wave

from harmonykit.workbook.reharmonise.sound import RATE, sound_of_way, turn_bars
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Row, find_best


def best(text: str, **asked: object) -> Row:
    state = ReharmoniseState(text=text, best=1, **asked)  # type: ignore[arg-type]
    return find_best(state, lambda done, total: None).rows[-1]


def test_bars_and_chords_begin_when_the_tempo_says() -> None:
    """Four quarters at 96 a minute are 2.5 s; the count-in is one bar."""
    row = best("| Gm6 | Bb7 | Eb6 | D7 |", tempo=96.0)
    heard = sound_of_way(row.arrangement)
    assert heard.times["bars"] == [2.5, 5.0, 7.5, 10.0]
    starts = [2.5 + float(step.onset) * 60 / 96 for step in row.arrangement.steps]
    assert [start for start, _, _ in heard.times["steps"]] == [round(s, 6) for s in starts]
    assert all(round(start - ready, 6) == 0.625 for start, ready, _ in heard.times["steps"])


def test_the_file_is_as_long_as_it_says() -> None:
    heard = sound_of_way(best("| C6 | Am7 | Dm7 | G7 |").arrangement)
    with wave.open(io.BytesIO(heard.wav)) as file:
        assert file.getframerate() == RATE
        assert abs(file.getnframes() / RATE - heard.times["seconds"]) < 0.001


def test_turns_are_sections_and_eight_bars_of_longer_ones() -> None:
    row = best("|" + " C6 | Dm7 |" * 10)
    assert turn_bars(row.arrangement) == [0, 8, 16]
