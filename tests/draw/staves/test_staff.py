"""Bars on a staff and on pages: the notes that shapes sound, their symbols, nothing refused."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.passes import alike_each_time
from harmonykit.arrange.search import reharmonise
from harmonykit.draw.base.colours import palette
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.staves import staff
from harmonykit.draw.staves.staff import bars_between, draw_staff, staff_pages
from harmonykit.draw.tree import Group, Mark, Path
from harmonykit.errors import HarmonyError
from harmonykit.theory.note import Note
from harmonykit.tune.bar import BarNote
from harmonykit.tune.tune import Section, Tune

Arranged = Callable[..., Arrangement]
SVG = "{http://www.w3.org/2000/svg}"
# SMuFL 1.4: whole, half and black note heads.
HEADS = ("E0A2", "E0A3", "E0A4")
LETTERS = "CDEFGAB"
BARS = "C=0003 | F=2010 | C6=0000 G7:2=0212 | Am=2000 | Dm=2210 | C=0003"


def places(drawing: Drawing) -> Iterator[tuple[str, float, float]]:
    """Yield each glyph of the music with its place."""
    for mark in drawing.sheet.all(Mark):
        yield mark.role, mark.x, mark.y


def lines(drawing: Drawing) -> list[float]:
    """Return the heights of the first staff's five lines, the lowest first."""
    level = [p.box for p in drawing.sheet.all(Path) if p.stroke and len(p.points) == 2]
    level = [box for box in level if box.height < 1e-9 and box.width > 9]
    return sorted({round(box.top, 6) for box in level}, reverse=True)[-5:]


def chords(drawing: Drawing) -> list[list[str]]:
    """Return the letters and octaves of the note heads, column by column, by the treble clef."""
    staff = lines(drawing)
    step = (staff[0] - staff[1]) / 2
    columns: dict[float, list[str]] = defaultdict(list)
    for glyph, x, y in sorted(places(drawing), key=lambda place: (place[1], -place[2])):
        if glyph in HEADS:
            # Notes a step apart stand side by side in one chord.
            near = next((c for c in columns if abs(c - x) < 5), x)
            place = round((staff[0] - y) / step) + 2 + 4 * 7  # the lowest line is E4
            columns[near].append(f"{LETTERS[place % 7]}{place // 7}")
    return [
        sorted(column, key=lambda n: (n[1], LETTERS.index(n[0]))) for column in columns.values()
    ]


def texts(drawing: Drawing) -> list[str]:
    return list(drawing.sheet.texts)


def test_the_notes_are_those_that_the_shapes_sound(arranged: Arranged) -> None:
    # By hand on g C E A: 0-0-0-3 is G4 C4 E4 C5; 2-0-1-0 is A4 C4 F4 A4 (one note on two strings).
    assert chords(draw_staff(arranged(BARS), 1, 2)) == [
        ["C4", "E4", "G4", "C5"],
        ["C4", "F4", "A4"],
    ]
    # 0-0-0-0 is G4 C4 E4 A4, and 0-2-1-2 is G4 D4 F4 B4.
    assert chords(draw_staff(arranged(BARS), 3, 3)) == [
        ["C4", "E4", "G4", "A4"],
        ["D4", "F4", "G4", "B4"],
    ]


def test_a_guitar_is_written_an_octave_above_its_sound(arranged: Arranged) -> None:
    # x-3-2-0-1-0 is C3 E3 G3 C4 E4.
    guitar = arranged("C=x32010 | G=320003", instrument="guitar")
    assert chords(draw_staff(guitar, 1, 1)) == [["C4", "E4", "G4", "C5", "E5"]]


def test_symbols_stand_above_and_shapes_below(arranged: Arranged) -> None:
    drawing = draw_staff(arranged(BARS), 3, 4)
    assert [t for t in texts(drawing) if t[:1].isalpha() and t != "A"] == ["C6", "G7", "Am"]
    # Each shape is a grid of four strings and, up to the fourth fret, five lines across and a nut.
    shapes = drawing.sheet.all(Group, "shape")
    assert [shape.alt for shape in shapes] == ["frets 0 0 0 0", "frets 0 2 1 2", "frets 2 0 0 0"]
    symbols = [group.box.left for group in drawing.sheet.all(Group, "harm")]
    for shape, left in zip(shapes, symbols, strict=True):
        assert shape.box.left < left < shape.box.right and shape.box.top > lines(drawing)[0]
    assert drawing.alt == (
        "Ebb at the Weir, bars 3 to 4 on a staff: C six as 0-0-0-0, G seven as 0-2-1-2; "
        "A minor as 2-0-0-0"
    )
    assert draw_staff(arranged(BARS), 4, 4).alt.startswith("Ebb at the Weir, bar 4 on a staff: ")
    assert f'aria-label="{drawing.alt}"' in drawing.svg


