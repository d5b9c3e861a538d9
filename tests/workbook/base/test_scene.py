"""Scenes: the still picture stands alone, the live one is drawn once and safe to insert."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from harmonykit.draw.base.style import PALETTES
from harmonykit.workbook import notebook as workbook
from harmonykit.workbook.base.panel import Panel
from harmonykit.workbook.base.scene import Line, Look, Scene, Shown, Spot, letters, path

ALL = [
    workbook.ClockPanel("C7", axes=True),
    workbook.NeckPanel("C6"),
    workbook.OneNotePanel(),
    workbook.ChordScalePanel(),
    workbook.DistancePanel(),
    workbook.CubePanel(),
    workbook.CataloguePanel(),
]
each_panel = pytest.mark.parametrize("panel", ALL, ids=lambda panel: panel.kind)
SVG = "{http://www.w3.org/2000/svg}"


def small() -> Scene:
    spots = (Spot("a", 5, 5), Spot("b", 15, 5, press=False, anchor="start"))
    return Scene(20, 10, "<g/>", spots, (Line("way", 0.5, dash=(1.0, 1.0)),), title="two & two")


def test_what_is_not_shown_is_not_in_the_still_picture() -> None:
    svg = small().still(Shown({"a": Look("root", "C", "C, on", True)}, {}, "C < D")).svg
    assert 'id="a"' in svg and 'id="b"' not in svg and "<path data-line" not in svg
    assert 'aria-label="C &lt; D"' in svg and "hk-mark-root" in svg and "hk-mark-third" not in svg


def test_a_look_may_stand_elsewhere_and_letters_are_escaped() -> None:
    svg = small().still(Shown({"a": Look("plain", "<&", at=(10.0, 5.0))}, {"way": "M0 0"}, "")).svg
    assert "translate(28.35 14.17)" in svg and "&lt;&amp;" in svg and 'd="M0 0"' in svg


def test_the_live_picture_has_every_spot_and_says_which_can_be_pressed() -> None:
    svg = small().live()
    assert svg.count("data-part=") == 2 and svg.count("data-press=") == 1
    assert 'role="group" aria-label="two &amp; two"' in svg and 'data-line="way"' in svg


def test_letters_are_in_variables_for_light_and_dark() -> None:
    assert letters()["open-here"] == letters()["open"] != letters()[""]
    assert letters()["off"] == ("var(--soft)", 400) and letters()[""][0] == "var(--paper)"
    assert path([(0, 0), (25.4, 0), (0, 25.4)], closed=True).endswith("0.00 72.00Z")


@each_panel
def test_pictures_are_sound_and_bring_their_colours(panel: Panel[object]) -> None:
    """Well-formed; every mark that is used is there; no colour but the palette's."""
    svg = panel.draw().svg
    tree = ElementTree.fromstring(svg)
    ids = {each.get("id") for each in tree.iter() if each.get("id")}
    used = {(each.get("href") or "")[1:] for each in tree.iter(f"{SVG}use")}
    assert used <= ids
    assert set(re.findall("#[0-9a-f]{6}", svg)) <= set(PALETTES["colour"].tokens.values())
    sizes = [float(each.get("font-size") or 99) for each in tree.iter(f"{SVG}text")]
    assert min(sizes, default=8) >= 8


@each_panel
def test_all_that_can_be_pressed_has_a_name_for_the_ear(panel: Panel[object]) -> None:
    looks = panel._now.looks
    named = [part for part in panel.parts() if looks.get(part, Look()).name]
    assert named and all(looks[part].name != part for part in named)


@each_panel
def test_the_same_state_gives_the_same_bytes(panel: Panel[object]) -> None:
    assert panel.draw().svg == type(panel).from_text(panel.share()).draw().svg
