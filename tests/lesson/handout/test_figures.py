"""The figures of a handout: each travels once, in the right colours, with its marks."""

from __future__ import annotations

import re

from harmonykit.draw.shapes.box import draw_box
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.handout.figures import Figures, roles_of
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")
D7 = Chord.parse("D7")
SHAPE = Voicing.parse("2223", UKULELE)


def test_the_same_figure_travels_once() -> None:
    figures = Figures()
    keys = [figures.add(draw_box(SHAPE, D7, palette="print"), ["note"]) for _ in range(3)]
    assert keys == [0, 0, 0] and len(figures.table()) == 1
    assert figures.add(draw_box(SHAPE, D7, palette="print", marks="roles"), ["root"]) == 1


def test_print_has_black_ink_and_keeps_the_accents() -> None:
    drawing = draw_box(SHAPE, D7, marks="roles")
    colours = set(re.findall("#[0-9a-f]{6}", Figures().recoloured(drawing).svg))
    # look: ink, soft and hair are black in print, third and seventh stay.
    assert colours <= {"#000000", "#ffffff", "#b23f1a", "#1f7b78"} and "#b23f1a" in colours
    one_ink = set(re.findall("#[0-9a-f]{6}", Figures("one ink").recoloured(drawing).svg))
    assert one_ink <= {"#000000", "#ffffff"}


def test_the_key_lists_the_marks_in_use_only() -> None:
    figures = Figures()
    figures.add(draw_box(SHAPE, D7, marks="roles"), roles_of(SHAPE, D7) | {"was"})
    assert [mark["word"] for mark in figures.marks()] == [
        "root", "third", "fifth", "sixth or seventh", "where it was",
    ]  # fmt: skip


def test_open_strings_bear_no_mark_in_a_box() -> None:
    shape = Voicing.parse("0003", UKULELE)
    assert roles_of(shape, Chord.parse("C")) == {"root"}
    assert roles_of(shape, Chord.parse("C"), open_too=True) == {"root", "third", "fifth"}
