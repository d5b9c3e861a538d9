"""The table of all sets: against the published lists, music21, a naive classifier and the laws.

Published facts are those of Forte 1973, Appendix 1, and Rahn 1980, by the tables named; counts by
Burnside's lemma.
"""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest
from tables import numbers, rows

from harmonykit.theory.sets.settable import set_table

EVERY_SET = [notes for size in range(13) for notes in combinations(range(12), size)]
# Rahn 1980, as hmt transcribes it: "the six sets where the Forte and Rahn prime forms differ".
BEYOND_PRIME = {
    "5-20": ((0, 1, 3, 7, 8), (0, 1, 5, 6, 8)),
    "6-Z29": ((0, 1, 3, 6, 8, 9), (0, 2, 3, 6, 7, 9)),
    "6-31": ((0, 1, 3, 5, 8, 9), (0, 1, 4, 5, 7, 9)),
    "7-Z18": ((0, 1, 2, 3, 5, 8, 9), (0, 1, 4, 5, 6, 7, 9)),
    "7-20": ((0, 1, 2, 4, 7, 8, 9), (0, 1, 2, 5, 6, 7, 9)),
    "8-26": ((0, 1, 2, 4, 5, 7, 9, 10), (0, 1, 3, 4, 5, 7, 8, 10)),
}
# Wikipedia, "List of set classes": 17 of the 352 normal forms differ.
BEYOND_NORMAL = set(
    "5-20A 5-20B 5-32B 6-Z29 6-31A 6-31B 6-Z44B 7-Z18A 7-Z18B 7-20A 7-20B 8-22B 8-26 8-27B 9-7B "
    "9-8B 9-11B".split()
)


def mask(notes: tuple[int, ...]) -> int:
    return sum(1 << note for note in notes)


def notes_of(number: int) -> tuple[int, ...]:
    return tuple(note for note in range(12) if number >> note & 1)


