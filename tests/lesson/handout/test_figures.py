"""The figures of a handout: each travels once, in the right colours, with its marks."""

from __future__ import annotations

import io
import re

import pytest
from PIL import Image

from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.plan.pictures import MOST_MM, OwnPicture
from harmonykit.lesson.plan.shown import Shown
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")
D7 = Chord.parse("D7")
SHAPE = Voicing.parse("2223", UKULELE)


def test_the_same_figure_travels_once() -> None:
    figures = Figures()
    keys = [figures.add(draw_box(SHAPE, D7, palette="print")) for _ in range(3)]
    assert keys == [0, 0, 0] and len(figures.table()) == 1
    assert figures.add(draw_box(SHAPE, D7, palette="print", marks="roles")) == 1


def test_print_has_black_ink_and_keeps_the_accents() -> None:
    drawing = draw_box(SHAPE, D7, marks="roles")
    colours = set(re.findall("#[0-9a-f]{6}", Figures().recoloured(drawing).svg))
    # look: ink, soft and hair are black in print, third and seventh stay.
    assert colours <= {"#000000", "#ffffff", "#b23f1a", "#1f7b78"} and "#b23f1a" in colours
    one_ink = set(re.findall("#[0-9a-f]{6}", Figures("one ink").recoloured(drawing).svg))
    assert one_ink <= {"#000000", "#ffffff"}


def test_the_key_lists_the_marks_in_use_only() -> None:
    figures = Figures()
    before = Voicing.parse("2323", UKULELE)
    figures.add(draw_box(SHAPE, D7, marks="roles", was=before))
    assert [mark["word"] for mark in figures.marks()] == [
        "root", "third", "fifth", "sixth or seventh", "earlier note",
    ]  # fmt: skip


def test_open_strings_bear_no_mark_in_a_box() -> None:
    shape = Voicing.parse("0003", UKULELE)
    figures = Figures()
    figures.add(figures.box(Shown(shape, Chord.parse("C")), marks="roles"))
    assert figures.table()[0]["roles"] == ["root"]


# By eye: the word of each mark, and its colour beside black and white in print.
ACCENTS = {"root": "", "third": "#b23f1a", "fifth": "", "sixth or seventh": "#1f7b78"}
ACCENTS |= {"tension": "#6d3a9a", "earlier note": ""}


def test_each_mark_of_the_key_stands_by_its_own_word() -> None:
    figures = Figures()
    for digits, name, was in (("2223", "D7", "2323"), ("2010", "F", None), ("0101", "C7b9", None)):
        before = Voicing.parse(was, UKULELE) if was else None
        shape = Voicing.parse(digits, UKULELE)
        figures.add(draw_box(shape, Chord.parse(name), marks="roles", was=before))
    marks = figures.marks()
    assert {mark["word"] for mark in marks} == set(ACCENTS)
    for mark in marks:
        svg = figures.table()[mark["figure"]]["svg"]
        accents = set(re.findall("#[0-9a-f]{6}", svg)) - {"#000000", "#ffffff"}
        assert "".join(accents) == ACCENTS[mark["word"]]
    dashed = [m["word"] for m in marks if "dash" in figures.table()[m["figure"]]["svg"]]
    assert dashed == ["earlier note"]


@pytest.mark.parametrize(("wide", "times"), [(20.0, 1.6), (60.0, 1.6), (120.0, 1.45), (174.0, 1.0)])
def test_a_picture_keeps_its_shape_and_in_large_print_grows_as_far_as_a_page_is_wide(
    wide: float, times: float
) -> None:
    """A picture of 8 by 6 pixels; large print is larger by a factor of 1.6, a page 174 mm wide."""
    file = io.BytesIO()
    Image.new("RGB", (8, 6), "white").save(file, "PNG")
    picture = OwnPicture("hand.png", "my hand", wide, file.getvalue())
    for large in (False, True):
        figures = Figures(large=large)
        assert [figures.add_own(picture) for _ in range(2)] == [0, 0]
        (row,) = figures.table()
        assert row["wide"] == pytest.approx(wide * times if large else wide)
        assert row["high"] == pytest.approx(row["wide"] * 6 / 8) and row["wide"] <= MOST_MM
        assert (row["left"], row["top"], row["roles"], row["alt"]) == (0, 0, [], "my hand")
        assert figures.marks() == []


def test_in_large_print_a_figure_grows_in_all_its_lengths() -> None:
    drawing = draw_box(SHAPE, D7, palette="print")
    plain, large = Figures(), Figures(large=True)
    for figures in (plain, large):
        figures.add(drawing)
        figures.add_box(drawing)
    (one,) = plain.table()
    grown, own = large.table()
    names = ("wide", "high", "left", "top")
    assert [one[name] for name in names] == pytest.approx([own[name] for name in names])
    times = grown["wide"] / one["wide"]
    assert times > 1
    assert [grown[name] for name in names] == pytest.approx([times * one[name] for name in names])
    for figures, rows in ((plain, [one]), (large, [grown, own])):
        for row in rows:
            scale = row["wide"] / one["wide"]
            sizes = [float(size) for size in re.findall(r'font-size="([\d.]+)"', row["svg"])]
            assert min(sizes) * scale >= figures.least - 0.01


def test_fingers_of_large_print_stay_in_the_middle_of_their_marks() -> None:
    """Figures of Source Sans are .65 em high: of 16 points the middle lies 2.3 points lower on the
    baseline than of 9."""
    figures = Figures(large=True)
    look = BoxLook(size="over", notes=False)
    small = figures.box(Voicing.parse("2423", UKULELE), look, marks="fingers", small=True)
    number = re.compile(r'y="([0-9.]+)" font-size="([0-9.]+)"[^>]*>(\d)<')
    key = figures.add_box(small)
    drawn, large = number.findall(small.svg), number.findall(figures.table()[key]["svg"])
    assert len(drawn) == len(large) == 4
    for (y, size, finger), (lower, grown, same) in zip(drawn, large, strict=True):
        assert finger == same and (float(size), float(grown)) == (9, 16)
        middle, after = float(y) - 0.325 * float(size), float(lower) - 0.325 * float(grown)
        assert middle == pytest.approx(after, abs=0.1)
