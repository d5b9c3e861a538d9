"""One chord of a chart: where its parts stand, from the widths of their letters and by hand.

Lengths in mm: 3.7 before a box, 2.2 before figures alone, 2.15 from a box to its fret's number and
1.3 behind it, 3.2 for a slash, 2.0 at the end; a beat of 14 is wide.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from harmonykit.arrange.arrangement import Step
from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.base.style import LABEL_PT, NAME_PT, SEMIBOLD, SMALL_PT
from harmonykit.draw.shapes.box_look import BoxLook
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.handout.figures import Cell, Figures
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")
C6 = Chord.parse("C6")


def cell(
    digits: str = "0000",
    name: str = "C6",
    *,
    box: bool = True,
    told: bool = True,
    slashes: int = 3,
    left_handed: bool = False,
    bare: bool = False,
) -> Cell:
    shape = Voicing.parse(digits, UKULELE) if digits else None
    chord = Chord.parse(name) if name else None
    step = Step(chord, shape, Fraction(0), Fraction(4), 0, written=chord)
    drawn = Figures().box(shape, BoxLook(size="chart")) if box and shape else None
    return Cell(step, drawn, slashes, told, left_handed, bare)


def strings_wide(one: Cell) -> float:
    assert one.box is not None
    return one.box.width_mm - 2 * one.box.origin_mm[0]


def test_a_chord_is_named_with_its_signs_and_silence_is_told() -> None:
    assert cell(name="F#m7b5", digits="2012").name == "F♯m7♭5"
    assert cell(name="", digits="", box=False).name == "N.C."


def test_figures_stand_where_they_are_told_alone() -> None:
    assert cell("2213").digits == "2-2-1-3"
    assert cell("2213", told=False).digits == ""
    assert cell(name="", digits="", box=False).digits == ""


def test_the_space_before_a_box_at_the_nut_and_before_figures_alone() -> None:
    assert cell().pad == pytest.approx(3.7)
    assert cell(box=False, bare=True).pad == pytest.approx(2.2)
    # Without a box there is no number to make room for, wherever the shape lies.
    assert cell("9-9-8-10", box=False).pad == pytest.approx(3.7)


def test_a_number_at_the_side_of_a_box_takes_its_width() -> None:
    """A box from fret 8 on bears the figure 8; one of the first four frets bears none."""
    number = 2.15 + text_width("8", SMALL_PT)
    high = cell("9-9-8-10", slashes=0)
    assert high.pad == pytest.approx(max(number + 1.3, over(high) + 1.0))
    assert high.pad > 3.7
    assert cell("1212").pad == pytest.approx(3.7)
    mirrored = cell("9-9-8-10", slashes=0, left_handed=True)
    assert mirrored.pad == pytest.approx(max(3.7, over(mirrored) + 1.0))
    assert mirrored.need == pytest.approx(
        max(
            mirrored.pad + strings_wide(mirrored) + max(1.6, over(mirrored), number) + 1.6,
            mirrored.name_end + 2.0,
        )
    )


def over(one: Cell) -> float:
    """Return how far centred figures reach past the strings of the box above them."""
    return max(0.0, (text_width(one.digits, SMALL_PT) - strings_wide(one)) / 2)


def test_figures_that_are_wider_than_their_box_move_it() -> None:
    wide = cell("10-11-10-11", slashes=0)
    assert over(wide) > 0.1
    assert wide.pad >= over(wide) + 1.0
    reach = max(1.6, over(wide))
    figures = max(strings_wide(wide) + reach, text_width("10-11-10-11", SMALL_PT))
    assert wide.need == pytest.approx(max(wide.pad + figures + 1.6, wide.name_end + 2.0))


def test_the_least_width() -> None:
    """A name with its slashes, or what stands below it: the wider of the two."""
    name = text_width("C6", NAME_PT, SEMIBOLD)
    assert cell().name_end == pytest.approx(3.7 + name)
    assert cell(slashes=9).need == pytest.approx(3.7 + name + 9 * 3.2 + 2.0)
    assert cell(slashes=0).need == pytest.approx(3.7 + strings_wide(cell()) + 1.6 + 1.6)
    bare = cell("2213", box=False, bare=True, slashes=0)
    assert bare.need == pytest.approx(2.2 + text_width("2-2-1-3", LABEL_PT) + 1.6)
    # What lasts on has its name alone, and its slashes.
    lasting = cell(box=False, told=False, slashes=1)
    assert lasting.need == pytest.approx(3.7 + name + 3.2 + 2.0)


def test_slashes_stand_on_the_beats_of_a_wide_cell() -> None:
    """Four beats in 80 mm are 20 mm each; the middle of a slash is 1.6 mm behind its beat."""
    placed = cell().place(100.0, 80.0, Figures())
    assert placed["slashes"] == pytest.approx([100 + 3.7 + 20 * n + 1.6 for n in (1, 2, 3)])
    # 14 mm a beat is wide still, 13.9 is not.
    assert cell().place(0.0, 56.0, Figures())["slashes"] == pytest.approx([19.3, 33.3, 47.3])
    end = 55.6 - 2.0 - 1.6
    assert cell().place(0.0, 55.6, Figures())["slashes"][-1] == pytest.approx(end)


def test_slashes_stand_at_the_end_of_a_narrow_cell() -> None:
    """In 40 mm they share what is left behind the name, but no more than a beat each."""
    one = cell()
    gap = min(10.0, (40 - one.name_end - 2.0) / 3)
    end = 40 - 2.0 - 1.6
    placed = one.place(10.0, 40.0, Figures())
    assert placed["slashes"] == pytest.approx([10 + end - gap * back for back in (2, 1, 0)])
    assert cell(slashes=0).place(0.0, 40.0, Figures())["slashes"] == []


def test_a_long_name_keeps_its_slashes_clear() -> None:
    """A beat of 15 mm is wide, but the name is longer than that."""
    one = cell("2012", "F#m7b5/E", slashes=1)
    assert one.name_end + 2.0 > one.pad + 15
    (middle,) = one.place(0.0, 30.0, Figures())["slashes"]
    assert middle == pytest.approx(30 - 2.0 - 1.6)


def test_where_a_cell_is_laid() -> None:
    one, figures = cell("2213", "F6"), Figures()
    placed = one.place(50.0, 43.5, figures)
    assert placed["x"] == pytest.approx(53.7)
    assert placed["name-wide"] == pytest.approx(text_width("F6", NAME_PT, SEMIBOLD))
    assert placed["middle"] == pytest.approx(53.7 + strings_wide(one) / 2)
    assert placed["digits"] == "2-2-1-3" and placed["box"] == 0
    (drawn,) = figures.table()
    assert drawn["roles"] == ["note"]
    bare = cell("2213", "F6", box=False, bare=True).place(50.0, 43.5, figures)
    assert bare["middle"] == pytest.approx(52.2 + text_width("2-2-1-3", LABEL_PT) / 2)
    assert "box" not in bare


def test_an_added_chord_is_marked_where_the_tune_has_another() -> None:
    one = cell()
    added = replace(
        one, step=replace(one.step, move="leading-tone diminished", written=Chord.parse("F6"))
    )
    same = replace(one, step=replace(one.step, move="leading-tone diminished"))
    marks = [each.place(0.0, 40.0, Figures())["inserted"] for each in (one, added, same)]
    assert marks == [False, True, False]
