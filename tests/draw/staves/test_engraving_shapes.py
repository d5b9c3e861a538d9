"""Shapes under the staff: which, where, and that nothing lies over anything."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import to_musicxml
from harmonykit.draw.staves.engraving import add_shapes, engrave, frames_of
from harmonykit.draw.tree import Group, Part, Path, Sheet, Text, walk
from harmonykit.errors import HarmonyError

Arranged = Callable[..., Arrangement]
BARS = "C=0003 F:2=2010 | Bb7=1211 NC:2 | G7=0212 | C=0003 | F=2010 | C=5-4-3-3"


def engraved(arrangement: Arrangement, width_mm: float = 120) -> Sheet:
    return engrave(to_musicxml(arrangement), width_mm, shapes=True).sheet


def shapes(sheet: Sheet) -> list[str]:
    return [group.alt for group in sheet.all(Group, "shape")]


def within(group: Group, kind: type[Path] | type[Text]) -> list[Part]:
    return [part for part in walk([group]) if isinstance(part, kind)]


def test_each_symbol_has_its_shape_in_the_instruments_order(arranged: Arranged) -> None:
    found = shapes(engraved(arranged(BARS)))
    said = ["0 0 0 3", "2 0 1 0", "1 2 1 1", "0 2 1 2", "0 0 0 3", "2 0 1 0", "5 4 3 3"]
    assert found == [f"frets {frets}" for frets in said]
    guitar = engraved(arranged("A=x02220 | E=022100", instrument="guitar"))
    assert shapes(guitar) == ["frets x 0 2 2 2 0", "frets 0 2 2 1 0 0"]


def test_marks_stand_at_their_frets(arranged: Arranged) -> None:
    (shape,) = engraved(arranged("F=2010")).all(Group, "shape")
    grid, _, *marks = within(shape, Path)
    left, top = grid.box.left, grid.box.top
    # Strings 1.6 mm apart, frets 2 mm; open strings are hollow, above the nut.
    found = sorted((m.box.middle[0] - left, m.box.middle[1] - top, m.fill) for m in marks)
    assert [fill for *_, fill in found] == ["ink", "", "ink", ""]
    assert [x for x, *_ in found] == pytest.approx([0, 1.6, 3.2, 4.8])
    assert [y for _, y, _ in found] == pytest.approx([3.0, -0.95, 1.0, -0.95])


def test_up_the_neck_the_first_fret_is_said(arranged: Arranged) -> None:
    (shape,) = engraved(arranged("C=9-9-8-10")).all(Group, "shape")
    assert [text.text for text in within(shape, Text)] == ["8"]


def test_systems_and_shapes_do_not_lie_over_each_other(arranged: Arranged) -> None:
    shown, plain = (engrave(to_musicxml(arranged(BARS)), 90, shapes=s) for s in (True, False))
    pairs = zip(*(d.sheet.all(Group, "system") for d in (shown, plain)), strict=True)
    # Each system goes down by one shape more: four rows, and what is above and below.
    moved = [one.parts[0].box.top - other.parts[0].box.top for one, other in pairs]
    assert len(moved) > 1
    assert moved == pytest.approx([n * (3.8 + 4 * 2.0 + 2.5) for n in range(len(moved))])
    assert shown.height_mm - plain.height_mm == pytest.approx(len(moved) * 14.3)
    boxes = [system.box for system in shown.sheet.all(Group, "system")]
    assert all(one.bottom < other.top for one, other in zip(boxes, boxes[1:], strict=False))


def test_close_chords_have_shapes_that_leave_each_other_room(arranged: Arranged) -> None:
    bars = "A=x02220 E:1=022100 A:2=x02220 E:3=022100 | A=x02220"
    sheet = engraved(arranged(bars, instrument="guitar"), 100)
    boxes = [within(shape, Path)[0].box for shape in sheet.all(Group, "shape")]
    assert len(boxes) == 5
    assert all(one.right < other.left for one, other in zip(boxes[:4], boxes[1:], strict=False))
    # Six strings 1.6 mm apart are 8 mm wide.
    assert all(4 <= box.width <= 8.001 for box in boxes)


def test_without_frames_nothing_is_drawn_and_nothing_moves(arranged: Arranged) -> None:
    score = re.sub(r"<frame .*?</frame>", "", to_musicxml(arranged(BARS)), flags=re.S)
    assert frames_of(ET.fromstring(score.split("\n", 2)[2])) == [None] * 8
    shown, plain = (engrave(score, 120, shapes=drawn) for drawn in (True, False))
    assert shapes(shown.sheet) == [] and shown.sheet.parts == plain.sheet.parts


def test_another_svg_is_refused() -> None:
    with pytest.raises(HarmonyError, match="no systems"):
        add_shapes(Sheet(1, 1, ()), [])


def test_shapes_stand_close_under_the_lowest_line_of_their_system(arranged: Arranged) -> None:
    """The gap is 3.8 mm, from the staff's last line or what hangs below it."""
    for system in engraved(arranged(BARS), 90).all(Group, "system"):
        drawn = [shape for shape in walk([system]) if shape.role == "shape"]
        inside = {id(part) for part in walk(drawn)}
        lines = [p for p in within(system, Path) if p.stroke and id(p) not in inside]
        top = min(within(shape, Path)[0].box.top for shape in drawn)
        assert top - max(line.box.bottom for line in lines) == pytest.approx(3.8)
