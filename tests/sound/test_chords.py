"""Sounds of panels: as long as they say, in tune, and not too many chords."""

from __future__ import annotations

import io
import wave

import numpy as np
import pytest

from harmonykit.sound.chords import MOST_CHORDS, RATE, close_pitches, seconds_of, sound_of


def samples(wav: bytes) -> np.ndarray:
    with wave.open(io.BytesIO(wav)) as file:
        assert (file.getframerate(), file.getnchannels()) == (RATE, 1)
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(float)


@pytest.mark.parametrize("count", [1, 2, 5, 30])
def test_a_sound_is_as_long_as_it_says(count: int) -> None:
    sound = sound_of(((60, 64, 67),) * count)
    assert len(samples(sound.wav)) == pytest.approx(sound.seconds * RATE, abs=1)
    assert sound.seconds == pytest.approx(min(count, MOST_CHORDS) * 0.9 + 0.6)


def test_a_note_has_its_pitch() -> None:
    """A4 is 440 Hz (ISO 16:1975): the spectrum's highest peak, within a percent."""
    heard = samples(sound_of(((69,),)).wav)
    spectrum = np.abs(np.fft.rfft(heard * np.hanning(len(heard))))
    peak = np.argmax(spectrum) * RATE / len(heard)
    assert min(abs(peak - n * 440) / 440 for n in (1, 2, 3)) < 0.01


def test_nothing_to_sound_is_no_sound() -> None:
    assert sound_of(()).seconds == seconds_of(()) == 0.0 and len(samples(sound_of(()).wav)) == 0


def test_close_pitches_rise_within_an_octave_of_one_another() -> None:
    pitches = close_pitches((11, 2, 5, 8), 55)
    assert pitches == (59, 62, 65, 68)
