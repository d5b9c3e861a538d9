"""The page of ideas, without a browser: asked, chosen, heard, drafted, stopped."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.theory.chord import Chord
from harmonykit.workbook import IdeasPanel


def press(panel: IdeasPanel, words: str) -> None:
    """Press the finding whose statement has these words."""
    place = next(n for n, one in enumerate(panel.findings) if words in one.statement)
    panel.press(f"finding-{place}")


def asked(folder: Path, source: str = "C+", **given: Any) -> IdeasPanel:
    panel = IdeasPanel(source, folder=folder, **given)
    assert panel.wait()
    return panel


def test_an_idea_is_chosen_seen_and_heard(tmp_path: Path) -> None:
    panel = asked(tmp_path)
    # Cohn 2012, ch. 4: six triads lie one half step from an augmented triad.
    press(panel, "Six triads")
    shown = panel.view.shown
    assert shown.count("<svg") == 7
    for word in ("Proof", "Not so", "Hear", "Learn", "Heard", "Rare"):
        assert f"<dt>{word}</dt>" in shown
    # What was heard is about another chord: it is said that the idea fits there.
    assert re.search(r"<dt>Heard</dt><dd>it fits at chords such as (\S+): \1 ", shown)
    # Each of six changes is heard from the first shape: twelve chords of .9 s, .6 s of ring.
    assert panel.hear().seconds == pytest.approx(12 * 0.9 + 0.6)
    assert panel.view.found.count('aria-pressed="true"') == 1


def test_the_places_are_those_of_the_tune(tmp_path: Path) -> None:
    panel = asked(tmp_path, "G7", tunes="slack_water_waltz, ropewalk_blues")
    panel.press("finding-0")
    assert panel.chosen is not None and panel.chosen.spots
    assert {spot.tune for spot in panel.chosen.spots} <= {"Slack Water Waltz", "Ropewalk Blues"}


def test_from_an_idea_to_a_draft_by_one_press(tmp_path: Path) -> None:
    panel = asked(tmp_path, "Bdim7", tunes="slack_water_waltz")
    press(panel, "lowered by a half step")
    panel.set("draft")
    assert panel.wait() and not panel.trouble
    assert {path.name for path in tmp_path.iterdir()} == {panel.written, "one-note-moves.toml"}
    header, body = read_lesson(tmp_path / panel.written)
    text = "\n".join(body.lines)
    # Moved to where the waltz is: each dominant named is the chord with one note a half step lower.
    chord = header.shape_chord
    why = text.split("## Why it is so")[1].split("## ")[0]
    said, *parents = [Chord.parse(name) for name in re.findall(r'name\("(.*?)"\)', why)]
    assert said.pcs == chord.pcs and len({parent.root.pitch_class for parent in parents}) == 4
    for parent in parents:
        assert parent.quality == "7" and len(parent.pcs & chord.pcs) == 3
    # A second press takes other names.
    panel.set("draft")
    assert panel.wait() and panel.written == "one-note-moves-2.md"
    # On another tune nothing is written yet.
    panel.set("tunes", "ropewalk_blues")
    assert not panel.view.said["written"] and not panel.view.said["then"]


def test_a_draft_is_on_the_first_tune_that_the_idea_fits_and_says_which(tmp_path: Path) -> None:
    panel = asked(tmp_path, "C+", tunes="ropewalk_blues, slack_water_waltz, tugboat_muster")
    press(panel, "Six triads")
    assert panel.chosen is not None
    typed = {"Ropewalk Blues": 0, "Slack Water Waltz": 1, "Tugboat Muster": 2}
    first = min((spot.tune for spot in panel.chosen.spots), key=lambda title: typed[title])
    assert first != "Ropewalk Blues"  # dominants alone: the idea fits at triads
    panel.set("draft")
    assert panel.wait() and not panel.trouble
    header, _ = read_lesson(tmp_path / panel.written)
    assert header.tune.title == first
    assert panel.view.said["written"] == f"Written, on {first}: {panel.written}"


def test_what_cannot_be_read_is_said_and_what_was_found_stays(tmp_path: Path) -> None:
    panel = asked(tmp_path)
    before = panel.findings
    for control, wrong, said in (("source", "Xyz", "Xyz"), ("tunes", "nowhere", "nowhere")):
        panel.set(control, wrong)
        panel.set("find")
        assert panel.wait() and said in panel.trouble
        assert panel.findings == before
        panel.set(control, {"source": "C+", "tunes": "heron_landing"}[control])
    with pytest.raises(HarmonyError, match="unknown part"):
        panel.press("finding-99")
    with pytest.raises(HarmonyError, match="unknown control"):
        panel.set("roof", "1")
    panel.set("tunes", "")
    with pytest.raises(HarmonyError, match="no tune"):
        panel.draft()


def test_what_takes_time_tells_of_its_progress_and_is_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    panel, told = asked(tmp_path), []
    before, view = panel.findings, panel.view
    view.observe(lambda change: told.append(change["new"]), "said")
    monkeypatch.setattr("harmonykit.workbook.base.work._SECONDS_BETWEEN_NEWS", 0.0)
    stops = []

    def stop(change: dict[str, Any]) -> None:
        if change["new"]["progress"] != [0, 1] and not stops:
            stops.append(True)
            panel.set("stop")

    view.observe(stop, "said")
    panel.set("source", "m7b5")
    panel.set("find")
    assert panel.wait()
    assert any(each["busy"] and each["progress"] != [0, 1] for each in told)
    assert view.said["stopped"] and not view.said["busy"] and panel.findings == before
    panel.set("go_on")
    assert panel.wait() and not view.said["stopped"]
    assert "Bm7♭5" in panel.findings[0].statement


def test_the_still_picture_says_the_ideas_in_words(tmp_path: Path) -> None:
    panel = asked(tmp_path)
    shown = panel._repr_mimebundle_()
    assert "Six triads" in shown["text/plain"] and "svg" in shown["image/svg+xml"]
