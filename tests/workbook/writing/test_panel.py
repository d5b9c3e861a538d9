"""The page where a lesson is written, from Python: what mouse and keyboard do, and what is sent."""

from __future__ import annotations

import json
import random
import resource
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from waiting import LIMIT

from harmonykit.errors import HarmonyError
from harmonykit.files import write_whole
from harmonykit.paths import find_data
from harmonykit.workbook import WritingPanel
from harmonykit.workbook.base.work import Progress
from harmonykit.workbook.writing import desk as writing_desk
from harmonykit.workbook.writing.typed import WritingState

MIB = 2**20


class Browser:
    """What the browser would know: every message that the panel sent."""

    def __init__(self, panel: WritingPanel) -> None:
        self.panel, self.sent = panel, list[dict[str, Any]]()
        panel.view.send = self.take  # type: ignore[method-assign]

    def take(self, message: dict[str, Any], buffers: object = None) -> None:
        self.sent.append(message)

    def say(self, message: dict[str, Any], *buffers: bytes) -> None:
        self.panel._heard(None, message, list(buffers))

    def last(self, key: str) -> Any:
        return next(each[key] for each in reversed(self.sent) if key in each)

    @property
    def said(self) -> dict[str, Any]:
        said: dict[str, Any] = self.panel.view.said
        return said


def line_of(text: str, what: str) -> int:
    """Return the number of the line in which something stands first."""
    return text[: text.index(what)].count("\n") + 1


@pytest.fixture
def make(tmp_path: Path) -> Callable[..., WritingPanel]:
    def panel(**given: Any) -> WritingPanel:
        return WritingPanel(kept=str(tmp_path / "kept.json"), **given)

    return panel


Make = Callable[..., WritingPanel]


def test_it_begins_with_a_draft_and_writes_nothing_by_itself(make: Make, tmp_path: Path) -> None:
    panel = make()
    bundle = panel._repr_mimebundle_()
    assert "New chords for Heron Landing" in panel.facts and panel.facts == bundle["text/plain"]
    assert "<svg" in bundle["image/svg+xml"] and not panel.look.waits
    Browser(panel).say({"hello": "a view"})
    assert panel.wait(LIMIT) and list(tmp_path.iterdir()) == []


def test_what_is_typed_is_kept_and_there_again(make: Make) -> None:
    panel = make()
    browser = Browser(panel)
    browser.say({"text": panel.state.text + "\nOne more line.", "turn": 7})
    assert browser.last("heard") == 7
    again = make(tune="slack_water_waltz")
    assert again.state == panel.state and again.state.text.endswith("One more line.")
    browser = Browser(again)
    browser.say({"hello": "a view"})
    assert browser.last("put") == panel.state.text


def test_a_kept_file_that_cannot_be_read_is_moved_aside_and_said(
    make: Make, tmp_path: Path
) -> None:
    (tmp_path / "kept.json").write_text("{broken", encoding="utf-8")
    panel = make()
    assert "kept.unread-1.json" in panel.trouble and panel.state.text
    assert (tmp_path / "kept.unread-1.json").read_text(encoding="utf-8") == "{broken"


def test_a_false_statement_is_listed_and_leaves_the_rest_standing(make: Make) -> None:
    panel = make()
    browser = Browser(panel)
    assert panel.wait(LIMIT)
    right = panel.state.text
    browser.say({"text": right.replace('"C#dim7", 1', '"C#dim7", 2'), "turn": 1})
    (wrong,) = [row for row in panel.view.verdicts if row[2] == "fails"]
    line = line_of(right, '"C#dim7", 1')
    assert wrong[0] == line and wrong[5] == "they are 1 apart, all voices together"
    assert f"[line {line} has to be corrected]" in "".join(browser.last("preview")["html"].values())
    assert browser.said["note"] and f"1 fails (line {line})" in browser.said["summary"]
    browser.say({"text": right, "turn": 2})
    assert browser.said["note"] == "" and not [r for r in panel.view.verdicts if r[2] != "proved"]


def test_a_broken_head_leaves_the_last_preview_and_says_so(make: Make) -> None:
    panel = make()
    browser = Browser(panel)
    assert panel.wait(LIMIT)
    sent = len([each for each in browser.sent if "preview" in each])
    browser.say({"text": "only words", "turn": 1})
    assert len([each for each in browser.sent if "preview" in each]) == sent
    assert "last lesson that could be shown" in browser.said["note"]
    assert panel.view.sides["minutes"]


