"""What the chords of an arrangement do: by hand, and laws on drawn tunes."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from small_tunes import tune_of, tunes

from harmonykit.arrange.block.melody import melody_on_top
from harmonykit.arrange.functions import about_phrases, functions_of, numerals_by_bar
from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")


def written(changes: str, **more: str) -> str:
    return numerals_by_bar(reharmonise(tune_of(changes, **more), UKULELE, (), k=1)[0])


@pytest.mark.parametrize(
    ("changes", "numerals"),
    [
        # Numerals as in any book of jazz harmony (common practice, no source).
        ("| C6 | E7 | Am7 D7 | G7 |", "I6 | V7/vi | vi7 V7/V | V7"),
        ("| Cmaj7 | Db7 | Cmaj7 | Cmaj7 |", "Imaj7 | subV7 | Imaj7 | Imaj7"),
        ("| C6 | Bdim7 | Bdim7 | C6 |", "I6 | viio7 | viio7 | I6"),
        ("| C6 | N.C. | G7 | C6 |", "I6 | N.C. | V7 | I6"),
        ("| C6 | Fm6 | Bb7 | C6 |", "I6 | iv6 | bVII7 | I6"),
    ],
)
def test_numerals_bar_by_bar(changes: str, numerals: str) -> None:
    assert written(changes) == numerals


def test_a_chord_that_lasts_over_a_bar_line_does_the_same_in_both_bars() -> None:
    """B°7 over two bars leads to C from both: it does not decorate itself."""
    way = reharmonise(tune_of("| C6 | Bdim7 | Bdim7 | C6 |"), UKULELE, (), k=1)[0]
    told = [each.words for each in functions_of(way)]
    assert told == ["tonic", "leading-tone diminished", "leading-tone diminished", "tonic"]


def test_where_the_melody_rests_the_harmony_goes_on() -> None:
    tune = tune_of("| G7 | C6 |", melody="| B4:2 r:2 | C5:4 |")
    way = melody_on_top(tune, UKULELE).arrangement
    assert [each.words for each in functions_of(way)] == ["dominant", "", "tonic"]
    assert numerals_by_bar(way) == "V7 rest | I6"


def test_cadences_and_chains_are_told_with_their_bars() -> None:
    told = about_phrases(tune_of("| C6 | E7 | Am7 | G7 | F6 | Em7 A7 | Dm7 G7 | C6 |"))
    assert told[0] == "Cadences: half in bar 4; authentic in bar 8."
    assert told[1] == "ii–V chains: Em7 A7 Dm7 G7 (bars 6 and 7)."


def test_what_is_doubtful_is_told() -> None:
    told = about_phrases(tune_of("| C6 | A7 | F6 | C6 |"))
    assert told[-1] == "Doubtful: bar 2, A7: F6 follows where ii was expected."


@given(tunes(bars=6))
@settings(max_examples=30)
def test_every_step_is_told_and_no_other(tune: Tune) -> None:
    way = reharmonise(tune, UKULELE, ("leading-tone diminished",), k=1)[0]
    told = functions_of(way)
    assert len(told) == len(way.steps)
    for step, each in zip(way.steps, told, strict=True):
        assert each.chord == step.chord
        assert bool(each.numeral) == (step.chord is not None)
    assert numerals_by_bar(way).count("|") == len(tune.playing) - 1
