"""What all panels have in common: they answer, they say what is wrong, they are linked."""

from __future__ import annotations

import json
import random
from typing import Any

import pytest

import harmonykit
from harmonykit import workbook
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.live import ANSWERED
from harmonykit.workbook.base.panel import Panel, link

MAKERS = {
    "clock": lambda: workbook.ClockPanel("C7", axes=True),
    "neck": lambda: workbook.NeckPanel("C6"),
    "one-note": workbook.OneNotePanel,
    "chord-scale": workbook.ChordScalePanel,
    "distance": workbook.DistancePanel,
    "cube": workbook.CubePanel,
    "catalogue": workbook.CataloguePanel,
    "hearing": lambda: workbook.HearingPanel("stiff_dominant"),
    "changes": lambda: workbook.ChangesPanel(folder=None),
}
each_kind = pytest.mark.parametrize("kind", MAKERS)
# What these tell takes several lines, and they name the files that they take.
OF_RECORDINGS = ("hearing", "changes")
each_in_a_line = pytest.mark.parametrize("kind", [k for k in MAKERS if k not in OF_RECORDINGS])
TEXTS = ("C Am F G7", "..4...", "0369", "C7", "nonsense", "", "clock 1; notes=047", "C")


def act(panel: Panel[Any], draw: random.Random) -> None:
    """Do what a browser may send, sensible or not."""
    control = draw.choice(panel.controls())
    value: Any = draw.choice(control.options) if control.options else draw.choice(TEXTS)
    if control.kind == "check":
        value = draw.random() < 0.5
    asked = [{"press": draw.choice(panel.parts())}, {"set": control.id, "value": value}]
    panel._heard(panel.view, draw.choice(asked), [])


@each_kind
@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(1, 5))]
)
def test_thirty_random_actions_leave_no_exception(kind: str, seed: int) -> None:
    panel, draw = MAKERS[kind](), random.Random(seed)
    for _ in range(30):
        act(panel, draw)
        assert panel.view.shown["facts"] == panel.facts
        assert panel.view.shown["trouble"] == panel.trouble
    assert type(panel).from_text(panel.share()).state == panel.state


@each_in_a_line
def test_a_stored_notebook_keeps_text_and_picture(kind: str) -> None:
    panel = MAKERS[kind]()
    bundle = panel._repr_mimebundle_()
    assert bundle["text/plain"] == panel.facts and "\n" not in panel.facts
    assert bundle["image/svg+xml"].startswith("<svg")
    assert "application/vnd.jupyter.widget-view+json" in bundle
    assert "wav" not in str(bundle).lower() and "audio" not in str(bundle).lower()


@each_kind
def test_looks_alone_are_sent_where_the_picture_stays(kind: str) -> None:
    """The picture is sent once; what follows is far smaller, and plain JSON."""
    panel = MAKERS[kind]()
    sent: list[set[str]] = []
    panel.view.observe(lambda change: sent.append({change["name"]}))
    for part in panel.parts()[3:6]:
        panel.press(part)
    assert {"scene"} not in sent and {"shown"} in sent
    assert len(json.dumps(panel.view.shown)) < len(panel.view.scene)


@each_kind
def test_what_is_heard_is_never_kept(kind: str) -> None:
    panel = MAKERS[kind]()
    sent: list[tuple[Any, Any]] = []
    panel.view.send = lambda content, buffers=None: sent.append((content, buffers))
    panel._heard(panel.view, {"set": "hear"}, [])
    (content, buffers), answered = sent
    assert answered == (ANSWERED, None)
    assert content == {"sound": panel.hear().seconds} and buffers == [panel.hear().wav]
    assert "hear=" not in panel.share() and "sound" not in panel.view.get_state()


@each_kind
def test_what_cannot_be_asked_is_refused(kind: str) -> None:
    panel = MAKERS[kind]()
    before = panel.state
    for message in ({"press": "nothing"}, {"set": "nothing"}, {"set": "share", "value": "x"}, {}):
        panel._heard(panel.view, message, [])
        assert panel.state == before and bool(panel.trouble) == bool(message)
    with pytest.raises(HarmonyError, match="unknown"):
        panel.press("nothing")
    choices = [control.id for control in panel.controls() if control.options]
    for control in choices:
        with pytest.raises(HarmonyError, match="cannot be"):
            panel.set(control, "no such")
    assert repr(panel).startswith(f"<{type(panel).__name__}: {kind} 1")


