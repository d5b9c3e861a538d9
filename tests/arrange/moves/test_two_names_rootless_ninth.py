"""The rootless ninth (G9 = 2-2-1-2, C9 = 0-2-0-1: by arithmetic; common practice, no source)."""

from __future__ import annotations

import pytest
from small_tunes import insertions, rules, tune_of

from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.strings.instrument import Instrument

MOVE = "rootless ninth"
UKULELE = Instrument.named("ukulele")


@pytest.mark.parametrize(
    ("changes", "name", "digits"),
    [("| G7 | C6 |", "Dm6", "2-2-1-2"), ("| C7 | F6 |", "Gm6", "0-2-0-1")],
)
def test_it_is_the_published_shape(changes: str, name: str, digits: str) -> None:
    tune = tune_of(changes, key="G")
    assert insertions(MOVE, tune, bass_player=True) == [[(name, 0, 4)], [(name, 2, 2)]]
    ways = reharmonise(tune, UKULELE, [MOVE], 12, wishes=Wishes(prefer=MOVE, bass_player=True))
    assert digits in {way.steps[0].voicing.digits for way in ways if way.steps[0].voicing}


@pytest.mark.parametrize("before", ["Dm7", "D7", "Dm7b5"])
def test_where_roots_fall_by_fifths_the_ear_has_the_root(before: str) -> None:
    """After its ii and in a turnaround the whole slot may do without its root."""
    fifths = tune_of(f"| {before} | G7 | C6 |")
    assert [("Dm6", 4, 4)] in insertions(MOVE, fifths)
    for other in (f"| {before} | G7 | F6 |", "| F6 | G7 | C6 |", "| D6 | G7 | C6 |"):
        found = insertions(MOVE, tune_of(other))
        assert [("Dm6", 6, 2)] in found and [("Dm6", 4, 4)] not in found


def test_alone_it_comes_after_the_full_chord() -> None:
    assert insertions(MOVE, tune_of("| G7 | C6 |")) == [[("Dm6", 2, 2)]]
    assert insertions(MOVE, tune_of("| G7 | C6 |", meter="3/4")) == [[("Dm6", 2, 1)]]
    assert rules(MOVE, tune_of("| C6 / / G7 | C6 |")) == [
        "nobody plays the root, and the chords before do not imply it"
    ]


def test_before_a_minor_chord_the_melody_has_the_ninth() -> None:
    """A7 to D minor: B is the ninth."""
    assert (
        rules(MOVE, tune_of("| A7 | Dm |"))[0]
        == "before a minor chord, only where the melody has the ninth"
    )
    sung = tune_of("| A7 | Dm |", melody="| B4:4 | r:4 |")
    assert insertions(MOVE, sung) == [[("Em6", 2, 2)]]
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


def test_it_says_why_the_root_is_heard() -> None:
    for changes, bass, said in (
        ("| G7 | C6 |", True, "over the bass player's G it is G9"),
        ("| G7 | C6 |", False, "the root G was heard before it"),
        ("| Dm7 | G7 | C6 |", False, "the roots fall by fifths, so the ear supplies G"),
    ):
        tune = tune_of(changes)
        ways = reharmonise(tune, UKULELE, [MOVE], 12, wishes=Wishes(bass_player=bass, prefer=MOVE))
        told = [step.reason for way in ways for step in way.added]
        assert any(said in reason for reason in told)
        assert all("the ninth A replaces G; B, D and F stay" in reason for reason in told)
    (written,) = reharmonise(
        tune_of("| G9 | C6 |"), UKULELE, [MOVE], 1, wishes=Wishes(prefer=MOVE, bass_player=True)
    )
    assert "G is left out" in written.added[0].reason
