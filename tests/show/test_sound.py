"""Sound, measured: pitch, length, peak, silence."""

from __future__ import annotations

import io
import math
import wave
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.show.events import Event, play
from harmonykit.show.sound import PEAK, RATE, Samples, pluck, render, wav_bytes

Arranged = Callable[..., Arrangement]

# Equal temperament at A4 = 440 Hz (ISO 16:1975); values as printed in theory (e).
FREQUENCIES = {40: 82.406889, 55: 195.997718, 60: 261.625565, 67: 391.995436, 69: 440.0, 81: 880.0}


def measured_pitch(samples: Samples, near: float) -> float:
    """Return the frequency of the peak nearest to a pitch: FFT, Hann, parabola on the log."""
    size = 1 << 20
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), size))
    low, high = (int(near * f * size / RATE) for f in (0.97, 1.03))
    peak = low + int(spectrum[low:high].argmax())
    a, b, c = np.log(spectrum[peak - 1 : peak + 2])
    return float((peak + (a - c) / (2 * (a - 2 * b + c))) * RATE / size)


def cents(one: float, other: float) -> float:
    return 1200 * math.log2(one / other)


@pytest.mark.parametrize(("midi", "hertz"), FREQUENCIES.items())
def test_a_string_is_within_one_cent_of_its_pitch(midi: int, hertz: float) -> None:
    assert abs(cents(measured_pitch(pluck(midi)[:60_000], hertz), hertz)) < 1


@pytest.mark.parametrize("midi", range(40, 97, 7))
def test_a_string_dies_away(midi: int) -> None:
    sound = pluck(midi)
    # What lies 80 dB down is silence.
    parts = [max(1e-4, np.abs(part).max()) for part in np.array_split(sound, 8)]
    assert parts == sorted(parts, reverse=True)
    assert parts[-1] < 0.01 < parts[0] == 1


def test_a_performance_sounds_the_pitches_of_its_shapes(arranged: Arranged) -> None:
    # C6 as 0-0-0-0 on g C E A: G4 C4 E4 A4; the last chord is held.
    performance = play(arranged("C6=0000", tempo=60), count_in=False, click=False)
    sound = render(performance)[2000:62_000]
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    for midi in (67, 60, 64, 69):
        hertz = 440 * 2 ** ((midi - 69) / 12)
        assert abs(cents(measured_pitch(sound, hertz), hertz)) < 1
    # Nothing at the third that the chord does not have.
    other = int(440 * 2 ** ((63 - 69) / 12) * len(sound) / RATE)
    here = int(440 * 2 ** ((64 - 69) / 12) * len(sound) / RATE)
    assert spectrum[other - 2 : other + 3].max() < spectrum[here - 2 : here + 3].max() / 20


def test_the_sound_is_as_long_as_the_performance(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 | F=2010 | C=0003", tempo=97))
    assert len(render(performance)) == round(performance.seconds * RATE)


def test_nothing_clips(arranged: Arranged) -> None:
    sound = render(play(arranged("C=0003 | " * 8 + "C=0003", tempo=240)))
    # -1 dBFS is .891.
    assert np.abs(sound).max() == pytest.approx(PEAK) == pytest.approx(0.891, abs=1e-3)


def test_silence_is_silent(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 NC:2 | NC | C=0003", tempo=60), count_in=False, click=False)
    sound = render(performance)
    assert np.abs(sound[: 2 * RATE]).max() > 0.1
    assert not sound[2 * RATE + 1 : 8 * RATE].any()
    assert not render(replace(performance, events=())).any()


def test_a_click_is_heard_where_no_chord_is(arranged: Arranged) -> None:
    sound = render(play(arranged("C=0003 NC:2 | NC", tempo=60), count_in=False))
    assert np.abs(sound[3 * RATE : 3 * RATE + 500]).max() > 0.01


def test_loud_is_louder_than_soft(arranged: Arranged) -> None:
    silent = play(arranged("NC", tempo=60), count_in=False, click=False)

    def peak(velocity: int) -> float:
        events = (Event(0, 1, 69, 0, "tone", velocity), Event(2, 1, 69, 0, "tone", 127))
        return float(np.abs(render(replace(silent, events=events))[:RATE]).max())

    assert peak(60) < peak(90) < peak(127)


def test_a_wav_file_has_one_channel_of_16_bits(arranged: Arranged) -> None:
    sound = render(play(arranged("C=0003", tempo=120)))
    with wave.open(io.BytesIO(wav_bytes(sound)), "rb") as file:
        kind = (file.getnchannels(), file.getsampwidth(), file.getframerate(), file.getnframes())
        read = np.frombuffer(file.readframes(len(sound)), "<i2")
    assert kind == (1, 2, 44_100, len(sound))
    assert np.abs(read / 32767 - sound).max() < 1 / 32767


def test_the_same_performance_gives_the_same_bytes(arranged: Arranged) -> None:
    files = []
    for _ in range(2):
        pluck.cache_clear()
        files.append(wav_bytes(render(play(arranged("C=0003 | F=2010")))))
    assert files[0] == files[1]
