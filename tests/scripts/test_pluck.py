"""The page's own strings and clicks: in tune, ringing and plucked as the library's are."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from heard import cents, measured_pitch
from numpy.typing import NDArray
from playwright.sync_api import Page

from harmonykit.sound import pluck

Load = Callable[[str], Page]
RATE = pluck.RATE


@pytest.fixture
def page(load: Load) -> Page:
    return load("page/pluck.js")


def plucked(page: Page, kind: str, midi: int, seconds: float, **other: Any) -> NDArray[np.float64]:
    voice = {**pluck.numbers()["voices"][kind], **other}
    call = "([m, r, s, v]) => JSON.stringify([...kit.pluck(m, r, s, v)])"
    return np.array(json.loads(page.evaluate(call, [midi, RATE, seconds, voice])))


@pytest.mark.parametrize(("kind", "midi"), [("tone", 60), ("tone", 81), ("bass", 33)])
def test_a_string_is_within_a_cent_of_its_pitch(page: Page, kind: str, midi: int) -> None:
    """Equal temperament at A4 = 440 Hz (ISO 16:1975)."""
    hertz = 440 * 2 ** ((midi - 69) / 12)
    sound = plucked(page, kind, midi, 2.0)
    assert abs(cents(measured_pitch(sound, hertz), hertz)) < 1
    assert np.abs(sound).max() == pytest.approx(1)


def test_a4_falls_by_60_db_in_the_time_that_is_given(page: Page) -> None:
    """The lowest partial alone is measured: the others lose more (Jaffe & Smith 1983).

    Of that the damping takes a little besides: each time round, 1 - 0.1 (1 - cos w) is left.
    """
    sound = plucked(page, "tone", 69, 2.0)
    part = RATE // 2

    def level(start: int) -> float:
        window = np.hanning(part)
        turn = np.exp(-2j * np.pi * 440 * np.arange(part) / RATE)
        return float(20 * np.log10(abs((sound[start : start + part] * window * turn).sum())))

    damped = -20 * 440 * np.log10(1 - 0.1 * (1 - np.cos(2 * np.pi * 440 / RATE)))
    assert level(0) - level(RATE) == pytest.approx(60 / 3.2 + damped, rel=0.005)


def test_it_is_plucked_as_the_library_plucks(page: Page) -> None:
    """Two ways of computing one string: in the time domain here, by its spectrum there."""
    for kind, voice in (("tone", pluck.STRING), ("bass", pluck.BASS)):
        ours = np.abs(np.fft.rfft(plucked(page, kind, 48, 2.0)))
        theirs = np.abs(np.fft.rfft(pluck.pluck(48, RATE, voice)[: 2 * RATE]))
        harmonics = [round(2 * 130.8128 * n) for n in range(1, 9)]
        levels = [[each[h - 3 : h + 4].max() for h in harmonics] for each in (ours, theirs)]
        one, other = (20 * np.log10(np.array(each) / each[0]) for each in levels)
        assert np.abs(one - other).max() < 2, kind


def test_a_softer_finger_makes_a_duller_sound(page: Page) -> None:
    bright, dull = (plucked(page, "tone", 60, 0.5, softness_hz=hz) for hz in (4000, 400))

    def above_2_khz(sound: NDArray[np.float64]) -> float:
        power = np.abs(np.fft.rfft(sound)) ** 2
        return float(power[1000:].sum() / power.sum())

    assert above_2_khz(dull) < above_2_khz(bright) / 10


@pytest.mark.parametrize("name", ["high", "low"])
def test_a_click_is_the_librarys(page: Page, name: str) -> None:
    given = pluck.numbers()["clicks"][name]
    sound = np.array(page.evaluate("([r, c]) => [...kit.clickOf(r, c)]", [RATE, given]))
    wanted = pluck.click(high=name == "high")
    count = min(len(sound), len(wanted))
    assert np.abs(sound[:count] - wanted[:count] / np.abs(wanted).max()).max() < 1e-5


def test_weights_delay_a_line_by_a_part_of_a_sample(page: Page) -> None:
    """A cubic through four neighbours gives every polynomial up to the third degree exactly."""
    for part in (0.0, 0.25, 0.9):
        weights = page.evaluate("(p) => kit.between(p)", part)
        for power in range(4):
            found = sum(w * (-n) ** power for n, w in enumerate(weights))
            assert found == pytest.approx((-(1 + part)) ** power, abs=1e-12)
