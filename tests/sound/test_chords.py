"""Sounds of panels: as long as they say, in tune, and not too many chords."""

from __future__ import annotations

import base64
import io
import math
import wave
from html.parser import HTMLParser

import numpy as np
import pytest
from heard import loudness_of_file

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


@pytest.mark.parametrize("chord", [(60,), (60, 64, 67), (43, 50, 55, 59, 62, 67)])
def test_a_chord_is_as_loud_as_all_our_files(chord: tuple[int, ...]) -> None:
    """At -20 LUFS (ITU-R BS.1770), by the samples that are in the file; silence has no loudness."""
    assert loudness_of_file(sound_of((chord,)).wav) == pytest.approx(-20, abs=0.2)
    assert loudness_of_file(sound_of(()).wav) == -math.inf


class Sources(HTMLParser):
    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found = (tag, dict(attrs))


def test_in_a_notebook_a_sound_shows_a_player_of_itself() -> None:
    sound = sound_of(((60, 64, 67),))
    reader = Sources()
    reader.feed(sound._repr_html_())
    tag, looks = reader.found
    kind, data = str(looks["src"]).split(",")
    assert (tag, kind, "controls" in looks) == ("audio", "data:audio/wav;base64", True)
    assert base64.b64decode(data) == sound.wav and looks["aria-label"] == "1.5 seconds"
