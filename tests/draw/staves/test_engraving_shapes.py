"""Shapes under the staff: which, where, and that nothing lies over anything."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import pytest
from lawful import ink

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import to_musicxml
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.staves.engraving import (
    Frame,
    _Shape,
    _sizes,
    add_shapes,
    engrave,
    frames_of,
)
from harmonykit.draw.tree import Group, Part, Path, Sheet, Text, polyline, walk
from harmonykit.draw.tree import Mark as MarkPart
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


# Six strings 1.6 mm apart, rows 2 mm high, by hand: the middle of the shape is its third gap.
SIX = (-4.0, -2.4, -0.8, 0.8, 2.4, 4.0)


@pytest.mark.parametrize(
    ("frets", "first", "rows"),
    [("x32010", 1, 4), ("133211", 1, 4), ("x-10-12-12-12-x", 9, 4), ("3-x-0-0-0-7", 3, 5)],
)
@pytest.mark.parametrize("size", [1.0, 0.5])
def test_a_shape_is_a_grid_with_its_marks_between_the_wires(
    frets: str, first: int, rows: int, size: float
) -> None:
    """Strings upright, wires level, nut or number, and each mark on its string in its row."""
    cells = frets.split("-") if "-" in frets else [*frets]
    played = tuple(None if cell == "x" else int(cell) for cell in cells)
    canvas = Canvas(50, 50)
    _Shape(canvas, Frame(played[::-1], first, rows), 20.0, 10.0, size).draw()
    grid, *rest = canvas.parts
    assert isinstance(grid, Path) and grid.width == pytest.approx(0.15 * size)
    strings = [((20 + x * size, 10), (20 + x * size, 10 + 2 * rows * size)) for x in SIX]
    wires = [((20 - 4 * size, 10 + n * 2 * size), (20 + 4 * size, 10 + n * 2 * size))
             for n in range(rows + 1)]  # fmt: skip
    found = [tuple(point for point in stroke) for stroke in grid.strokes()]
    for one, other in zip(found, [*strings, *wires], strict=True):
        assert one[0] == pytest.approx(other[0]) and one[1] == pytest.approx(other[1])
    head, *marks = rest
    if first == 1:
        assert isinstance(head, Path) and head.width == pytest.approx(0.5 * size)
        assert head.ends[0] == pytest.approx(wires[0][0])
        assert head.ends[1] == pytest.approx(wires[0][1])
    else:
        assert isinstance(head, Text) and (head.text, head.anchor) == (str(first), "right")
        # Beside the first row, in its middle by half of a figure's height.
        assert 20 - 4 * size - head.x == pytest.approx(0.9 * size)
        assert ink(head).middle[1] == pytest.approx(10 + 1.0 * size, abs=0.06)
    for mark, fret, x in zip(marks, played[::-1], reversed(SIX), strict=True):
        assert mark.box.middle[0] == pytest.approx(20 + x * size)
        assert isinstance(mark, Path) == (fret is not None)
        if isinstance(mark, Path) and fret is not None:
            y = -0.95 if fret == 0 else 2.0 * (fret - first) + 1.0
            assert mark.box.middle[1] == pytest.approx(10 + y * size)
            # A ring is smaller than a disc, with the lines of the grid; two discs do not touch.
            ring = (0.9 * size, "", "ink", 0.15 * size)
            looks = (mark.box.width, mark.fill, mark.stroke, mark.width)
            assert looks == pytest.approx(ring if fret == 0 else (1.24 * size, "ink", "", 0.0))
        else:
            assert isinstance(mark, Text) and mark.text == "×"
            assert ink(mark).bottom == pytest.approx(10 - 0.5 * size)
    texts = [part for part in rest if isinstance(part, Text)]
    assert {text.size for text in texts} <= {5.95 * size}


def test_a_shape_is_no_larger_than_its_room_and_no_smaller_than_half() -> None:
    """By hand: six strings are 8 mm wide, four 4.8; 2.4 mm stay free to the next symbol."""
    six, four = Frame((0,) * 6, 1, 4), Frame((0,) * 4, 1, 4)
    assert [*_sizes([six, four, None], [0.0, 8.0, 40.0])] == pytest.approx([0.7, 1.0, 1.0])
    assert [*_sizes([six, four], [3.0, 0.0])] == pytest.approx([0.5, 0.5])
    assert [*_sizes([six, four], [0.0, 6.0])] == pytest.approx([0.5, 0.75])
    assert [*_sizes([six], [0.0])] == [1.0]
    # One string has no width to be scaled.
    assert [*_sizes([Frame((0,), 1, 4), six], [0.0, 1.0])] == [1.0, 0.5]


def test_a_frame_that_says_nothing_or_nonsense_is_taken_as_usual() -> None:
    """MusicXML 4.0, frame: strings and frets are positive; the first fret is 1 where not given."""
    harmony = (
        "<score><harmony><frame><frame-strings>{}</frame-strings><frame-frets>{}</frame-frets>"
        "<first-fret>{}</first-fret><frame-note><string>{}</string><fret>{}</fret></frame-note>"
        "</frame></harmony></score>"
    )

    def read(*said: str) -> Frame | None:
        (frame,) = frames_of(ET.fromstring(harmony.format(*said)))
        return frame

    assert read("4", "5", "3", "4", "4") == Frame((None, None, None, 4), 3, 5)
    assert read("4", "5", "3", "1", "0") == Frame((0, None, None, None), 3, 5)
    for strings in ("5", "0"):
        # A string that there is not has no note.
        assert read("4", "4", "1", strings, "2") == Frame((None,) * 4, 1, 4)
    assert read("many", "", "-2", "1", "x") == Frame((None,) * 6, 1, 4)
    assert read("99", "99", "99", "12", "3") == Frame((*(None,) * 11, 3), 36, 12)
    assert read("1", "1", "1", "1", "1") == Frame((1,), 1, 1)
    assert read("0", "0", "0", "1", "1") == Frame((1,), 1, 1)
    (bare,) = frames_of(ET.fromstring("<score><harmony><frame/></harmony></score>"))
    assert bare == Frame((None,) * 6, 1, 4)


def test_of_a_system_the_lowest_line_counts_and_no_hollow_part() -> None:
    """A clef hangs below its staff by its shape, not by the middle by which it is placed."""
    line = Path(polyline([(0, 5), (9, 5)]), stroke="ink", width=0.2)
    block = Path(polyline([(0, 0), (9, 0), (9, 30)], closed=True), fill="ink")
    clef = MarkPart("E050", 1.0, 7.0, 4.0, (block,))
    name = Group((Path(polyline([(3, 1), (4, 1)]), fill="ink"),), role="harm")
    frames = [Frame((0, 0), 1, 2)]
    for lowest, parts in ((5.0, (line, block)), (7.0, (line, clef))):
        drawn = add_shapes(Sheet(9, 40, (Group((*parts, name), role="system"),)), frames)
        (shape,) = drawn.all(Group, "shape")
        assert within(shape, Path)[0].box.top == pytest.approx(lowest + 3.8)
        # Half a note head, 0.9 mm, right of where the symbol begins.
        assert within(shape, Path)[0].box.middle[0] == pytest.approx(3 + 0.9)
        assert drawn.height == pytest.approx(40 + 3.8 + 2 * 2 + 2.5)
