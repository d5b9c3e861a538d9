"""One spelling in one frame: no figure, no pair, no row of a chart names one pitch in two ways.

Which letter and which sign name a pitch class is arithmetic (common practice, no source).  Where a
string of the lesson's shape is lowered each chord keeps its own names, and the sheet says so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

import pytest

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.pdf import Variant, handout_data
from harmonykit.paths import find_data

LEAST_MM = 18.0  # of a diagram at level 1
_NOTE = re.compile(r">([A-G](?:♯|♭|𝄪|𝄫)?)<")
_ROOT = re.compile(r"^([A-G][♯♭]?)|/([A-G][♯♭]?)$")
_LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SIGNS = {"♯": 1, "♭": -1, "𝄪": 2, "𝄫": -2}


def twice_named(names: Iterable[str]) -> list[str]:
    """Return the names that share their pitch class with another."""
    found: dict[int, set[str]] = {}
    for name in names:
        pitch = (_LETTERS[name[0]] + sum(_SIGNS[sign] for sign in name[1:])) % 12
        found.setdefault(pitch, set()).add(name)
    return sorted(name for same in found.values() if len(same) > 1 for name in same)


def frames(data: dict[str, Any]) -> Iterator[tuple[str, list[str]]]:
    """Yield each frame of a sheet: what it is, and the notes that it names."""
    figures = [(one["alt"], _NOTE.findall(one["svg"])) for one in data["figures"]]
    yield from figures
    for lesson in data["lessons"]:
        for level in lesson["levels"]:
            for pair in filter(None, level["changes"]):
                before, after = figures[pair["before"]], figures[pair["after"]]
                yield f"{before[0]}; {after[0]}", before[1] + after[1]
            for row in (row for chart in level["charts"] for row in chart["rows"]):
                chords = [name["text"] for bar in row["bars"] for name in bar["names"]]
                roots = [note for chord in chords for each in _ROOT.findall(chord) for note in each]
                yield ", ".join(chords), [note for note in roots if note]


def test_two_names_of_one_pitch_are_found() -> None:
    assert twice_named(["C♯", "E", "D♭", "F♭", "B♭"]) == ["C♯", "D♭", "E", "F♭"]
    assert twice_named(["B♯", "D𝄫", "A"]) == ["B♯", "D𝄫"] and not twice_named(["G♯", "A", "B♭"])


@pytest.mark.parametrize(
    "name",
    ["three_fall_one_rises"]
    + [
        pytest.param(name, marks=pytest.mark.long)
        for name in ("stiff_dominant", "four_dominants", "one_voice_moves", "scale_of_chords",
                     "two_strings_are_enough")
    ],
)  # fmt: skip
def test_a_frame_has_one_spelling_and_first_diagrams_are_large(name: str) -> None:
    data = handout_data(load_lesson(find_data("lessons", name)), Variant())
    told = list(frames(data))
    assert len(told) > 20
    assert {what: twice_named(notes) for what, notes in told if twice_named(notes)} == {}
    first = data["lessons"][0]["levels"][0]
    drawn = [key for shape in first["shapes"]["boxes"] for key in shape["boxes"].values()]
    drawn += [key for pair in first["changes"] for key in (pair["before"], pair["after"])]
    assert min(data["figures"][key]["high"] for key in drawn) >= LEAST_MM
