"""The figures of a line, by hand and by what must hold."""

from __future__ import annotations

import pytest
from rows_of_shapes import row

import harmonykit as hk


def test_added_chords_are_counted_by_four_bars_and_by_move():
    late = "G#dim7 1212 2 leading-tone diminished"
    way = row(
        "| C6 | C6 | C6 | C6 | C6 |",
        *("C6 0000 2", late) * 3,
        "C6 0000 2",
        "Ebdim7 2323 2 slide",
        "C6 0000 4",
    )
    figures = hk.arrange.line(way)
    assert (figures.dense, figures.commonest, figures.thrice) == (4, 75.0, 1)


def test_low_seconds_and_thirds_are_counted():
    way = row("| G |", "G 320003 2", "G 355433 2", instrument="guitar")
    # 320003 has B2 over G2, a third that lies low; 355433 has D3 over G2.
    assert hk.arrange.line(way).too_low == 1


@pytest.mark.parametrize("moves", [[], ["leading-tone diminished"]])
@pytest.mark.parametrize("name", ["heron_landing", "ropewalk_blues", "slack_water_waltz"])
def test_figures_keep_their_bounds(name, moves):
    way = hk.reharmonise(name, "ukulele", moves, k=1)[0]
    figures = hk.arrange.line(way)
    assert len(figures.phrases) == len(hk.find_phrases(way.tune))
    assert 0 <= figures.leaps_back <= figures.leaps
    assert 0 <= figures.figures_again <= figures.figures
    assert 0 <= figures.guide_tones <= figures.falling_fifths
    assert figures.dense <= len(way.added)
    shares = (figures.walking, figures.rests, figures.one_peak, figures.not_parallel)
    assert all(0 <= share <= 100 for share in shares)
    for phrase in figures.phrases:
        assert -1 <= phrase.likeness <= 1
        assert phrase.times >= 1


def test_what_is_not_an_arrangement_is_told():
    with pytest.raises(hk.HarmonyError, match="an arrangement"):
        hk.arrange.line("heron_landing")  # type: ignore[arg-type]
