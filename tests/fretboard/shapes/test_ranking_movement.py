"""What moves from shape to shape: worked by hand, and laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.fretboard.shapes.ranking import FEATURES, features, middle_mm, name_of
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

GUITAR = Instrument.named("guitar")
SETS = ((None, None), (None,)), ((None,), (None, None)), ((), (None, None))


@st.composite
def grips(draw: st.DrawFn) -> Voicing:
    low, high = draw(st.sampled_from(SETS))
    count = 6 - len(low) - len(high)
    frets = draw(st.lists(st.integers(1, 12), min_size=count, max_size=count))
    return Voicing(GUITAR, (*low, *frets, *high))


def row(before: str, after: str, root: int, chord: str) -> dict[str, float]:
    a, b = (Voicing.parse(digits, GUITAR) for digits in (before, after))
    return dict(zip(FEATURES, features(a, root, Chord.parse(chord), [b])[0], strict=True))


def test_two_inversions_of_a_seventh_chord_by_hand() -> None:
    """B♭7 A♭ D F B♭ (56 62 65 70) to E♭7 G D♭ E♭ B♭ (55 61 63 70): 1, 1, 4 and 0, over 4."""
    found = row("xx6766", "xx5646", 10, "Eb7")
    assert found["voices"] == pytest.approx((1 + 1 + 4 + 0) / 4)
    assert found["strings"] == 1
    assert found["inversion"] == 0  # the root goes from the top to the third voice


def test_a_block_that_slides_keeps_strings_and_inversion() -> None:
    found = row("xx6767", "xx7878", 11, "Cdim7")
    assert (found["strings"], found["inversion"], found["voices"]) == (1, 1, 1)
    # One fret up at the sixth: a fret there is as long as the rule of the twelfth root says.
    assert found["hand"] == pytest.approx(2.5, abs=0.2)


def test_other_strings_are_seen_though_nothing_else_moves() -> None:
    """The same four pitches on two sets of strings, a fourth apart: five frets."""
    found = row("x-5-7-5-8-x", "10-10-12-10-x-x", 2, "Dm7")
    assert found["strings"] == 0


@given(grips(), grips())
def test_a_way_back_is_as_long(a: Voicing, b: Voicing) -> None:
    """Strings, hand and voices are symmetrical; to itself a shape does not move."""
    chord = Chord.parse("C")
    there, back = features(a, 0, chord, [b])[0], features(b, 0, chord, [a])[0]
    kept = [FEATURES.index(name) for name in ("strings", "inversion", "hand", "voices")]
    assert there[kept] == pytest.approx(back[kept])
    still = features(a, 0, chord, [a])[0]
    assert still[FEATURES.index("hand")] == still[FEATURES.index("voices")] == 0


@given(grips())
def test_the_middle_lies_between_the_fingers(shape: Voicing) -> None:
    least, most = (GUITAR.finger_mm(f) for f in (shape.lowest_fret, shape.highest_fret))
    assert least - 1e-9 <= middle_mm(shape) <= most + 1e-9


# Common practice, no source: of two names with the same notes a chart has the seventh.
@pytest.mark.parametrize(
    ("frets", "target", "name"),
    [
        ("x-7-7-5-8-x", "Dm7", "Am7/E"),
        ("x-x-7-8-8-8", "G7", "Am7b5"),
        ("x-x-3-4-3-4", "Gbm7", "Fdim7"),
        ("x-3-2-3-x-x", "F", "C7"),
    ],
)
def test_the_name_that_a_shape_most_likely_has(frets: str, target: str, name: str) -> None:
    found = name_of(Voicing.parse(frets, GUITAR), Chord.parse(target))
    assert found is not None
    assert found.root == Chord.parse(name).root


def test_voices_of_unequal_number_go_to_the_nearest() -> None:
    """C E G C (48 52 55 60) to A C E (57 60 64): 9, 5, 2 and 0 semitones, over 4."""
    found = row("x-3-2-0-1-x", "x-x-7-5-5-x", 0, "Am")
    assert found["voices"] == pytest.approx((81 + 25 + 4 + 0) / 4)
