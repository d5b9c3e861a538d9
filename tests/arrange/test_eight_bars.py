"""Eight bars as a player takes them, written for these tests: the search knows all their shapes.

A blues, a waltz and a ballad; what the search takes for the same chords costs no more, by its own
prices.  (The shapes are common practice, no source.)
"""

from __future__ import annotations

import pytest

from harmonykit.arrange.costs import cheapest_row
from harmonykit.arrange.shapes import playable
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.weights import Weights
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.row_textures import texture_shapes
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

# Up to the subdominant by its own diminished seventh, a ii–V of it, and the raised fourth.
BLUES = "F7 2313 Edim7 3434 Bb7 3545 F7 5556 Cm7 3333 F7 2313 Bb7 1211 Bdim7 1212 F7 2313 D7 2223"
# The top line climbs by steps from the open position to fret 7.
WALTZ = "G6 0202 Em7 0202 Am7 2433 D7 2223 G6 4435 E7 4445 Am7 5757 D7 5655"
# Root, seventh and third, and a tone on top: the bass walks, the top falls.
BALLAD = "Bb7 6x676x Gm7 3x333x Fm7 1x111x Abmaj7 4x554x Abm6 4x344x Gm7 3x333x Gb7 2x232x"


def row(told: str, instrument: str) -> list[tuple[Chord, Voicing]]:
    """Return chords with their shapes."""
    words = told.split()
    shapes = [Voicing.parse(frets, instrument) for frets in words[1::2]]
    return list(zip(map(Chord.parse, words[::2]), shapes, strict=True))


@pytest.mark.parametrize("weights", [Weights(), STYLES["walking"].weights, STYLES["rich"].weights])
@pytest.mark.parametrize("told", [BLUES, WALTZ])
def test_a_players_bars_are_among_all_and_cost_no_less_than_the_best(
    told: str, weights: Weights
) -> None:
    ukulele, limits = Instrument.named("ukulele"), Limits()
    mine = row(told, "ukulele")
    every = [playable(chord, ukulele, limits) for chord, _ in mine]
    assert all(shape in shapes for (_, shape), shapes in zip(mine, every, strict=True))
    _, price = cheapest_row([(shape,) for _, shape in mine], ukulele, limits, weights)
    best, least = cheapest_row(every, ukulele, limits, weights)
    _, again = cheapest_row([(shape,) for shape in best if shape], ukulele, limits, weights)
    assert again == least < price


def test_a_guitarists_grips_are_among_all_and_a_texture_of_its_own() -> None:
    for chord, shape in row(BALLAD, "guitar"):
        assert shape in texture_shapes(chord, "guitar", "drop 3")
        assert shape in playable(chord, Instrument.named("guitar"), Limits())
