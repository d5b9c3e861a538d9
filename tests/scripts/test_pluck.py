"""The page's own strings, percussion and room: sample by sample what the library makes."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Page

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound import mixing, noise, pluck
from harmonykit.sound.strung import numbers, voices

Load = Callable[[str], Page]
RATE = pluck.RATE
CALL = """([name, args]) => {
  const found = kit[name](...args);
  return JSON.stringify(ArrayBuffer.isView(found) ? [...found] : found, (key, value) =>
    ArrayBuffer.isView(value) ? [...value] : value);
}"""


def called(page: Page, name: str, *given: Any) -> Any:
    return json.loads(page.evaluate(CALL, [name, list(given)]))


@pytest.fixture
def page(load: Load) -> Page:
    return load("page/pluck.js")


@pytest.mark.parametrize(
    ("name", "kind", "string", "midi", "layer"),
    [
        ("ukulele", "tone", 1, 62, 1),
        ("guitar", "tone", 0, 43, 2),
        ("mandolin", "tone", 3, 81, 0),
        ("ukulele", "melody", None, 72, 1),
        ("ukulele", "bass", None, 33, 1),
    ],
)
def test_a_pluck_is_the_librarys(
    page: Page, name: str, kind: str, string: int | None, midi: int, layer: int
) -> None:
    instrument = Instrument.named(name)
    made = numbers(instrument)
    voice = voices(instrument)[kind]
    what = {"string": string, "midi": midi, "layer": layer, "seconds": 1}
    found = np.array(called(page, "pluck", made["voices"][kind], what, RATE, made["pluck"]))
    wanted = pluck.pluck(voice, string, midi, layer, 1)
    assert len(found) == len(wanted)
    error: NDArray[np.float64] = found - wanted
    # Seven digits are handed on: 60 dB below the sound at every moment, and far less at first.
    assert np.abs(error).max() < np.abs(wanted).max() / 1000
    assert np.abs(error[:4410]).max() < np.abs(wanted).max() / 10_000


def test_how_hard_and_how_long_are_the_librarys(page: Page) -> None:
    touch = numbers()["pluck"]
    for velocity in (1, 59, 60, 97, 98, 127):
        assert called(page, "layerOf", velocity, touch) == pluck.layer_of(velocity)
    for seconds in (0.01, 1.0, 1.01, 3.0, 8.0, 60.0):
        assert called(page, "longEnough", seconds, touch) == pluck.long_enough(seconds)


@pytest.mark.parametrize("midi", [37, 40, 82])
def test_small_percussion_is_the_librarys(load: Load, midi: int) -> None:
    page = load("page/noise.js")
    found = np.array(called(page, "beat", midi, numbers()["drums"][str(midi)], RATE))
    assert np.abs(found - noise.beat(midi, RATE)).max() < 1e-6


@pytest.mark.parametrize("high", [True, False])
def test_a_click_is_the_librarys(load: Load, high: bool) -> None:
    page = load("page/noise.js")
    found = np.array(called(page, "clickOf", high, numbers()["click"], RATE))
    assert np.abs(found - pluck.click(high=high)).max() < 1e-6


def test_what_answers_is_the_librarys(load: Load) -> None:
    page, instrument, made = load("page/room.js"), Instrument.named("ukulele"), None
    made = numbers(instrument)
    given = made["voices"]["tone"], made["room"], made["pluck"], RATE
    found = np.array(called(page, "alongOf", *given))
    wanted, own = mixing.answers(instrument, RATE)
    assert np.abs(found - wanted).max() < 1e-5 * np.abs(wanted).max()
    found = np.array(called(page, "roomOf", made["room"], RATE))
    assert np.abs(found - own).max() < 1e-9
