"""How low the close intervals of a shape lie."""

from __future__ import annotations

import pytest

from harmonykit.fretboard.shapes.textures import register_marks
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument


# Common practice, no source: no second below about E flat 3, no third below about C3.
@pytest.mark.parametrize(
    ("lower", "upper", "marks"),
    [
        ("Eb3", "F3", 0),
        ("Eb3", "E3", 0),
        ("D3", "E3", 1),
        ("B2", "C3", 4),
        ("C3", "E3", 0),
        ("B2", "D3", 1),
        ("Bb2", "D3", 2),
        ("E2", "G2", 8),
        ("E2", "A2", 0),  # a fourth
        ("E2", "B2", 0),  # a fifth
    ],
)
def test_by_how_much_an_interval_lies_too_low(lower: str, upper: str, marks: int) -> None:
    neck = Instrument.parse(f"{lower} {upper} E5")
    assert register_marks(Voicing(neck, (0, 0, None))) == marks


def test_each_pair_of_neighbours_counts_and_no_other() -> None:
    guitar = Instrument.named("guitar")
    # G2 B2 D3: two thirds, five and one semitones below C3.
    assert register_marks(Voicing.parse("3-2-0-x-x-x", guitar)) == 6
    # Between G2 and B2 of other octaves nothing is close.
    assert register_marks(Voicing.parse("3-x-0-4-x-x", guitar)) == 0


def test_a_ukulele_is_never_too_low() -> None:
    """Its lowest string is C4, an octave above the limit."""
    neck = Instrument.named("ukulele")
    assert not register_marks(Voicing.parse("0-0-1-3", neck))
