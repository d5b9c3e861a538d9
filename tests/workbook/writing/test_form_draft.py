"""A draft from the page: on a tune that ships, a path, a file that holds many."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.draft.ideas import OFFERS
from harmonykit.workbook.writing.form import drafted, tunes_in
from harmonykit.workbook.writing.reader import LessonReader
from harmonykit.workbook.writing.typed import WritingState

# Invented; the notes are those of a C chord and a G chord.
ABC = """X:3
T:Wet Rope
M:4/4
L:1/4
K:C
"C"CEGE|"G7"GBdB|"C"c4|]

X:8
T:Dry Rope
M:4/4
L:1/4
K:G
"G"GBdB|"D7"dfaf|"G"g4|]
"""
STATE = WritingState(text="before", tune="heron_landing")


@pytest.mark.parametrize("idea", OFFERS)
def test_a_draft_can_be_built_and_what_was_there_is_kept(tmp_path: Path, idea: str) -> None:
    reader = LessonReader()
    fresh = drafted(WritingState(text="before", tune="heron_landing", idea=idea), tmp_path, reader)
    assert fresh.before == "before" and "Heron Landing" in fresh.text
    look = reader.work_out(tmp_path / fresh.file, fresh.text)
    assert look.fault is None and not [each for each in look.verdicts if each.wrong]
    assert fresh.file.endswith(".md") and fresh.disk == ""


def test_a_file_that_is_there_already_keeps_its_name(tmp_path: Path) -> None:
    first = drafted(STATE, tmp_path, LessonReader())
    (tmp_path / first.file).write_text("theirs", encoding="utf-8")
    assert drafted(STATE, tmp_path, LessonReader()).file == "new-chords-for-heron-landing-2.md"


def test_a_tune_of_many_is_named_by_its_number(tmp_path: Path) -> None:
    (tmp_path / "ropes.abc").write_text(ABC, encoding="utf-8")
    assert tunes_in("ropes.abc", tmp_path) == ("3 Wet Rope", "8 Dry Rope")
    assert tunes_in("heron_landing", tmp_path) == tunes_in("none.abc", tmp_path) == ()
    state = WritingState(tune="ropes.abc", number="8")
    fresh = drafted(state, tmp_path, LessonReader())
    assert "Dry Rope" in fresh.text and "\ntune_number = 8\n" in fresh.text
    with pytest.raises(HarmonyError, match="2 tunes"):
        drafted(WritingState(tune="ropes.abc"), tmp_path, LessonReader())


def test_what_cannot_be_drafted_is_said(tmp_path: Path) -> None:
    for name in ("", "no_such_tune"):
        with pytest.raises(HarmonyError):
            drafted(WritingState(tune=name), tmp_path, LessonReader())
