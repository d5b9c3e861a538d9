"""The figures of a handout: each travels once, in the right colours, with its marks."""

from __future__ import annotations

import re

from harmonykit.draw.shapes.box import draw_box
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.handout.figures import Figures
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
