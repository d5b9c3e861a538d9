"""Keys of melodies: the ratings, laws, and melodies that are free everywhere."""

from __future__ import annotations

import pytest
from music21.analysis.discrete import KrumhanslKessler

from harmonykit.evidence.keys import FITS, melody_probabilities

# Traditional, from memory, in semitones above C: "Ah! vous dirai-je, maman" (1761) in C, and
# "Greensleeves" (1580) in A minor, each with lengths.
FRENCH = "0 1 0 1 7 1 7 1 9 1 9 1 7 2 5 1 5 1 4 1 4 1 2 1 2 1 0 2"
OPENING = "9 2 0 4 2 2 4 3 5 1 4 2 2 4 11 2 7 3 9 1 11 2"
SLEEVES = f"{OPENING} 0 4 9 2 9 3 8 1 9 2 11 4 8 2 4 4 {OPENING} 0 3 11 1 9 2 8 3 6 1 8 2 9 6"


def notes(text: str, up: int = 0) -> list[tuple[int, float]]:
    numbers = [int(each) for each in text.split()]
    pairs = zip(numbers[::2], numbers[1::2], strict=True)
    return [((note + up) % 12, float(length)) for note, length in pairs]


@pytest.mark.parametrize("mode", ["major", "minor"])
def test_the_ratings_are_the_published_ones(mode: str) -> None:
    # Krumhansl & Kessler 1982, as music21 has them.
    assert list(FITS[mode]) == KrumhanslKessler().getWeights(mode)


@pytest.mark.parametrize(("tune", "key"), [(FRENCH, (0, "major")), (SLEEVES, (9, "minor"))])
@pytest.mark.parametrize("up", range(12))
def test_a_traditional_melody_in_every_key(tune: str, key: tuple[int, str], up: int) -> None:
    found = melody_probabilities(notes(tune, up))
    assert sum(found.values()) == pytest.approx(1)
    assert max(found, key=found.__getitem__) == ((key[0] + up) % 12, key[1])
