"""What follows from a lesson's shapes: one string lowered, the scale carried up, walks; by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Front
from harmonykit.lesson.plan.starts import (
    climb,
    lowered,
    near_shape,
    shape_of,
    shapes_heard,
    usual_shape,
    walk,
)
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


@pytest.fixture(scope="module")
def front(root: Path) -> Front:
    return load_lesson(root / "data" / "lessons" / "scale_of_chords.md").front


def test_each_string_lowered_is_the_root_of_a_dominant() -> None:
    """2323 on g C E A is A, E flat, G flat, C; a semitone lower: A flat 7, D7, F7, B7."""
    ways = lowered(Voicing.parse("2323", UKULELE), Chord.parse("Adim7"))
    assert [(string, shown.shape.digits) for string, _, shown in ways] == [
        (0, "1-3-2-3"), (1, "2-2-2-3"), (2, "2-3-1-3"), (3, "2-3-2-2"),
    ]  # fmt: skip
    assert [way.parent.root.pitch_class for _, way, _ in ways] == [8, 2, 5, 11]
    assert all(shown.shape.pcs == shown.chord.pcs for *_, shown in ways)


def test_an_open_string_cannot_be_lowered() -> None:
    """0101 is G, C sharp, E, B flat: the second and the fourth string are pressed."""
    ways = lowered(Voicing.parse("0101", UKULELE), Chord.parse("Gdim7"))
    assert [string for string, *_ in ways] == [1, 3]


def test_a_climb_alternates_chord_and_diminished_up_to_the_twelfth_fret(front: Front) -> None:
    """The eight notes of the scale in turn: its chord, its diminished seventh, its chord again."""
    shapes = climb(front)
    assert 2 <= len(shapes) <= 9
    for place, shown in enumerate(shapes):
        wanted = front.scale.diminished if place % 2 else front.scale.chord
        assert shown.chord == wanted and shown.shape.pcs == wanted.pcs
        assert shown.shape.highest_fret <= 12
    assert shapes[0].shape == front.scale_shape
    tops = [max(p for p in shown.shape.midi if p is not None) for shown in shapes]
    assert tops == sorted(set(tops))
    # Either all eight steps and the octave are there, or the next leaves the twelfth fret.
    if len(shapes) < 9:
        assert shapes[-1].shape.highest_fret >= 9


def test_a_walk_raises_one_string_after_the_other_by_a_fret(front: Front) -> None:
    steps = walk(front, Chord.parse("Bdim7"))
    shapes = [Voicing.parse(digits, front.instrument) for digits in steps]
    sounding = sum(fret is not None for fret in shapes[0].frets)
    assert len(shapes) == sounding + 1 == len(set(steps))
    for before, after in zip(shapes, shapes[1:], strict=False):
        moved = [b - a for a, b in zip(before.frets, after.frets, strict=True) if a is not None]
        assert sorted(moved) == [0] * (sounding - 1) + [1]
    assert shapes[0].pcs == Chord.parse("Bdim7").pcs and shapes[-1].pcs == Chord.parse("Cdim7").pcs


def test_a_chord_is_heard_in_the_lessons_own_shape_where_it_has_one(front: Front) -> None:
    own, other = front.scale.chord, Chord.parse("Ab7")
    heard = shapes_heard(front, [own, other])
    assert heard[0] == front.scale_shape.digits or heard[0] == front.shape.digits
    assert Voicing.parse(heard[1], front.instrument).pcs == other.pcs
    # Of a chord of seven notes no shape of four strings plays all.
    assert shapes_heard(front, [Chord.parse("C13(#11)")]) == ()


@pytest.mark.parametrize("name", ["ukulele", "guitar", "mandolin"])
def test_a_shape_to_start_from_has_all_notes_on_neighbouring_strings(name: str) -> None:
    """As it can be carried up the neck string by string: no string inside is muted."""
    neck = Instrument.named(name)
    for symbol in ("C6", "Bdim7", "Fm6", "Ebdim7"):
        chord = Chord.parse(symbol)
        shape = shape_of(chord, neck)
        sounding = [place for place, fret in enumerate(shape.frets) if fret is not None]
        assert sounding == [*range(sounding[0], sounding[0] + 4)]
        assert shape.pcs == chord.pcs and shape.highest_fret <= 12
        # The most usual shape may leave out the fifth, and nothing else.
        usual, root = usual_shape(chord, neck).pcs, chord.root.pitch_class
        assert usual <= chord.pcs
        assert {(pc - root) % 12 for pc in chord.pcs - usual} <= {6, 7}


def test_a_shape_near_another_is_that_itself_where_it_will_do() -> None:
    """0003 is C; the nearest F on g C E A moves three strings, 2010; 0000 may stand for Am7."""
    c = Voicing.parse("0003", UKULELE)
    assert near_shape(c, Chord.parse("C")) == c
    near = near_shape(c, Chord.parse("F"))
    assert near is not None and near.pcs == Chord.parse("F").pcs and near != c
    other = near_shape(c, Chord.parse("B7"))
    assert other is not None and other.pcs == Chord.parse("B7").pcs
