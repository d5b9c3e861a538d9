"""The tritone partner (it shares third and seventh: common practice, no source)."""

from __future__ import annotations

import pytest
from small_tunes import insertions, offers, rules, tune_of

from harmonykit.arrange.moves import Variant

MOVE = "tritone partner"


def test_the_whole_slot_and_its_second_half() -> None:
    assert insertions(MOVE, tune_of("| G7 | C6 |")) == [[("Db7", 0, 4)], [("Db7", 2, 2)]]


@pytest.mark.parametrize(
    ("dominant", "target", "partner"),
    # Each named from its target, a semitone above: published pairs C7 and Gb7, as in synonyms.tsv.
    [("C7", "F", "Gb7"), ("E7", "Am", "Bb7"), ("F#7", "Bm", "C7"), ("D7", "G6", "Ab7")],
)
def test_the_partner_is_named_from_its_target(dominant: str, target: str, partner: str) -> None:
    assert insertions(MOVE, tune_of(f"| {dominant} | {target} |"))[0][0][0] == partner


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| G7sus4 | C6 |", "G7sus4 keeps its suspension"),
        ("| G7 | Am7 |", "the dominant resolves down a fifth"),
        ("| G7/B | C6 |", "the chart asks for another bass"),
        ("| C7 | F7 |", "C7 is a blues chord, at home where it is"),
        ("| Bb7 | Eb6 |", "B♭7 is the ♭VII7, which does not lead down a fifth"),
        ("| G7 | N.C. | C6 |", "none into N.C."),
        ("| {fermata@3} G7 | C6 |", "none after a fermata"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    assert rules(MOVE, tune_of(changes))[0] == rule


def test_the_melody_may_have_the_partners_flat_ninth_and_nothing_else_a_semitone_above() -> None:
    """Over D flat, F, A flat, C flat: D is the flat ninth; G flat, A and C rub."""
    for name, allowed in [("D5", True), ("Gb5", False), ("A5", False), ("C5", False), ("F5", True)]:
        tune = tune_of("| G7 | C6 |", melody=f"| {name}:4 | r:4 |")
        whole = [f for f in insertions(MOVE, tune) if f[0][1:] == (0, 4)]
        assert bool(whole) == allowed, name


def test_the_reason_names_the_notes_that_both_have() -> None:
    first = next(f for f in offers(MOVE, tune_of("| G7 | C6 |")) if isinstance(f, Variant))
    assert first.parts[0].reason == (
        "D♭7 stands for G7, a tritone away: B and F are third and seventh of both, and the root D♭ "
        "is a semitone above C"
    )
    assert first.needs_next and not first.keeps_first
