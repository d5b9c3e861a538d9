"""A chord over a bass that the chart holds on both sides (common practice, no source)."""

from __future__ import annotations

import pytest
from small_tunes import insertions, rules, tune_of

from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.strings.instrument import Instrument

MOVE = "held bass"


@pytest.mark.parametrize(
    ("changes", "put"),
    [
        ("| C/G | G7 |", ("F#dim7/G", 2, 2)),
        ("| Eb6 | Eb7 |", ("Ddim7/Eb", 2, 2)),
        ("| Dm | D7 |", ("C#dim7/D", 2, 2)),
    ],
)
def test_the_upper_voices_move_over_it(changes: str, put: tuple[str, int, int]) -> None:
    assert insertions(MOVE, tune_of(changes)) == [[put]]
    # An approach is kept out there, and the rule is named.
    assert rules("approach", tune_of(changes))[0] == "the bass is held on both sides"


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| C6 | F6 |", "the bass is not held"),
        ("| C6 | C6 C | F |", "where a chord repeats, only an auxiliary or a climb goes between"),
        ("| Gdim7 | G7 |", "no two diminished sevenths in a row but in a climb"),
        ("| D7/G | G7 |", "D7/G is already a parent of F♯°7"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    found = rules(MOVE, tune_of(changes))
    assert rule in found or (rule.startswith("where") and "the bass is not held" in found)


def test_on_a_guitar_the_bass_is_the_lowest_note() -> None:
    (way,) = reharmonise(tune_of("| C/G | G7 |"), Instrument.named("guitar"), [MOVE], 1)
    (step,) = way.inserted
    assert step.voicing is not None and step.voicing.lowest % 12 == 7
