"""The lesson's file: opened, saved, and never written over unseen."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.paths import data_dir
from harmonykit.workbook.writing.typed import (
    WritingState,
    opened,
    said_of,
    saved,
    taken_in,
    well_formed,
)

STATE = WritingState(text="mine\n", file="new.md")


def test_what_is_saved_is_what_was_typed(tmp_path: Path) -> None:
    assert said_of(STATE, tmp_path) == "not saved to a file yet"
    state = saved(STATE, tmp_path)
    assert (tmp_path / "new.md").read_text(encoding="utf-8") == "mine\n"
    assert said_of(state, tmp_path) == "saved as new.md"
    state = replace(state, text="mine, longer\n")
    assert said_of(state, tmp_path) == "changed since it was saved as new.md"
    assert said_of(saved(state, tmp_path), tmp_path) == "saved as new.md"
    assert (tmp_path / "new.md").read_text(encoding="utf-8") == "mine, longer\n"


def test_a_folder_that_is_not_there_yet_is_made(tmp_path: Path) -> None:
    saved(STATE, tmp_path / "of" / "mine")
    assert (tmp_path / "of" / "mine" / "new.md").is_file()


def test_what_somebody_else_wrote_is_left_alone_and_said(tmp_path: Path) -> None:
    state = saved(STATE, tmp_path)
    (tmp_path / "new.md").write_text("theirs\n", encoding="utf-8")
    state = replace(state, text="mine again\n")
    assert "someone else" in said_of(state, tmp_path)
    with pytest.raises(HarmonyError, match="not overwritten"):
        saved(state, tmp_path)
    assert (tmp_path / "new.md").read_text(encoding="utf-8") == "theirs\n"
    # Once it was opened it has been seen; what stood there before is kept aside.
    state = opened(state, tmp_path, "new.md")
    assert (state.text, state.before) == ("theirs\n", "mine again\n")
    saved(replace(state, text="both\n"), tmp_path)
    assert (tmp_path / "new.md").read_text(encoding="utf-8") == "both\n"


def test_a_file_that_was_there_before_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "new.md").write_text("theirs\n", encoding="utf-8")
    with pytest.raises(HarmonyError, match="not overwritten"):
        saved(STATE, tmp_path)
    (tmp_path / "new.md").write_bytes(b"\xff\xfe")
    with pytest.raises(HarmonyError, match="not overwritten"):
        saved(STATE, tmp_path)
    with pytest.raises(HarmonyError, match="UTF-8"):
        opened(STATE, tmp_path, "new.md")


@pytest.mark.parametrize("name", ["new.ipynb", "new", "../x.txt"])
def test_only_a_lesson_is_written(tmp_path: Path, name: str) -> None:
    with pytest.raises(HarmonyError, match="not the name of a lesson"):
        saved(replace(STATE, file=name), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_lesson_that_ships_is_opened_as_a_copy(tmp_path: Path) -> None:
    state = opened(STATE, tmp_path, "scale_of_chords")
    assert state.file == "scale_of_chords.md" and "Walks on the scale of chords" in state.text
    saved(state, tmp_path)
    assert (tmp_path / "scale_of_chords.md").read_text("utf-8") == state.text
    assert (data_dir() / "lessons" / "scale_of_chords.md").read_text("utf-8") == state.text
    with pytest.raises(HarmonyError, match="missing file"):
        opened(STATE, tmp_path, "no_such_lesson")


def test_a_picked_file_stands_beside_the_lesson_under_a_name_of_its_own(tmp_path: Path) -> None:
    assert taken_in("C:\\tunes\\loft.abc", b"one", tmp_path) == "loft.abc"
    assert taken_in("loft.abc", b"one", tmp_path) == "loft.abc"
    assert taken_in("../../loft.abc", b"two", tmp_path) == "loft-2.abc"
    assert taken_in(".hidden", b"three", tmp_path) == "hidden"
    assert (tmp_path / "loft.abc").read_bytes() == b"one"
    with pytest.raises(HarmonyError, match="too large"):
        taken_in("big.abc", bytes(5_000_000), tmp_path)


def test_typed_text_can_always_be_written() -> None:
    text = well_formed("a\r\nb\rc \ud800 \udfff 𝄫\x00")
    assert text.split("\n")[:2] == ["a", "b"] and "𝄫" in text
    text.encode("utf-8")
