"""A desk without a page: what is typed is looked at, kept, and told to whoever shows it."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.workbook.writing.desk import Desk
from harmonykit.workbook.writing.typed import WritingState


class Watched(Desk):
    """Notes what it would show."""

    def __init__(self, kept: Path) -> None:
        self.sent: list[str] = []
        self.texts: list[str] = []
        super().__init__(kept=str(kept))

    def _send(self) -> None:
        self.sent.append(self._state.text)

    def _put(self, state: WritingState) -> WritingState:
        self.texts.append(state.text)
        return state


def test_each_change_is_shown_and_found_again(tmp_path: Path) -> None:
    desk = Watched(tmp_path / "kept.json")
    assert desk.sent == []
    begun = desk.state.text
    desk.type(begun + "\nMore.")
    desk.set("shows", "script")
    assert desk.sent == [begun + "\nMore."] * 2
    again = Watched(tmp_path / "kept.json")
    assert again.state == desk.state and again.state.shows == "script"


def test_a_text_that_takes_the_place_of_another_is_put_in(tmp_path: Path) -> None:
    desk = Watched(tmp_path / "kept.json")
    begun = desk.state.text
    desk.type("another")
    desk.set("draft")
    assert desk.wait() and not desk.busy
    assert desk.texts == [begun] and desk.state.before == "another"
    desk.set("back")
    assert desk.texts == [begun, "another"]


def test_what_cannot_be_set_is_refused_and_changes_nothing(tmp_path: Path) -> None:
    desk = Watched(tmp_path / "kept.json")
    state = desk.state
    with pytest.raises(HarmonyError, match="shows cannot be 'song'"):
        desk.set("shows", "song")
    with pytest.raises(HarmonyError, match="unknown control 'colour'"):
        desk.set("colour", "red")
    # A button that is off is not there: no text was replaced yet.
    with pytest.raises(HarmonyError, match="unknown control 'back'"):
        desk.set("back")
    assert desk.state == state and desk.sent == []
