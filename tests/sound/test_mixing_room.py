"""A room and open strings that ring along: how long, how wide, and the same in blocks."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import fftconvolve

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound.mixing import Answering, answers, panned

RATE = 44_100


def test_the_room_falls_by_60_db_in_its_time() -> None:
    """Schroeder 1965: what is left of the energy, from the end; -5 to -25 dB, three times."""
    _, room = answers(None, RATE)
    for side in room:
        tail = side[int(0.04 * RATE) :]
        left = 10 * np.log10(np.cumsum(tail[::-1] ** 2)[::-1])
        left -= left[0]
        places = [int(np.argmax(left < level)) for level in (-5, -25)]
        assert 3 * (places[1] - places[0]) / RATE == pytest.approx(0.34, rel=0.15)


def test_the_room_answers_later_and_otherwise_left_and_right() -> None:
    _, room = answers(None, RATE)
    assert not room[:, : int(0.005 * RATE)].any()
    assert abs(np.corrcoef(room)[0, 1]) < 0.1
    sizes = (room**2).sum(axis=1)
    # All that answers is at least 18 dB below what comes straight.
    assert sizes[0] == pytest.approx(sizes[1], rel=0.2) and np.max(sizes) < 10**-1.8


@pytest.mark.parametrize("name", ["ukulele", "guitar"])
def test_an_open_string_rings_along_with_its_own_pitch_alone(name: str) -> None:
    instrument = Instrument.named(name)
    along, room = answers(instrument, RATE)
    strings = along[0] - np.pad(room[0], (0, along.shape[1] - room.shape[1]))
    heard = np.abs(np.fft.rfft(strings, 1 << 18))

    def loud(midi: float) -> float:
        place = 440 * 2 ** ((midi - 69) / 12) * (1 << 18) / RATE
        return float(heard[round(place) - 3 : round(place) + 4].max())

    for midi in instrument.midi:
        assert loud(midi) > 4 * loud(midi + 0.5)
        # Held for long it is some 20 to 40 dB below what sets it off.
        assert 0.005 < loud(midi) < 0.1


@pytest.mark.parametrize("size", [700, 44_100, 100_000])
def test_in_blocks_it_is_one_convolution(size: int) -> None:
    found = answers(Instrument.named("ukulele"), RATE)
    sent = np.random.default_rng(3).normal(0, 0.1, (2, 100_000)).astype(np.float32)
    answering = Answering(found, size)
    heard = [answering.answer(sent[:, at : at + size]) for at in range(0, 100_000, size)]
    for side in (0, 1):
        whole = sum(
            fftconvolve(row.astype(float), each[side])[:100_000]
            for row, each in zip(sent, found, strict=True)
        )
        assert np.abs(np.concatenate(heard, axis=1)[side] - whole).max() < 1e-5


def test_where_a_sound_is_leaves_its_power_as_it_is() -> None:
    for pan in np.linspace(-1, 1, 9):
        left, right = panned(float(pan))
        assert left**2 + right**2 == pytest.approx(1)
        assert (left > right) == (pan < 0) or pan == 0
