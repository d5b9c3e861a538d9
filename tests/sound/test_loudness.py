"""Loudness against the standard's own test signal and its filters run by scipy.

ITU-R BS.1770, edition 5, annex 1: a sine of 997 Hz at full scale in one channel has -3.01 LKFS;
blocks of 0.4 s that overlap by three quarters; gates at -70 LKFS and 10 LU below.
EBU Tech 3341 (2016), tests 1 and 3: gating, here with its levels for one channel.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.signal import lfilter

from harmonykit.sound.loudness import CEILING, KNEE, TARGET, Meter, bend, level, loudness
from harmonykit.sound.noise import Samples
from harmonykit.sound.pluck import pluck
from harmonykit.sound.strung import voices


def sine(hertz: float, seconds: float, decibels: float = 0.0, rate: int = 48_000) -> Samples:
    time = np.arange(int(seconds * rate)) / rate
    found: Samples = 10 ** (decibels / 20) * np.sin(2 * np.pi * hertz * time)
    return found


@pytest.mark.parametrize("rate", [48_000, 44_100, 32_000])
def test_the_standards_sine_has_the_standards_loudness(rate: int) -> None:
    assert loudness(sine(997, 3, rate=rate), rate) == pytest.approx(-3.01, abs=0.02)
    assert loudness(sine(997, 3, -20, rate), rate) == pytest.approx(-23.01, abs=0.02)


def test_the_weighting_is_that_of_the_standards_filters() -> None:
    """The filters in the time domain, block after block, by scipy."""
    voice, midi = voices()["tone"], (67, 40, 72, 60, 81, 45)
    sound = 0.8 * np.concatenate([pluck(voice, None, m, rate=48_000)[:24_000] for m in midi])
    shelf = lfilter(
        [1.53512485958697, -2.69169618940638, 1.19839281085285],
        [1, -1.69065929318241, 0.73248077421585],
        sound,
    )
    heard = lfilter([1, -2, 1], [1, -1.99004745483398, 0.99007225036621], shelf)
    starts = range(0, len(sound) - 19_200 + 1, 4_800)
    powers = np.array([np.mean(heard[s : s + 19_200] ** 2) for s in starts])

    def lufs(power: float) -> float:
        return -0.691 + 10 * math.log10(power)

    loud = powers[[lufs(p) > -70 for p in powers]]
    loud = loud[[lufs(p) > lufs(loud.mean()) - 10 for p in loud]]
    assert loudness(sound, 48_000) == pytest.approx(lufs(loud.mean()), abs=0.005)


def test_silence_and_what_is_much_softer_are_left_out() -> None:
    loud = sine(997, 20, -20)
    alone = loudness(loud, 48_000)
    silence = np.zeros(20 * 48_000)
    for other in (silence, sine(997, 10, -40)):
        assert loudness(np.concatenate((other, loud, other)), 48_000) == pytest.approx(
            alone, abs=0.1
        )
    assert loudness(silence, 48_000) == -math.inf


def test_a_deep_sound_is_less_loud_and_a_high_one_louder() -> None:
    # Table 1 lifts what is high by 4 dB, table 2 takes away what is deep.
    deep, middle, high = (loudness(sine(hertz, 2), 48_000) for hertz in (40, 1000, 8000))
    assert deep < middle - 4
    assert high - middle == pytest.approx(3.3, abs=0.4)


@pytest.mark.parametrize("gain", [0.01, 0.1, 30.0])
def test_everything_is_set_to_one_loudness(gain: float) -> None:
    midi = (60, 64, 67, 72)
    sound = np.concatenate([pluck(voices()["tone"], None, m)[:20_000] for m in midi])
    leveled = level(gain * sound, 44_100)
    assert loudness(leveled, 44_100) == pytest.approx(TARGET, abs=0.1)
    assert np.abs(leveled).max() <= CEILING


def test_silence_stays_silent() -> None:
    assert not level(np.zeros(44_100), 44_100).any()


def test_what_is_not_loud_is_not_bent() -> None:
    quiet = np.linspace(-KNEE, KNEE, 101)
    assert (bend(quiet) == quiet).all()
    loud = bend(np.linspace(-4, 4, 1001))
    assert (np.diff(loud) >= 0).all() and np.abs(loud).max() <= CEILING
    assert loud == pytest.approx(-loud[::-1])


@pytest.mark.parametrize("size", [1, 441, 5_000, 300_000])
def test_a_meter_hears_the_same_in_blocks_of_any_length(size: int) -> None:
    count = 3_000 if size == 1 else 400_000
    sound = np.random.default_rng(5).normal(0, 0.1, count)
    meter = Meter(44_100)
    for start in range(0, count, size):
        meter.hear(sound[start : start + size])
    assert meter.loudness == pytest.approx(loudness(sound, 44_100), abs=1e-9)
    assert meter.peak == np.abs(sound).max()
    # Asked in between, it goes on hearing.
    meter.hear(np.zeros(0))
    assert meter.loudness == pytest.approx(loudness(sound, 44_100), abs=1e-9)


def test_two_channels_are_their_powers_together() -> None:
    """BS.1770 annex 1: left and right weigh the same in the sum; twice one is 3.01 dB more."""
    one = sine(997, 3, -23)
    both = np.stack((one, one), axis=1)
    assert loudness(both, 48_000) - loudness(one, 48_000) == pytest.approx(3.01, abs=0.01)
    left = np.stack((one, 0 * one), axis=1)
    assert loudness(left, 48_000) == pytest.approx(loudness(one, 48_000), abs=1e-6)
    # Heard from both loudspeakers, a file of two channels is as loud as one of one.
    assert loudness(level(both, 48_000), 48_000) == pytest.approx(TARGET + 3, abs=0.1)
