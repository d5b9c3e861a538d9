"""A small lesson with a tune of four bars, written anew for each test."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

TUNE = '''format = 1
title = "Four Bars of Fog"
key = "G minor"
meter = "4/4"
tempo = 96

[[sections]]
name = "A"
changes = """
| Gm6 | Bb7 | Eb6 D7 | Gm6 |
"""
'''

LESSON = """+++
format = 1
title = "A small lesson"
group = "Quay"
tune = "fog.toml"
instrument = "ukulele"
shape = "4545"
chord = "Ddim7"
scale = "G minor"
from = "0201"

[[levels]]
name = "Leading"
moves = ["leading-tone diminished", "rootless dominant"]
hand = 3
tempo = 120
+++

## The idea

Hold **{{ shape("4545") }}**: {{ notes("4545") }}.

{{ always("lowering") }}

{{ four_dominants("Ddim7") }}

## The tune

{{ chart(1) }}

{{ added_chords(1) }}

{{ comparison() }}
"""


def _write(folder: Path) -> Path:
    (folder / "fog.toml").write_text(TUNE, encoding="utf-8")
    path = folder / "small.md"
    path.write_text(LESSON, encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def write_lesson() -> Callable[[Path], Path]:
    """Return a function that writes the lesson and its tune into a folder."""
    return _write


@pytest.fixture
def lesson_path(tmp_path: Path) -> Path:
    """Return the path of a lesson file, its tune beside it."""
    return _write(tmp_path)