def test_what_holds_before_a_bar_is_shown_in_it(arranged: Arranged) -> None:
    whole = arranged("C=0003 | C=0003 | C=0003 | F=2010", (3, 4), key="Bb")
    drawing = draw_staff(whole, 2, 4)
    # The chord that only lasts on, the metre (SMuFL E083, E084) and two flats (E260).
    assert [t for t in texts(drawing) if t in ("C", "F")] == ["C", "F"]
    glyphs = [glyph for glyph, _, _ in places(drawing)]
    assert glyphs.count("E083") == glyphs.count("E084") == 1 and glyphs[:1] == ["E050"]
    assert glyphs.count("E260") >= 2
    assert "2" in texts(drawing)


def test_a_line_has_four_bars_and_all_lines_are_as_wide_as_the_page(arranged: Arranged) -> None:
    whole = draw_staff(arranged(BARS))
    assert [glyph for glyph, _, _ in places(whole)].count("E050") == 2
    for system in whole.sheet.all(Group, "system"):
        assert 0.95 * 174 < system.box.right <= 174.1
    assert whole.width_mm == 174 and whole.height_mm > draw_staff(arranged(BARS), 1, 4).height_mm


def test_a_melody_stands_above(arranged: Arranged) -> None:
    arrangement = arranged("C=0003 | F=2010", tempo=60)
    sung = BarNote(Note.parse("E5"), Fraction(0), Fraction(4))
    bars = (replace(arrangement.tune.bars[0], melody=(sung,)), *arrangement.tune.bars[1:])
    tune = replace(arrangement.tune, sections=(Section("A", bars),))
    drawing = draw_staff(replace(arrangement, tune=tune))
    assert texts(drawing).count("A") == 1  # the section's name, once
    assert "Melody" in texts(drawing) and "Ukulele" in texts(drawing)
    # The melody's E5 stands in the highest gap of the upper staff.
    staff = lines(drawing)
    heads = [y for glyph, _, y in places(drawing) if glyph in HEADS and y <= staff[0] + 0.01]
    assert heads == [pytest.approx((staff[-1] + staff[-2]) / 2, abs=0.02)]


@pytest.mark.parametrize("colours", ["colour", "one ink"])
def test_nothing_is_left_that_a_strict_page_would_refuse(arranged: Arranged, colours: str) -> None:
    drawing = draw_staff(arranged(BARS), palette=colours)
    root = ET.fromstring(drawing.svg)
    assert not [e for e in root.iter() if "style" in e.attrib or e.tag == SVG + "style"]
    assert {part.fill for part in drawing.sheet.all(Path)} == {"ink", ""}
    assert palette(colours).ink in drawing.svg
    assert not [e for e in root.iter() if "id" in e.attrib]
    assert not [c for c in drawing.svg if 0xE000 <= ord(c) <= 0xF8FF]
    # What is not filled has a line.
    assert all(path.stroke or path.fill for path in drawing.sheet.all(Path))


@pytest.mark.parametrize(("first", "last"), [(0, 2), (3, 2), (5, 7), (9, None)])
def test_bars_that_are_not_there_are_refused(
    arranged: Arranged, first: int, last: int | None
) -> None:
    with pytest.raises(HarmonyError, match="bars 1 to 6"):
        draw_staff(arranged(BARS), first, last)


def test_a_pickup_is_bar_nought(arranged: Arranged) -> None:
    arrangement = arranged("C=0003 | F=2010 | C=0003", pickup=Fraction(1))
    assert bars_between(arrangement) == range(3)
    assert bars_between(arrangement, 0, 1) == range(2)
    assert draw_staff(arrangement, 0, 0).alt.endswith(", the pick-up on a staff: C as 0-0-0-3")
    assert ", the pick-up to bar 1 on a staff: " in draw_staff(arrangement, 0, 1).alt


def test_the_same_bytes_twice(arranged: Arranged) -> None:
    assert draw_staff(arranged(BARS), 2, 3) == draw_staff(arranged(BARS), 2, 3)


def test_a_pickup_stands_before_the_first_four_and_the_metre_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """By hand: pick-up and bars 1 to 4, then 5 to 8, then the last two; a repeat is kept."""
    lines: list[tuple[range, bool]] = []
    drawn = staff.draw_measures

    def spy(score, bars, palette, *, a_line, goes_on):
        assert a_line == len(bars)
        lines.append((bars, goes_on))
        return drawn(score, bars, palette, a_line=a_line, goes_on=goes_on)

    monkeypatch.setattr(staff, "draw_measures", spy)
    tune = Tune.parse(
        "| {1 quarter} G7 |: C | F | G7 | C | F | C | [1 G7 | C :| [2 G7 | C |", key="C"
    )
    way = reharmonise(tune, "ukulele", (), k=1)[0]
    (page,) = staff_pages(alike_each_time(way)[0], title="Ebb at the Weir", paper="letter")
    assert lines == [(range(5), False), (range(5, 9), True), (range(9, 11), True)]
    assert "Ebb at the Weir" in page.svg
