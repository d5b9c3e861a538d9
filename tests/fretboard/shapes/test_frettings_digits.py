"""Typed shapes, and what is said when one cannot be read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.frettings import read_digits, write_digits
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


# How shapes are written in songbooks (common practice, no source).
@pytest.mark.parametrize(
    ("text", "instrument", "frets"),
    [
        ("1212", UKULELE, (1, 2, 1, 2)),
        ("1-2-1-2", UKULELE, (1, 2, 1, 2)),
        ("10-12-10-12", UKULELE, (10, 12, 10, 12)),
        ("9 9 8 10", UKULELE, (9, 9, 8, 10)),
        ("9, 9, 8, 10", UKULELE, (9, 9, 8, 10)),
        ("2–3–2–3", UKULELE, (2, 3, 2, 3)),
        ("  0003 ", UKULELE, (0, 0, 0, 3)),
        ("0-0-0-015", UKULELE, (0, 0, 0, 15)),
        ("x32010", GUITAR, (None, 3, 2, 0, 1, 0)),
        ("X-3-2-0-1-0", GUITAR, (None, 3, 2, 0, 1, 0)),
    ],
)
def test_shapes_are_read_as_songbooks_write_them(
    text: str, instrument: Instrument, frets: tuple[int | None, ...]
) -> None:
    assert read_digits(text, instrument) == frets


@given(st.lists(st.none() | st.integers(0, 15), min_size=4, max_size=4).map(tuple))
def test_what_is_written_is_read_back(frets: tuple[int | None, ...]) -> None:
    if any(fret is not None for fret in frets):
        assert read_digits(write_digits(frets), UKULELE) == frets


# What is wrong, and the column of the first string that does not fit.
@pytest.mark.parametrize(
    ("text", "what", "column"),
    [
        ("121", "frets for 3 strings", 4),
        ("12121", "frets for 5 strings", 5),
        ("10-12-10-12-3", "frets for 5 strings", 13),
        ("7", "a fret for one string", 2),
        ("12h1", "'h' is not a fret", 3),
        ("1-2-hello-2", "'hello' is not a fret", 5),
        ("1-2-16-2", "fret 16 is beyond the neck", 5),
        ("1-2-999999999999-2", "fret 999999999 is beyond the neck", 5),
        ("1--2-1-2", "a fret is missing", 3),
        ("-1-2-1-2", "a fret is missing", 1),
        ("1-2-1-", "a fret is missing", 7),
        ("12²1", "'²' is not a fret", 3),
        ("xxxx", "every string is muted", 1),
    ],
)
def test_what_cannot_be_read_is_shown_with_a_caret(text: str, what: str, column: int) -> None:
    with pytest.raises(HarmonyError, match=what) as caught:
        read_digits(text, UKULELE)
    place = caught.value.place
    assert place is not None
    assert (place.text, place.column) == (text, column)
    assert str(caught.value).splitlines()[3].index("^") == column + 5
    assert caught.value.rule


def test_an_empty_shape_has_frets_for_no_strings() -> None:
    with pytest.raises(HarmonyError, match="frets for 0 strings"):
        read_digits("", UKULELE)


def test_the_message_names_the_instrument_and_the_strings_it_has() -> None:
    with pytest.raises(HarmonyError, match=r"ukulele \(g C E A\) has 4 strings"):
        read_digits("x32010", UKULELE)
    with pytest.raises(HarmonyError, match="ukulele has 15 frets"):
        read_digits("0-0-0-16", UKULELE)


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused_in_one_message(text: str) -> None:
    try:
        frets = read_digits(text, UKULELE)
    except HarmonyError as error:
        assert error.rule
    else:
        assert len(frets) == 4


def test_a_short_string_has_no_frets_before_its_start() -> None:
    banjo = Instrument.named("five-string banjo")
    assert read_digits("70000", banjo) == (7, 0, 0, 0, 0)
    with pytest.raises(HarmonyError, match="fret 3 is before the g string begins") as caught:
        read_digits("30000", banjo)
    assert caught.value.place is not None
    assert caught.value.place.column == 1
    assert "starts at fret 5" in caught.value.rule


def test_frets_are_counted_from_the_capo() -> None:
    with pytest.raises(HarmonyError, match="13 frets above the capo at fret 2"):
        read_digits("0-0-0-14", UKULELE.with_capo(2))
