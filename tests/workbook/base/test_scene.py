"""Scenes: the still picture stands alone, the live one is drawn once and safe to insert."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree

import pytest

from harmonykit import workbook
from harmonykit.draw.base.colours import PALETTES
from harmonykit.draw.tree import Mark, Path, Text, polyline
from harmonykit.workbook.base.panel import Panel
from harmonykit.workbook.base.scene import Line, Look, Scene, Shown, Spot, letters

ALL = [
    workbook.ClockPanel("C7", axes=True),
    workbook.NeckPanel("C6"),
    workbook.OneNotePanel(),
    workbook.ChordScalePanel(),
    workbook.DistancePanel(),
    workbook.CubePanel(),
    workbook.CataloguePanel(),
    workbook.ChangesPanel(folder=None),
    workbook.HearingPanel(),
]
each_panel = pytest.mark.parametrize("panel", ALL, ids=lambda panel: panel.kind)


def small() -> Scene:
    spots = (Spot("a", 5, 5), Spot("b", 15, 5, press=False, anchor="start"))
    return Scene(20, 10, (), spots, (Line("way", 0.5, dash=(1.0, 1.0)),), title="two & two")


def test_what_is_not_shown_is_not_in_the_still_picture() -> None:
    still = small().still(Shown({"a": Look("root", "C", "C, on", True)}, {}, "C < D"))
    assert still.sheet.ids == ("a",) and still.alt == "C < D"
    (mark,) = still.sheet.all(Mark)
    assert (mark.role, mark.x, mark.y) == ("root", 5, 5) and still.sheet.texts == ("C",)


def test_a_look_may_stand_elsewhere_and_letters_are_escaped() -> None:
    course = polyline([(0, 0), (1, 1)])
    looks = {"a": Look("plain", "<&", at=(10.0, 5.0)), "b": Look("plain", "B")}
    still = small().still(Shown(looks, {"way": course}, ""))
    moved, own = still.sheet.all(Text)
    assert (moved.x, own.x, own.anchor) == (10, 15, "left") and "&lt;&amp;" in still.svg
    assert still.sheet.all(Path, within="way")[0].outline == course


def test_the_live_picture_has_every_spot_and_says_which_can_be_pressed() -> None:
    svg = small().live()
    assert svg.count("data-part=") == 2 and svg.count("data-press=") == 1
    assert 'role="group" aria-label="two &amp; two"' in svg and 'data-line="way"' in svg


def test_letters_are_in_variables_for_light_and_dark() -> None:
    assert letters()["open-here"] == letters()["open"] != letters()[""]
    assert letters()["off"] == ("var(--soft)", 400) and letters()[""][0] == "var(--paper)"


@each_panel
def test_the_picture_holds_all_that_is_drawn_on_it(panel: Panel[Any]) -> None:
    scene = panel._scene(panel.state)
    for part in scene.background:
        assert -0.5 < part.box.left and part.box.right < scene.width + 0.5
        assert -0.5 < part.box.top and part.box.bottom < scene.height + 0.5
    for spot in scene.spots:
        assert 0 <= spot.x <= scene.width and 0 <= spot.y <= scene.height


@each_panel
def test_pictures_are_sound_and_bring_their_colours(panel: Panel[object]) -> None:
    """Well-formed, with ids of their own; no colour but the palette's, no type under 8 points."""
    drawing = panel.draw()
    ElementTree.fromstring(drawing.svg)
    assert len(set(drawing.sheet.ids)) == len(drawing.sheet.ids)
    assert set(re.findall("#[0-9a-f]{6}", drawing.svg)) <= {*PALETTES["colour"].tokens.values()}
    assert min((text.size for text in drawing.sheet.all(Text)), default=8) >= 8


@each_panel
def test_the_live_picture_is_sound_and_follows_light_and_dark(panel: Panel[object]) -> None:
    live = panel._scene(panel._state).live()
    ElementTree.fromstring(live)
    assert not re.findall("#[0-9a-f]{6}", live) and "var(--ink)" in live


@each_panel
def test_all_that_can_be_pressed_has_a_name_for_the_ear(panel: Panel[object]) -> None:
    looks = panel._now.looks
    named = [part for part in panel.parts() if looks.get(part, Look()).name]
    assert named and all(looks[part].name != part for part in named)


@each_panel
def test_the_same_state_gives_the_same_bytes(panel: Panel[object]) -> None:
    assert panel.draw().svg == type(panel).from_text(panel.share()).draw().svg