def test_what_is_refused_is_said_with_what_would_do() -> None:
    panel = MAKERS["catalogue"]()
    panel._heard(panel.view, {"set": "vector", "value": "blub"}, [])
    assert panel.trouble == "'blub' is not an interval vector; try: 0 0 4 0 0 2 or ..4..."


# What is pressed twice, and what is then said; elsewhere each press moves something.
PRESSED_TWICE = {
    "one-note": ("pc-1", "D flat: it is not a note of A°7"),
    "chord-scale": ("step-3", "step 3, "),
    "distance": ("cell-3-1", "it is the change that you see below"),
    "cube": ("corner-0100", "is where you are; press a chord that a line joins to it"),
    "catalogue": ("class-3-11", "3-11 is the class that you see below"),
}


@pytest.mark.parametrize("kind", PRESSED_TWICE)
def test_a_press_that_moves_nothing_is_answered(kind: str) -> None:
    part, said = PRESSED_TWICE[kind]
    panel = MAKERS[kind]()
    panel.press(part)
    before = panel.state
    panel._heard(panel.view, {"press": part}, [])
    assert panel.state == before and said in panel.trouble
    assert panel.view.shown["trouble"] == panel.trouble


@each_kind
def test_no_press_stays_without_an_answer(kind: str) -> None:
    """Whatever is pressed, the state is another one, or something is said of it."""
    panel = MAKERS[kind]()
    first = panel.state
    for part in panel.parts():
        look = panel.view.shown["looks"].get(part)
        if not look or not look[2]:
            continue
        panel.press(part)
        assert panel.state != first or panel.trouble, part
        panel.state = first


@each_kind
def test_a_line_that_was_copied_opens_the_panel_as_it_stood(kind: str) -> None:
    panel = MAKERS[kind]()
    panel.press(panel.parts()[-1])
    (copied,) = [each.value for each in panel.controls() if each.kind == "copy"]
    assert eval(str(copied), {"hk": harmonykit}).state == panel.state
    other = MAKERS[kind]()
    other._heard(other.view, {"set": "share", "value": copied}, [])
    assert other.state == panel.state


def test_one_choice_moves_all() -> None:
    catalogue, clock, neck = (MAKERS[kind]() for kind in ("catalogue", "clock", "neck"))
    link(catalogue, clock, neck)
    assert clock.state.notes == neck.state.notes == catalogue.choice.notes
    catalogue.press("class-3-12")
    assert clock.state.notes == neck.state.notes == PcSet.of(0, 4, 8)
    neck.press("string-4-fret-1")
    assert clock.state.notes == PcSet.of(0, 4, 8, 10) == neck.state.notes
    assert catalogue.state.picked == PcSet.of(0, 4, 8, 10).forte_name


def test_a_link_ends_where_a_panel_cannot_follow() -> None:
    one_note, cube, clock = (MAKERS[kind]() for kind in ("one-note", "cube", "clock"))
    link(one_note, cube, clock)
    one_note.press("pc-3")
    seventh = Chord.parse("D7").pcs
    assert clock.state.notes == seventh == cube.choice.notes
    before = cube.state
    clock.press("pc-1")
    assert cube.state == before and clock.state.notes == seventh | PcSet.of(1)
    cube.press("corner-1111")
    assert clock.state.notes == cube.choice.notes


def test_linking_twice_is_linking_once() -> None:
    one, other = MAKERS["clock"](), MAKERS["clock"]()
    link(one, other)
    link(one, other)
    assert one._linked == [other] and other._linked == [one]


def test_a_state_can_be_assigned() -> None:
    panel, other = MAKERS["clock"](), MAKERS["clock"]()
    link(panel, other)
    panel.state = type(panel.state)(PcSet.of(1, 2))
    assert other.state.notes == PcSet.of(1, 2)
