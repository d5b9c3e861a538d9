"""The desk: what is set is obeyed, the last that was asked counts, what was kept is not lost."""

from __future__ import annotations

import json
import threading
from pathlib import Path

import pytest
from waiting import LIMIT

from harmonykit.errors import HarmonyError
from harmonykit.workbook.base.work import Progress
from harmonykit.workbook.reharmonise import desk as reharmonise_desk
from harmonykit.workbook.reharmonise.desk import Desk

FOUR = "| Gm6 | Bb7 | Eb6 | D7 |"


def desk_of(text: str = FOUR) -> Desk:
    desk = Desk(keep=None)
    desk.set("text", text)
    assert desk.wait(LIMIT)
    return desk


def test_moves_and_locked_bars_are_obeyed() -> None:
    desk = desk_of()
    assert desk.chosen is not None and desk.chosen.arrangement.added
    desk.press("bar-1")
    assert desk.state.locked == {1}
    assert desk.wait(LIMIT)
    assert not [s for s in desk.chosen.arrangement.added if s.bar == 0]
    for move in desk.state.moves:
        desk.set(f"move-{move}", False)
    assert desk.wait(LIMIT)
    assert not desk.chosen.arrangement.added


def test_a_likely_key_is_chosen_and_said_in_the_text() -> None:
    desk = desk_of("| C | G | Am | F |")
    assert desk.ways is not None and str(desk.ways.tune.key) == "C major"
    desk.press("key-1")
    assert desk.wait(LIMIT)
    assert desk.state.text == "Key: A minor\n| C | G | Am | F |"
    assert str(desk.ways.tune.key) == "A minor"
    desk.press("key-0")
    assert desk.wait(LIMIT)
    assert desk.state.text == "Key: C major\n| C | G | Am | F |"


@pytest.mark.parametrize("text", ["| C6 | A7 | Dm7 | G7 | C6 | G7 |", 'X:1\nK:C\n"C"C4|"G"G4|'])
def test_near_keys_are_offered_of_a_plain_and_of_a_stated_key(text: str) -> None:
    assert len([part for part in desk_of(text).parts() if part.startswith("key-")]) >= 3


def test_only_what_was_asked_last_counts() -> None:
    desk = desk_of()
    for bars in range(2, 12):
        desk.set("text", "|" + " C6 | G7 |" * bars)
    assert desk.wait(LIMIT)
    assert desk.ways is not None and len(desk.ways.tune.playing) == 22
    assert desk.ways.state.asked == desk.state.asked


def test_a_stopped_front_leaves_the_best(monkeypatch: pytest.MonkeyPatch) -> None:
    begun = threading.Event()

    def endless(ways: object, progress: Progress) -> None:
        while True:
            begun.set()
            progress(1, 9)

    monkeypatch.setattr(reharmonise_desk.seeking, "find_front", endless)
    desk = Desk(keep=None)
    assert begun.wait(LIMIT)
    desk.stop()
    assert desk.wait(LIMIT)
    assert desk.ways is not None and desk.ways.front is None and "5 best" in desk.facts


@pytest.mark.parametrize("wrong", [("no such", "1"), ("style", "free"), ("view", "tape")])
def test_there_are_only_these_controls_and_values(wrong: tuple[str, str]) -> None:
    with pytest.raises(HarmonyError) as caught:
        desk_of().set(*wrong)
    assert caught.value.mend


def test_a_kept_file_that_cannot_be_used_is_said_and_not_lost(tmp_path: Path) -> None:
    path = tmp_path / "kept.json"
    path.write_text("{broken", encoding="utf-8")
    desk = Desk(keep=path)
    assert "unread-1" in desk.trouble
    assert (tmp_path / "kept.unread-1.json").read_text(encoding="utf-8") == "{broken"
    assert desk.state.name == "heron_landing.toml"


def test_settings_of_another_day_do_not_lose_the_tune(tmp_path: Path) -> None:
    path = tmp_path / "kept.json"
    head = {"format": 1, "made_by": "harmonykit", "kind": "reharmonise"}
    typed = {"tune": "| Bb6 | F7 |", "settings": '{"of another": "version"}'}
    path.write_text(json.dumps({**head, "typed": typed}), encoding="utf-8")
    desk = Desk(keep=path)
    assert desk.state.text == "| Bb6 | F7 |" and "cannot be read" in desk.trouble


def test_each_change_is_told_after_it_was_made() -> None:
    class Told(Desk):
        def _show(self) -> None:
            seen.append((self.state.locked, self.ways is not None and self.ways.front is not None))

    seen: list[tuple[frozenset[int], bool]] = []
    desk = Told(keep=None)
    assert desk.wait(LIMIT) and seen[-1] == (frozenset(), True)
    desk.press("bar-3")
    assert desk.wait(LIMIT) and seen[-1] == (frozenset({3}), True)
    desk.unlock()
    assert desk.wait(LIMIT) and seen[-1] == (frozenset(), True)


def test_the_neck_goes_from_chord_to_chord_and_stops_at_the_ends() -> None:
    desk = desk_of()
    desk.press("row-written")
    places = [desk.state.step]
    for _ in range(6):
        desk.move_on(1)
        places.append(desk.state.step)
    assert places == [0, 1, 2, 3, 3, 3, 3]
    desk.move_on(-99)
    assert desk.state.step == 0


def test_nothing_is_taken_away_before_something_is_found(tmp_path: Path) -> None:
    desk = Desk(keep=None, folder=tmp_path)
    desk.ways = None
    with pytest.raises(HarmonyError, match="nothing to export yet"):
        desk.export("midi")
    desk.stop()