def rotations(notes: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Return the circular orders of a set, each moved to begin on 0."""
    turned = [notes[i:] + notes[:i] for i in range(len(notes))] or [()]
    return [tuple((note - turn[0]) % 12 for note in turn) for turn in turned]


def naive_normal(notes: tuple[int, ...], rule: str) -> tuple[int, ...]:
    """Apply the rules as the books word them, to tuples."""
    if rule == "forte":
        return min(rotations(notes), key=lambda turn: (turn[-1:], turn))
    return min(rotations(notes), key=lambda turn: turn[::-1])


@pytest.mark.parametrize("rule", ["forte", "rahn"])
def test_all_sets_are_packed_as_the_books_word_it(rule: str) -> None:
    table = set_table()
    for notes in EVERY_SET:
        row = table[mask(notes)]
        normal = naive_normal(notes, rule)
        mirrored = naive_normal(tuple(sorted(-note % 12 for note in notes)), rule)
        assert notes_of(row[f"{rule}_normal"]) == normal
        prime = naive_normal_of_two(normal, mirrored, rule)
        assert notes_of(row[f"{rule}_prime"]) == prime
        if notes:
            start = int(row[f"{rule}_start"])
            assert start in notes
            assert tuple(sorted((note - start) % 12 for note in notes)) == normal


def naive_normal_of_two(one: tuple[int, ...], other: tuple[int, ...], rule: str) -> tuple[int, ...]:
    if rule == "forte":
        return min(one, other, key=lambda form: (form[-1:], form))
    return min(one, other, key=lambda form: form[::-1])


def test_every_row_of_the_catalogue() -> None:
    table = set_table()
    for row in rows("setclasses"):
        ours = table[mask(numbers(row["forte_prime"]))]
        partner = int(ours["z_partner"])
        assert str(ours["forte_name"]) == row["forte"]
        assert int(ours["size"]) == int(row["card"])
        assert notes_of(ours["forte_prime"]) == numbers(row["forte_prime"])
        assert notes_of(ours["rahn_prime"]) == numbers(row["rahn_prime"])
        assert tuple(ours["interval_vector"]) == numbers(row["icv"])
        assert (ours["tn_symmetry"], ours["tni_symmetry"]) == (
            int(row["tn_sym"]),
            int(row["tni_sym"]),
        )
        assert (str(table[partner]["forte_name"]) if partner >= 0 else "-") == row["z_partner"]
        assert (
            str(table[4095 - mask(numbers(row["forte_prime"]))]["forte_name"])
            == (row["complement"])
        )
        members = table["forte_name"] == row["forte"]
        assert members.sum() == int(row["distinct_forms"])
        assert len(set(table["tn_name"][members])) == int(row["tn_classes"])


def test_every_row_of_the_classes_under_transposition() -> None:
    table = set_table()
    for row in rows("setclasses_tn"):
        ours = table[mask(numbers(row["forte_normal_form"]))]
        assert str(ours["tn_name"]) == row["forte_AB"]
        assert notes_of(ours["forte_normal"]) == numbers(row["forte_normal_form"])
        assert notes_of(ours["rahn_normal"]) == numbers(row["rahn_normal_form"])
        assert (table["tn_name"] == row["forte_AB"]).sum() == int(row["transpositions"])


def test_counts_are_those_of_burnside() -> None:
    table = set_table()
    for row in rows("counts"):
        mine = table if row["card"] == "total" else table[table["size"] == int(row["card"])]
        assert len(mine) == int(row["subsets"])
        assert len(set(mine["tn_name"])) == int(row["tn_classes"])
        assert len(set(mine["forte_name"])) == int(row["tni_classes"])
        symmetrical = mine[mine["tni_symmetry"] > 0]
        assert len(set(symmetrical["forte_name"])) == int(row["inversionally_symmetric_tni"])
        z = mine[mine["z_partner"] >= 0]
        assert len(set(z["forte_name"])) == int(row["z_classes"])
    assert len(set(table["forte_name"][(table["size"] >= 3) & (table["size"] <= 9)])) == 208


def test_forte_and_rahn_differ_in_six_prime_forms() -> None:
    table = set_table()
    found = {
        str(row["forte_name"]): (notes_of(row["forte_prime"]), notes_of(row["rahn_prime"]))
        for row in table[table["forte_prime"] != table["rahn_prime"]]
    }
    assert found == BEYOND_PRIME


def test_forte_and_rahn_differ_in_seventeen_normal_forms() -> None:
    table = set_table()
    differ = table[table["forte_normal"] != table["rahn_normal"]]
    assert set(differ["tn_name"]) == BEYOND_NORMAL


@pytest.mark.parametrize("step", [4, pytest.param(1, marks=pytest.mark.long)])
def test_all_sets_but_the_empty_one_against_music21(step: int) -> None:
    """music21 10 packs by Forte's rule, and its names leave the Z out."""
    from music21.chord import Chord

    table = set_table()
    for number in sorted(set(table["forte_normal"].tolist()) - {0})[::step]:
        theirs, ours = Chord(list(notes_of(number))), table[number]
        assert theirs.forteClass == str(ours["tn_name"]).replace("Z", "")
        assert theirs.forteClassTnI == str(ours["forte_name"]).replace("Z", "")
        assert theirs.hasZRelation == (ours["z_partner"] >= 0)
        assert tuple(theirs.primeForm) == notes_of(ours["forte_prime"])
        assert tuple(theirs.intervalVector) == tuple(ours["interval_vector"])
        if ours["tn_symmetry"] == 1:
            assert tuple(theirs.normalOrder) == notes_of(ours["forte_normal"])


def test_music21_agrees_on_symmetries_and_z_partners() -> None:
    from music21.chord import tables

    for number in sorted(set(set_table()["forte_prime"].tolist()) - {0}):
        ours = set_table()[number]
        prime, _, invariance, partner = tables.FORTE[int(ours["size"])][int(ours["ordinal"])]
        assert tuple(prime) == notes_of(number)
        assert invariance[:2] == (ours["tn_symmetry"], ours["tni_symmetry"])
        other = int(ours["z_partner"])
        assert partner == (set_table()[other]["ordinal"] if other >= 0 else 0)


def test_interval_vectors_by_counting_pairs() -> None:
    table = set_table()
    for notes in EVERY_SET:
        steps = Counter(min(b - a, 12 - b + a) for a, b in combinations(notes, 2))
        vector = tuple(steps[size] for size in range(1, 7))
        assert tuple(table[mask(notes)]["interval_vector"]) == vector


def test_the_table_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="read-only"):
        set_table()["size"][0] = 3
