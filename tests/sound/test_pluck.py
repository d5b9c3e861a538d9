"""One string, measured: pitch, decay, how soft."""

from __future__ import annotations

import numpy as np
import pytest
from heard import cents, measured_pitch

from harmonykit.sound.pluck import BASS, RATE, STRING, Samples, Voice, click, pluck

# Equal temperament at A4 = 440 Hz (ISO 16:1975); values by arithmetic.
FREQUENCIES = {40: 82.406889, 55: 195.997718, 60: 261.625565, 67: 391.995436, 69: 440.0, 81: 880.0}


@pytest.mark.parametrize(("midi", "hertz"), FREQUENCIES.items())
def test_a_string_is_within_one_cent_of_its_pitch(midi: int, hertz: float) -> None:
    assert abs(cents(measured_pitch(pluck(midi)[:60_000], hertz), hertz)) < 1


@pytest.mark.parametrize("midi", range(28, 52, 5))
def test_a_bass_is_within_one_cent_of_its_pitch(midi: int) -> None:
    hertz = 440 * 2 ** ((midi - 69) / 12)
    assert abs(cents(measured_pitch(pluck(midi, RATE, BASS)[:120_000], hertz), hertz)) < 1


def test_a_bass_is_a_softer_pluck_than_a_string() -> None:
    def brightness(voice: Voice) -> float:
        spectrum = np.abs(np.fft.rfft(pluck(45, RATE, voice)[:RATE])) ** 2
        return float((spectrum * np.arange(len(spectrum))).sum() / spectrum.sum())

    assert brightness(BASS) < brightness(STRING) / 2


@pytest.mark.parametrize("voice", [STRING, BASS])
@pytest.mark.parametrize("midi", range(40, 97, 7))
def test_a_string_dies_away(midi: int, voice: Voice) -> None:
    sound = pluck(midi, RATE, voice)
    # What lies 80 dB down is silence.
    parts = [max(1e-4, np.abs(part).max()) for part in np.array_split(sound, 8)]
    assert parts == sorted(parts, reverse=True)
    assert parts[-1] < 0.01 < parts[0] == 1


@pytest.mark.parametrize("midi", [28, 40, 60, 81])
def test_a_string_is_struck_at_once_and_starts_from_silence(midi: int) -> None:
    sound = np.abs(pluck(midi))
    assert sound[:5].max() > 0.9 > 0.2 > sound[0]


def test_the_high_click_is_higher_and_both_are_short() -> None:
    def pitch(sound: Samples) -> float:
        return float(np.abs(np.fft.rfft(sound, RATE)).argmax())

    assert pitch(click(high=True)) > pitch(click(high=False)) > 1000
    assert np.abs(click(high=True)[-100:]).max() < 0.01


def test_another_rate_has_the_same_pitch() -> None:
    spectrum = np.abs(np.fft.rfft(pluck(69, 22_050)[:22_050]))
    assert int(spectrum[300:600].argmax()) + 300 == 440


@pytest.mark.parametrize("midi", [45, 50, 57])
def test_a_string_loses_30_dB_in_half_the_time_that_it_rings(midi: int) -> None:
    """Its fundamental, by a windowed transform: 60 dB are a thousandth (by definition)."""
    hertz = 440 * 2 ** ((midi - 69) / 12)
    # Lower strings ring longer: an octave below A4 by two to the power of 0.3.
    half = STRING.decay * (440 / hertz) ** 0.3 / 2
    sound, window = pluck(midi), np.hanning(8192)

    def level(second: float) -> float:
        start = int(second * RATE)
        turn = np.exp(-2j * np.pi * hertz * np.arange(8192) / RATE)
        return float(20 * np.log10(abs((sound[start : start + 8192] * window * turn).sum())))

    assert level(0.05) - level(0.05 + half) == pytest.approx(30, abs=0.5)
