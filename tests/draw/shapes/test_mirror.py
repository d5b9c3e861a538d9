"""Drawn for the other hand everything is the mirror image; of every size the parts are alike.

Of all instruments that ship, with open, muted, barred and high shapes, and with all kinds of marks.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise, product

import pytest
from lawful import ink, meet

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.board import BOARD_SIZES, NeckLook
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.looks import BOX_SIZES, BoxLook, draw_tuning
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.draw.shapes.on_neck import draw_scale
from harmonykit.draw.tree import Path, Text
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

# Frets string by string, and a chord that has these notes.
SHAPES = [
    ("ukulele", "0003", "C"),
    ("ukulele", "2223", "D7"),
    ("ukulele", "x-9-8-10", "C6"),
    ("guitar", "x32010", "C"),
    ("guitar", "133211", "F"),
    ("guitar", "x-10-12-12-12-x", "G"),
    ("mandolin", "2002", "D"),
    ("five-string banjo", "02012", "Cadd9"),
    ("five-string banjo", "7-7-5-6-7", "Em7"),
]


def shape(name: str, frets: str, *, capo: int = 0) -> Voicing:
    instrument = Instrument.named(name)
    return Voicing.parse(frets, replace(instrument, capo=capo) if capo else instrument)


def parts(drawing: Drawing, *, mirrored: bool) -> Counter[object]:
    """Return what is seen, as multiset: of paths their points, of texts where they stand."""
    wide = drawing.width_mm
    side = {"left": "right", "right": "left", "center": "center"}

    def at(x: float, y: float) -> tuple[float, float]:
        # Places end on quarters of a tenth at the most: none is rounded the one way here, the
        # other there.
        return round((wide - x if mirrored else x) + 0.0013, 2), round(y + 0.0013, 2)

    found: Counter[object] = Counter()
    for path in drawing.sheet.all(Path):
        points = sorted(at(*point) for _, points in path.outline for point in points)
        found[tuple(points), path.fill, path.stroke, round(path.width, 3), path.dash] += 1
    for text in drawing.sheet.all(Text):
        anchor = side[text.anchor] if mirrored else text.anchor
        found[at(text.x, text.baseline), text.text, text.size, text.weight, anchor] += 1
    return found


def assert_mirrored(right: Drawing, left: Drawing) -> None:
    assert (right.width_mm, right.height_mm) == (left.width_mm, left.height_mm)
    one, other = parts(right, mirrored=False), parts(left, mirrored=True)
    assert one == other, (one - other, other - one)


@pytest.mark.parametrize(("name", "frets", "symbol"), SHAPES)
def test_a_box_for_the_left_hand_is_the_mirror_image(name: str, frets: str, symbol: str) -> None:
    voicing, chord = shape(name, frets), Chord.parse(symbol)
    for marks, size, places in product(
        ("plain", "fingers", "roles"), ("plain", "large"), (False, True)
    ):
        right, left = (
            draw_box(
                voicing, chord, marks=marks, was=[1] * len(voicing.frets),
                look=BoxLook(size=size, places=places, left_handed=hand),
            )
            for hand in (False, True)
        )  # fmt: skip
        assert_mirrored(right, left)
        assert left.alt == f"{right.alt} (drawn for the left hand)"
        assert right.sheet.ids == left.sheet.ids
    blank, other = (
        draw_box(voicing, chord, look=BoxLook(blank=True, left_handed=hand))
        for hand in (False, True)
    )
    assert_mirrored(blank, other)
    # Turned about twice, the strings stand where they stood: only the number changes its side.
    twice = draw_box(voicing, look=BoxLook(left_handed=True, reverse_strings=True))
    texts = [(t.text, t.x) for t in draw_box(voicing).sheet.all(Text) if not t.text.isdigit()]
    assert [(t.text, t.x) for t in twice.sheet.all(Text) if not t.text.isdigit()] == texts


@pytest.mark.parametrize("capo", [0, 2])
@pytest.mark.parametrize(("name", "frets", "symbol"), SHAPES)
def test_a_neck_for_the_left_hand_is_the_mirror_image(
    name: str, frets: str, symbol: str, capo: int
) -> None:
    voicing, chord = shape(name, frets, capo=capo), Chord.parse(symbol)
    instrument = voicing.instrument
    other = "-".join("0" if instrument.start(n) else "1" for n in range(len(voicing.frets)))
    pair = [(voicing, chord), (Voicing.parse(other, instrument), None)]
    for size, places in product(BOARD_SIZES, (False, True)):
        looks = [
            NeckLook(frets=7, size=size, places=places, left_handed=hand) for hand in (False, True)
        ]
        assert_mirrored(*(draw_neck(instrument, pair[:1], look=look) for look in looks))
        assert_mirrored(*(draw_neck(instrument, [], look=look) for look in looks))
        assert_mirrored(*(draw_scale(instrument, chord, look=look) for look in looks))
        assert_mirrored(
            *(draw_neck(instrument, pair, names=["", ""], arrows=True, look=look) for look in looks)
        )
    assert_mirrored(*(draw_tuning(instrument, left_handed=hand) for hand in (False, True)))


@pytest.mark.parametrize("name", BOX_SIZES)
def test_a_box_of_any_size_has_the_proportions_of_all(name: str) -> None:
    """Lines are thin beside the gaps of strings, marks nearly as wide, names larger than notes."""
    size = BOX_SIZES[name]
    gap = 5.0 * size.scale
    assert 0.038 <= 0.25 * size.line / gap <= 0.068
    assert 0.83 <= size.mark / gap <= 0.94
    assert 1.3 <= size.name_pt / size.note_pt <= 1.75
    # The numeral of a finger is half as high as its mark, and some more where that is small.
    assert 0.4 <= size.finger_pt * 0.66 * 25.4 / 72 / size.mark <= 0.62
    assert 0.95 <= size.side / size.scale <= 1.15
    assert min(size.note_pt, size.finger_pt) >= (16 if name in ("large", "sheet") else 8)
    # From high to low: the name, o and x, the grid, the notes; nothing touches.
    box = draw_box(shape("ukulele", "0x03"), Chord.parse("C"), name="C", marks="fingers",
                   look=BoxLook(size=name, notes=True))  # fmt: skip
    texts = box.sheet.all(Text)
    (head,) = [t for t in texts if t.size == size.name_pt and t.text == "C"][:1]
    paths = [p for p in box.sheet.all(Path) if p.stroke and not p.fill]
    signs = [p for p in paths if ink(p).bottom < box.origin_mm[1]]
    top = min(ink(p).top for p in signs)
    assert 1.0 < top - head.baseline < 2.4
    notes = [t for t in texts if t.baseline > box.origin_mm[1] + 4 * 5.6 * size.scale]
    bottom = max(ink(p).bottom for p in box.sheet.all(Path))
    # Twice as far as the gap of a line of text, and more in larger boxes.
    assert 1.85 < (ink(notes[0]).top - bottom) / size.scale < 2.9
    assert 0.8 < box.height_mm - notes[0].baseline < 1.5
    boxes = [ink(t) for t in notes]
    assert all(not meet(a, b, 0.3) for a, b in pairwise(sorted(boxes)))


@pytest.mark.parametrize("name", BOARD_SIZES)
def test_a_board_of_any_size_has_the_proportions_of_all(name: str) -> None:
    size, plain = BOARD_SIZES[name], BOARD_SIZES["plain"]
    scale = size.string / plain.string
    for field in ("mark", "label_x", "open_x", "nut_x", "number_down", "name_up", "row"):
        # Lengths grow together, by a tenth more or less.
        assert getattr(size, field) / getattr(plain, field) == pytest.approx(scale, rel=0.1), field
    for field in ("letter_pt", "label_pt", "number_pt", "name_pt"):
        assert getattr(size, field) / getattr(plain, field) == pytest.approx(scale, rel=0.1), field
    assert size.line == pytest.approx(1.2 * scale, rel=0.01) or name == "plain"
    # A letter is two fifths of its mark, a mark two thirds of the way from string to string.
    assert 0.6 <= size.mark / size.string <= 0.7
    assert 0.35 <= size.letter_pt * 0.66 * 25.4 / 72 / size.mark <= 0.42
    assert size.number_pt < size.name_pt and size.letter_pt < size.label_pt


@pytest.mark.parametrize("size", BOARD_SIZES)
@pytest.mark.parametrize("name", ["ukulele", "guitar", "mandolin"])
def test_wires_end_flush_with_the_outer_strings(name: str, size: str) -> None:
    """A wire ends where the outer line of the outer string does, not at its middle."""
    neck = draw_neck(name, [], look=NeckLook(size=size))
    board = neck.sheet.all(Path)[0]
    level = [s for s in board.strokes() if s[0][1] == s[-1][1]]
    upright = [s for s in board.strokes() if s[0][0] == s[-1][0]]
    top, bottom = min(s[0][1] for s in level), max(s[0][1] for s in level)
    half = board.width / 2
    for (_, y0), (_, y1) in upright:
        assert (y0, y1) == pytest.approx((top - half, bottom + half), abs=0.001)
    nut = neck.sheet.all(Path)[1]
    assert (nut.box.top, nut.box.bottom) == pytest.approx((top - half, bottom + half), abs=0.001)
    assert nut.box.right == pytest.approx(min(x for (x, _), _ in level), abs=0.001)
    for voicing in (shape(name, "-".join("1" * len(Instrument.named(name).strings))),):
        grid = draw_box(voicing, look=BoxLook(size="large" if size == "large" else "plain"))
        lines = grid.sheet.all(Path)[0]
        xs = [s[0][0] for s in lines.strokes() if s[0][0] == s[-1][0]]
        for (x0, y0), (x1, y1) in lines.strokes():
            if y0 == y1:
                ends = min(xs) - lines.width / 2, max(xs) + lines.width / 2
                assert (x0, x1) == pytest.approx(ends, abs=0.001)


LABELS = ["G", "C6(add9)/E", "a name of some length", "F", "B♭m7♭5", "another long name", "E7"]


@pytest.mark.parametrize("turn", range(len(LABELS)))
def test_names_stand_in_as_few_rows_as_they_find_none_over_another(turn: int) -> None:
    """Each in the lowest row where a mm stays free at its left; three rows here."""
    frets = ["2-2-2-2", "3-3-3-3", "3-3-3-4", "4-4-4-4", "5-5-5-5", "6-6-6-6", "7-7-7-7"]
    labels = [*LABELS[turn:], *LABELS[:turn]]
    ukulele = Instrument.named("ukulele")
    shapes = [(Voicing.parse(f, ukulele), None) for f in frets]
    sheet = draw_neck(ukulele, shapes, names=labels).sheet
    names = [t for t in sheet.all(Text) if t.size == 10.5]
    assert sorted(t.text for t in names) == sorted(labels)
    levels = sorted({t.baseline for t in names}, reverse=True)
    assert 2 <= len(levels) <= 4
    assert [a - b for a, b in pairwise(levels)] == pytest.approx([4.6] * (len(levels) - 1))
    rows = [[t for t in names if t.baseline == level] for level in levels]
    for row in rows:
        for one, other in pairwise(sorted(row, key=lambda t: t.x)):
            assert other.box.left - one.box.right > 1.0
    for number, row in enumerate(rows):
        for name in row:
            for lower in rows[:number]:
                before = [t for t in lower if t.x <= name.x]
                assert any(t.box.right + 1.0 >= name.box.left for t in before)
    assert 5.2 < min(p.box.top for p in sheet.all(Path) if p.stroke) - levels[0] + 0.2 < 5.6


@pytest.mark.parametrize("frets", [4, 5, 6])
@pytest.mark.parametrize("left_handed", [False, True])
def test_a_string_that_begins_past_the_end_of_what_is_shown_is_left_out(
    frets: int, left_handed: bool
) -> None:
    """The short string of a banjo begins at fret 5: common practice, no source."""
    look = NeckLook(frets=frets, left_handed=left_handed, places=True)
    sheet = draw_neck("five-string banjo", [], look=look).sheet
    shown = frets > 5
    blocks = [p.box for p in sheet.all(Path) if p.fill == "ink" and len(p.points) == 4]
    assert len(blocks) == 1 + shown
    assert ("line-1" in sheet.ids) == shown
    assert [name for name in sheet.ids if name.startswith("string-1-")] == (
        ["string-1-fret-0", "string-1-fret-6"] if shown else []
    )
    names = [t.text for t in sheet.all(Text) if t.weight == 600 and t.text.isalpha()]
    assert names == (["g"] if shown else []) + ["D", "G", "B", "D"]
    if shown:
        nut, peg = blocks
        # Both as thick, the piece 3.2 mm high about its string, its edge on the wire of fret 5.
        assert peg.width == pytest.approx(nut.width) == pytest.approx(1.0)
        assert peg.height == pytest.approx(3.2)
        (line,) = sheet.all(Path, within="line-1")
        assert peg.middle[1] == pytest.approx(line.box.top)
        (wire,) = sheet.all(Path, within="wire-5")
        edge = peg.left if left_handed else peg.right
        assert edge == pytest.approx(wire.box.left)
