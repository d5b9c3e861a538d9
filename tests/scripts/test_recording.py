"""A recording as it is handed over: one channel, few samples, in pieces; soundfile reads it."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
from playwright.sync_api import Page
from test_controls import BEGIN, asked

Load = Callable[[str], Page]
# What was told, the buffers as text.
TOLD = """
() => told.map((message, n) => [message, btoa(Array.from(new Uint8Array(buffers[n][0]),
  (each) => String.fromCharCode(each)).join(""))])
"""


@pytest.mark.parametrize(("rate", "seconds"), [(48_000, 4), (44_100, 75)])
def test_a_recording_is_made_small_and_told_in_pieces(
    load: Load, tmp_path: Path, rate: int, seconds: int
) -> None:
    page = load("kit/controls.js")
    page.evaluate(BEGIN, [asked("recording", "file", options=["audio/*", ".wav"])])
    # A4 on the left, E5 on the right.
    time = np.arange(seconds * rate) / rate
    both = np.stack([np.sin(2 * np.pi * hertz * time) for hertz in (440, 659.255)], axis=1)
    soundfile.write(tmp_path / "mine.wav", 0.4 * both, rate)
    page.locator("[data-file=recording]").set_input_files(tmp_path / "mine.wav")
    pieces = -(-(44 + 2 * 22_050 * seconds) // 3_000_000)
    page.wait_for_function(f"told.length === {pieces}")
    told = page.evaluate(TOLD)
    assert [each for each, _ in told] == [
        {"file": "mine.wav", "piece": n, "last": pieces - 1} for n in range(pieces)
    ]
    data = b"".join(base64.b64decode(text) for _, text in told)
    heard, got = soundfile.read(io.BytesIO(data))
    assert (got, heard.ndim) == (22_050, 1)
    assert len(heard) == pytest.approx(22_050 * seconds, abs=100)
    spectrum = np.abs(np.fft.rfft(heard[:44_100]))
    peaks = sorted(np.argsort(spectrum)[-2:] / 2)
    assert peaks == pytest.approx([440, 659.5], abs=1)


def test_what_the_browser_cannot_read_is_told_as_it_is(load: Load, tmp_path: Path) -> None:
    page = load("kit/controls.js")
    page.evaluate(BEGIN, [asked("recording", "file", options=["audio/*"])])
    (tmp_path / "mine.wav").write_bytes(b"no sound at all")
    page.locator("[data-file=recording]").set_input_files(tmp_path / "mine.wav")
    page.wait_for_function("told.length === 1")
    ((message, data),) = page.evaluate(TOLD)
    assert message["last"] == 0 and base64.b64decode(data) == b"no sound at all"
