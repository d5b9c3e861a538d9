"""A sound that was sent: played from a time on, replaced, given back."""

from __future__ import annotations

import base64
import io
import wave
from collections.abc import Callable

from playwright.sync_api import Page

Load = Callable[[str], Page]
RATE = 8000
BEGIN = """
(bytes) => {
  window.data = Uint8Array.from(atob(bytes), (each) => each.charCodeAt(0));
  window.clip = new kit.Clip();
  document.body.append(clip.audio);
}
"""


def silence(seconds: float) -> str:
    """Return a WAV file of silence (16 bits, one channel) by the standard library, as base 64."""
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes(bytes(2 * int(RATE * seconds)))
    return base64.b64encode(file.getvalue()).decode()


def begun(load: Load, seconds: float) -> Page:
    page = load("kit/clip.js")
    page.evaluate(BEGIN, silence(seconds))
    return page


def test_a_sound_is_kept_by_its_address_until_it_is_given_back(load: Load) -> None:
    page = begun(load, 0.5)
    assert page.evaluate("clip.is") is False
    page.evaluate("clip.take(data)")
    first = page.evaluate("clip.address")
    read = "(a) => fetch(a).then((r) => r.arrayBuffer()).then((b) => b.byteLength, () => 0)"
    assert page.evaluate(read, first) == 44 + 2 * RATE * 0.5
    page.evaluate("clip.take(data)")
    assert page.evaluate("clip.address") != first and page.evaluate(read, first) == 0
    second = page.evaluate("clip.address")
    page.evaluate("clip.forget()")
    assert page.evaluate(read, second) == 0
    assert page.evaluate("[clip.is, clip.audio.hasAttribute('src')]") == [False, False]


def test_it_is_played_from_a_time_on_and_says_how_long_it_is(load: Load) -> None:
    page = begun(load, 2.0)
    found = page.evaluate(
        "() => new Promise((done) => { clip.audio.muted = true; clip.take(data);"
        " clip.play(1.5, (seconds) => done([seconds, clip.audio.currentTime >= 1.5]), done); })"
    )
    assert found == [2.0, True]


def test_one_that_gives_way_is_no_fault_and_one_that_cannot_be_played_is_told(load: Load) -> None:
    page = begun(load, 2.0)
    found = page.evaluate(
        "() => new Promise((done) => { const told = []; clip.audio.muted = true; clip.take(data);"
        " clip.audio.addEventListener('loadedmetadata', () => {"
        " clip.play(0, () => told.push('begun'), (trouble) => told.push(trouble));"
        " clip.audio.pause(); requestAnimationFrame(() => done(told)); }, { once: true }); })"
    )
    assert not [each for each in found if each.startswith("no sound")]
    refused = page.evaluate(
        "() => new Promise((done) => { clip.take(data);"
        " clip.audio.play = () => Promise.reject(new DOMException('not allowed', 'NotAllowedError'));"  # noqa: E501
        " clip.play(0, () => done('begun'), done); })"
    )
    assert refused == "no sound: not allowed"
