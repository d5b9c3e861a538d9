"""The common-tone diminished seventh: where it stands (common practice, no source).

Its notes are those of functions.tsv.
"""

from __future__ import annotations

import pytest
from small_tunes import insertions, rules, tune_of

MOVE = "common-tone diminished"


def test_within_a_bar_of_four_it_has_beat_two() -> None:
    assert insertions(MOVE, tune_of("| C6 | Fm6 |")) == [[("Cdim7", 1, 1)]]


def test_before_its_chord_it_has_the_heavier_beat() -> None:
    """As an appoggiatura, on the last chord, too; none before a minor chord."""
    for changes, added in (
        ("| Am7 | F6 | C6 |", [[("Fdim7", 4, 2)], [("Fdim7", 5, 1)], [("Cdim7", 8, 2)]]),
        ("| G7 | Cm6 |", [[("Gdim7", 1, 1)]]),
    ):
        assert insertions(MOVE, tune_of(changes)) == added
    assert insertions(MOVE, tune_of("| Am7 | F7 |", meter="3/4")) == [[("Fdim7", 3, 1)]]


def test_it_does_not_delay_a_dominant_that_goes_home() -> None:
    """Common practice, no source: before C the only diminished seventh on G7 is C's own, B's."""
    rule = "a dominant that resolves must not be delayed by its own diminished seventh"
    for changes, moments in (
        ("| Am7 | G7 | C6 |", {4}),
        ("| C6 | G |", {4}),
        ("| C6 | A7 | D7 | G7 |", {4, 8, 12}),
    ):
        found = insertions(MOVE, tune_of(changes))
        assert not moments & {put[1] for each in found for put in each}
    assert rules(MOVE, tune_of("| C6 / / / | F6 / G7 / |", meter="4/4"))[-1] == rule


def test_after_another_diminished_seventh_it_does_not_stand() -> None:
    tune = tune_of("| Bdim7 | C6 |")
    assert not insertions(MOVE, tune)
    assert (
        rules(MOVE, tune)[-1]
        == "two diminished sevenths do not follow each other, except in a walk"
    )


def test_over_two_bars_it_has_the_end_of_the_first_too() -> None:
    assert insertions(MOVE, tune_of("| C6 | C6 | Fm6 |")) == [
        [("Cdim7", 1, 1)],
        [("Cdim7", 2, 2)],
        [("Cdim7", 5, 1)],
    ]


def test_where_the_chord_goes_on_after_two_bars_it_may_lead_back_to_it() -> None:
    tune = tune_of("| C6 | C6 | C6 | C6 | Fm6 |")
    assert [("Cdim7", 6, 2)] in insertions(MOVE, tune)


def test_between_two_chords_of_one_root() -> None:
    """C6, C dim, C7: the root stays under all three."""
    assert [("Cdim7", 2, 2)] in insertions(MOVE, tune_of("| C6 | C7 | F6 |"))
    assert [("Cdim7", 2, 2)] not in insertions(MOVE, tune_of("| C6 | C7/E | F6 |"))


def test_in_three_it_needs_the_next_bar() -> None:
    assert insertions(MOVE, tune_of("| G7 | G7 | Cm |", meter="3/4")) == [[("Gdim7", 2, 1)]]
    assert rules(MOVE, tune_of("| G7 | C |", meter="3/4"))[0] == (
        "chords with the same root must come before and after it"
    )


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| Am7 | Am7 | F |", "the chord must be major or dominant"),
        ("| Caug | Caug | F |", "the chord must be major or dominant"),
        ("| C/E | C/E | F |", "the chart has another bass under the chord"),
        ("| C6 | C6 |", "not on the final chord"),
        ("| {2 quarters} C6 | F |", "chords with the same root must come before and after it"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    assert rules(MOVE, tune_of(changes))[0] == rule


@pytest.mark.parametrize("name", ["E4", "G4", "C#5", "Bb4"])
def test_not_under_a_note_a_semitone_above_its_tones(name: str) -> None:
    """C, E flat, G flat, A: their upper neighbours are C sharp, E, G and B flat."""
    tune = tune_of("| C6 | Fm6 |", melody=f"| r:1 {name}:1 r:2 | r:4 |")
    assert not insertions(MOVE, tune)
    assert "a semitone above a chord tone of C°7" in rules(MOVE, tune)[0]


def test_under_a_note_of_its_own() -> None:
    tune = tune_of("| C6 | Fm6 |", melody="| r:1 A4:1 r:2 | r:4 |")
    assert insertions(MOVE, tune) == [[("Cdim7", 1, 1)]]
