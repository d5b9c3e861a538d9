"""What is heard of a figure, and what the key at the foot explains."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.draw.base.marks import roles_drawn
from harmonykit.draw.sets.clock import draw_clock
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.box_look import BoxLook
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.page.figure import heard, view_figures
from harmonykit.lesson.page.svg import Figures, Styles
from harmonykit.lesson.plan.model import Front, Picture
from harmonykit.lesson.plan.shown import along_the_neck
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.lesson.statements.carried import climb
from harmonykit.theory.chord import Chord


@pytest.fixture
def front(lesson_path: Path) -> Front:
    return read_lesson(lesson_path)[0]


@pytest.mark.parametrize("frets", ["2-3-2-3", "0-0-0-3", "10-x-12-12", "x-x-x-5"])
@pytest.mark.parametrize("left_handed", [False, True])
def test_a_box_sounds_its_shape(front: Front, frets: str, left_handed: bool) -> None:
    shape = Voicing.parse(frets, front.instrument)
    assert heard(draw_box(shape, look=BoxLook(left_handed=left_handed)), front) == (frets,)


def test_the_neck_sounds_the_scale_shape_by_shape(front: Front) -> None:
    shapes = climb(front)
    found = heard(along_the_neck(shapes), front)
    # By hand on g C E A: Gm6 as 0-2-0-1, then each string one note up G A Bb C D Eb E F#; the
    # eighth shape is 11-12-11-12, and the one after it would reach fret 14.
    assert found[:3] == ("0-2-0-1", "2-3-2-3", "3-4-3-5") and len(found) == len(shapes) == 8


def test_muted_strings_of_the_scale_stay_silent(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    for old, new in (('"ukulele"', '"guitar"'), ('"4545"', '"xx3434"'), ('"0201"', '"xx2333"')):
        assert old in text
        text = text.replace(old, new)
    lesson_path.write_text(text, encoding="utf-8")
    front = read_lesson(lesson_path)[0]
    found = heard(along_the_neck(climb(front)), front)
    # By hand: Gm6 as E Bb D G on D G B E, then each string one note up G A Bb C D Eb E F#.
    assert found[:3] == ("x-x-2-3-3-3", "x-x-4-5-4-5", "x-x-5-7-5-6")


def test_a_neck_of_other_shapes_and_a_clock_are_not_guessed_at(front: Front) -> None:
    other = [(Voicing.parse("0003", front.instrument), Chord.parse("C"))] * 1
    other.append((Voicing.parse("2010", front.instrument), Chord.parse("F")))
    assert heard(draw_neck(front.instrument, other), front) == ()
    assert heard(draw_clock(Chord.parse("D7")), front) == ()


def test_a_caption_has_a_line_for_each_part(front: Front) -> None:
    box = draw_box(Voicing.parse("2223", front.instrument), Chord.parse("D7"))
    picture = Picture((box,), ("lower C; resolves to G",), "one")
    (view,) = view_figures(picture, front, Figures(Styles()))
    assert view.captions == ("lower C", "resolves to G")
    assert (view.frets, view.heard, view.wide) == ("2-2-2-3", "D seven", False)


def test_the_key_explains_what_is_drawn_and_nothing_else(front: Front) -> None:
    shape, chord = Voicing.parse("2223", front.instrument), Chord.parse("D7")
    plain = draw_box(shape, chord)
    study = draw_box(shape, chord, marks="roles", was=front.shape)
    assert roles_drawn([]) == ()
    assert roles_drawn([plain]) == ("note",)
    assert roles_drawn([study]) == ("root", "third", "fifth", "seventh", "was")
    # B, D, F and A flat: of G7b9 all but the root.
    ninth = draw_box(front.shape, Chord.parse("G7b9"), marks="roles")
    assert "tension" in roles_drawn([plain, ninth])
