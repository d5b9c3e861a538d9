"""A shape as a box: what is drawn where."""

from __future__ import annotations

import pytest

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box import BOX_SIZES, draw_box
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.draw.tree import Path, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
D7 = Chord.parse("D7")


def uke(digits: str) -> Voicing:
    return Voicing.parse(digits, UKULELE)


def ids(drawing: Drawing) -> list[str]:
    return list(drawing.sheet.ids)


def texts(drawing: Drawing) -> list[str]:
    return list(drawing.sheet.texts)


def middle(drawing: Drawing, name: str) -> tuple[float, float]:
    """Return the middle in mm of what is drawn under an id."""
    return drawing.sheet.find(name).box.middle


def test_every_string_has_its_mark_under_its_id() -> None:
    assert ids(draw_box(Voicing.parse("x32010", GUITAR))) == [
        "string-1-muted",
        "string-2-fret-3",
        "string-3-fret-2",
        "string-4-fret-0",
        "string-5-fret-1",
        "string-6-fret-0",
    ]


def test_marks_stand_on_their_string_in_their_row() -> None:
    box = draw_box(uke("2223"), D7, marks="roles")
    left, top = box.origin_mm
    # Strings are 5 mm apart, rows 5.6.
    assert middle(box, "string-2-fret-2") == pytest.approx((left + 5, top + 1.5 * 5.6), abs=0.01)
    assert middle(box, "string-4-fret-3") == pytest.approx((left + 15, top + 2.5 * 5.6), abs=0.01)


def test_a_left_handed_box_is_the_mirror_image() -> None:
    box = draw_box(uke("2223"), D7, look=BoxLook(left_handed=True))
    left, top = box.origin_mm
    assert middle(box, "string-4-fret-3") == pytest.approx((left, top + 2.5 * 5.6), abs=0.01)
    assert texts(box) == ["D7", "A", "D", "F♯", "C"]


def test_names_go_as_the_chord_spells_them() -> None:
    assert texts(draw_box(uke("1112"), Chord.parse("Db7"))) == ["D♭7", "A♭", "D♭", "F", "C♭"]
    assert texts(draw_box(uke("1112"), name="", look=BoxLook(notes=False))) == []


def test_up_the_neck_the_first_fret_is_numbered_and_has_no_nut() -> None:
    low, high = draw_box(uke("0003")), draw_box(uke("9-9-8-10"))
    assert texts(high)[0] == "8"
    grid, nut = low.sheet.all(Path)[:2]
    assert nut.fill == "ink" and nut.box.bottom == pytest.approx(low.origin_mm[1], abs=0.2)
    assert nut.box.width == grid.box.width
    assert high.sheet.all(Path)[1].box.width < 5
    assert texts(low) == ["G", "C", "E", "C"]


def test_a_moved_string_shows_where_it_was_and_what_it_became() -> None:
    box = draw_box(uke("2223"), D7, was=uke("2323"))
    assert len([path for path in box.sheet.all(Path) if path.dash]) == 1
    assert box.alt.endswith("moved: the C string from the third fret")
    plain = draw_box(uke("2223"), D7)
    # One disc and its ring more: the mark of a root.
    assert len(box.sheet.all(Path)) == len(plain.sheet.all(Path)) + 3


def test_fingers_stand_in_the_marks() -> None:
    shape = uke("0101")
    held = [str(f) for f in shape.fingers if f]
    assert texts(draw_box(shape, marks="fingers", look=BoxLook(notes=False))) == held


def test_a_box_to_fill_in_is_empty() -> None:
    blank = draw_box(uke("2223"), D7, look=BoxLook(blank=True))
    assert ids(blank) == texts(blank) == []
    assert "D" not in blank.alt


def test_an_empty_box_lies_where_its_answers_do() -> None:
    """B°7 at 4-5-4-5 with a string a fret lower needs frets 3 to 5: a number, and no nut."""
    shape, lower = uke("4545"), (3, 4, 3, 4)
    blank = draw_box(shape, was=lower, look=BoxLook(blank=True))
    assert texts(blank) == ["3"]
    assert blank.alt == "an empty chord diagram of 4 strings from fret 3, to fill in"


def test_boxes_of_a_kind_are_level_whatever_they_show() -> None:
    for size in BOX_SIZES:
        kinds = [
            draw_box(uke(d), D7, look=BoxLook(size=size)) for d in ("0000", "2223", "9-9-8-10")
        ]
        assert len({(box.origin_mm, box.height_mm) for box in kinds}) == 1


def test_a_chart_box_is_small_and_has_neither_name_nor_notes() -> None:
    small = draw_box(uke("2223"), D7, look=BoxLook(size="chart"))
    assert texts(small) == []
    # Two boxes share a bar of 43.5 mm.
    assert small.width_mm <= 43.5 / 2


def test_a_long_name_is_not_cut() -> None:
    box = draw_box(uke("2223"), D7, name="F♯m7♭5(add11)/C")
    assert box.width_mm > draw_box(uke("2223"), D7).width_mm


def test_no_text_is_under_eight_points() -> None:
    for size in BOX_SIZES:
        box = draw_box(uke("5-7-5-7"), D7, marks="fingers", name="D7", look=BoxLook(size=size))
        assert min(text.size for text in box.sheet.all(Text)) >= 8


@pytest.mark.parametrize("bad", [{"size": "huge"}, {"marks": "stars"}, {"palette": "sepia"}])
def test_unknown_settings_are_refused(bad: dict[str, str]) -> None:
    with pytest.raises(HarmonyError, match="unknown|not a palette"):
        look = BoxLook(size=bad.pop("size", "plain"))
        draw_box(uke("2223"), D7, **bad, look=look)  # type: ignore[arg-type]


def test_frets_before_are_on_the_same_strings() -> None:
    with pytest.raises(HarmonyError, match="6 frets before, 4 now"):
        draw_box(uke("2223"), D7, was=Voicing.parse("022100", GUITAR))