def test_a_draft_is_made_beside_the_page_and_what_was_there_comes_back(make: Make) -> None:
    panel = make()
    browser = Browser(panel)
    panel.type("mine")
    panel.set("tune", "slack_water_waltz")
    panel.set("idea", "its dominants")
    panel.set("draft")
    assert panel.wait(LIMIT) and "Slack Water Waltz" in panel.state.text
    assert browser.last("put") == panel.state.text and panel.busy == ""
    panel.set("back")
    assert panel.state.text == browser.last("put") == "mine"
    panel.set("back")
    assert "Slack Water Waltz" in panel.state.text


def test_a_tune_that_cannot_be_read_is_said_and_changes_nothing(make: Make) -> None:
    panel = make()
    browser = Browser(panel)
    before = panel.state.text
    browser.say({"set": "tune", "value": "no_such_tune"})
    browser.say({"set": "draft", "value": ""})
    assert panel.wait(LIMIT)
    assert "missing file" in browser.said["trouble"] and panel.state.text == before
    browser.say({"set": "paint", "value": ""})
    assert "unknown control 'paint'" in browser.said["trouble"]
    browser.say({"set": "instrument", "value": "gong"})
    assert "cannot be 'gong'" in browser.said["trouble"]
    browser.say({"text": before + " ", "turn": 3})
    assert browser.said["trouble"] == ""


def test_a_picked_file_becomes_the_tune(make: Make, tmp_path: Path) -> None:
    panel = make()
    browser = Browser(panel)
    data = find_data("tunes", "slack_water_waltz").read_bytes()
    browser.say({"file": "theirs.toml"}, data)
    assert panel.state.tune == "theirs.toml" and (tmp_path / "theirs.toml").read_bytes() == data
    panel.set("draft")
    assert panel.wait(LIMIT) and 'tune = "theirs.toml"' in panel.state.text
    assert panel.look.fault is None


def test_saving_opening_and_a_file_that_changed_meanwhile(make: Make, tmp_path: Path) -> None:
    panel = make()
    browser = Browser(panel)
    panel.set("file", "mine.md")
    panel.set("save")
    assert (tmp_path / "mine.md").read_text(encoding="utf-8") == panel.state.text
    (tmp_path / "mine.md").write_text("theirs", encoding="utf-8")
    browser.say({"text": panel.state.text + "more", "turn": 1})
    assert "someone else" in browser.said["saved"]
    browser.say({"set": "save", "value": ""})
    assert "not overwritten" in browser.said["trouble"]
    assert (tmp_path / "mine.md").read_text(encoding="utf-8") == "theirs"
    panel.set("open")
    assert panel.state.text == browser.last("put") == "theirs"
    assert panel.state.before.endswith("more")


SMALL = 'outputs = ["script", "page"]\n'


def smaller(panel: WritingPanel, outputs: str = SMALL) -> None:
    panel.type(panel.state.text.replace("instrument =", f"{outputs}instrument =", 1))


def test_all_is_built_and_handed_out(make: Make, tmp_path: Path) -> None:
    panel = make()
    browser = Browser(panel)
    smaller(panel)
    panel.set("folder", "out")
    panel.set("build")
    assert panel.wait(LIMIT) and panel.trouble == ""
    assert ["page.html", "Page"] in panel.view.results
    assert browser.said["built"].startswith("From the text as typed")
    browser.say({"open": "page.html"})
    assert (browser.last("opened"), browser.last("kind")) == ("page.html", "text/html")
    panel.type(panel.state.text + "more")
    assert browser.said["built"].startswith("From an earlier text")
    browser.say({"open": "../kept.json"})
    assert "was not built" in browser.said["trouble"]
    # What was built is still there for a kernel that begins anew.
    again = make()
    assert again.view.results == panel.view.results


def test_a_script_that_the_teacher_changed_is_kept_and_named(make: Make, tmp_path: Path) -> None:
    panel = make()
    browser = Browser(panel)
    smaller(panel, 'outputs = ["script"]\n')
    panel.set("folder", "out")
    panel.set("build")
    assert panel.wait(LIMIT)
    (panel.out / "script.md").write_text("a teacher's own words", encoding="utf-8")
    panel.set("build")
    assert panel.wait(LIMIT)
    assert "script (yours).md" in browser.said["trouble"]
    kept = panel.out / "script (yours).md"
    assert kept.read_text(encoding="utf-8") == "a teacher's own words"
    panel.type(panel.state.text + "more")
    assert browser.said["trouble"] == ""


