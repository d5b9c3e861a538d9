"""Changes of shapes: the tempo rises and falls, the days are counted, minutes are kept."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.paths import find_data
from harmonykit.practice.changes import (
    START,
    change_standings,
    changes_of,
    next_tempo,
)
from harmonykit.practice.rounds import FASTEST, SLOWEST, Round, change_loop, keep_round, read_rounds
from harmonykit.practice.themes import theme_of

PAIR = ("2-2-2-3", "0-2-1-2")


def practised(tempo: int, clean: bool = True, day: int = 4, seconds: int = 60) -> Round:
    return Round(f"2031-05-{day:02d}T17:00:00", "ukulele", *PAIR, tempo, clean, seconds)


@given(st.lists(st.booleans(), max_size=60))
def test_the_tempo_rises_with_what_is_clean_and_falls_with_what_is_not(cleans: list[bool]) -> None:
    rounds: list[Round] = []
    for clean in cleans:
        tempo = next_tempo(rounds)
        assert SLOWEST <= tempo <= FASTEST and tempo % 2 == 0
        rounds.append(practised(tempo, clean))
        after = next_tempo(rounds)
        if not clean:
            assert after < tempo or tempo == SLOWEST
        else:
            twice = len(rounds) > 1 and rounds[-2].clean and rounds[-2].tempo == tempo
            assert (after > tempo) == (twice and tempo < FASTEST)
            assert after - tempo <= 0.1 * tempo + 2
    assert next_tempo([]) == START


def test_the_best_clean_tempo_and_the_days_since_either_way_round() -> None:
    rounds = [practised(60), practised(80, clean=False), practised(72, day=6, seconds=30)]
    (found,) = change_standings(rounds, [PAIR[::-1]], "ukulele", date(2031, 5, 9))
    assert (found.best, found.days, found.minutes, found.tempo) == (72, 3, 2.5, 72)
    # A clock that went ahead counts as today.
    (found,) = change_standings(rounds, [PAIR], "ukulele", date(2031, 5, 1))
    assert found.days == 0


def test_what_was_never_practised_comes_first_then_what_lay_longest() -> None:
    other, third = ("0-0-0-0", "0-2-1-2"), ("0-0-0-3", "2-2-2-0")
    rounds = [practised(60), Round("2031-05-07", "ukulele", *other, 60, True, 60)]
    order = change_standings(rounds, [other, PAIR, third], "ukulele", date(2031, 5, 9))
    assert [(each.before, each.after) for each in order] == [third, PAIR, other]
    assert [each.days for each in order] == [None, 5, 2]


def test_rounds_are_kept_whole_and_a_torn_line_alone_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "my-changes.jsonl"
    rounds = [practised(60), practised(64, clean=False), practised(64)]
    for each in rounds:
        keep_round(path, each)
    assert read_rounds(path) == tuple(rounds)
    data = path.read_bytes()
    for size in range(len(data) - 1, len(data) - 60, -7):
        path.write_bytes(data[:size])
        assert read_rounds(path) in (tuple(rounds), tuple(rounds[:2]))
    keep_round(path, practised(70))
    assert read_rounds(path)[-1].tempo == 70 and len(read_rounds(path)) == 3


@pytest.mark.parametrize(
    "data", [b"my shopping list\n", b'{"format": 2, "made_by": "harmonykit", "kind": "changes"}\n']
)
def test_what_is_no_file_of_rounds_is_refused_and_left_alone(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "my-changes.jsonl"
    path.write_bytes(data)
    with pytest.raises(HarmonyError, match="not a file of practised changes"):
        read_rounds(path)
    assert path.read_bytes() == data


@pytest.mark.parametrize("wrong", [{"tempo": 900}, {"before": "2-2-2"}, {"seconds": -1}])
def test_what_cannot_be_is_not_kept(tmp_path: Path, wrong: dict[str, object]) -> None:
    from dataclasses import replace

    with pytest.raises(HarmonyError):
        keep_round(tmp_path / "my-changes.jsonl", replace(practised(60), **wrong))
    assert list(tmp_path.iterdir()) == []


def test_a_lessons_changes_are_between_its_own_chords() -> None:
    theme = theme_of(read_lesson(find_data("lessons", "stiff_dominant"))[0])
    found = changes_of(theme)
    assert found and all(len(change) == 2 and change[0] != change[1] for change in found)


def test_the_loop_is_clicks_and_then_a_bar_of_each_shape_in_time() -> None:
    """What sounds is read off its spectrum, bar by bar."""
    loop = change_loop("0-0-0-0", "0-2-1-2", tempo=60, rounds=2)
    heard, rate = soundfile.read(io.BytesIO(loop.wav))
    assert len(heard) / rate == pytest.approx(loop.seconds, abs=0.01) == 20.8
    loud = [float(np.sqrt(np.mean(heard[s * rate : s * rate + rate // 2] ** 2))) for s in range(20)]
    assert min(loud[4:]) > 3 * max(loud[:4])  # clicks, then chords on every beat
    for bar in range(1, 5):
        spectrum = np.abs(np.fft.rfft(heard[4 * bar * rate + rate // 2 : (4 * bar + 4) * rate]))
        hertz = np.fft.rfftfreq(4 * rate - rate // 2, 1 / rate)

        def strength(midi: int, at: Any = hertz, of: Any = spectrum) -> float:
            near = np.abs(at / (440 * 2 ** ((midi - 69) / 12)) - 1) < 0.01
            return float(np.max(of[near]))

        # C6 is open on g C E A; G7 has D, F and B on the upper strings.
        one, other = ((60, 64, 69), (62, 65, 71))[:: 1 if bar % 2 else -1]
        assert min(map(strength, one)) > 3 * max(map(strength, other))


@pytest.mark.parametrize("wrong", [{"tempo": 500}, {"rounds": 0}, {"after": "0-2-1"}])
def test_a_loop_that_cannot_be_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(HarmonyError):
        change_loop(**({"before": "0-0-0-0", "after": "0-2-1-2"} | wrong))  # type: ignore[arg-type]
