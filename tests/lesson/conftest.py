"""A small lesson with a tune of four bars, written anew for each test."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

TUNE = '''format = 1
title = "Four Bars of Fog"
key = "C"
meter = "4/4"
tempo = 96

[[sections]]
name = "A"
changes = """
| C6 | A7 | Dm7 G7 | C6 |
"""
'''

LESSON = """+++
format = 1
title = "A small lesson"
group = "Quay"
tune = "fog.toml"
instrument = "ukulele"
shape = "2323"
chord = "Adim7"
scale = "C major"
from = "0000"

[[levels]]
name = "Leading"
moves = ["approach", "dominant to diminished"]
hand = 3
tempo = 120
+++

## The idea

Hold **{{ shape("2323") }}**: {{ notes("2323") }}.

{{ always("lowering") }}

{{ parents("Adim7") }}

## The tune

{{ chart(1) }}

{{ inserted(1) }}

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
