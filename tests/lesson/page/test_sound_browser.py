"""What a page sounds beside the file of the same level: rendered by the browser, without a card."""

from __future__ import annotations

import base64
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from page_in_browser import opened
from playwright.sync_api import Browser

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.html import write_page
from harmonykit.sound.loudness import loudness
from harmonykit.sound.material import Material
from harmonykit.sound.noise import Samples
from harmonykit.sound.performance import CLICK, DRUM
from harmonykit.sound.pluck import RATE
from harmonykit.sound.rendering import render

HEARD = """async ([count, all]) => {
  sound.lay(new OfflineAudioContext(2, count, 44100));
  sound.setLoud(music.levels[0].gain);
  const events = music.levels[0].events.flat();
  for (const [onset, length, midi, string, kind, velocity] of events) {
    const first = kind === "drum" || kind === "click" || string !== null;
    if (all || first) sound.play(kind, midi, velocity, onset, length, string);
  }
  const made = await sound.context.startRendering();
  const both = new Float32Array(2 * count);
  [0, 1].forEach((side) => both.set(made.getChannelData(side), side * count));
  const bytes = new Uint8Array(both.buffer);
  let text = "";
  for (let at = 0; at < bytes.length; at += 32768) {
    text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  }
  return btoa(text);
}"""
# Third octaves of IEC 61260: 100 Hz to 10 kHz.
BANDS = 1000 * 2 ** (np.arange(-10, 11) / 3)


def spectra(sound: Samples) -> Samples:
    """Return the levels in dB of third octaves, a row for each tenth of a second and side."""
    size = RATE // 10
    frames = sound[: len(sound) // size * size].T.reshape(-1, size)
    power = np.abs(np.fft.rfft(frames * np.hanning(size))) ** 2
    hz = np.fft.rfftfreq(size, 1 / RATE)
    rows = [
        power[:, (hz >= band * 2 ** (-1 / 6)) & (hz < band * 2 ** (1 / 6))].sum(axis=1)
        for band in BANDS
    ]
    return 10 * np.log10(np.stack(rows, axis=1) + 1e-9)


def distance(one: Samples, other: Samples) -> float:
    """Return the log-spectral distance: the root of the mean square of what levels differ by.

    Gray & Markel 1976; only what lies less than 50 dB below the loudest is heard.
    """
    first, second = spectra(one), spectra(other)
    there = np.maximum(first, second) > np.max(first) - 50
    return float(np.sqrt(np.mean((first - second)[there] ** 2)))


@pytest.fixture(scope="module")
def both(
    browser: Browser,
    tmp_path_factory: pytest.TempPathFactory,
    write_lesson: Callable[[Path], Path],
) -> tuple[tuple[Samples, Samples], ...]:
    """Return what page and file sound of one level, with all parts and with those of the start."""
    folder = tmp_path_factory.mktemp("heard")
    lesson = load_lesson(write_lesson(folder))
    (folder / "page.html").write_text(write_page(lesson), encoding="utf-8")
    (level,) = lesson.played
    material = Material.of(level.arrangement, level.level.tempo)
    events = sorted((event for bar in material.bars for event in bar), key=lambda e: e.onset)
    performance = replace(material.performance, events=tuple(events))
    first = [one for one in events if one.kind in (CLICK, DRUM) or one.string is not None]
    tab = opened(browser, folder / "page.html")
    found = []
    for played in (performance, replace(performance, events=tuple(first))):
        file = render(played, channels=2)
        data = tab.page.evaluate(HEARD, [len(file), played is performance])
        found.append((np.frombuffer(base64.b64decode(data), "<f4").reshape(2, -1).T, file))
    tab.leave()
    return tuple(found)


def test_the_page_sounds_as_the_file_does(
    both: tuple[tuple[Samples, Samples], ...],
) -> None:
    page, file = both[0]
    found = distance(page * np.sqrt((file**2).mean() / (page**2).mean()), file)
    print(f"\nlog-spectral distance of page and file: {found:.2f} dB")
    assert found < 1
    # Another pitch, or another place of the hand, is as far away as can be heard.
    assert distance(np.roll(file, RATE // 5, axis=0), file) > 5


def test_the_page_is_as_loud_as_the_file_and_does_not_clip(
    both: tuple[tuple[Samples, Samples], ...],
) -> None:
    page, file = both[1]
    print(f"\nLUFS of page and file: {loudness(page, RATE):.2f}, {loudness(file, RATE):.2f}")
    assert loudness(page, RATE) == pytest.approx(loudness(file, RATE), abs=1)
    page = both[0][0]
    assert 0.1 < np.abs(page).max() < 0.891
