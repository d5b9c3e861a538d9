"""The strip of bars: its numbers by hand, its columns in the picture."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.measures import measure
from harmonykit.arrange.search import reharmonise
from harmonykit.draw.plots.distances import bar_distances, draw_distances
from harmonykit.draw.tree import Path
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


def step(symbol: str, digits: str, onset: int, beats: int, bar: int, written: str) -> Step:
    return Step(
        Chord.parse(symbol),
        Voicing.parse(digits, UKULELE),
        Fraction(onset),
        Fraction(beats),
        bar,
        "" if symbol == written else "leading-tone diminished",
        written=Chord.parse(written),
    )


def example(name: str = "bridged") -> Arrangement:
    """C6 | C6 G#dim7 | Am7 with the open strings and 4-5-4-5: 18 semitones each way."""
    tune = tune_of("| C6 | C6 | Am7 |")
    steps = (
        step("C6", "0000", 0, 4, 0, "C6"),
        step("C6", "0000", 4, 2, 1, "C6"),
        step("G#dim7", "4545", 6, 2, 1, "C6"),
        step("Am7", "0000", 8, 4, 2, "Am7"),
    )
    return Arrangement(tune, UKULELE, steps, 0, 120, name=name)


def test_a_change_belongs_to_the_bar_in_which_it_arrives() -> None:
    assert bar_distances(example()) == (0, 18, 18)


def test_the_bars_add_up_to_the_measure() -> None:
    tune = tune_of("| C6 | A7 | Dm7 | N.C. | G7 | C6 |")
    for way in reharmonise(tune, UKULELE, k=3):
        assert sum(bar_distances(way)) == measure(way).semitones


def test_the_picture_has_a_strip_an_arrangement_and_says_its_numbers() -> None:
    figure = draw_distances([example(), example("again")])
    assert {"arrangement-1", "arrangement-2"} <= set(figure.sheet.ids)
    assert sum("36 semitones in all" in text for text in figure.sheet.texts) == 2
    assert "bridged: 36 in all, at most 18, in played bar 2" in figure.alt
    # Per strip: two figures above columns.
    assert figure.sheet.texts.count("18") == 4


def test_a_bar_where_a_chord_is_put_in_is_solid_and_the_others_open() -> None:
    """Bar 2 has a chord put in, bar 3 is as written; the key has one of each."""
    columns = [path for path in draw_distances([example()]).sheet.all(Path) if path.fill]
    assert sorted(path.fill for path in columns) == ["ink", "ink", "paper", "paper"]
    assert {path.stroke for path in columns} == {"ink"}


def test_arrangements_of_several_lengths_cannot_be_compared() -> None:
    other = reharmonise(tune_of("| C6 | F6 |"), UKULELE, (), k=1)[0]
    with pytest.raises(HarmonyError, match="bar by bar"):
        draw_distances([example(), other])
    with pytest.raises(HarmonyError, match="0 arrangements"):
        draw_distances([])


def test_long_tunes_have_no_figures_over_their_columns() -> None:
    tune = tune_of("| C6 | G7 |", more="form = [" + ", ".join(['"A"'] * 30) + "]")
    (way,) = reharmonise(tune, UKULELE, (), k=1)
    figure = draw_distances([way])
    moved = bar_distances(way)[1]
    assert str(moved) not in figure.sheet.texts
