"""Eight bars as a player takes them, written for these tests: the search knows all their shapes.

A blues, a waltz and a ballad; what the search takes for the same chords costs no more, by its own
prices.  (The shapes are common practice, no source.)
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from small_tunes import NOTHING, tune_of

from harmonykit.arrange.costs import Shapes, change_costs, cheapest_row
from harmonykit.arrange.measures import measure
from harmonykit.arrange.moves import Part
from harmonykit.arrange.offering import moves_of
from harmonykit.arrange.search import balance, reharmonise
from harmonykit.arrange.shapes import playable
from harmonykit.arrange.space import search_space
from harmonykit.arrange.styles import STYLES, line_of
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.row_textures import texture_shapes
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune

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


# Bars as a player takes them, written before the search was asked; beats behind each shape --------

# In eight bars less than a third of what it costs to leave a place in each of them as written.
LITTLE = 8 * Weights().chance // 3

# A blues: bar 2 by the raised fourth, the dominant a tritone away on the way to the subdominant.
PLAIN_BLUES = "| F7 | Bb7 | F7 | F7 | Bb7 | Bb7 | F7 | F7 | C7 | Bb7 | F7 | C7 |"
TAKEN_BLUES = (
    "F7 2313 4 | Bb7 1211 2 Bdim7 1212 2 | F7 2313 4 | F7 2313 2 B7 2322 2 | Bb7 1211 4 |"
    " Bdim7 1212 4 | F7 2313 4"
)
# A ballad over a bass player: four strings side by side throughout, voices a step or two at a time.
SLOW = "| Ebmaj7 C7 | Fm7 Bb7 | Gm7 C7 | Fm7 Bb7 | Ebmaj7 Eb7 | Abmaj7 Abm6 | Gm7 C7 | Fm7 Bb7 |"
SUNG = "| G4:3 Bb4 | C5:2 Bb4:2 | D5:3 C5 | C5:2 D5:2 | G4:3 Bb4 | C5:2 B4:2 | Bb4:2 G4:2 | F4:4 |"
TAKEN_BALLAD = (
    "Ebmaj7 xx1333 2 C7 xx2313 2 | Fm7 xx3544 2 Bb7 xx3334 2 | Gm7 xx5766 2 C7 xx5556 2 |"
    " Fm7 xx3544 2 Bb7 xx3334 2 | Ebmaj7 xx1333 2 Eb7 xx1323 2 | Abmaj7 xx1113 2 Abm6 xx1101 2 |"
    " Gm7 xx3333 2 C7 xx2313 2 | Fm7 xx1111 2 Bb7 x1313x 2"
)
# A bossa: the top climbs to D by the leading tone of the subdominant, and falls home.
BOSSA = "| Dm7 | Dm7 | Gm7 | Gm7 | Em7b5 | A7 | Dm7 | Dm7 | Em7b5 | A7 | Dm7 | A7 |"
TAKEN_BOSSA = (
    "Dm7 2213 4 | Dm7 2213 2 F#dim7 2323 2 | Gm7 3535 4 | Gm7 0211 4 | Em7b5 0201 4 |"
    " A7 0100 2 C#dim7 0101 2 | Dm7 2213 4 | Dm7 2213 4"
)


def placed(told: str, instrument: str) -> dict[Fraction, tuple[Chord, Voicing]]:
    """Return chords and shapes by where they begin."""
    found, onset = {}, Fraction(0)
    words = told.replace("|", "").split()
    for chord, frets, beats in zip(words[::3], words[1::3], words[2::3], strict=True):
        found[onset] = Chord.parse(chord), Voicing.parse(frets, instrument)
        onset += Fraction(beats)
    return found


def prices(
    tune: Tune, instrument: str, moves: tuple[str, ...], wishes: Wishes, told: str
) -> tuple[int, int, int]:
    """Return what the best costs, what the player's bars do, and how many shapes they share.

    After the player's bars both go on as is best.
    """
    taken = placed(told, instrument)
    space = search_space(tune, instrument, moves, wishes)
    balance(space.network, space.moves)
    ((least, best),) = space.network.cheapest(1)

    def is_taken(part: Part) -> bool:
        here = max(onset for onset in taken if onset <= part.onset)
        after = part.onset >= sum(map(Fraction, told.replace("|", "").split()[2::3]))
        return after or part.chord == taken[here][0]

    ((_, way),) = space.network.cheapest(1, only=is_taken)
    mine = [
        replace(choice, voicing=taken[choice.part.onset][1])
        if choice.part.onset in taken
        else choice
        for choice in way
    ]
    price = space.network.price_of(mine)
    assert price is not None
    own = {choice.part.onset: choice.voicing for choice in best}
    return least, price, sum(own.get(onset) == shape for onset, (_, shape) in taken.items())


def test_a_players_blues_is_what_the_search_takes() -> None:
    tune = tune_of(PLAIN_BLUES, key="F", tempo=100)
    asked = Wishes(style="rich")
    least, mine, alike = prices(tune, "ukulele", moves_of("rich"), asked, TAKEN_BLUES)
    assert (mine, alike) == (least, 9)


def test_a_guitarists_ballad_over_a_bass_shares_most_shapes_and_costs_little_more() -> None:
    """Two bars differ: the player climbs to fret 7 in bar 3, and goes lower in bars 7 and 8."""
    tune = tune_of(SLOW, key="Eb", melody=SUNG, tempo=66)
    asked = Wishes(bass_player=True)
    least, mine, alike = prices(tune, "guitar", (), asked, TAKEN_BALLAD)
    assert mine - least <= LITTLE and alike >= 10


def test_a_players_bossa_costs_little_more() -> None:
    """A shape more in bar 3, where the search holds the subdominant: as good, and no better."""
    tune = tune_of(BOSSA, key="Dm", tempo=126)
    asked = Wishes(style="rich")
    least, mine, _ = prices(tune, "ukulele", moves_of("rich"), asked, TAKEN_BOSSA)
    assert mine - least <= LITTLE


def test_over_a_bass_player_any_tone_is_the_lowest() -> None:
    tune = tune_of(SLOW, key="Eb", melody=SUNG, tempo=66)
    ways = [
        reharmonise(tune, "guitar", (), 1, wishes=Wishes(bass_player=bass))[0]
        for bass in (False, True)
    ]
    roots, others = (
        sum(
            min(step.voicing.sounding) % 12 == step.chord.root.pitch_class
            for step in way.steps
            if step.voicing and step.chord
        )
        for way in ways
    )
    assert roots == len(ways[0].steps) > others
    assert measure(ways[1]).mean_movement < measure(ways[0]).mean_movement


def test_the_usual_style_plays_what_a_chord_book_prints_first() -> None:
    """In G on the guitar (common practice, no source): open shapes, that every book has."""
    tune = tune_of("| G6 | Em7 | Am7 | D7 | G6 | E7 | Am7 | D7 |", key="G")
    (way,) = reharmonise(tune, "guitar", moves_of("sparse"), 1)
    shapes = {step.chord.symbol: step.voicing.digits for step in way.steps if step.chord}
    printed = {"G6": "3-2-0-0-0-0", "Em7": "0-2-0-0-0-0", "Am7": "x-0-2-0-1-0", "E7": "0-2-0-1-0-0"}
    assert printed.items() <= shapes.items()


def test_a_banjo_is_played_on_its_whole_strings() -> None:
    """Its line begins at the open D, not at the short string's G, so that hands stay low."""
    banjo = Instrument.named("five-string banjo")
    tune = tune_of("| Bm | Em | Bm | F# | Bm | Em | F# | Bm |", key="Bm")
    assert line_of(tune, banjo, (), ("arch",)).lowest == 62
    (way,) = reharmonise(tune, banjo, moves_of("sparse"), 1)
    assert max(shape.highest_fret for shape in way.shapes) <= 5


def test_a_short_string_that_rings_along_is_no_change() -> None:
    banjo = Instrument.named("five-string banjo")
    weights = replace(NOTHING, sounding=7, string=3)
    rows = [
        Shapes((Voicing.parse(frets, banjo),), weights, Limits())
        for frets in ("x2002", "02002", "x4434", "x200x")
    ]
    costs = [change_costs(rows[0], after, weights).tolist() for after in rows]
    assert costs == [[[0]], [[0]], [[4 * 3]], [[7 + 3]]]