def test_a_lesson_with_a_false_statement_is_not_built(make: Make, tmp_path: Path) -> None:
    panel = make()
    browser = Browser(panel)
    line = line_of(panel.state.text, '"C#dim7", 1')
    panel.type(panel.state.text.replace('"C#dim7", 1', '"C#dim7", 2'))
    panel.set("build")
    assert panel.wait(LIMIT)
    assert (
        "not two half steps apart" in browser.said["trouble"]
        and f"line {line}," in browser.said["trouble"]
    )
    assert not panel.out.exists() and panel.busy == ""


def test_what_is_typed_while_a_build_ends_is_not_lost(
    make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    goes_on = threading.Event()

    def slow(path: Path, out: Path, reader: object, progress: Progress, kept: object) -> Path:
        assert goes_on.wait(LIMIT)
        return out

    monkeypatch.setattr(writing_desk, "build", slow)
    panel = make()
    browser = Browser(panel)
    panel.set("build")
    goes_on.set()
    for turn in range(50):
        browser.say({"text": f"{panel.state.text}{turn}\n", "turn": turn})
    assert panel.wait(LIMIT) and panel.state.built
    assert panel.state.text.endswith("48\n49\n") and "\n17\n18\n" in panel.state.text


def test_a_build_can_be_stopped(make: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    def endless(path: Path, out: Path, reader: object, progress: Progress, kept: object) -> Path:
        while True:
            progress(1, 4)

    monkeypatch.setattr(writing_desk, "build", endless)
    panel = make()
    browser = Browser(panel)
    panel.set("build")
    assert browser.said["busy"] == "Building"
    with pytest.raises(HarmonyError):
        panel.set("draft")
    browser.say({"set": "stop", "value": ""})
    assert panel.wait(LIMIT) and panel.busy == "" == browser.said["busy"]


def test_drawing_can_be_stopped_and_goes_on_when_asked(make: Make) -> None:
    panel = make()
    browser = Browser(panel)
    panel.set("stop")
    assert panel.wait(LIMIT) and panel.look.waits and browser.said["stopped"]
    panel.set("go_on")
    assert panel.wait(LIMIT) and not panel.look.waits and not browser.said["stopped"]


def test_the_script_is_shown_when_asked_for(make: Make) -> None:
    panel = make()
    browser = Browser(panel)
    assert panel.wait(LIMIT)
    panel.set("shows", "script")
    news = browser.last("preview")
    assert news["shows"] == "script" and "<strong>Cue 1</strong>" in news["script"]
    panel.set("shows", "page")
    assert browser.last("preview")["shows"] == "page"


def test_the_sheet_is_shown_page_by_page_and_follows_the_text(make: Make) -> None:
    panel = make()
    browser = Browser(panel)
    panel.set("shows", "sheet")
    assert panel.wait(LIMIT) and not panel.look.waits
    first = browser.last("preview")
    # The page of the idea, four levels, what moves, an exercise and its answers: six at least.
    assert len(first["sheet"]) >= 6 and all("<svg" in page for page in first["sheet"])
    panel.type(panel.state.text.replace("for Heron", "in Heron", 1))
    assert browser.last("preview")["behind"]
    assert panel.wait(LIMIT) and not browser.last("preview")["behind"]
    assert browser.last("preview")["sheet"][0].startswith("<svg")
    panel.set("shows", "page")
    assert panel.wait(LIMIT) and panel.look.sheet == () and not panel.look.waits


def test_a_sheet_that_cannot_be_set_is_said_once(
    make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(lesson: object) -> None:
        raise HarmonyError("no page is large enough")

    monkeypatch.setattr("harmonykit.workbook.writing.reader.draw_sheet", refuse)
    panel = make()
    browser = Browser(panel)
    panel.set("shows", "sheet")
    assert panel.wait(LIMIT) and not panel.look.waits
    assert [row[4] for row in panel.view.verdicts if row[2] != "proved"] == [
        "no page is large enough"
    ]
    assert browser.last("preview")["behind"] and browser.said["note"]


def test_a_disk_that_is_full_is_said_and_nothing_typed_is_lost(
    make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, data: bytes, *rest: object) -> None:
        raise HarmonyError("no space left")

    panel = make()
    browser = Browser(panel)
    monkeypatch.setattr("harmonykit.workbook.base.keep.write_whole", full)
    browser.say({"text": "kept in memory", "turn": 1})
    assert browser.said["trouble"] == "no space left" and panel.state.text == "kept in memory"
    monkeypatch.setattr("harmonykit.workbook.base.keep.write_whole", write_whole)
    browser.say({"text": "kept in memory!", "turn": 2})
    assert make().state.text == "kept in memory!" and browser.said["trouble"] == ""


def test_a_fault_of_ours_keeps_what_was_typed_and_answers(
    make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    panel = make()
    browser = Browser(panel)
    monkeypatch.setattr(panel._reader, "look", None)
    with pytest.raises(TypeError):
        browser.say({"text": "typed", "turn": 9, "by": "a view"})
    assert browser.last("heard") == 9 and make().state.text == "typed"


def test_numbers_of_a_file_of_many_are_offered(make: Make, tmp_path: Path) -> None:
    abc = 'X:3\nT:Wet Rope\nM:4/4\nL:1/4\nK:C\n"C"CEGE|\n\nX:8\nT:Dry\nM:4/4\nL:1/4\nK:G\n"G"G4|\n'
    panel = make()
    browser = Browser(panel)
    browser.say({"file": "ropes.abc"}, abc.encode())
    offered = {each.control.id: each.control for each in panel.controls()}
    assert offered["number"].options == ("", "3 Wet Rope", "8 Dry")
    panel.set("number", "8 Dry")
    assert panel.state.number == "8"
    panel.set("tune", "heron_landing")
    assert panel.state.number == "" and "number" not in {e.control.id for e in panel.controls()}


def long_tune(folder: Path, times: int) -> str:
    """Write an invented tune of twelve bars so many times over, and return its name."""
    bars = "| Gm6 | Bb7 | Eb6 D7 | Gm6 |\n| Cm6 | Am7b5 | Eb6 F7 | Bb6 |\n"
    bars += "| Gm6 G7 | Cm6 | Eb6 D7 | Gm6 |\n"
    head = 'format = 1\ntitle = "Long Pier"\nkey = "G minor"\nmeter = "4/4"\ntempo = 96\n'
    section = f'\n[[sections]]\nname = "A"\nchanges = """\n{bars * times}"""\n'
    (folder / "pier.toml").write_text(head + section, encoding="utf-8")
    return "pier.toml"


@pytest.mark.parametrize("times", [6, pytest.param(25, marks=pytest.mark.long)])
def test_long_work_is_told_of_stopped_and_typed_beside(
    make: Make, tmp_path: Path, times: int
) -> None:
    panel = make(tune=long_tune(tmp_path, times))
    browser = Browser(panel)
    assert panel.look.waits and panel.look.lesson is not None
    assert len(panel.look.lesson.front.tune.playing) == 12 * times
    panel.set("stop")
    assert panel.wait(LIMIT) and browser.said["stopped"]
    told: list[float] = []
    panel.view.observe(lambda change: told.append(change.new["progress"][0]), "said")
    panel.set("go_on")
    # While it is worked out one types on, and each stroke is answered at once.
    for turn in range(10):
        browser.say({"text": panel.state.text + "x", "turn": turn})
        assert browser.last("heard") == turn
    assert panel.wait(LIMIT) and not panel.look.waits and len(set(told)) > 3
    assert not panel.look.waits


def random_edit(draw: random.Random, text: str) -> str:
    start = draw.randrange(len(text) + 1)
    end = min(len(text), start + draw.choice([0, 0, 1, 3, 30]))
    put = draw.choice(
        ["", "x", "\n", "{{", "}}", '"', "+++", "## ", "{{ frets_aloud() }}", "é𝄫", "<b>"]
    )
    return text[:start] + put + text[end:]


@pytest.mark.parametrize("actions", [20, pytest.param(200, marks=pytest.mark.long)])
def test_random_actions_leave_all_in_step_and_keep_little(make: Make, actions: int) -> None:
    panel, draw = make(), random.Random(200)
    browser = Browser(panel)
    begun = panel.state.text
    assert panel.wait(LIMIT)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for turn in range(actions):
        text = begun if draw.random() < 0.1 else panel.state.text
        browser.say({"text": random_edit(draw, text), "turn": turn})
        browser.sent.clear()
        if draw.random() < 0.1:
            names = ["shows", "instrument", "back", "stop", "go_on"]
            browser.say(
                {
                    "set": draw.choice(names),
                    "value": draw.choice(["page", "script", "sheet", "guitar"]),
                }
            )
    assert panel.wait(LIMIT)
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024 / MIB
    assert grown < 50
    panel.set("go_on")
    assert panel.wait(LIMIT)
    kept = json.loads((panel._keep.path).read_text(encoding="utf-8"))["typed"]
    assert WritingState.of(kept) == panel.state
    panel.type(begun)
    assert panel.wait(LIMIT) and not panel.look.waits and panel.look.fault is None
    fresh = make()
    fresh._state = replace(panel.state)
    fresh._repr_mimebundle_()
    assert fresh.facts == panel.facts
