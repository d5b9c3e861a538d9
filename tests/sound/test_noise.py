"""Noise and small percussion, against libraries and the cookbook."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import lfilter, welch

from harmonykit.sound.noise import band, beat, white

RATE = 44_100


def test_noise_is_the_same_each_time_and_white() -> None:
    sound = white(1 << 17, 5)
    assert sound.tobytes() == white(1 << 17, 5).tobytes() and abs(sound).max() <= 1
    assert not np.allclose(sound[:100], white(100, 6))
    # Evenly spread from -1 to 1: a variance of a third.
    assert sound.mean() == pytest.approx(0, abs=0.01)
    assert sound.var() == pytest.approx(1 / 3, rel=0.01)
    _, power = welch(sound, RATE, nperseg=1024)
    octaves = [power[a:b].mean() for a, b in ((4, 8), (32, 64), (256, 512))]
    assert max(octaves) / min(octaves) < 1.25


def test_the_row_of_numbers_is_the_published_one() -> None:
    """Numerical Recipes 1992, 7.1: from 0 the row begins 3C6EF35F 47502932 D1CCF6E9 AAF95334."""
    row, state = [], 0
    for _ in range(12):
        state = (state * 1664525 + 1013904223) % 2**32
        row.append(state)
    assert [f"{one:08X}" for one in row[:4]] == ["3C6EF35F", "47502932", "D1CCF6E9", "AAF95334"]
    # The first eight are left out.
    assert white(4, 0) == pytest.approx([one / 2**31 - 1 for one in row[8:]])


def test_a_band_is_the_cookbooks() -> None:
    """0 dB at its middle, 3 dB less at the edges of its width; the rows of SciPy's filter."""
    sound, hz, width = white(8000, 1), 2000.0, 500.0
    turn = 2 * np.pi * hz / RATE
    alpha = np.sin(turn) * width / hz / 2
    b, a = [alpha, 0, -alpha], [1 + alpha, -2 * np.cos(turn), 1 - alpha]
    assert band(sound, hz, width, RATE) == pytest.approx(lfilter(b, a, sound), abs=1e-12)
    spike = np.zeros(1 << 15)
    spike[0] = 1
    heard = np.abs(np.fft.rfft(band(spike, hz, width, RATE)))
    step = RATE / len(spike)
    assert heard[round(hz / step)] == pytest.approx(1, abs=0.01)
    edges = [hz * (np.sqrt(1 + (width / hz / 2) ** 2) + side * width / hz / 2) for side in (-1, 1)]
    for edge in edges:
        assert 20 * np.log10(heard[round(edge / step)]) == pytest.approx(-3, abs=0.2)


def test_a_shaker_hisses_a_stick_knocks_a_brush_lies_between() -> None:
    """General MIDI (RP-003): 82 is not in its first list; 37 is a side stick, 40 a snare."""

    def middle(midi: int) -> float:
        power = np.abs(np.fft.rfft(beat(midi, RATE), RATE)) ** 2
        return float((power * np.arange(len(power))).sum() / power.sum())

    def length(midi: int) -> float:
        size = np.abs(beat(midi, RATE))
        return float(np.flatnonzero(size > size.max() / 10)[-1] / RATE)

    assert middle(82) > middle(40) and middle(82) > middle(37)
    assert length(37) < length(82) < length(40) < 0.4
    for midi in (82, 40, 37):
        sound = beat(midi, RATE)
        assert np.abs(sound).max() < 1 and np.abs(sound[-50:]).max() < 0.01
