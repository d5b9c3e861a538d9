"""The gain that a page is told, beside the one that a file of the same performance has."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.arrange.search import reharmonise
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.sound.estimating import expected_gain
from harmonykit.sound.events import play
from harmonykit.sound.loudness import find_gain
from harmonykit.sound.rendering import mix


@pytest.mark.parametrize(
    ("tune", "instrument", "more"),
    [
        ("slack_water_waltz", "ukulele", False),
        ("heron_landing", "banjo", True),
        pytest.param("dry_dock_bossa", "mandolin", False, marks=pytest.mark.long),
        pytest.param("ropewalk_blues", "guitar", True, marks=pytest.mark.long),
    ],
)
def test_what_is_expected_is_what_rendering_finds(tune: str, instrument: str, more: bool) -> None:
    """The whole chain - strings, room, ceiling, loudness by BS.1770 - against energies alone."""
    way = reharmonise(read_tune(find_data("tunes", tune)), instrument, moves=(), k=1)[0]
    performance = play(way, bass=more, melody=more)
    heard = mix(performance, 44_100, channels=2)
    found = find_gain(lambda: (heard,), 44_100)
    assert expected_gain(performance) == pytest.approx(found, abs=0.6)


def test_silence_asks_for_no_gain() -> None:
    way = reharmonise("| C | F |", "ukulele", (), k=1)[0]
    silent = replace(play(way), events=())
    assert expected_gain(silent) == 0
