"""The rootless ninth (G9 = 2-2-1-2, C9 = 0-2-0-1: by arithmetic; common practice, no source)."""

from __future__ import annotations

import pytest
from small_tunes import insertions, rules, tune_of

from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.strings.instrument import Instrument

MOVE = "rootless ninth"
UKULELE = Instrument.named("ukulele")


@pytest.mark.parametrize(
    ("changes", "name", "digits"),
    [("| G7 | C6 |", "Dm6", "2-2-1-2"), ("| C7 | F6 |", "Gm6", "0-2-0-1")],
)
def test_it_is_the_published_shape(changes: str, name: str, digits: str) -> None:
    assert insertions(MOVE, tune_of(changes, key="G")) == [[(name, 0, 4)]]
    ways = reharmonise(tune_of(changes, key="G"), UKULELE, [MOVE], 12, prefer=MOVE)
    assert digits in {way.steps[0].voicing.digits for way in ways if way.steps[0].voicing}


def test_before_a_minor_chord_the_melody_has_the_ninth() -> None:
    """A7 to D minor: B is the ninth."""
    assert (
        rules(MOVE, tune_of("| A7 | Dm |"))[0]
        == "before a minor chord, only where the melody has the ninth"
    )
    sung = tune_of("| A7 | Dm |", melody="| B4:4 | r:4 |")
    assert insertions(MOVE, sung) == [[("Em6", 0, 4)]]
    other = tune_of("| A7 | Dm |", melody="| G4:4 | r:4 |")
    assert not insertions(MOVE, other)


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| G7b9 | C6 |", "G7♭9 is not written 7 or 9"),
        ("| G13 | C6 |", "G13 is not written 7 or 9"),
        ("| G7/B | C6 |", "the chart has another bass under the chord"),
        ("| C6 | G7 |", "not on the final chord"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    assert rule in rules(MOVE, tune_of(changes))


def test_alone_it_is_heard_as_another_chord_and_says_so() -> None:
    tune = tune_of("| G7 | C6 |")
    for bass, said in (
        (False, "alone it is heard as Dm6 or Bm7♭5"),
        (True, "over the bass player's G it is G9"),
    ):
        (way,) = reharmonise(tune, UKULELE, [MOVE], 1, bass_player=bass, prefer=MOVE)
        assert said in way.steps[0].reason
        assert "the ninth A replaces G; B, D and F stay" in way.steps[0].reason
    (written,) = reharmonise(tune_of("| G9 | C6 |"), UKULELE, [MOVE], 1, prefer=MOVE)
    assert "G is left out" in written.steps[0].reason
