"""What samples lack: six strings, barres, muted, doubled and short strings, a capo, the other hand.

Places are counted by hand from the box's own lengths: strings 5 mm apart, rows 5.6.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.base.style import SEMIBOLD
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box import BOX_SIZES, draw_box
from harmonykit.draw.tree import Path, Point, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.fingering import Barre, Fingering
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
    box = draw_box(F_SHAPE, F, marks="fingers", fingering=F_FINGERS)
    (x0, y0), (x1, y1) = points(box, "barre-1")
    assert [column(box, x) for x in (x0, x1)] == pytest.approx([0, 5], abs=0.01)
    assert y0 == y1 == pytest.approx(box.origin_mm[1] + 2.8, abs=0.01)
    # It lies behind the marks, and each finger's number is to be read.
    assert ids(box)[0] == "barre-1"
    assert [t for t, _ in texts(box)][1:7] == ["1", "3", "4", "2", "1", "1"]
    assert box.alt.count("first finger laid over 6 strings") == 3


def test_a_barre_is_drawn_with_fingers_and_where_it_is_asked_for() -> None:
    asked = {
        ("fingers", None): True,
        ("fingers", False): False,
        ("plain", None): False,
        ("roles", True): True,
    }
    for (marks, barre), drawn in asked.items():
        box = draw_box(F_SHAPE, F, marks=marks, barre=barre, fingering=F_FINGERS)
        assert ("barre-1" in ids(box)) is drawn


def test_a_shape_that_no_hand_holds_is_drawn_without_fingers() -> None:
    # Five frets, all different, on five strings: more than four fingers.
    unheld = Voicing.parse("5-4-3-2-1-x", GUITAR)
    box = draw_box(unheld, marks="fingers", notes=False)
    assert not unheld.fingers
    assert texts(box) == []
    assert "barre-1" not in ids(box)


def test_hand_and_order_are_two_settings() -> None:
    high = Voicing.parse("x-8-10-9-8-x", GUITAR)
    places = {}
    for hand in (False, True):
        for order in (False, True):
            box = draw_box(high, left_handed=hand, reverse_strings=order)
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
    assert draw_box(shape).svg == draw_box(asked, left_handed=True).svg
    assert draw_box(shape, left_handed=False).svg == draw_box(asked).svg


def test_muted_strings_bear_a_cross_above_the_nut_and_no_name() -> None:
    box = draw_box(Voicing.parse("xx0232", GUITAR), Chord.parse("D"))
    for string in (1, 2):
        x, y = middle(box, f"string-{string}-muted")
        assert column(box, x) == pytest.approx(string - 1, abs=0.01)
        assert y < box.origin_mm[1]
    assert [t for t, _ in texts(box)] == ["D", "D", "A", "D", "F♯"]


def test_a_double_string_is_two_lines() -> None:
    box = draw_box(Voicing.parse("0000", MANDOLIN), places=True)
    xs = sorted({round(column(box, x), 2) for x, _ in points(box, "line-2")})
    assert xs == [0.92, 1.08]
    # Outer lines end the wires: nothing stands out.
    wire = [x for x, _ in points(box, "wire-2")]
    lines = [x for s in range(1, 5) for x, _ in points(box, f"line-{s}")]
    assert (min(wire), max(wire)) == pytest.approx((min(lines), max(lines)), abs=0.2)


def test_a_short_string_is_not_there_before_its_fret() -> None:
    """The fifth string of a banjo starts at fret 5: common practice, no source."""
    low = draw_box(Voicing.parse("0-2-0-1-2", BANJO), places=True)
    assert "line-1" not in ids(low) and "line-2" in ids(low)
    # Open, its o still stands above, and its name below.
    assert column(low, middle(low, "string-1-fret-0")[0]) == pytest.approx(0, abs=0.01)
    assert not [gid for gid in ids(low) if re.match("string-1-fret-[1-5]", gid)]
    assert [round(column(low, x), 1) for x, _ in points(low, "wire-1")] == [1.0, 4.0]
    high = draw_box(Voicing.parse("0-7-5-5-6", BANJO), places=True)
    ys = [y for _, y in points(high, "line-1")]
    assert min(ys) == pytest.approx(high.origin_mm[1] + 5.6, abs=0.01)
    assert {"string-1-fret-6", "string-1-fret-7"} < set(ids(high))
    assert "string-1-fret-5" not in ids(high)


def test_a_capo_takes_the_place_of_the_nut_and_reaches_over() -> None:
    plain = draw_box(Voicing.parse("0003", UKULELE), name="", notes=False)
    raised = draw_box(Voicing.parse("0003", UKULELE.with_capo(2)), name="", notes=False)
    caps = [{path.cap for path in box.sheet.all(Path)} for box in (plain, raised)]
    assert caps == [{"butt"}, {"butt", "round"}]
    assert "a capo at the second fret" in raised.alt


def test_places_have_ids_where_nothing_is_played() -> None:
    box = draw_box(Voicing.parse("x32010", GUITAR), places=True)
    places = {gid for gid in ids(box) if "-fret-" in gid}
    # Six strings, open and four frets.
    assert places == {f"string-{s}-fret-{f}" for s in range(1, 7) for f in range(5)}
    assert len(ids(box)) == len(set(ids(box)))
    assert {f"line-{s}" for s in range(1, 7)} | {f"wire-{w}" for w in range(5)} < set(ids(box))
    assert len(box.sheet.all(Path, "area")) == 30
    assert not draw_box(Voicing.parse("x32010", GUITAR)).sheet.all(Path, "area")


def test_a_box_to_fill_in_can_be_clicked() -> None:
    box = draw_box(Voicing.parse("x32010", GUITAR), blank=True, places=True)
    assert len([gid for gid in ids(box) if "-fret-" in gid]) == 30
    assert "string-1-muted" not in ids(box)


def test_degrees_stand_in_place_of_names() -> None:
    box = draw_box(Voicing.parse("x32010", GUITAR), Chord.parse("C"), degrees=True)
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
        draw_box(shape, fingering=F_FINGERS)
    with pytest.raises(HarmonyError, match="degrees of no chord"):
        draw_box(shape, degrees=True)


@pytest.mark.parametrize("size", BOX_SIZES)
@pytest.mark.parametrize("palette", ["colour", "one ink"])
def test_six_strings_come_in_every_size_and_palette(size: str, palette: str) -> None:
    box = draw_box(F_SHAPE, F, size=size, marks="fingers", fingering=F_FINGERS, palette=palette)
    xs = [x for gid in ids(box) for x, _ in points(box, gid)]
    assert 0 < min(xs) and max(xs) < box.width_mm
    if palette == "one ink":
        assert set(re.findall("#[0-9a-f]{6}", box.svg)) == {"#000000", "#ffffff"}


@pytest.mark.parametrize("left_handed", [False, True])
def test_the_number_of_the_first_fret_stands_beside_its_row(left_handed: bool) -> None:
    """Of 9-9-8-10 that is fret 8: outside the strings, level with the middle of the first row."""
    shape = Voicing.parse("9-9-8-10", UKULELE)
    box = draw_box(shape, left_handed=left_handed)
    (number,) = [text for text in box.sheet.all(Text) if text.text == "8"]
    first = box.origin_mm[0] + (15 if left_handed else 0)
    gap = number.box.left - first if left_handed else first - number.box.right
    assert 1 < gap < 4
    assert number.box.middle[1] == pytest.approx(box.origin_mm[1] + 2.8, abs=0.8)
