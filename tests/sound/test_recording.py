"""What is heard in a recording: pitches of sines, tuning, strokes; and what is refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from harmonykit.errors import HarmonyError
from harmonykit.sound.noise import Samples
from harmonykit.sound.pluck import frequency
from harmonykit.sound.recording import LOWEST, STEP, read_recording


def sines(pitches: list[float], seconds: float = 4.0, rate: int = 22_050) -> Samples:
    time = np.arange(int(seconds * rate)) / rate
    turns = [2 * np.pi * 440 * 2 ** ((pitch - 69) / 12) * time for pitch in pitches]
    found: Samples = sum(map(np.sin, turns)) / (2 * len(pitches))
    return found


def written(sound: Samples, folder: Path, rate: int = 22_050, name: str = "sound.wav") -> Path:
    soundfile.write(folder / name, sound, rate)
    return folder / name


@pytest.mark.parametrize("rate", [8_000, 22_050, 44_100, 96_000])
@pytest.mark.parametrize("cents", [-40, -12, 0, 25, 40])
def test_sines_are_heard_at_their_pitches(rate: int, cents: int, tmp_path: Path) -> None:
    pitches = [60, 64, 67, 70]
    sound = sines([pitch + cents / 100 for pitch in pitches], rate=rate)
    heard = read_recording(written(sound, tmp_path, rate))
    # A tenth of a semitone is the finest that is kept; of many partials the mean is finer.
    assert heard.cents == pytest.approx(cents, abs=7)
    middle = heard.strengths[len(heard.strengths) // 2]
    assert sorted(np.argsort(middle)[-4:] + LOWEST) == pitches
    others = np.delete(middle, np.array(pitches) - LOWEST)
    assert others.max() < 0.1 * middle.max()


def test_two_channels_are_one_sound(tmp_path: Path) -> None:
    sound = sines([60, 64])
    one = read_recording(written(sound, tmp_path))
    two = read_recording(written(np.column_stack((sound, sound)), tmp_path))
    assert np.allclose(one.strengths, two.strengths, atol=1e-3)


def test_a_moment_lies_where_a_stroke_is(tmp_path: Path) -> None:
    sound = np.concatenate((np.zeros(2 * 22_050), sines([60, 64, 67], 3.0)))
    heard = read_recording(written(sound, tmp_path))
    assert int(heard.rises.argmax()) * STEP == pytest.approx(2.0, abs=0.1)
    assert heard.seconds == 5.0
    assert len(heard.strengths) == pytest.approx(5.0 / STEP, abs=2)


def test_noise_is_softer_than_a_tone(tmp_path: Path) -> None:
    """As loud as the tone: its strongest pitch is a third of the tone's."""
    noise = np.random.default_rng(4).normal(0, 0.1, 4 * 22_050)
    soft = read_recording(written(noise, tmp_path)).strengths[20:70]
    loud = read_recording(written(sines([64]) * 0.1 * np.sqrt(8), tmp_path)).strengths[20:70]
    assert loud.max(axis=1).mean() > 3 * soft.max(axis=1).mean()


@pytest.mark.parametrize("suffix", ["mp3", "ogg", "flac", "aiff"])
def test_other_files_are_read_as_well(suffix: str, tmp_path: Path) -> None:
    sound = sines([60, 64, 67, 70])
    plain = read_recording(written(sound, tmp_path)).strengths[20:70].mean(axis=0)
    other = read_recording(written(sound, tmp_path, name=f"sound.{suffix}"))
    assert np.corrcoef(other.strengths[20:70].mean(axis=0), plain)[0, 1] > 0.99


def refusal(file: Path) -> str:
    with pytest.raises(HarmonyError) as caught:
        read_recording(file, frequency(60))
    return str(caught.value)


def test_what_cannot_be_used_is_refused_with_what_to_do(tmp_path: Path) -> None:
    assert "is silent, or too quiet" in refusal(written(sines([60]) * 1e-4, tmp_path))
    assert "arm's length" in refusal(written(np.zeros(5 * 22_050), tmp_path))
    assert "lasts 1.0 seconds" in refusal(written(sines([60], 1.0), tmp_path))
    long = written(np.zeros(11 * 60 * 1000, dtype="int16"), tmp_path, 1000, "long.flac")
    assert "lasts 11 minutes" in refusal(long)
    # How the files of telephones begin (from memory).
    (tmp_path / "memo.m4a").write_bytes(b"\0\0\0\x1cftypM4A \0\0\0\0M4A mp42isom" + bytes(400))
    assert "M4A and AAC cannot be read" in refusal(tmp_path / "memo.m4a")
    assert "save it as WAV" in refusal(tmp_path / "memo.m4a")
    assert "missing file" in refusal(tmp_path / "missing.wav")
    assert "cannot be opened" in refusal(tmp_path)


def test_an_overdriven_recording_is_said_to_be_so(tmp_path: Path) -> None:
    loud = np.clip(sines([60, 64, 67]) * 8, -1, 1)
    assert "overdriven" in read_recording(written(loud, tmp_path)).remarks[0]
    assert read_recording(written(sines([60, 64, 67]), tmp_path)).remarks == ()
