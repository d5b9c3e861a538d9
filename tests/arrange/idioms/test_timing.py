"""How chords share a time: by hand, from the weights of beats (common practice, no source)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_tunes import tune_of

from harmonykit.arrange.idioms.timing import divide
from harmonykit.arrange.slots import slots_of


@pytest.mark.parametrize(
    ("meter", "bars", "chords", "lengths"),
    [
        ("4/4", 1, 2, [2, 2]),
        ("4/4", 1, 3, [2, 1, 1]),
        ("4/4", 1, 4, [1, 1, 1, 1]),
        ("4/4", 1, 5, None),
        ("4/4", 2, 2, [4, 4]),
        ("4/4", 2, 3, [4, 2, 2]),
        ("4/4", 2, 4, [2, 2, 2, 2]),
        ("4/4", 2, 5, [2, 2, 2, 1, 1]),
        ("3/4", 1, 2, [2, 1]),
        ("3/4", 2, 4, [2, 1, 2, 1]),
        ("2/4", 1, 2, [1, 1]),
        ("6/8", 1, 2, [1.5, 1.5]),
        ("5/4", 1, 2, [3, 2]),
    ],
)
def test_evenly(meter: str, bars: int, chords: int, lengths: list[float] | None) -> None:
    pieces = slots_of(tune_of("| C6 " * bars + "|", meter=meter))[0].pieces
    found = divide(pieces, [0] * chords, "even")
    assert found == (None if lengths is None else [Fraction(each) for each in lengths])


def test_late_early_and_by_shares() -> None:
    pieces = slots_of(tune_of("| C6 | C6 |"))[0].pieces
    assert divide(pieces, [0, 0], "late") == [6, 2]
    assert divide(pieces, [0, 0], "early") == [2, 6]
    assert divide(pieces, [2, 1, 1], "even") == [4, 2, 2]
    assert divide(pieces, [1, 1, 1], "even") is None
    short = slots_of(tune_of("| C6 F6 G6 C6 |"))[0].pieces
    assert divide(short, [0, 0], "early") is None
