"""Chords that come early or late: where they may, and what stays as it is."""

from __future__ import annotations

import pytest
from small_tunes import insertions, rules, tune_of

from harmonykit.arrange.moves import IN_TIME, MOVES, Setting, Variant, move_named
from harmonykit.arrange.slots import slots_of


def test_the_next_chord_comes_half_a_beat_early() -> None:
    """In four on the last off-beat; in six-eight half a dotted beat before the bar."""
    assert insertions("push", tune_of("| C6 | F6 |")) == [[("F6", 3.5, 0.5)]]


def test_a_chord_comes_a_beat_late_after_the_one_that_is_held() -> None:
    assert insertions("late", tune_of("| C6 | F6 | C6 |"))[0] == [("C6", 4, 1)]


@pytest.mark.parametrize(
    ("move", "changes", "rule"),
    [
        ("push", "| C6 | F6 |", "not on the final chord"),
        ("push", "| C6 F6 Dm7 G7 | C6 |", "a chord of one beat stays as written"),
        ("late", "| C6 | F6 |", "not on the final chord"),
        ("late", "| C6 F6 Dm7 G7 | C6 |", "a chord of one beat stays as written"),
    ],
)
def test_each_rule(move: str, changes: str, rule: str) -> None:
    assert rule in rules(move, tune_of(changes))


@pytest.mark.parametrize("name", IN_TIME)
def test_no_chord_is_new_and_the_time_is_filled(name: str) -> None:
    tune = tune_of("| C6 | F6 Dm7 | G7 | C6 | Am7 D7 | G7 | C6 |")
    own = {slot.chord for slot in slots_of(tune)}
    for slot in slots_of(tune):
        for one in move_named(name).offer(slot, Setting(tune.key)):
            if isinstance(one, Variant):
                assert {part.chord for part in one.parts} <= own
                assert sum(part.beats for part in one.parts) == slot.beats
                ends = [part.onset + part.beats for part in one.parts]
                assert [part.onset for part in one.parts][1:] == ends[:-1]
    assert name not in MOVES
