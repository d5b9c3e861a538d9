"""Holding: shapes that any teacher knows (common practice, no source), and all ways to hold one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import (
    BARRES,
    PAIRS,
    Barre,
    Limits,
    awkwardness,
    limits_at,
    position_of,
)
from harmonykit.fretboard.hands.holding import assignments, can_hold, fit, ways_to_finger, wires_of
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
LEVELS = (1, 2, 3)


def shape(digits: str) -> Voicing:
    return Voicing.parse(digits, UKULELE if 4 in (len(digits), len(digits.split("-"))) else GUITAR)


# Shape, fingers, and the first level at which it is in reach.  Common practice, no source.
KNOWN = [
    ("x32010", (None, 3, 2, 0, 1, 0), 1),  # C
    ("xx0232", (None, None, 0, 1, 3, 2), 1),  # D
    ("x02220", (None, 0, 1, 2, 3, 0), 1),  # A
    ("022100", (0, 2, 3, 1, 0, 0), 1),  # E
    ("x02210", (None, 0, 2, 3, 1, 0), 1),  # Am
    ("xx0231", (None, None, 0, 2, 3, 1), 1),  # Dm
    ("021100", (0, 3, 1, 2, 0, 0), 1),  # Emaj7
    ("x21202", (None, 2, 1, 3, 0, 4), 1),  # B7
    ("x32310", (None, 3, 2, 4, 1, 0), 1),  # C7
    ("320001", (3, 2, 0, 0, 0, 1), 1),  # G7
    ("xx1212", (None, None, 1, 3, 2, 4), 1),  # D#dim7
    ("3x443x", (1, None, 3, 4, 2, None), 1),  # Gmaj7
    ("xx3211", (None, None, 3, 2, 1, 1), 2),  # small F
    ("133211", (1, 3, 4, 2, 1, 1), 3),  # F
    ("244222", (1, 3, 4, 1, 1, 1), 3),  # F#m
    ("x13331", (None, 1, 2, 3, 4, 1), 3),  # Bb
    ("0000", (0, 0, 0, 0), 1),  # C6
    ("0003", (0, 0, 0, 3), 1),  # C
    ("2010", (2, 0, 1, 0), 1),  # F
    ("0232", (0, 1, 3, 2), 1),  # G
    ("0212", (0, 2, 1, 3), 1),  # G7
    ("2000", (2, 0, 0, 0), 1),  # Am
    ("0432", (0, 3, 2, 1), 1),  # Em
    ("2323", (1, 3, 2, 4), 1),  # F#dim7
    ("1212", (1, 3, 2, 4), 1),  # Fdim7
    ("0101", (0, 1, 0, 2), 1),  # Edim7
    ("4442", (2, 3, 4, 1), 1),  # E
    ("3211", (3, 2, 1, 1), 2),  # Bb
    ("4222", (3, 1, 1, 1), 3),  # Bm
    ("3333", (1, 1, 1, 1), 3),  # Cm7
    ("2225", (1, 1, 1, 4), 3),  # D, with a barre
]


@pytest.mark.parametrize(("digits", "fingers", "level"), KNOWN)
def test_shapes_that_any_teacher_knows(
    digits: str, fingers: tuple[int | None, ...], level: int
) -> None:
    known = shape(digits)
    assert known.fingers == fingers
    within = [
        can_hold(known.frets, known.instrument, limits_at(n, known.instrument)) for n in LEVELS
    ]
    assert within == [n >= level for n in LEVELS]


def test_the_full_barre_of_f_is_out_at_level_1_and_in_at_level_3() -> None:
    f = shape("133211")
    assert fit(f.frets, GUITAR, limits_at(1, GUITAR)) is None
    found = fit(f.frets, GUITAR, limits_at(3, GUITAR))
    assert found is not None
    assert found.barres == (Barre(1, 1, 0, 5),)


def test_level_1_refuses_four_frets_at_the_nut_of_a_guitar_alone() -> None:
    low, high = shape("xxx144"), shape("xxx588")
    assert not can_hold(low.frets, GUITAR, limits_at(1, GUITAR))
    assert can_hold(low.frets, GUITAR, limits_at(3, GUITAR))
    assert can_hold((1, 4, 4, 0), UKULELE, limits_at(1, UKULELE))
    # 77.2 mm from the fifth to the eighth fret: span_mm.tsv, guitar 25.5 in.
    assert high.stretch_mm == pytest.approx(77.2, abs=0.05)


def test_a_small_hand_does_without_the_open_c_of_a_guitar() -> None:
    assert not can_hold(shape("x32010").frets, GUITAR, limits_at(1, GUITAR, small_hand=True))
    assert can_hold(shape("x02210").frets, GUITAR, limits_at(1, GUITAR, small_hand=True))


# Shapes of chord books that a hand model may not refuse (common practice, from memory).
@pytest.mark.parametrize(
    ("digits", "fingers"),
    [
        ("x32110", (None, 3, 2, 1, 1, 0)),  # C+: the last joint stands off the open string
        ("032110", (0, 3, 2, 1, 1, 0)),  # E+
        ("076780", (0, 2, 1, 3, 4, 0)),  # E7#9
        ("2310", (2, 3, 1, 0)),  # F7 without its fifth
        ("x24442", (None, 1, 2, 3, 4, 1)),  # B
        ("3x233x", (2, None, 1, 3, 4, None)),  # Gm6
        ("x3133x", (None, 2, 1, 3, 4, None)),  # Cm9
        ("x32333", (None, 2, 1, 3, 3, 3)),  # C9
        ("x32335", (None, 2, 1, 3, 3, 4)),  # C13: flat below the little finger
        ("x13334", (None, 1, 3, 3, 3, 4)),  # Bb7
        ("xx3331", (None, None, 3, 3, 3, 1)),  # the ring finger stands off the index's string
    ],
)
def test_what_chord_books_print_is_held(digits: str, fingers: tuple[int | None, ...]) -> None:
    known = shape(digits)
    assert known.fingering is not None
    assert fingers in {way.fingers for way, _ in ways_to_finger(known.frets, known.instrument)}


def test_a_barre_has_two_ends() -> None:
    # Up to three strings lie under the last joint; a wider barre takes the whole finger.
    assert can_hold((None, None, 2, 2, 2, 0), GUITAR, Limits(barre="half"))
    assert can_hold((None, 3, 2, 1, 1, 0), GUITAR)
    assert not can_hold((None, 2, 2, 2, 2, 0), GUITAR)
    # No string between its ends is open or muted.
    for frets in ((2, 0, 2, 4, 3, 4), (2, None, 2, 4, 3, 4)):
        assert not can_hold(frets, GUITAR)


def test_the_little_finger_does_not_stand_off_the_strings_past_it() -> None:
    # Four notes below the row of two leave it to the little finger.
    assert not can_hold((1, 3, 3, 2, 1, 0), GUITAR)
    assert can_hold((None, 1, 3, 3, 3, 1), GUITAR)


# From index to little finger in mm, and what other pairs reach at that.  Spans on a flat keyboard
# are wider (thumb to little finger about 200 mm in women and 225 mm in men, from memory): curled
# over strings, four fingers part by less than half of it.
def test_each_pair_of_fingers_has_its_limit() -> None:
    wide = dict(zip(PAIRS, Limits().pairs_mm, strict=True))
    assert wide[1, 4] == 98 and max(wide.values()) < 200 / 2
    assert wide[2, 3] < wide[3, 4] < wide[1, 2] < wide[2, 4] < wide[1, 3] < wide[1, 4]
    # A fret lets a pair through or not by its length alone: 647.7 mm, frets 3 to 5 are 59.4 mm and
    # frets 7 to 9 47.2 mm (L(2^(-m/12) - 2^(-n/12)), fret_positions.tsv).
    pair = {
        fingers
        for low, high in ((3, 5), (7, 9))
        for way, _ in ways_to_finger((low, high, None, None, None, None), GUITAR)
        for fingers in [(low, way.fingers[:2])]
    }
    assert {f for low, f in pair if low == 3} == set(PAIRS) - {(2, 3)}
    assert {f for low, f in pair if low == 7} == set(PAIRS)


def test_two_fingers_do_not_leave_two_behind_by_five_frets() -> None:
    for frets in ((1, 6, 1, 6), (6, 1, 6, 1)):
        assert not can_hold(frets, UKULELE)
        assert not can_hold(frets, Instrument.named("tenor ukulele"))


@pytest.mark.parametrize(("name", "held"), [("small", False), ("usual", False), ("wide", True)])
def test_reach_decides_about_four_frets_at_the_nut_of_a_guitar(name: str, held: bool) -> None:
    # 97.3 mm: span_mm.tsv, guitar 25.5 in.
    assert can_hold((1, None, None, None, 4, None), GUITAR, Limits().with_reach(name)) == held


def test_an_unknown_reach_is_refused() -> None:
    with pytest.raises(HarmonyError, match="'huge' is not a reach of a hand"):
        Limits().with_reach("huge")


# Shapes that players hold with the thumb over the neck (common practice, from memory).
@pytest.mark.parametrize(
    ("digits", "thumb"), [("200232", 5), ("133211", 5), ("1x3211", 5), ("3x0003", 5)]
)
def test_the_thumb_is_a_setting(digits: str, thumb: int) -> None:
    known = shape(digits)
    by_thumb = {
        way.fingers[0] for way, _ in ways_to_finger(known.frets, GUITAR, Limits(thumb=True))
    }
    without = {way.fingers[0] for way, _ in ways_to_finger(known.frets, GUITAR, Limits())}
    assert thumb in by_thumb and thumb not in without


def test_the_thumb_reaches_frets_beside_the_index_alone() -> None:
    assert not can_hold((5, 3, 2, 1, 2, 4), GUITAR, Limits(thumb=True))
    assert can_hold((2, 3, 2, 1, None, 2), GUITAR, Limits(thumb=True))


# What no teacher would ask for, and why.
IMPOSSIBLE = {
    "123456": "a finger for each string",
    "1-9-1-9": "eight frets apart",
    "101132": "five notes, and an open string under the barre",
    "1x1321": "five notes, and a muted string under the barre",
    "133210": "five notes, and an open string past the barre's end",
    "121323": "a barre, and then four notes",
    "3x2533": "five notes, the little finger before the ring finger's row",
    "133340": "five notes, and an open string past the ring finger's row",
}


@pytest.mark.parametrize("digits", IMPOSSIBLE)
def test_what_four_fingers_cannot_hold_is_refused(digits: str) -> None:
    impossible = shape(digits)
    assert fit(impossible.frets, impossible.instrument) is None
    assert impossible.fingering is None
    assert impossible.fingers == ()


def test_a_barre_wants_every_string_in_its_reach() -> None:
    assert can_hold((2, 2, 2, 3), UKULELE, Limits(barre="full"))
    # Five notes need a barre, and the open top string lies under it.
    assert not can_hold((1, 3, 3, 2, 1, 0), GUITAR)
    assert can_hold((1, 3, 3, 2, 1, None), GUITAR)


def test_four_tips_do_not_stand_in_one_fret() -> None:
    assert not can_hold((3, 3, 3, 3), UKULELE, Limits(barre="none"))
    assert not can_hold((3, 3, 3, 3), UKULELE, Limits(barre="half"))
    assert can_hold((3, 3, 3, 0), UKULELE, Limits(barre="none"))


def test_a_finger_laid_flat_holds_the_jazz_shape_with_a_muted_string() -> None:
    found = fit((5, None, 5, 5, 5, None), GUITAR)
    assert found is not None
    assert found.barres == (Barre(2, 5, 2, 4),)


# From low to high fret by the equal-tempered rule: span_mm.tsv, concert 15 in and guitar 25.5 in.
@pytest.mark.parametrize(
    ("digits", "mm"),
    [("1444", 57.21), ("5888", 45.41), ("0000", 0), ("0005", 0), ("xxx144", 97.27)],
)
def test_stretch_is_measured_from_wire_to_wire(digits: str, mm: float) -> None:
    assert shape(digits).stretch_mm == pytest.approx(mm, abs=0.01)
    found = fit(shape(digits).frets, shape(digits).instrument)
    assert found is not None
    assert found.stretch_mm == pytest.approx(mm, abs=0.01)


SHORT = Instrument.parse("G4 C4 E4 A4", scale_mm=250, frets=15)

necks = st.sampled_from([UKULELE, GUITAR, SHORT])
hands = st.builds(
    Limits,
    st.integers(4, 15),
    st.sampled_from([53.6, 67.0, 80.0, 98.0]),
    st.sampled_from(BARRES),
    st.sampled_from([0.0, 8.0, 11.0, 15.0]),
)
offsets = st.lists(st.sampled_from([None, -99, 0, 0, 0, 1, 1, 2, 3, 4]), min_size=6, max_size=6)


def frets_on(neck: Instrument, lowest: int, above: list[int | None]) -> Fretting:
    strings = len(neck.midi)
    return tuple(None if n is None else max(0, lowest + n) for n in above[:strings])


@given(necks, st.integers(1, 11), offsets, hands)
def test_the_quick_answer_is_that_of_all_ways(
    neck: Instrument, lowest: int, above: list[int | None], hand: Limits
) -> None:
    frets = frets_on(neck, lowest, above)
    if not any(frets):
        return
    every = list(assignments(frets, wires_of(neck.scale_mm), hand))
    assert can_hold(frets, neck, hand) == bool(every)
    assert len(ways_to_finger(frets, neck, hand)) == len(every)
    best = fit(frets, neck, hand)
    assert (best is None) == (not every)
    if best is not None:
        position = position_of(frets)
        least = min(awkwardness(*way, position) for way in every)
        assert (best, least) in ways_to_finger(frets, neck, hand)
        assert ways_to_finger(frets, neck, hand)[0][1] == least


def test_open_strings_need_no_finger() -> None:
    assert can_hold((0, None, 0, 0), UKULELE, Limits(0, 0.0, "none"))
    found = ways_to_finger((0, None, 0, 0), UKULELE)
    assert [(way.fingers, awkward) for way, awkward in found] == [((0, None, 0, 0), 0)]


# Fingerings of one shape that teachers know (common practice, no source): E minor by 1-2 and 2-3,
# A by 1-2-3 and 2-3-4.
@pytest.mark.parametrize(
    ("frets", "fingers"),
    [
        ((0, 2, 2, 0, 0, 0), {(0, 1, 2, 0, 0, 0), (0, 2, 3, 0, 0, 0)}),
        ((None, 0, 2, 2, 2, 0), {(None, 0, 1, 2, 3, 0), (None, 0, 2, 3, 4, 0)}),
    ],
)
def test_a_shape_may_be_held_in_several_ways(frets: Fretting, fingers: set[Fretting]) -> None:
    assert fingers <= {way.fingers for way, _ in ways_to_finger(frets, GUITAR)}
