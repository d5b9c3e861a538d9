"""A chord over a bass that the chart holds on both sides (common practice, no source)."""

from __future__ import annotations

import pytest
from small_tunes import insertions, rules, tune_of

from harmonykit.arrange.moves.placing import HELD_BASS, IN_A_ROW, REPEATS
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.strings.instrument import Instrument

MOVE = "pedal point"


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
    # A leading-tone diminished is kept out there, and the rule is named.
    assert rules("leading-tone diminished", tune_of(changes))[0] == HELD_BASS


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| C6 | F6 |", "the same bass must come before and after it"),
        (
            "| C6 | C6 C | F |",
            REPEATS,
        ),
        ("| Gdim7 | G7 |", IN_A_ROW),
        ("| D7/G | G7 |", "D7/G is already one of the four dominants of F♯°7"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    found = rules(MOVE, tune_of(changes))
    assert rule in found or (
        rule.startswith("where") and "the same bass must come before and after it" in found
    )


def test_on_a_guitar_the_bass_is_the_lowest_note() -> None:
    (way,) = reharmonise(
        tune_of("| C/G | G7 |"), Instrument.named("guitar"), [MOVE], 1, wishes=Wishes(prefer=MOVE)
    )
    (step,) = way.added
    assert step.voicing is not None and step.voicing.lowest % 12 == 7
