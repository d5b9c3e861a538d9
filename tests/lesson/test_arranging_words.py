"""What is said of a chord melody, when a level gives way to those before it, and its usual shapes."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest
from small_arrangements import Arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.block.playing import OCTAVE
from harmonykit.arrange.shapes import is_held
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.ranking import rank_shapes
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.arranging import _keeps, _known_shapes, _new_shapes, _said_of, usual_shapes
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")


def on_top(arranged: Arranged, octave: int, *moved: str, highest: int = 9) -> list[str]:
    """Return what is said where these notes are put into another octave."""
    way = replace(arranged("C=0003"), limits=Limits(max_fret=highest))
    listed = [SimpleNamespace(note=Note.parse(name), done=(OCTAVE,)) for name in moved]
    listed.append(SimpleNamespace(note=Note.parse("C7"), done=()))
    found = SimpleNamespace(octave=octave, listed=listed, arrangement=way)
    return list(_said_of(found))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("octave", "said"),
    [
        (-1, "The melody is played an octave lower than written."),
        (1, "The melody is played an octave higher than written."),
        (-2, "The melody is played 2 octaves lower than written."),
        (2, "The melody is played 2 octaves higher than written."),
    ],
)
def test_the_octave_of_a_melody_is_told(arranged: Arranged, octave: int, said: str) -> None:
    assert on_top(arranged, octave) == [said]


def test_notes_in_another_octave_are_told_with_the_fret_that_they_need(arranged: Arranged) -> None:
    """The highest string is a, A4: G5 lies at its fret 10, C6 at 15."""
    assert on_top(arranged, 0) == []
    reach = "out of the hand's reach"
    assert on_top(arranged, 0, "G5") == [
        f"One note of the melody is played in another octave: as written it is {reach}, at fret 10."
    ]
    assert on_top(arranged, 0, "G5", highest=10) == [
        f"One note of the melody is played in another octave: as written it is {reach}."
    ]
    assert on_top(arranged, 0, "G5", "C6") == [
        "2 notes of the melody are played in another octave: "
        f"as written they are {reach}, up to fret 15."
    ]
    # An octave lower all of them lie twelve frets lower.
    assert on_top(arranged, -1, "G5", "C7")[1] == (
        "2 notes of the melody are played in another octave: "
        f"as written they are {reach}, up to fret 15."
    )


def with_moves(arranged: Arranged, *moves: str) -> Arrangement:
    way = arranged(" | ".join(["C=0003"] * 6))
    names = [*moves, *[""] * (6 - len(moves))]
    return replace(
        way, steps=tuple(replace(s, move=m) for s, m in zip(way.steps, names, strict=True))
    )


def test_a_level_gives_way_while_it_keeps_every_move_and_half_of_its_chords(
    arranged: Arranged,
) -> None:
    free = with_moves(arranged, "walk", "walk", "walk", "turn")
    assert _keeps(with_moves(arranged, "walk", "turn"), free)
    assert _keeps(with_moves(arranged, "walk", "turn", "other"), free)
    assert not _keeps(with_moves(arranged, "walk", "walk", "walk"), free)
    assert not _keeps(with_moves(arranged, "turn"), free)
    five = with_moves(arranged, "walk", "walk", "walk", "walk", "turn")
    assert not _keeps(with_moves(arranged, "walk", "turn"), five)
    assert _keeps(with_moves(arranged, "walk", "walk", "turn"), five)


def test_shapes_are_known_from_chords_of_the_tune_alone(arranged: Arranged) -> None:
    way = arranged("C=0003 | F=2010 | C=5433 | G7=0212")
    added = replace(way, steps=(*way.steps[:3], replace(way.steps[3], move="walk")))
    known = _known_shapes([added])
    assert {str(c): [s.digits for s in shapes] for c, shapes in known.items()} == {
        "C": ["0-0-0-3", "5-4-3-3"], "F": ["2-0-1-0"],
    }  # fmt: skip
    # Another shape for F is new, each once; G7 was not known, and what is added does not count.
    other = arranged("C=0003 | F=5553 | F=5553 | G7=0212")
    assert _new_shapes(other, known) == 1
    assert _new_shapes(way, known) == 0
    moved = replace(other, steps=tuple(replace(s, move="walk") for s in other.steps))
    assert _new_shapes(moved, known) == 0


def test_the_usual_shape_is_the_first_of_a_chord_book_that_a_hand_holds() -> None:
    tune = Tune.parse("| C | E7 | Bb | C#dim7 | D9 |")
    for limits in (Limits(), Limits(max_fret=3, barre="none"), Limits(max_fret=0)):
        for chord, (shape,) in usual_shapes(tune, UKULELE, limits).items():
            rooted = [s for s in rank_shapes(chord, UKULELE) if chord.root.pitch_class in s.pcs]
            held = [s for s in rooted if is_held(s, limits)]
            assert shape == (held or rooted)[0], str(chord)
    assert usual_shapes(tune, UKULELE, Limits())[Chord.parse("C")][0].digits == "0-0-0-3"
