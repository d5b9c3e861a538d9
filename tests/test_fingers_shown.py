"""The fingers that are shown are those of the arrangement, whoever shows them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from html import unescape
from xml.etree import ElementTree

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import to_musicxml
from harmonykit.cli.told import finger_lines
from harmonykit.fretboard.hands.change import Change
from harmonykit.fretboard.hands.hand import Fingering
from harmonykit.lesson.handout import figures as sheet
from harmonykit.lesson.handout.levels import change_pair
from harmonykit.lesson.handout.shapes import Told, level_shapes
from harmonykit.lesson.page.chart import view_bars
from harmonykit.lesson.page.figures import Figures, Styles
from harmonykit.lesson.together.rescue import hard_changes
from harmonykit.workbook.reharmonise import page
from harmonykit.workbook.reharmonise.charts import Charts, sounding_steps
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Ways, find_best

TUNE = """format = 1
title = "Ropewalk"
key = "G"
meter = "4/4"
form = ["A", "B", "A"]
[[sections]]
name = "A"
changes = "| G6 | Em7 | Am7 D7 | G6 |"
[[sections]]
name = "B"
changes = "| C6 | Cm6 | G6 E7 | A7 D7 |"
"""


@pytest.fixture(scope="module", params=["ukulele", "guitar"])
def ways(request: pytest.FixtureRequest) -> Ways:
    state = ReharmoniseState(
        text=TUNE, best=1, instrument=request.param, moves=("leading-tone diminished",)
    )
    return find_best(state, lambda done, total: None)


@pytest.fixture(scope="module")
def way(ways: Ways) -> Arrangement:
    found = ways.chosen("best-1").arrangement
    alone = [step.voicing.fingering if step.voicing else None for step in found.steps]
    assert alone != list(found.fingerings), "the row must tell whole rows from single shapes"
    return found


@dataclass(frozen=True)
class Seen:
    """What a diagram shows: fingers and slides by string from 0, strings with an open mark."""

    fingers: dict[int, str]
    stays: frozenset[int]
    slides: frozenset[tuple[int, int]]


def seen(svg: str) -> Seen:
    """Read a diagram; a mark that stays has the ink for its letter and line."""
    text = re.sub(r'\bid="[^"]*" (?=data-part)', "", svg)
    text = text.replace("data-part=", "id=")
    root = ElementTree.fromstring(text[text.index("<svg") :] if "<svg" in text else text)
    fingers, stays, slides = dict[int, str](), set[int](), set[tuple[int, int]]()
    for group in root.iter():
        name = group.get("id", "")
        if found := re.fullmatch(r"slide-(\d+)-from-(\d+)", name):
            slides.add((int(found[1]) - 1, int(found[2])))
        if not (found := re.fullmatch(r"string-(\d+)-fret-[1-9]\d*", name)):
            continue
        string = int(found[1]) - 1
        parts = [(each.tag.rpartition("}")[2], each) for each in group]
        fingers[string] = next((each.text or "" for tag, each in parts if tag == "text"), "")
        if any(each.get("stroke") for tag, each in parts if tag == "path"):
            stays.add(string)
    return Seen(fingers, frozenset(stays), frozenset(slides))


def meant(fingering: Fingering | None, change: Change | None) -> Seen:
    fingers = enumerate(fingering.fingers if fingering else ())
    held = {string: "T" if finger == 5 else str(finger) for string, finger in fingers if finger}
    kept, slid = (change.kept, change.slid) if change else ((), ())
    return Seen(held, frozenset(kept), frozenset(slid))


def test_a_page_and_a_panel_draw_them(ways: Ways, way: Arrangement) -> None:
    figures, charts = Figures(Styles()), Charts()
    shown = charts.of(ways.chosen("best-1"))
    held = list(zip(way.fingerings, way.changes, strict=True))
    for bars, drawn in (
        (view_bars(way, figures), figures.symbols),
        (shown, [*charts.symbols]),
    ):
        bodies = {symbol.name: body for symbol, body in drawn}
        cells = [cell for bar in bars for cell in bar.cells]
        assert len(cells) == len(held) > 10
        for cell, (fingering, change) in zip(cells, held, strict=True):
            assert cell.symbol is not None
            assert seen(bodies[cell.symbol.name]) == meant(fingering, change)


def test_a_page_says_what_they_do(way: Arrangement) -> None:
    cells = [cell for bar in view_bars(way, Figures(Styles())) for cell in bar.cells]
    for cell, change in zip(cells, way.changes, strict=True):
        said = cell.alt.partition("; fingers: ")[2]
        goes_on = change is None or all(move.what == "stays" for move in change.moves)
        assert said == ("" if change is None or goes_on else change.words)


def test_a_score_has_them_in_its_frames(way: Arrangement) -> None:
    """MusicXML 4.0: a frame note's string is counted from the highest, its fingering as text."""
    root = ElementTree.fromstring(to_musicxml(way))
    frames = [
        {
            len(way.instrument.strings) - int(note.findtext("string", "")): finger
            for note in frame.iterfind("frame-note")
            if (finger := note.findtext("fingering"))
        }
        for frame in root.iter("frame")
    ]
    wanted, before = [], None
    held = zip(way.steps, way.fingerings, strict=True)
    for step, fingering in held:
        now = (step.chord, step.voicing, way.tune.playing[step.bar].section)
        if now != before:
            wanted.append(meant(fingering, None).fingers)
        before = now
    assert frames == wanted


def test_a_sheet_draws_them_in_its_pairs(way: Arrangement) -> None:
    """Before and after bear the fingers of the arrangement, the second what they do on the way."""
    figures = sheet.Figures()
    hard = hard_changes(way, 96, 50)
    assert len(hard) > 3
    for one in hard:
        pair = change_pair(one, figures)
        table = figures.table()
        place = way.steps.index(one.after)
        assert one.change == way.changes[place]
        before, after = way.fingerings[place - 1], way.fingerings[place]
        assert seen(table[pair["before"]]["svg"]) == meant(before, None)
        assert seen(table[pair["after"]]["svg"]) == meant(after, one.change)


def test_a_sheet_tells_new_shapes_with_all_their_fingers(way: Arrangement) -> None:
    figures = sheet.Figures()
    shapes = level_shapes(way, Told(), figures)
    assert shapes is not None
    for box in shapes["boxes"]:
        fingerings = dict.fromkeys(
            fingering
            for step, fingering in zip(way.steps, way.fingerings, strict=True)
            if step.voicing and step.voicing.digits == box["digits"] and fingering
        )
        first, *others = [meant(fingering, None).fingers for fingering in fingerings]
        assert seen(figures.table()[box["boxes"]["plain"]]["svg"]).fingers == first
        assert re.findall(r"or fingers (\S+)", box["held"]) == [
            "-".join(other.values()) for other in others
        ]


def test_the_command_tells_each_change_that_matters(way: Arrangement) -> None:
    said = " ".join(" ".join(finger_lines(way)).split())
    count = 0
    for step, after, change in zip(way.steps, way.steps[1:], way.changes[1:], strict=False):
        if change and step.voicing != after.voicing and (change.kept or change.slid):
            assert step.voicing and after.voicing
            assert f"{after.voicing.digits}: {change.words}" in said
            count += 1
    assert count > 3


def test_the_panel_says_what_they_do_beside_the_neck(ways: Ways, way: Arrangement) -> None:
    for place in sounding_steps(way):
        state = replace(ways.state, step=place, chosen="best-1")
        html, change = unescape(page.neck_html(ways, state)), way.changes[place]
        said = re.findall(r"<p>Fingers: (.*?)\.</p>", html)
        assert said == ([change.words] if change else [])
