"""Difficulty, part by part: each part measured again."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.difficulty import caution, difficulty
from harmonykit.fretboard.hands.hand import Fingering, limits_at
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


def shape(digits: str) -> Voicing:
    return Voicing.parse(digits, UKULELE if 4 in (len(digits), len(digits.split("-"))) else GUITAR)


# Fingers, barres, strings muted between and outside, first level, first level of a small hand:
# common practice, no source (levels: 67, 80, 98 mm; a small hand 20 % less).
@pytest.mark.parametrize(
    ("digits", "fingers", "barres", "muted", "levels"),
    [
        ("0000", 0, (), (0, 0), (1, 1)),
        ("0003", 1, (), (0, 0), (1, 1)),
        ("0232", 3, (), (0, 0), (1, 1)),
        ("3333", 1, (4,), (0, 0), (3, 3)),
        ("x32010", 3, (), (0, 1), (1, 3)),
        ("xx0232", 3, (), (0, 2), (1, 1)),
        ("5x555x", 2, (3,), (1, 1), (2, 2)),
        ("133211", 4, (6,), (0, 0), (3, 3)),
        ("xxx144", 2, (2,), (0, 3), (3, None)),  # the little finger alone goes so far
    ],
)
def test_parts_of_known_shapes(
    digits: str,
    fingers: int,
    barres: tuple[int, ...],
    muted: tuple[int, int],
    levels: tuple[int | None, int | None],
) -> None:
    found = difficulty(shape(digits))
    assert (found.fingers, found.barres) == (fingers, barres)
    assert (found.muted_between, found.muted_outside) == muted
    assert (found.level, found.small_hand_level) == levels


def test_lengths_are_those_of_the_neck() -> None:
    # fret_positions.tsv, concert ukulele: fret 2 is 20.2 mm long and fret 4 is 18.0 mm; a tip of
    # 11 mm stands 6.32 mm behind the next one on strings 9 mm apart.
    width = {
        int(row["fret"]): float(row["fret_width_from_previous_mm"])
        for row in rows("fret_positions")
        if row["instrument"] == "concert ukulele 15 in"
    }
    assert difficulty(shape("2220")).tip_room_mm == pytest.approx(width[2] - 12.649, abs=0.01)
    assert difficulty(shape("4442")).tip_room_mm == pytest.approx(width[4] - 12.649, abs=0.01)
    assert difficulty(shape("0232")).tip_room_mm == pytest.approx(width[2], abs=0.01)
    assert difficulty(shape("0003")).tip_room_mm is None
    wide = difficulty(shape("x32010"))
    assert wide.stretch_mm == pytest.approx(GUITAR.wire_mm(3) - GUITAR.wire_mm(1))
    assert wide.weak_gap_mm == pytest.approx(GUITAR.wire_mm(3) - GUITAR.wire_mm(2))


def test_another_fingering_has_other_parts() -> None:
    g_major = shape("0232")
    usual = difficulty(g_major)
    other = difficulty(g_major, Fingering((0, 2, 4, 3), (), g_major.stretch_mm))
    assert usual.out_of_place < other.out_of_place
    assert usual.fingers == other.fingers == 3


SHAPES = find_voicings(Chord.parse("Am7"), UKULELE) + find_voicings(
    Chord.parse("G7"), GUITAR, 5, wanted=Wanted(mutes=True)
)


@given(st.sampled_from(SHAPES))
def test_the_level_is_the_first_that_holds_the_shape(voicing: Voicing) -> None:
    found = difficulty(voicing)
    neck = voicing.instrument
    for small, level in ((False, found.level), (True, found.small_hand_level)):
        held = [
            n
            for n in (1, 2, 3)
            if can_hold(voicing.frets, neck, limits_at(n, neck, small_hand=small))
        ]
        assert (held or [None])[0] == level
    assert found.fingers == len({finger for finger in voicing.fingers if finger})
    assert found.stretch_mm == pytest.approx(voicing.stretch_mm)


def test_no_single_number_stands_for_the_parts() -> None:
    found = difficulty(shape("133211"))
    labels = [label for label, _ in found.parts()]
    assert len(labels) == len(set(labels)) >= 8
    assert "score" not in {field.name for field in dataclasses.fields(found)}
    assert str(found) == "4 fingers, barre over 6 strings, stretch 67 mm, level 3"
    assert str(difficulty(shape("5x555x"))).startswith(
        "2 fingers, barre over 3 strings, stretch 0 mm, 1 inner string muted"
    )
    assert str(difficulty(shape("0003"))) == "1 finger, level 1"


def test_what_no_hand_holds_has_no_parts() -> None:
    with pytest.raises(HarmonyError, match="1-9-1-9 has no fingering"):
        difficulty(shape("1-9-1-9"))


@pytest.mark.parametrize(
    ("digits", "parts"),
    [
        ("0003", ()),
        ("x32010", ()),
        ("3211", ("a barre over two strings", "it hurts, stop")),
        ("133211", ("a barre over six strings", "it hurts, stop")),
        (
            "1xxx4x",
            (
                "a stretch over four frets (97 mm)",
                "it hurts, stop",
                "see a doctor or physiotherapist",
            ),
        ),
        (
            "477444",
            (
                "a stretch over four frets (82 mm) and a barre over six strings",
                "either hurts, stop",
            ),
        ),
    ],
)
def test_a_wide_stretch_and_a_barre_carry_a_caution(digits: str, parts: tuple[str, ...]) -> None:
    said = caution(shape(digits))
    assert all(part in said for part in parts)
    assert bool(said) == bool(parts)
