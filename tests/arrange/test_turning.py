"""The top line of phrases turns where a style asks for it, and a hand on many strings stays low.

A phrase of four bars turns one to four times: of traditional melodies half turn three times or
less (common practice, no source, for the lines of chords).
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.line_figures import line
from harmonykit.arrange.offering import moves_of
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.wishes import Wishes

TRIADS = "| G | C | G | D | G | C | D | G |"


def arranged(name: str, style: str, **weights: int) -> Arrangement:
    prices = replace(STYLES[style].weights, **weights)
    asked = Wishes(style=style, weights=prices)
    return reharmonise(tune_of(TRIADS, key="G"), name, moves_of(style), 1, wishes=asked)[0]


@pytest.mark.parametrize("name", ["ukulele", "guitar"])
@pytest.mark.parametrize("style", ["walking", "rich"])
def test_phrases_of_triads_turn_at_least_once(name: str, style: str) -> None:
    found = [phrase.turns for phrase in line(arranged(name, style)).phrases]
    assert len(found) == 2 and all(1 <= turns <= 4 for turns in found)


def test_without_its_price_phrases_turn_no_more_often() -> None:
    asked, free = (line(arranged("guitar", "rich", straight=n)).phrases for n in (240, 0))
    assert sum(not each.turns for each in free) > sum(not each.turns for each in asked)


def test_a_walk_on_a_guitar_stays_within_the_hands_reach() -> None:
    """Common practice, no source: chords are played up to fret 9, where the neck is thin."""
    low, free = (arranged("guitar", "walking", aloft=n) for n in (8, 0))
    tops = [
        [step.voicing.highest_fret for step in way.steps if step.voicing] for way in (low, free)
    ]
    assert max(tops[0]) <= 9 and sum(tops[0]) <= sum(tops[1])


def test_a_chord_that_stays_is_played_in_another_shape_by_twos() -> None:
    """Common practice, no source: on a vamp the hand moves between places of one chord."""
    tune = tune_of("| Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | G7 | C6 |")
    moved = {}
    for price in (320, 0):
        prices = replace(STYLES["rich"].weights, still=price)
        asked = Wishes(style="rich", weights=prices)
        (way,) = reharmonise(tune, "ukulele", moves_of("rich"), 1, wishes=asked)
        bars = [steps[0].voicing for steps in way.bars()]
        moved[price] = [before != after for before, after in pairwise(bars[:8])]
    assert moved[0].count(True) == 0
    assert [moved[320][n] for n in (1, 3, 5)] == [True] * 3
