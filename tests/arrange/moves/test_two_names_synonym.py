"""One shape under its other name, by the published table of synonyms."""

from __future__ import annotations

import pytest
from small_tunes import insertions, rules, tune_of

from harmonykit.arrange.moves.two_names import other_name
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

MOVE = "chord synonym"
UKULELE = Instrument.named("ukulele")


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ("| C6 | D7 |", "Am7"),  # A leads down a fifth to D, C does not
        ("| Gm6 | A7 |", "Em7b5"),
        ("| Dm7 | Bb6 |", "F6"),
        ("| Bm7b5 | G7 |", "Dm6"),
    ],
)
def test_it_is_offered_where_the_new_root_leads_down_a_fifth(changes: str, name: str) -> None:
    assert insertions(MOVE, tune_of(changes)) == [[(name, 0, 4)]]


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| C6 | F6 |", "the new root must resolve down a fifth, and the old one must not"),
        ("| C6 | Am7 |", "the new root must resolve down a fifth, and the old one must not"),
        ("| C6/G | D7 |", "the chart has another bass under the chord"),
        ("| C6 | N.C. | D7 |", "not into N.C."),
        ("| D7 | C6 |", "not on the final chord"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    assert rule in rules(MOVE, tune_of(changes))


@pytest.mark.parametrize("symbol", ["C6", "Am7", "Cm6", "Am7b5", "F#6", "Ebm7"])
def test_the_notes_are_the_same_and_the_other_name_of_the_other_is_the_first(symbol: str) -> None:
    chord = Chord.parse(symbol)
    assert set(other_name(chord).pcs) == set(chord.pcs)
    assert other_name(other_name(chord)).pcs == chord.pcs


def test_it_costs_nothing() -> None:
    tune = tune_of("| C6 | D7 | G7 |")
    # A backdoor has no place here; with no move at all, first shapes would be taken.
    plain, found = (reharmonise(tune, UKULELE, moves, 2) for moves in (["backdoor"], [MOVE]))
    assert not plain[0].added
    assert plain[0].cost == found[0].cost == found[1].cost
    assert {str(way.steps[0].chord) for way in found} == {"C6", "Am7"}


def test_alone_it_says_that_nothing_sounds_otherwise() -> None:
    tune = tune_of("| C6 | D7 | G7 |")
    for bass, said in ((False, "it sounds the same"), (True, "the bass goes down a fifth")):
        found = reharmonise(tune, UKULELE, [MOVE], 2, wishes=Wishes(bass_player=bass))
        (reason,) = [step.reason for way in found for step in way.added]
        assert said in reason and "A, C, E, G" in reason
