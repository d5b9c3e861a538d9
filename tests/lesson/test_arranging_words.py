"""What is said of a chord melody, what a level follows from, and its usual shapes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from small_arrangements import Arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.block.playing import OCTAVE
from harmonykit.arrange.shapes import is_held
from harmonykit.fretboard.hands.hand import Limits, limits_at
from harmonykit.fretboard.shapes.ranking import rank_shapes
from harmonykit.fretboard.shapes.row_textures import CHORD_MELODY
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.arranging import (
    _Class,
    _keeps,
    _known_shapes,
    _new_shapes,
    _said_of,
    level_key,
    level_stem,
    usual_shapes,
)
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Front, Level
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
    tune = Tune.parse("| C | E7 | F#m | C#dim7 | D9 |")
    for limits in (Limits(), Limits(max_fret=3, barre="none"), Limits(max_fret=0)):
        for chord, (shape,) in usual_shapes(tune, UKULELE, limits).items():
            rooted = [s for s in rank_shapes(chord, UKULELE) if chord.root.pitch_class in s.pcs]
            held = [s for s in rooted if is_held(s, limits)]
            assert shape == (held or rooted)[0], str(chord)
    assert usual_shapes(tune, UKULELE, Limits())[Chord.parse("C")][0].digits == "0-0-0-3"


# Common practice, no source: the grips of first chord books, from memory.
FIRST_BOOK = [
    ("ukulele", "Bm 4222 Bbm 3111 Bb 3211 B 4322 Bb7 1211 B7 4320 Bm7 2222 Dm7 2213 D7 2223"),
    ("ukulele low g", "Bm 4222 Bb 3211 B 4322 Bm7 2222 G 0232 Dm7 2213 E 4442 Eb 0331"),
    ("baritone ukulele", "F#m 4222 Fm 3111 F 3211 F#7 4320 F#m7 2222 Am7 2213 A7 2223"),
    ("guitar", "F x3321x Bm x2443x B7 x21202 C7 x32310 D xx0232 Gm7 3x33xx E 022100"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "grips"), FIRST_BOOK)
def test_a_first_level_has_the_grips_of_a_first_chord_book(name: str, grips: str) -> None:
    """Rather a flat finger over a few strings low on the neck than four fingers."""
    neck = Instrument.named(name)
    names, digits = grips.split()[::2], grips.split()[1::2]
    tune = Tune.parse(f"| {' | '.join(names)} |")
    level = Level("As written", (), "", limits_at(1, neck), 0.0, 80)
    usual = usual_shapes(tune, neck, level.limits)
    assert [s.digits.replace("-", "") for (s,) in usual.values()] == digits
    played = _Class(tune, neck, frozenset()).arranged((level,))
    assert [s.voicing and s.voicing.digits.replace("-", "") for s in played.steps] == digits
    assert all(played.fingerings) and not played.notes


@pytest.fixture(scope="module")
def front(tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]) -> Front:
    return load_lesson(write_lesson(tmp_path_factory.mktemp("words"))).front


def test_a_level_s_arrangement_follows_from_what_sounds_in_it_and_before(front: Front) -> None:
    """Names and what to watch change nothing, nor how fast the tune as written is played before."""
    plain = replace(front.levels[0], moves=(), choruses=(), texture="")
    moved = front.levels[0]

    def same(changed: Level, before: Level, *levels: Level) -> bool:
        """Return whether a level follows from the same where one of its levels is changed."""
        now = tuple(changed if level is before else level for level in levels)
        index = len(levels) - 1
        one, other = (replace(front, levels=each) for each in (levels, now))
        return level_key(one, index) == level_key(other, index)

    for level in (plain, moved):
        said = replace(level, name="Other", watch="Look.")
        assert same(said, level, level) and same(said, level, level, moved)
        # Its own tempo counts, as a chord must last so long.
        assert not same(replace(level, tempo=level.tempo / 2), level, level)
    slow = replace(plain, tempo=plain.tempo / 2, least_seconds=9.0)
    assert same(slow, plain, plain, moved)
    for sounding in (
        moved, replace(plain, choruses=("plain", "rich")), replace(plain, texture=CHORD_MELODY),
    ):  # fmt: skip
        slow = replace(sounding, tempo=sounding.tempo / 2)
        assert not same(slow, sounding, sounding, replace(moved, tempo=61))
    # Every level before counts, not the first and the last alone.
    assert not same(replace(plain, style="smooth"), plain, moved, plain, replace(moved, tempo=61))
    # What comes behind does not.
    both = replace(front, levels=(plain, moved))
    assert level_key(both, 0) == level_key(replace(front, levels=(plain,)), 0)


def test_a_level_s_files_are_named_by_its_number_and_its_name(front: Front) -> None:
    assert level_stem(replace(front.levels[0], name="Two Steps: up"), 1) == "level-2-two-steps-up"
