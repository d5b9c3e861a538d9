"""Typed tunings: what is read is written again; what is wrong is in test_instrument."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.tuning import Stringing, is_tuning, read_tuning, write_tuning
from harmonykit.theory.note import Note

strings = st.builds(Note, st.sampled_from("CDEFGAB"), st.integers(-1, 1), st.integers(1, 6))


@st.composite
def stringings(draw: st.DrawFn) -> Stringing:
    """Draw three to ten strings, some doubled, some short."""
    named = tuple(draw(st.lists(strings, min_size=3, max_size=10)))
    doubles = tuple(
        draw(st.sampled_from([(), (note,), (note.at((note.octave or 0) + 1),)])) for note in named
    )
    starts = tuple(draw(st.sampled_from([0, 0, 0, 5, 12])) for _ in named)
    return Stringing(named, doubles if any(doubles) else (), starts if any(starts) else ())


@given(stringings())
def test_what_is_written_is_read_back(stringing: Stringing) -> None:
    assert read_tuning(write_tuning(stringing)) == stringing


@pytest.mark.parametrize("row", rows("tunings"), ids=lambda row: row["tuning"])
def test_published_tunings_are_read_as_they_are_written(row: dict[str, str]) -> None:
    stringing = read_tuning(row["names"])
    assert write_tuning(stringing) == row["names"]
    assert (stringing.doubles, stringing.starts) == ((), ())


# How the strings of a mandolin and of a twelve-string guitar run (common practice, no source).
@pytest.mark.parametrize(
    ("text", "pitches"),
    [
        ("G3G3 D4D4 A4A4 E5E5", [(55, 55), (62, 62), (69, 69), (76, 76)]),
        (
            "E2E3,A2A3,D3D4,G3G4,B3B3,E4E4",
            [(40, 52), (45, 57), (50, 62), (55, 67), (59, 59), (64, 64)],
        ),
        ("Bb3Bb3 F4 c5", [(58, 58), (65,), (72,)]),
        ("C4C4C5 G4 E4", [(60, 60, 72), (67,), (64,)]),
    ],
)
def test_strings_pressed_together_are_written_together(
    text: str, pitches: list[tuple[int, ...]]
) -> None:
    stringing = read_tuning(text)
    courses = zip(stringing.strings, stringing.doubles, strict=True)
    assert [tuple(n.midi for n in (first, *rest)) for first, rest in courses] == pitches


def test_a_short_string_has_its_start_behind_it() -> None:
    assert read_tuning("G4@5 D3 G3 B3 D4").starts == (5, 0, 0, 0, 0)
    assert read_tuning("G4G4@5 D3 G3").doubles == ((Note.parse("G4"),), (), ())


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused_in_one_message(text: str) -> None:
    try:
        stringing = read_tuning(text)
    except HarmonyError as error:
        assert error.rule
        assert not is_tuning(text)
    else:
        assert is_tuning(text)
        assert 3 <= len(stringing.strings) <= 10


@pytest.mark.parametrize(("text", "column"), [("G4 Cq4 E4", 5), ("G4 Q4 E4", 4), ("G4 C4 E4x", 9)])
def test_the_caret_stands_under_the_sign_that_is_wrong(text: str, column: int) -> None:
    with pytest.raises(HarmonyError) as caught:
        read_tuning(text)
    assert caught.value.place is not None and caught.value.place.column == column
