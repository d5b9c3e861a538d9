"""A dominant for another of its diminished seventh: which guide note is lost (by arithmetic)."""

from __future__ import annotations

import pytest
from small_tunes import insertions, offers, rules, tune_of
from tables import rows

from harmonykit.arrange.moves import Variant
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Interval

MOVE = "other parent"


def reasons(changes: str) -> list[str]:
    found = [f for f in offers(MOVE, tune_of(changes)) if isinstance(f, Variant)]
    return list(dict.fromkeys(part.reason for f in found for part in f.parts if part.reason))


def test_both_others_wholly_and_late() -> None:
    """Of G7's diminished seventh B D F A flat: B flat 7 and E7; D flat 7 is the tritone partner."""
    assert insertions(MOVE, tune_of("| G7 | C6 |")) == [
        [("Bb7", 0, 4)],
        [("Bb7", 2, 2)],
        [("E7", 0, 4)],
        [("E7", 2, 2)],
    ]


@pytest.mark.parametrize("row", rows("dim7_parents"), ids=lambda row: row["dim7_root"])
def test_with_the_tritone_partner_they_are_the_published_four(row: dict[str, str]) -> None:
    """dim7_parents.tsv: the dominants of each diminished seventh (Cohn 2012, ch. 7)."""
    listed = row["parents_named"].split()
    four = {Chord.parse(name).root.pitch_class for name in listed}
    for name in listed:
        dominant = Chord.parse(name.removesuffix("b9"))
        target = dominant.root.transpose(Interval.parse("P4"))
        tune = tune_of(f"| {dominant} | {target.name}6 |", key=target.plain().name)
        found = [f for move in (MOVE, "tritone partner") for f in insertions(move, tune)]
        roots = {Chord.parse(put[0][0]).root.pitch_class for put in found}
        assert roots == four - {dominant.root.pitch_class}


def test_the_note_that_is_lost_is_said() -> None:
    assert reasons("| G7 | C6 |") == [
        "B♭7 stands for G7, another dominant of the same diminished seventh: D and F stay, the "
        "third B is lost",
        "E7 stands for G7, another dominant of the same diminished seventh: B and D stay, the "
        "seventh F is lost",
    ]


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| G7 | Am7 |", "the dominant resolves down a fifth"),
        ("| G7/B | C6 |", "the chart asks for another bass"),
        ("| G9sus4 | C6 |", "G9sus4 keeps its suspension"),
        ("| F6 | G7 | G7 |", "none on the final chord"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    assert rule in rules(MOVE, tune_of(changes))
