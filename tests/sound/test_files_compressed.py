"""MP3 files, read again by libsndfile's decoder (mpg123), which was written by others."""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
import pytest
import soundfile
from scipy.signal import resample_poly

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.sound.events import play
from harmonykit.sound.files import mp3_bytes, titled
from harmonykit.sound.loudness import loudness
from harmonykit.sound.noise import Samples
from harmonykit.sound.pluck import RATE
from harmonykit.sound.rendering import render, wav_bytes

Arranged = Callable[..., Arrangement]


@pytest.fixture(scope="module")
def sound(arranged: Arranged) -> Samples:
    return render(play(arranged("C=0003 | F=2010 | C=0003", tempo=72)))


@pytest.fixture(scope="module")
def mp3(sound: Samples) -> bytes:
    return mp3_bytes(sound)


def decoded(data: bytes) -> Samples:
    samples, rate = soundfile.read(io.BytesIO(data))
    assert rate == RATE
    found: Samples = samples
    return found


def test_it_is_the_same_sound_at_the_same_time(sound: Samples, mp3: bytes) -> None:
    again = decoded(mp3)
    assert len(again) == len(sound)
    noise = again - sound
    assert 10 * np.log10((sound**2).sum() / (noise**2).sum()) > 20
    # The best agreement is without any delay.
    near = [float(sound[50:-50] @ again[50 + d : len(again) - 50 + d]) for d in range(-20, 21)]
    assert int(np.argmax(near)) == 20


def test_it_is_as_loud_and_does_not_clip(sound: Samples, mp3: bytes) -> None:
    again = decoded(mp3)
    assert loudness(again, RATE) == pytest.approx(loudness(sound, RATE), abs=0.2)
    assert np.abs(resample_poly(again, 4, 1)).max() < 0.891  # -1 dBTP


def test_it_is_a_fraction_of_the_size(sound: Samples, mp3: bytes) -> None:
    assert 0.02 < len(mp3) / len(wav_bytes(sound)) < 0.15


def test_the_same_sound_gives_the_same_bytes(sound: Samples, mp3: bytes) -> None:
    assert mp3_bytes(sound.copy()) == mp3


@pytest.mark.parametrize("title", ["Ebb at the Weir", "Ébène – B♭ (slow)", "Long " * 60])
def test_a_title_is_read_again(title: str, mp3: bytes) -> None:
    data = titled(title, mp3)
    # ID3v2.4: the identifier, the version, and a size of four times seven bits.
    assert data[:6] == b"ID3\x04\x00\x00" and max(data[6:10]) < 128
    with soundfile.SoundFile(io.BytesIO(data)) as file:
        assert file.title == title
    assert decoded(data).tobytes() == decoded(mp3).tobytes()
