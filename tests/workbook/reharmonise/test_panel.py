"""The panel: searches beside the page, keeps what was typed, shows the last that was good."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import pytest
from waiting import LIMIT

from harmonykit.score.files import read_tune, write_tune
from harmonykit.workbook.base.work import Progress
from harmonykit.workbook.reharmonise import desk as reharmonise_desk
from harmonykit.workbook.reharmonise.panel import ReharmonisePanel
from harmonykit.workbook.reharmonise.state import ReharmoniseState

FOUR = "| Gm6 | Bb7 | Eb6 | D7 |"


def panel_of(text: str = FOUR, **asked: Any) -> ReharmonisePanel:
    panel = ReharmonisePanel(keep=asked.pop("keep", None), **asked)
    panel.set("text", text)
    assert panel.wait(LIMIT)
    return panel


def say(panel: ReharmonisePanel, *buffers: bytes, **message: Any) -> None:
    """Say what the browser would."""
    panel._heard(None, message, list(buffers))
    assert panel.wait(LIMIT)


def test_what_is_typed_is_searched_and_shown() -> None:
    panel = panel_of()
    assert panel.ways is not None and panel.ways.state.text == FOUR
    assert panel.ways.front is not None and not panel.busy
    assert "4 bars" in panel.facts and "Shown: usual 1" in panel.facts
    assert "row-best-1" in panel.view.plot and "E♭6" in panel.view.chart


def test_nothing_of_another_tune_stays_on_the_page() -> None:
    panel = panel_of()
    view = panel.view
    names = ("plot", "choices", "table", "chart", "reasons")
    before = {name: getattr(view, name) for name in names}
    say(panel, set="text", value="| Em7 | F#7 | Bm7 | A7 | D6 | D6 |")
    assert all(getattr(view, name) != before[name] for name in names)
    say(panel, set="text", value=FOUR)
    assert {name: getattr(view, name) for name in names} == before


def test_plot_and_table_select_one_another() -> None:
    panel = panel_of()
    say(panel, press="row-written")
    assert 'data-press="row-written" role="button" tabindex="-1" aria-pressed="true"' in (
        panel.view.plot
    )
    assert '<tr data-press="row-written" class="hk-chosen">' in panel.view.table
    assert "as written" in panel.view.chart
    say(panel, set="beside", value="best-2")
    assert "usual 2" in panel.view.chart and panel.view.sounds.keys() == {"chosen", "beside"}
    say(panel, press="row-best-2")
    assert panel.state.beside == "" and panel.view.sounds.keys() == {"chosen"}


def test_an_error_is_said_in_its_place_and_what_was_found_stays() -> None:
    panel = panel_of()
    before = panel.ways
    view = panel.view
    say(panel, set="text", value="| C6 | Hx |")
    assert panel.ways is before and "line 1, column 8" in view.source and "^" in view.source
    assert view.text == "| C6 | Hx |" and view.status["fault"]
    say(panel, set="text", value="| C6 | F6 |")
    assert panel.ways is not before and "^" not in view.source and not view.status["fault"]


def test_what_cannot_be_set_is_said_and_changes_nothing() -> None:
    panel = panel_of()
    before = panel.state
    view = panel.view
    for wrong in ({"set": "tempo", "value": "quick"}, {"press": "bar-99"}, {"open": "no_such"}):
        say(panel, **wrong)
        assert panel.state == before and view.status["trouble"]
    say(panel, do="after")
    assert view.status["trouble"] == ""


def test_a_search_can_be_stopped_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    panel = panel_of()
    before, begun = panel.ways, threading.Event()

    def endless(state: ReharmoniseState, progress: Progress) -> None:
        while True:
            begun.set()
            progress(1, 9)

    monkeypatch.setattr(reharmonise_desk.seeking, "find_best", endless)
    view = panel.view
    panel.set("best", "3")
    assert begun.wait(LIMIT) and panel.busy and view.status["busy"]
    assert view.status["doing"] == "searching for the best arrangements"
    panel.stop()
    assert panel.wait(LIMIT) and panel.ways is before
    assert not view.status["busy"] and "stopped" in view.status["trouble"]


# What is kept.


def test_what_was_set_in_the_browser_is_there_for_the_next_kernel(tmp_path: Path) -> None:
    path = tmp_path / "kept.json"
    panel = panel_of(keep=path)
    assert not path.exists()  # what a notebook's code sets is not typed
    say(panel, set="text", value="| F6 | C7 | F6 |")
    say(panel, press="bar-2")
    say(panel, set="move-descending passing diminished", value=True)
    say(panel, set="tempo", value="84")
    again = ReharmonisePanel(keep=path)
    assert again.state == panel.state
    assert (again.state.text, again.state.locked) == ("| F6 | C7 | F6 |", {2})
    assert again.wait(LIMIT) and "3 bars" in again.facts


# Files.


def test_a_file_is_opened_by_its_path_and_taken_from_elsewhere(tmp_path: Path) -> None:
    panel = panel_of()
    waltz = read_tune("data/tunes/slack_water_waltz.toml")
    write_tune(waltz, tmp_path / "waltz.musicxml")
    say(panel, press="bar-1")
    say(panel, open=str(tmp_path / "waltz.musicxml"))
    assert panel.ways is not None and panel.ways.tune.changes == waltz.changes
    assert panel.state.locked == frozenset()  # bars of another tune
    say(panel, b'X:1\nT:Ebb\nK:G\n"G"G4|"D7"A4|"G"G4|\n', upload="ebb.abc")
    assert panel.ways.tune.title == "Ebb" and panel.state.name == "ebb.abc"


def test_what_is_taken_away_is_written_and_its_path_said(tmp_path: Path) -> None:
    panel = panel_of(folder=tmp_path / "out")
    view = panel.view
    say(panel, export="midi")
    written = Path(view.status["written"])
    assert written == tmp_path / "out" / "untitled-best-1.mid" and written.exists()
    # Of another tune nothing is written yet.
    say(panel, set="text", value="| G | Am7 | D7 | G |")
    assert panel.wait() and view.status["written"] == ""


# What is seen and heard.


def test_neck_and_staff_are_made_when_they_are_shown() -> None:
    panel = panel_of()
    view = panel.view
    assert view.neck == "" == view.staff
    say(panel, set="view", value="neck")
    assert "chord 1 of" in view.neck or "chord 2 of" in view.neck
    first = view.neck
    say(panel, do="after")
    assert view.neck != first
    say(panel, do="before")
    assert view.neck == first
    say(panel, set="view", value="staff")
    assert "bars 1 to 4 of 4" in view.staff and "<svg" in view.staff
    say(panel, press="row-written")
    assert view.staff.count('class="harm"') == 4


def test_the_staff_turns_its_pages() -> None:
    panel = panel_of("|" + " C6 | G7 |" * 20)
    view = panel.view
    say(panel, set="view", value="staff")
    for _ in range(4):
        say(panel, do="later")
    assert "bars 33 to 40 of 40" in view.staff
    say(panel, do="earlier")
    assert "bars 17 to 32 of 40" in view.staff


def test_what_the_browser_has_is_not_made_again() -> None:
    panel = panel_of()
    sent: list[tuple[str, str]] = []
    panel.view.hand = lambda data, *, sound, key, times: sent.append((sound, key))  # type: ignore
    say(panel, set="beside", value="written")
    keys = panel.view.sounds
    say(panel, hear="beside", have=[])
    assert sent == [("beside", keys["beside"]), ("chosen", keys["chosen"])]
    say(panel, hear="both", have=[keys["chosen"]])
    assert sent[2:] == [("beside", keys["beside"])]
    say(panel, press="row-best-2")
    assert panel.view.sounds["chosen"] != keys["chosen"]


def test_what_is_pressed_reads_the_text_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    panel = panel_of("Pebble Ferry, in D\n| D / Hxx | Em7 A7 | D |\n")
    assert "left out: line 2: Hxx" in panel.view.source
    again: list[object] = []
    monkeypatch.setattr("harmonykit.score.typed.read_message", lambda *given: again.append(given))
    monkeypatch.setattr(
        "harmonykit.workbook.reharmonise.state.find_keys", lambda tune: again.append(tune)
    )
    say(panel, press="row-written")
    say(panel, press="bar-1")
    assert not again and "left out: line 2: Hxx" in panel.view.source


def test_text_and_still_picture_stand_beside_the_live_view() -> None:
    panel = panel_of()
    bundle = panel._repr_mimebundle_()
    assert bundle["text/plain"] == panel.facts
    assert (
        bundle["image/svg+xml"].startswith("<svg") and "data-press" not in bundle["image/svg+xml"]
    )
    assert "application/vnd.jupyter.widget-view+json" in bundle


def test_what_is_quick_is_sent_first_and_each_region_once() -> None:
    panel = panel_of()
    messages: list[set[str]] = []
    panel.view.send_state = lambda key=None: messages.append(set(key))  # type: ignore[method-assign]
    say(panel, press="row-written")
    assert {"plot", "table"} <= messages[0] and "chart" in messages[1]
    assert sum("chart" in each for each in messages) == 1
    assert all("settings" not in each and "text" not in each for each in messages)
