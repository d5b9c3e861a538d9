"""Where the chords of one bar start; ``test_changes`` has whole texts."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.errors import Place
from harmonykit.tune.text.barlines import BarReader, RawBar, Word


def starts(text: str, meter: tuple[int, int], length: Q) -> list[tuple[str, Q]]:
    words, at = [], 0
    for word in text.split():
        words.append(Word("word", word, at))
        at += len(word) + 1
    reader = BarReader(meter, lambda index: Place("", 1, index + 1, text))
    return [(str(chord), at) for _, chord, at in reader.starts(RawBar(0, words), length)]


@pytest.mark.parametrize(
    ("text", "meter", "length", "expected"),
    [
        ("C G7", (4, 4), Q(4), [("C", 0), ("G7", 2)]),
        ("C / G7 /", (4, 4), Q(4), [("C", 0), ("G7", 2)]),
        ("C / / / G7 /", (6, 8), Q(3), [("C", 0), ("G7", 2)]),
        ("C G7@2", (6, 8), Q(3), [("C", 0), ("G7", Q(3, 2))]),
        ("C <G7", (4, 4), Q(4), [("C", 0), ("G7", 2)]),
        ("C N.C.", (2, 4), Q(2), [("C", 0), ("None", 1)]),
    ],
)
def test_shares_slashes_and_beats(text, meter, length, expected):
    # A push moves its chord later on, when the bar before is known.
    assert starts(text, meter, length) == expected
