"""How soon the page where a lesson is written answers, in the kernel, and how soon all is drawn.

The figure to keep: a stroke in the prose of a lesson that ships is answered, with statements and
preview, within 100 ms at the slowest of two hundred; with 300 bars, at the median.
"""

from __future__ import annotations

import statistics
import time
from pathlib import Path

import pytest
from measured import measured

from harmonykit.paths import find_data, shipped
from harmonykit.workbook import WritingPanel

STROKES, LONGEST_MS = 200, 100.0
PIER = """format = 1
title = "Long Pier"
key = "G minor"
meter = "4/4"
tempo = 96

[[sections]]
name = "A"
changes = '''
"""
BARS = (
    "| Gm6 | Bb7 | Eb6 D7 | Gm6 |\n| Cm6 | Am7b5 | Eb6 F7 | Bb6 |\n"
    "| Gm6 G7 | Cm6 | Eb6 D7 | Gm6 |\n"
)


def strokes(panel: WritingPanel) -> list[float]:
    """Type in the last section's heading; return the milliseconds of each answer."""
    took = []
    for turn in range(STROKES):
        text = panel.state.text.replace("## By numbers", "## By numbers" + "x" * (turn % 7), 1)
        begun = time.perf_counter()
        panel._heard(None, {"text": text, "turn": turn}, [])
        took.append((time.perf_counter() - begun) * 1000)
    return took


def ready(folder: Path, **given: str) -> tuple[WritingPanel, float]:
    begun = time.perf_counter()
    panel = WritingPanel(kept=str(folder / "kept.json"), **given)
    _ = panel.view
    assert panel.wait(120) and not panel.look.waits
    return panel, time.perf_counter() - begun


@pytest.mark.parametrize("name", shipped("lessons"))
def test_a_stroke_in_a_lesson_that_ships(tmp_path: Path, name: str) -> None:
    assert find_data("lessons", name).is_file()
    panel, opened = ready(tmp_path, lesson=name)
    took = strokes(panel)
    measured(f"the writing page, {name}: all drawn", opened)
    measured(f"the writing page, {name}: a stroke, median", statistics.median(took), "ms")
    page = f"the writing page, {name}: the slowest stroke"
    assert measured(page, max(took), "ms", most=LONGEST_MS).met


def test_a_stroke_beside_three_hundred_bars(tmp_path: Path) -> None:
    (tmp_path / "pier.toml").write_text(f"{PIER}{BARS * 25}'''\n", encoding="utf-8")
    panel, opened = ready(tmp_path, tune="pier.toml")
    took = strokes(panel)
    measured("the writing page, 300 bars: all drawn", opened)
    measured("the writing page, 300 bars: the slowest stroke", max(took), "ms")
    page = "the writing page, 300 bars: a stroke, median"
    assert measured(page, statistics.median(took), "ms", most=LONGEST_MS).met
