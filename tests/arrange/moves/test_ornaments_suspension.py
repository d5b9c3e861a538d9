"""A borrowed note falls into its place on its own string, and the others stay."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from small_tunes import insertions, rules, tune_of, tunes

from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.tune import Tune

MOVE = "suspension"
UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


def test_each_note_but_the_root_may_come_late() -> None:
    """C6 over C D E F G A flat A B: F for E, A flat for G, B for A."""
    found = insertions("appoggiatura", tune_of("| C6 | F |"))
    assert [name for ((name, onset, beats),) in found if (onset, beats) == (0, 2)] == [
        "C6sus4",
        "Ammaj7/C",
        "Cmaj7",
    ]


@pytest.mark.parametrize(("meter", "beats"), [("4/4", 2), ("3/4", 1), ("2/4", 1), ("5/4", 2)])
def test_half_a_bar_of_four_a_beat_of_less(meter: str, beats: int) -> None:
    found = insertions("appoggiatura", tune_of("| C6 | F |", meter=meter))
    assert {length for ((_, _, length),) in found} >= {beats}


def test_a_suspension_is_prepared_and_an_appoggiatura_is_not() -> None:
    """Of F, A flat and B over C6, D minor has F, and E7 A flat (G sharp) and B.

    Wikipedia, "Nonchord tone": preparation, suspension, resolution.
    """
    for before, names in (
        ("Dm7", ["C6sus4"]),
        ("E7", ["Ammaj7/C", "Cmaj7"]),
        ("Am7", []),
    ):
        tune = tune_of(f"| {before} | C6 | F |")
        found = [name for ((name, onset, _),) in insertions(MOVE, tune) if onset == 4]
        assert found == names
        assert len([o for ((_, o, _),) in insertions("appoggiatura", tune) if o == 4]) == 3
    unprepared = "a suspension must be prepared: its note must sound in the chord before"
    assert unprepared in rules(MOVE, tune_of("| Am7 | C6 |"))


def test_it_resolves_on_a_lighter_beat() -> None:
    """Held from beat two, it would fall on beat three, which is heavier."""
    lighter = "the chord that resolves it must be on a weaker beat"
    assert lighter in rules(MOVE, tune_of("| Dm7 C6 / / | F6 |"))


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| C | F |", "C is not the chord of a sixth-diminished scale"),
        ("| Cdim7 | F |", "C°7 is not the chord of a sixth-diminished scale"),
        ("| C6/G | F |", "the chart has another bass under the chord"),
        ("| C6 F6 G7 / | C |", "a chord of one beat stays as written"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    assert rule in rules(MOVE, tune_of(changes))


def check_fall(ways: object) -> int:
    count = 0
    for way in ways:  # type: ignore[attr-defined]
        for here, after in pairwise(way.steps):
            if here.move not in (MOVE, "appoggiatura"):
                continue
            strings = list(zip(here.voicing.frets, after.voicing.frets, strict=True))
            falls = [a - b for a, b in strings if a is not None and a != b]
            assert falls and all(1 <= fall <= 3 for fall in falls)
            assert {a is None for a, b in strings} == {b is None for a, b in strings}
            assert after.chord == after.written
            moved = {
                (low % 12, high % 12)
                for low, high in zip(here.voicing.sounding, after.voicing.sounding, strict=True)
                if low != high
            }
            assert len(moved) == 1  # one note, though a guitar may double it
            count += 1
    return count


@pytest.mark.parametrize("instrument", [UKULELE, GUITAR], ids=["ukulele", "guitar"])
def test_it_falls_on_its_string_while_the_others_stay(instrument: Instrument) -> None:
    tune = tune_of("| C6 | Dm7 | G7 | Fm6 | Bm7b5 | C6 |")
    for move in (MOVE, "appoggiatura"):
        assert check_fall(reharmonise(tune, instrument, [move], 3, wishes=Wishes(prefer=move))) > 4


@given(tunes(bars=4))
@settings(max_examples=40)
def test_it_falls_in_any_tune_and_is_held_over(tune: Tune) -> None:
    """Where only suspensions are asked for, the note that falls sounds before, at its pitch."""
    ways = reharmonise(tune, UKULELE, [MOVE], 2, wishes=Wishes(prefer=MOVE, least_seconds=0.2))
    check_fall(ways)
    for way in ways:
        assert {step.move for step in way.added} <= {MOVE}
        for before, here, after in zip(way.steps, way.steps[1:], way.steps[2:], strict=False):
            if here.move == MOVE:
                assert before.sounds and set(here.sounds) - set(after.sounds) <= set(before.sounds)
