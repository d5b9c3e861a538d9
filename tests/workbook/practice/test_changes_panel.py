"""The panel of changes: its loop, its rounds, its tempo, its necks, its files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import soundfile
from students import RATE, Playing, hummed, perform

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.practice.heard_loop import loop_of
from harmonykit.workbook.practice.changes_panel import ROUNDS_FILE, ChangesPanel
from harmonykit.workbook.practice.changing import ChangeState


def play(panel: ChangesPanel, *cleans: bool) -> None:
    for clean in cleans:
        panel.set("hear")
        panel.set("clean" if clean else "not")


def names(panel: ChangesPanel) -> list[str]:
    return [each.id for each in panel.controls()]


def test_rounds_are_kept_and_lead_on_where_one_was(tmp_path: Path) -> None:
    panel = ChangesPanel(folder=tmp_path)
    play(panel, True, True, False)
    lines = (tmp_path / ROUNDS_FILE).read_text().splitlines()[1:]
    assert [(json.loads(each)["tempo"], json.loads(each)["clean"]) for each in lines] == [
        (50, True), (50, True), (54, False),
    ]  # fmt: skip
    again = ChangesPanel(folder=tmp_path)
    # What was never practised comes first; the change of yesterday is in the list.
    assert again.state.change != panel.state.change
    (choice,) = [each for each in again.controls() if each.id == "change"]
    assert again.standing.days is None and len(choice.options) > 10
    # Chords are written as everywhere else.
    named = " ".join(each.partition(":")[0] for each in choice.options)
    assert "B♭" in named and "Bb" not in named
    again.set("change", next(each for each in choice.options if "C6 to G7" in each))
    assert (again.standing.best, again.standing.days, again.tempo) == (50, 0, 48)
    # Nine bars of four quarters at 50, twice, and at 54.
    assert again.standing.minutes == pytest.approx((2 * 36 / 50 + 36 / 54), abs=0.02)
    assert again.facts.splitlines()[1].startswith("Best clean tempo 50; last practised today; 2 ")


def test_nobody_says_how_it_went_before_it_was_played() -> None:
    panel = ChangesPanel(folder=None)
    assert "clean" not in names(panel)
    with pytest.raises(HarmonyError, match="play the loop first"):
        panel.set("clean")
    panel.set("share", "changes 1; heard=yes")
    assert not panel.state.heard
    panel.set("hear")
    assert {"clean", "not"} <= set(names(panel))
    # Another tempo is another round.
    panel.set("faster")
    assert panel.tempo == 54 and "clean" not in names(panel)


def test_the_loop_sounds_at_the_tempo_of_the_round() -> None:
    panel = ChangesPanel(folder=None)
    for tempo, steps in ((50, 0), (62, 3)):
        for _ in range(steps):
            panel.set("faster")
        # A bar of clicks and four times two bars, of four quarters, and what rings on.
        assert panel.hear().seconds == pytest.approx(36 * 60 / tempo + 0.8, abs=0.01)


def test_a_finger_is_moved_by_pressing_a_fret() -> None:
    panel = ChangesPanel(folder=None)
    panel.set("own", "0003 to 2010")  # C and F on g C E A (common practice, no source)
    assert (panel.state.first, panel.state.second) == ("C", "F")
    panel.press("before-string-4-fret-0")
    assert (panel.state.before, panel.state.first) == ("0-0-0-0", "Am7")
    with pytest.raises(HarmonyError, match="unknown part"):
        panel.press("before-string-9-fret-0")


@pytest.mark.parametrize("typed", ["C6", "C6 to H7", "2-2-2 to 0-0-0-0", "G7 to G7", "a b c"])
def test_what_is_no_change_is_refused(typed: str) -> None:
    panel = ChangesPanel(folder=None)
    before = panel.state
    with pytest.raises(HarmonyError):
        panel.set("own", typed)
    assert panel.state == before


def test_a_lessons_changes_are_those_that_its_level_plays() -> None:
    panel = ChangesPanel("stiff_dominant", level=2, folder=None)
    (choice,) = [each for each in panel.controls() if each.id == "change"]
    played = hk.lesson.read_lesson("stiff_dominant").played[1].arrangement
    held = [step.voicing.digits for step in played.steps if step.voicing is not None]
    pairs = {frozenset(pair) for pair in zip(held, held[1:], strict=False) if pair[0] != pair[1]}
    listed = {frozenset(each.partition(": ")[2].split(" to ")) for each in choice.options}
    assert listed == pairs and "instrument" not in names(panel)
    with pytest.raises(HarmonyError, match="unknown level"):
        ChangesPanel("stiff_dominant", level=9, folder=None)


def test_other_instruments_have_changes_of_their_own() -> None:
    panel = ChangesPanel(instrument="guitar", folder=None)
    assert panel.state.before.count("-") == 5
    panel.set("instrument", "baritone ukulele")
    assert panel.state == ChangeState(**{
        **{name: getattr(panel.state, name) for name in ("before", "after", "first", "second")},
        "instrument": "baritone ukulele",
    })  # fmt: skip


def test_a_file_of_something_else_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / ROUNDS_FILE).write_text("my shopping list\n")
    panel = ChangesPanel(folder=tmp_path)
    assert panel.facts.endswith("rounds are not kept")
    play(panel, True)
    assert (tmp_path / ROUNDS_FILE).read_text() == "my shopping list\n"
    assert panel.standing.best == 50


def test_a_recording_of_the_change_is_heard(tmp_path: Path) -> None:
    """F in place of G7 in bar 4, a wait before bar 5, and eight bars as asked."""
    way = loop_of(ChangeState().change, "ukulele", 60)
    panel = ChangesPanel(folder=None)
    panel.set("own", "C6 to G7")
    cases = {
        "bar 4: F heard, not G7": Playing(wrong={3: "2010"}),
        "a wait before bar 5": Playing(pauses={4: 1.5}),
        "Each of 8 bars had its shape; tempo about": Playing(),
    }
    for said, how in cases.items():
        soundfile.write(tmp_path / "mine.wav", perform(way, how)[0], RATE)
        panel.hear_file(tmp_path / "mine.wav")
        assert said in panel.facts.splitlines()[0]
    assert [each.clean for each in panel.rounds] == [False, False]
    # Whether it was clean is for the player to say.
    assert panel.state.heard
    panel.set("clean")
    assert panel.rounds[-1].clean
    soundfile.write(tmp_path / "hum.wav", hummed(way), RATE)
    panel.hear_file(tmp_path / "hum.wav")
    assert panel.facts.startswith("This does not sound like chords") and len(panel.rounds) == 3
