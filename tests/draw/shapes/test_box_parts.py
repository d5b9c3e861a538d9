"""What samples lack: six strings, barres, muted, doubled and short strings, a capo, the other hand.

Places are counted by hand from the box's own lengths: strings 5 mm apart, rows 5.6.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from lawful import ink, lawful

from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box import BOX_SIZES, draw_box
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.draw.tree import Group, Mark, Path, Point, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Barre, Fingering
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
MANDOLIN, BANJO = Instrument.named("mandolin"), Instrument.named("five-string banjo")
F = Chord.parse("F")
# The F that every guitar book has, and its fingers: common practice, no source.
F_SHAPE = Voicing.parse("133211", GUITAR)
F_FINGERS = Fingering((1, 3, 4, 2, 1, 1), (Barre(1, 1, 0, 5),))


def points(drawing: Drawing, name: str) -> list[Point]:
    """Return the corners of all that is drawn under an id, in mm."""
    boxes = [path.box for path in drawing.sheet.all(Path, within=name)]
    return [corner for box in boxes for corner in (box[:2], box[2:])]


def middle(drawing: Drawing, name: str) -> Point:
    return drawing.sheet.find(name).box.middle


def column(drawing: Drawing, x: float) -> float:
    """Return which place from the left an x is, counted in strings."""
    return (x - drawing.origin_mm[0]) / 5


def ids(drawing: Drawing) -> list[str]:
    return list(drawing.sheet.ids)


def texts(drawing: Drawing) -> list[tuple[str, float]]:
    return [(text.text, text.x) for text in drawing.sheet.all(Text)]


def test_a_barre_is_a_bar_from_its_first_string_to_its_last() -> None:
    box = draw_box(F_SHAPE, F, marks="fingers", look=BoxLook(fingering=F_FINGERS))
    (x0, y0), (x1, y1) = points(box, "barre-1")
    assert [column(box, x) for x in (x0, x1)] == pytest.approx([0, 5], abs=0.01)
    assert y0 == y1 == pytest.approx(box.origin_mm[1] + 2.8, abs=0.01)
    # It lies behind the marks, and each finger's number is to be read.
    assert ids(box)[0] == "barre-1"
    assert [t for t, _ in texts(box)][1:7] == ["1", "3", "4", "2", "1", "1"]
    assert box.alt.count("first finger across 6 strings") == 3


def test_a_barre_is_drawn_with_fingers_and_where_it_is_asked_for() -> None:
    asked = {
        ("fingers", None): True,
        ("fingers", False): False,
        ("plain", None): False,
        ("roles", True): True,
    }
    for (marks, barre), drawn in asked.items():
        box = draw_box(F_SHAPE, F, marks=marks, look=BoxLook(barre=barre, fingering=F_FINGERS))
        assert ("barre-1" in ids(box)) is drawn


def test_a_shape_that_no_hand_holds_is_drawn_without_fingers() -> None:
    # Five frets, all different, on five strings: more than four fingers.
    unheld = Voicing.parse("5-4-3-2-1-x", GUITAR)
    box = draw_box(unheld, marks="fingers", look=BoxLook(notes=False))
    assert not unheld.fingers
    assert texts(box) == []
    assert "barre-1" not in ids(box)


def test_hand_and_order_are_two_settings() -> None:
    high = Voicing.parse("x-8-10-9-8-x", GUITAR)
    places = {}
    for hand in (False, True):
        for order in (False, True):
            box = draw_box(high, look=BoxLook(left_handed=hand, reverse_strings=order))
            number = next(x for t, x in texts(box) if t == "8")
            places[hand, order] = (
                round(column(box, middle(box, "string-2-fret-8")[0]), 2),
                number > box.width_mm / 2,
            )
    # The second string is second from the left, or from the right; the number goes with the hand.
    assert places == {
        (False, False): (1.0, False),
        (False, True): (4.0, False),
        (True, False): (4.0, True),
        (True, True): (1.0, True),
    }


def test_an_instrument_strung_for_the_left_hand_is_drawn_so() -> None:
    left = replace(UKULELE, left_handed=True)
    shape, asked = Voicing.parse("2223", left), Voicing.parse("2223", UKULELE)
    assert draw_box(shape).svg == draw_box(asked, look=BoxLook(left_handed=True)).svg
    assert draw_box(shape, look=BoxLook(left_handed=False)).svg == draw_box(asked).svg


def test_muted_strings_bear_a_cross_above_the_nut_and_no_name() -> None:
    box = draw_box(Voicing.parse("xx0232", GUITAR), Chord.parse("D"))
    for string in (1, 2):
        x, y = middle(box, f"string-{string}-muted")
        assert column(box, x) == pytest.approx(string - 1, abs=0.01)
        assert y < box.origin_mm[1]
    assert [t for t, _ in texts(box)] == ["D", "D", "A", "D", "F♯"]


def test_a_double_string_is_two_lines() -> None:
    box = draw_box(Voicing.parse("0000", MANDOLIN), look=BoxLook(places=True))
    xs = sorted({round(column(box, x), 2) for x, _ in points(box, "line-2")})
    assert xs == [0.92, 1.08]
    # Outer lines end the wires: nothing stands out.
    wire = [x for x, _ in points(box, "wire-2")]
    lines = [x for s in range(1, 5) for x, _ in points(box, f"line-{s}")]
    assert (min(wire), max(wire)) == pytest.approx((min(lines), max(lines)), abs=0.2)


def test_a_short_string_is_not_there_before_its_fret() -> None:
    """The fifth string of a banjo starts at fret 5: common practice, no source."""
    low = draw_box(Voicing.parse("0-2-0-1-2", BANJO), look=BoxLook(places=True))
    assert "line-1" not in ids(low) and "line-2" in ids(low)
    # Open, its o still stands above, and its name below.
    assert column(low, middle(low, "string-1-fret-0")[0]) == pytest.approx(0, abs=0.01)
    assert not [gid for gid in ids(low) if re.match("string-1-fret-[1-5]", gid)]
    assert [round(column(low, x), 1) for x, _ in points(low, "wire-1")] == [1.0, 4.0]
    high = draw_box(Voicing.parse("0-7-5-5-6", BANJO), look=BoxLook(places=True))
    ys = [y for _, y in points(high, "line-1")]
    assert min(ys) == pytest.approx(high.origin_mm[1] + 5.6, abs=0.01)
    assert {"string-1-fret-6", "string-1-fret-7"} < set(ids(high))
    assert "string-1-fret-5" not in ids(high)


def test_a_capo_takes_the_place_of_the_nut_and_reaches_over() -> None:
    plain = draw_box(Voicing.parse("0003", UKULELE), name="", look=BoxLook(notes=False))
    raised = draw_box(
        Voicing.parse("0003", UKULELE.with_capo(2)), name="", look=BoxLook(notes=False)
    )
    caps = [{path.cap for path in box.sheet.all(Path)} for box in (plain, raised)]
    assert caps == [{"butt"}, {"butt", "round"}]
    assert "a capo at the second fret" in raised.alt


def test_places_have_ids_where_nothing_is_played() -> None:
    box = draw_box(Voicing.parse("x32010", GUITAR), look=BoxLook(places=True))
    places = {gid for gid in ids(box) if "-fret-" in gid}
    # Six strings, open and four frets.
    assert places == {f"string-{s}-fret-{f}" for s in range(1, 7) for f in range(5)}
    assert len(ids(box)) == len(set(ids(box)))
    assert {f"line-{s}" for s in range(1, 7)} | {f"wire-{w}" for w in range(5)} < set(ids(box))
    assert len(box.sheet.all(Path, "area")) == 30
    assert len(box.sheet.all(Group, "place")) == 31  # the muted string too
    plain = draw_box(Voicing.parse("x32010", GUITAR)).sheet
    assert not plain.all(Path, "area") and not plain.all(Group, "place")


def test_a_box_to_fill_in_can_be_clicked() -> None:
    box = draw_box(Voicing.parse("x32010", GUITAR), look=BoxLook(blank=True, places=True))
    assert len([gid for gid in ids(box) if "-fret-" in gid]) == 30
    assert "string-1-muted" not in ids(box)


def test_degrees_stand_in_place_of_names() -> None:
    box = draw_box(Voicing.parse("x32010", GUITAR), Chord.parse("C"), look=BoxLook(degrees=True))
    assert [t for t, _ in texts(box)] == ["C", "1", "3", "5", "1", "3"]


def test_the_first_frets_number_keeps_clear_of_the_mark_beside_it() -> None:
    fifth = draw_box(Voicing.parse("5-7-5-7", UKULELE), Chord.parse("C6"), marks="roles")
    tenth = draw_box(Voicing.parse("10-12-10-12", UKULELE), Chord.parse("F6"), marks="roles")
    for box, number in ((fifth, "5"), (tenth, "10")):
        edge = min(x for x, _ in points(box, f"string-1-fret-{number}"))
        x = next(place for text, place in texts(box) if text == number)
        assert x < edge - 0.3
        # Its own side bearings are air: a tenth of a figure at each end.
        assert text_width(number, 8.5) < x + 0.3
    assert fifth.width_mm == tenth.width_mm == 27.0


def test_a_long_name_is_not_cut_in_a_wider_face() -> None:
    """DejaVu Sans Bold runs about a fifth wider than our semibold: measured with matplotlib."""
    name = "F♯m7♭5(add11)/C"
    box = draw_box(Voicing.parse("2223", UKULELE), name=name)
    assert box.width_mm > 1.2 * text_width(name, 13, SEMIBOLD)


def test_settings_that_contradict_the_shape_are_refused() -> None:
    shape = Voicing.parse("2223", UKULELE)
    with pytest.raises(HarmonyError, match="fingering of 6 strings for 4"):
        draw_box(shape, look=BoxLook(fingering=F_FINGERS))
    with pytest.raises(HarmonyError, match="degrees need a chord"):
        draw_box(shape, look=BoxLook(degrees=True))


@pytest.mark.parametrize("size", BOX_SIZES)
@pytest.mark.parametrize("palette", ["colour", "one ink"])
def test_six_strings_come_in_every_size_and_palette(size: str, palette: str) -> None:
    box = draw_box(
        F_SHAPE, F, marks="fingers", palette=palette, look=BoxLook(size=size, fingering=F_FINGERS)
    )
    xs = [x for gid in ids(box) for x, _ in points(box, gid)]
    assert 0 < min(xs) and max(xs) < box.width_mm
    if palette == "one ink":
        assert set(re.findall("#[0-9a-f]{6}", box.svg)) == {"#000000", "#ffffff"}


@pytest.mark.parametrize("left_handed", [False, True])
def test_the_number_of_the_first_fret_stands_beside_its_row(left_handed: bool) -> None:
    """Of 9-9-8-10 that is fret 8: outside the strings, level with the middle of the first row."""
    shape = Voicing.parse("9-9-8-10", UKULELE)
    box = draw_box(shape, look=BoxLook(left_handed=left_handed))
    (number,) = [text for text in box.sheet.all(Text) if text.text == "8"]
    first = box.origin_mm[0] + (15 if left_handed else 0)
    gap = number.box.left - first if left_handed else first - number.box.right
    assert 1 < gap < 4
    assert number.box.middle[1] == pytest.approx(box.origin_mm[1] + 2.8, abs=0.8)


@pytest.mark.parametrize("size", BOX_SIZES)
@pytest.mark.parametrize("marks", ["plain", "fingers", "roles"])
@pytest.mark.parametrize("digits", ["133211", "x32010", "8-10-10-9-8-8"])
def test_a_box_keeps_the_laws_of_figures(size: str, marks: str, digits: str) -> None:
    box = draw_box(
        Voicing.parse(digits, GUITAR), Chord.parse("F"), marks=marks, look=BoxLook(size=size)
    )
    lawful(box, (10.2, 3.4, 10, 1.3), large=size in ("large", "sheet"))


def test_sizes_of_a_box_agree_with_each_other() -> None:
    """Marks are 4.2 mm where strings are 5 mm apart; letters fill a third to a half of a mark."""
    em = 25.4 / 72
    for name, size in BOX_SIZES.items():
        # To play from, marks are larger: the finger's number is read at arm's length; and in large
        # print, whose letters are.
        mark = 4.67 if name in ("play", "sheet") else 4.2
        assert size.mark == pytest.approx(mark * size.scale, abs=0.15), name
        assert 0.33 * size.mark < 0.66 * size.finger_pt * em < 0.6 * size.mark, name
        # Names of notes stay between their neighbours' middles; the name is the largest.
        assert text_width("F♯", size.note_pt) < 5 * size.scale + 0.5, name
        assert 1.35 * size.note_pt < size.name_pt < 1.8 * size.note_pt, name
        # Beside the outer strings a mark and its air: 6 mm at the plain size.
        assert 0.6 * size.mark < 6 * size.side < 6 * size.scale + 1.3, name
    assert BOX_SIZES["plain"].scale == BOX_SIZES["plain"].line == 1
    for name in ("large", "sheet"):
        # No text of large print is under 16 points; its lines are thicker too.
        assert BOX_SIZES[name].finger_pt >= 16 and BOX_SIZES[name].note_pt >= 16
        assert 1.4 < BOX_SIZES[name].line <= BOX_SIZES[name].scale + 0.3
    assert 1 <= BOX_SIZES["chart"].line < BOX_SIZES["source"].line < BOX_SIZES["large"].line


@pytest.mark.parametrize("size", BOX_SIZES)
def test_signs_stand_between_name_and_nut(size: str) -> None:
    """An open string's o and a muted one's x are as large and at one height."""
    box = draw_box(
        Voicing.parse("x32010", GUITAR), Chord.parse("C"), name="C", look=BoxLook(size=size)
    )
    scale = BOX_SIZES[size].scale
    cross, ring = (box.sheet.find(i) for i in ("string-1-muted", "string-4-fret-0"))
    assert cross.box.middle[1] == pytest.approx(ring.box.middle[1])
    assert ring.box.width == pytest.approx(1.9 * scale)
    assert 0.8 * ring.box.width < cross.box.width < ring.box.width
    assert cross.box.width == pytest.approx(cross.box.height)
    # Two strokes from corner to corner.
    (strokes,) = [path.strokes() for path in box.sheet.all(Path, within="string-1-muted")]
    corners = {(round(x, 3), round(y, 3)) for stroke in strokes for x, y in stroke}
    assert len(strokes) == 2 and len(corners) == 4
    nut = box.origin_mm[1] - 1.0 * scale
    assert 0.8 * scale < nut - ring.box.bottom < 1.8 * scale
    (name,) = [t for t in box.sheet.all(Text) if t.text == "C" and t.weight == SEMIBOLD][:1]
    assert 1 < ring.box.top - name.baseline < 2.5
    assert name.x == pytest.approx(box.width_mm / 2)
    assert {p.width for p in box.sheet.all(Path, within="string-4-fret-0")} == {
        0.35 * BOX_SIZES[size].line
    }


@pytest.mark.parametrize("third", [False, True])
def test_an_open_third_has_a_mark_of_its_own_where_it_is_asked_for(third: bool) -> None:
    """C on a ukulele is 0003: of its three open strings g, C and E the last is the third."""
    look = BoxLook(third=third)
    box = draw_box(Voicing.parse("0003", UKULELE), Chord.parse("C"), look=look)
    signs = [box.sheet.all(Mark, within=f"string-{number}-fret-0") for number in (1, 2, 3)]
    assert [[mark.role for mark in found] for found in signs] == [[], [], ["third"] * third]


@pytest.mark.parametrize("size", BOX_SIZES)
def test_names_of_notes_stand_under_their_strings(size: str) -> None:
    box = draw_box(Voicing.parse("133211", GUITAR), F, name="", look=BoxLook(size=size, notes=True))
    names = [t for t in box.sheet.all(Text) if t.baseline > box.origin_mm[1]]
    gap = 5 * BOX_SIZES[size].scale
    assert [t.x for t in names] == pytest.approx([box.origin_mm[0] + n * gap for n in range(6)])
    (bottom,) = {round(box.origin_mm[1] + 4 * 5.6 * BOX_SIZES[size].scale, 3)}
    top = names[0].baseline - 0.66 * names[0].size * 25.4 / 72
    assert 1.5 < top - bottom < 5 and len({t.baseline for t in names}) == 1
    assert box.origin_mm[0] + 5 * gap / 2 == pytest.approx(box.width_mm / 2)


def test_without_a_name_its_place_is_left_out_and_without_notes_theirs() -> None:
    shape = Voicing.parse("133211", GUITAR)
    full, bare = draw_box(shape, F), draw_box(shape, F, name="", look=BoxLook(notes=False))
    assert full.height_mm > bare.height_mm + 6
    assert bare.height_mm - (bare.origin_mm[1] + 22.4) == pytest.approx(0.6)
    assert 3.2 + 0.95 < bare.origin_mm[1] < 6
    assert bare.origin_mm[1] < full.origin_mm[1] - 3


def test_a_capo_reaches_past_the_outer_strings_alike() -> None:
    raised = UKULELE.with_capo(2)
    box = draw_box(Voicing.parse("0003", raised), name="", look=BoxLook(notes=False))
    (capo,) = [p for p in box.sheet.all(Path) if p.cap == "round"]
    left, right = box.origin_mm[0], box.origin_mm[0] + 15
    assert left - capo.box.left == pytest.approx(capo.box.right - right)
    assert 0.9 < left - capo.box.left < 2
    # As thick as the nut whose place it takes: its lower side is the topmost fret line.
    plain = draw_box(Voicing.parse("0003", UKULELE), name="", look=BoxLook(notes=False))
    nut = plain.sheet.all(Path)[1]
    assert capo.width == pytest.approx(nut.box.height, abs=0.2)
    assert capo.box.top + capo.width / 2 == pytest.approx(box.origin_mm[1])


@pytest.mark.parametrize("size", BOX_SIZES)
def test_the_nut_is_as_wide_as_the_wires_and_lies_on_the_first(size: str) -> None:
    box = draw_box(Voicing.parse("133211", GUITAR), F, look=BoxLook(size=size))
    grid, nut = box.sheet.all(Path)[:2]
    scale = BOX_SIZES[size].scale
    assert (nut.box.left, nut.box.right) == pytest.approx((grid.box.left, grid.box.right))
    assert nut.box.top == pytest.approx(box.origin_mm[1] - scale)
    assert nut.box.bottom == pytest.approx(box.origin_mm[1] + grid.width / 2)
    # Wires end with the outer strings' outer sides.
    assert grid.box.left == pytest.approx(box.origin_mm[0] - grid.width / 2)
    assert grid.box.width == pytest.approx(25 * scale + grid.width)
    assert grid.box.height == pytest.approx(22.4 * scale)
    assert len(grid.strokes()) == 5 + 6


def test_the_line_to_write_a_name_on_is_as_wide_as_the_strings() -> None:
    blank = draw_box(Voicing.parse("2223", UKULELE), look=BoxLook(blank=True))
    named = draw_box(Voicing.parse("2223", UKULELE), Chord.parse("D7"))
    line = blank.sheet.all(Path)[-1]
    left = blank.origin_mm[0]
    assert (line.box.left, line.box.right) == pytest.approx((left, left + 15))
    assert line.box.height == 0 and line.width == 0.25
    baseline = next(t.baseline for t in named.sheet.all(Text) if t.text == "D7")
    assert 0.5 < line.box.top - baseline < 1.2


def test_the_peg_of_a_short_string_lies_about_it_as_the_nut_does() -> None:
    high = draw_box(Voicing.parse("0-7-5-5-6", BANJO), look=BoxLook(places=True))
    (peg,) = [p for p in high.sheet.all(Path) if p.fill == "ink" and len(p.points) == 4]
    assert peg.box.middle[0] == pytest.approx(high.origin_mm[0])
    assert 1.5 < peg.box.width < 3 and peg.box.height == pytest.approx(1.0)
    assert peg.box.bottom == pytest.approx(high.origin_mm[1] + 5.6)
    # Rows 1 to 4 do not reach its start; a row that ends there does not show it.
    low = draw_box(Voicing.parse("0-2-0-1-2", BANJO), look=BoxLook(places=True))
    assert len([p for p in low.sheet.all(Path) if p.fill == "ink" and len(p.points) == 4]) == 1


def test_rings_and_barres_have_the_size_of_the_marks() -> None:
    box = draw_box(F_SHAPE, F, marks="fingers", look=BoxLook(fingering=F_FINGERS))
    (bar,) = box.sheet.all(Path, within="barre-1")
    assert 0.4 * 4.2 < bar.width < 0.5 * 4.2
    moved = draw_box(Voicing.parse("2223", UKULELE), Chord.parse("D7"), was=(2, 3, 2, 3))
    (ring,) = [m for m in moved.sheet.all(Mark) if m.role == "was"]
    assert ring.d == 4.2 and (ring.x - moved.origin_mm[0]) / 5 == pytest.approx(1)
    assert (ring.y - moved.origin_mm[1]) / 5.6 == pytest.approx(2.5)
    # Where a string was open its ring lies about the o, a little larger.
    was_open = draw_box(Voicing.parse("2223", UKULELE), Chord.parse("D7"), was=(2, 0, 2, 3))
    (ring,) = [m for m in was_open.sheet.all(Mark) if m.role == "was"]
    assert 1.9 < ring.d < 2.6 and ring.y < was_open.origin_mm[1] - 1.9


def test_a_place_that_can_be_clicked_is_as_wide_as_its_string_and_as_high_as_its_row() -> None:
    box = draw_box(Voicing.parse("x32010", GUITAR), look=BoxLook(places=True))
    left, top = box.origin_mm
    for string in range(1, 7):
        for fret in range(5):
            (area,) = box.sheet.all(Path, "area", within=f"string-{string}-fret-{fret}")
            assert area.box.middle[0] == pytest.approx(left + 5 * (string - 1))
            assert area.box.width == pytest.approx(5)
            if fret:
                assert area.box.top == pytest.approx(top + 5.6 * (fret - 1))
                assert area.box.height == pytest.approx(5.6)
            else:
                assert area.box.bottom < top and 3 < area.box.height < 5.6


def test_marks_tell_roles_where_they_are_asked_or_a_string_moved() -> None:
    shape = Voicing.parse("2223", UKULELE)
    chord = Chord.parse("D7")

    def roles(**how: object) -> list[str]:
        box = draw_box(shape, chord, **how)  # type: ignore[arg-type]
        return [mark.role for mark in box.sheet.all(Mark) if mark.role != "was"]

    # A D F sharp C: fifth, root, third, seventh.
    assert roles(marks="roles") == ["fifth", "root", "third", "seventh"]
    assert roles() == roles(marks="fingers") == ["note"] * 4
    assert roles(was=(2, 3, 2, 3)) == ["note", "root", "note", "note"]
    assert roles(was=(2, 3, 2, 3), marks="fingers") == ["note"] * 4


def test_the_thumb_is_a_letter_and_an_open_string_has_no_finger() -> None:
    """A thumb over the neck at the sixth string: common practice, no source."""
    shape = Voicing.parse("1x3211", GUITAR)
    box = draw_box(
        shape,
        marks="fingers",
        look=BoxLook(notes=False, fingering=Fingering((5, None, 4, 3, 1, 1), (Barre(1, 1, 4, 5),))),
    )
    written = [t.text for t in box.sheet.all(Text)]
    assert written[1:] == ["4", "3", "1", "1"] and len(written) == 5


def test_the_nut_lies_under_the_strings_that_begin_at_it() -> None:
    """A string that begins at the first fret has no nut at fret 0, and a piece of one at 1."""
    short = Instrument.parse("G4@1 D3 G3 B3 D4")
    box = draw_box(Voicing.parse("0-0-0-1-0", short))
    left, top = box.origin_mm
    blocks = [p.box for p in box.sheet.all(Path) if p.fill == "ink" and len(p.points) == 4]
    nut, peg = blocks
    assert (nut.left, nut.right) == pytest.approx((left + 5 - 0.125, left + 20 + 0.125))
    assert peg.middle[0] == pytest.approx(left) and peg.bottom == pytest.approx(top + 5.6)


@pytest.mark.parametrize("left_handed", [False, True])
def test_a_number_gives_way_to_a_wide_mark_beside_it_and_to_no_other(left_handed: bool) -> None:
    """By hand: 2.9 mm from the grid, or .62 from a mark that reaches .6 of 4.2 mm past its string.

    The root C lies at fret 5 of the g string of a ukulele, and at fret 3 of its A string.
    """
    gaps = {}
    for frets in ("5-7-8-7", "6-5-5-3"):
        voicing = Voicing.parse(frets, UKULELE)
        box = draw_box(
            voicing, Chord.parse("C"), marks="roles", look=BoxLook(left_handed=left_handed)
        )
        number = next(t for t in box.sheet.all(Text) if t.text == str(min(voicing.frets)))
        first = [m for m in box.sheet.all(Mark) if abs(m.y - ink(number).middle[1]) < 0.1]
        assert [m.role for m in first] == ["root"]
        grid = box.sheet.all(Path)[0].box
        gap = number.x - grid.right if left_handed else grid.left - number.x
        gaps[frets] = round(gap, 3)
    # A mirrored box has its number at the right, and there the g string.
    assert gaps == {"5-7-8-7": pytest.approx(0.6 * 4.2 + 0.62), "6-5-5-3": 2.9}


def test_a_short_string_begins_at_the_first_wire_or_at_the_last_as_anywhere() -> None:
    """By hand: it begins at fret 5, which is the top wire from fret 6 on, the last up to 5."""
    from_six = draw_box(Voicing.parse("8-9-6-7-8", BANJO), look=BoxLook(places=True))
    (peg,) = [p for p in from_six.sheet.all(Path) if p.fill == "ink" and len(p.points) == 4]
    assert peg.box.bottom == pytest.approx(from_six.origin_mm[1])
    (line,) = from_six.sheet.all(Path, within="line-1")
    assert line.box.top == pytest.approx(from_six.origin_mm[1])
    up_to_five = draw_box(Voicing.parse("0-5-4-3-2", BANJO), look=BoxLook(places=True))
    assert "wire-5" in up_to_five.sheet.ids and "wire-6" not in up_to_five.sheet.ids
    assert "line-1" not in up_to_five.sheet.ids
    assert not [p for p in up_to_five.sheet.all(Path) if p.fill == "ink" and len(p.points) == 4]
