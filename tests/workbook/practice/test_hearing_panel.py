"""The panel that hears: a recording given in pieces, change by change what was heard in it."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import gettempdir

import numpy as np
import pytest
import soundfile
from students import RATE, Playing, hummed, perform

from harmonykit.lesson.build import load_lesson
from harmonykit.workbook.practice.hearing_panel import HearingPanel

LESSON = "stiff_dominant"


@cache
def recorded() -> bytes:
    """Return a student who plays F (2-0-1-0) in bar 2 and nothing in bar 4."""
    from io import BytesIO

    way = load_lesson(LESSON).played[0].arrangement
    file = BytesIO()
    soundfile.write(file, perform(way, Playing(wrong={1: "2010", 3: None}))[0], RATE, format="WAV")
    return file.getvalue()


def tell(panel: HearingPanel, data: bytes, pieces: int = 3) -> None:
    """Give a recording as the browser does."""
    size = -(-len(data) // pieces)
    for n in range(pieces):
        message = {"file": "../mine.wav", "piece": n, "last": pieces - 1}
        panel._heard(panel.view, message, [data[n * size : (n + 1) * size]])


def test_each_change_shows_what_was_played_there() -> None:
    panel = HearingPanel(LESSON)
    assert panel.hearing is None and panel.facts.startswith("Record the level once through")
    tell(panel, recorded())
    assert panel.trouble == "" and "11 of 13 changes heard as written" in panel.facts
    looks = panel._now.looks
    words = [looks[f"word-{n}"].text for n in range(13)]
    assert words[1] == "F" and words[3] == "nothing"
    assert words[:1] + words[4:] == ["heard"] * 10
    assert looks["change-1"].role == "tension" and looks["change-0"].role == "note"
    panel.press("change-1")
    assert panel.facts.splitlines()[0].endswith("(0-2-0-1): F heard, not Gm6 (sure).")
    # The shape that is asked for stands on the neck: g C E A at 0-2-0-1.
    held = [f"string-{n}-fret-{fret}" for n, fret in enumerate((0, 2, 0, 1), 1)]
    assert all("in the shape" in panel._now.looks[each].name for each in held)
    # Another level was not heard.
    panel.set("level", panel.controls()[1].options[1])
    assert panel.hearing is None and panel.state.picked == -1


def test_a_voice_is_said_to_be_none_of_it(tmp_path: Path) -> None:
    panel = HearingPanel(LESSON)
    way = load_lesson(LESSON).played[0].arrangement
    soundfile.write(tmp_path / "hum.wav", hummed(way), RATE)
    panel.hear_file(tmp_path / "hum.wav")
    assert panel.facts.startswith("This does not sound like chords on the ukulele")
    assert {panel._now.looks[f"change-{n}"].role for n in range(13)} == {"off"}


@pytest.mark.parametrize("fault", ["a piece is lost", "no sound", "silent"])
def test_what_cannot_be_heard_is_said(fault: str, tmp_path: Path) -> None:
    panel = HearingPanel(LESSON)
    if fault == "a piece is lost":
        panel._heard(panel.view, {"file": "mine.wav", "piece": 1, "last": 1}, [b"half"])
        assert panel.trouble == "the recording did not arrive whole; try: give it once more"
        return
    data = b"a shopping list"
    if fault == "silent":
        soundfile.write(tmp_path / "silent.wav", np.zeros(5 * RATE), RATE)
        data = (tmp_path / "silent.wav").read_bytes()
    tell(panel, data, 1)
    assert "mine.wav" in panel.trouble and gettempdir() not in panel.trouble
    assert panel.hearing is None and panel.state.level == 1
