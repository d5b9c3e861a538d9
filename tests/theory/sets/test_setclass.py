"""The catalogue: against the published list and the facts that textbooks state of it."""

from __future__ import annotations

import pytest
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.sets.setclass import SetClass, set_classes


def test_every_row_of_the_list() -> None:
    """Forte 1973, Appendix 1, and Rahn 1980, as in ``setclasses.tsv``, in their order."""
    published = rows("setclasses")
    assert len(published) == len(set_classes()) == 224
    for row, ours in zip(published, set_classes(), strict=True):
        assert ours.forte_name == row["forte"]
        assert ours.size == int(row["card"])
        assert ours.prime_form == numbers(row["forte_prime"])
        assert ours.rahn_prime_form == numbers(row["rahn_prime"])
        assert (ours.prime_form != ours.rahn_prime_form) == (row["primes_differ"] == "1")
        assert ours.interval_vector == numbers(row["icv"])
        assert ours.symmetry == (int(row["tn_sym"]), int(row["tni_sym"]))
        assert sum(ours.symmetry) == int(row["degree_sym"])
        assert len(ours.members) == int(row["distinct_forms"]) == 24 // sum(ours.symmetry)
        assert len(ours.tn_names) == int(row["tn_classes"])
        assert (ours.z_partner or "-") == row["z_partner"]
        assert ours.complement == row["complement"]
        assert SetClass.named(row["forte_noZ"]) is ours
        assert SetClass.named(row["forte"]) is ours


def test_every_set_is_a_member_of_just_its_own_class() -> None:
    members = [member for each in set_classes() for member in each.members]
    assert len(members) == 4096
    assert len(set(members)) == 4096
    for each in set_classes():
        assert {SetClass.of(member) for member in each.members} == {each}


def test_z_pairs_and_complements_of_hexachords() -> None:
    """Kostka & Payne 2008, App. C, on Z; Forte 1973: 23 pairs, 15 of them hexachords."""
    pairs = {frozenset((each.forte_name, each.z_partner)) for each in set_classes()}
    pairs = {pair for pair in pairs if None not in pair}
    assert len(pairs) == 23
    assert frozenset({"4-Z15", "4-Z29"}) in pairs
    hexachords = [each for each in set_classes() if each.size == 6]
    alone = [each for each in hexachords if each.z_partner is None]
    assert len(alone) == 20
    assert all(each.complement == each.forte_name for each in alone)
    paired = [each for each in hexachords if each.z_partner]
    assert len(paired) == 30
    assert all(each.complement == each.z_partner for each in paired)


def test_classes_that_a_transposition_leaves_alone() -> None:
    """Symmetry as in Rahn 1980 and Straus 2016: 14 of them, and 6-30 has no inversion."""
    found = [each for each in set_classes() if each.symmetry[0] > 1 and 0 < each.size < 12]
    assert " ".join(each.forte_name for each in found) == (
        "2-6 3-12 4-9 4-25 4-28 6-7 6-20 6-30 6-35 8-9 8-25 8-28 9-12 10-6"
    )
    assert [each.forte_name for each in found if not each.symmetry[1]] == ["6-30"]
    counts = {"4-28": 3, "3-12": 4, "6-35": 2, "8-28": 3}  # Rahn 1980, 90-91
    assert {name: len(SetClass.named(name).members) for name in counts} == counts


def test_a_letter_says_which_form() -> None:
    assert SetClass.named("4-27b") is SetClass.of(PcSet.of(0, 4, 7, 10))
    assert SetClass.named(" 7-18A ").forte_name == "7-Z18"


@pytest.mark.parametrize(
    ("name", "mend"),
    [
        ("4-30", "4-1 to 4-Z29"),
        ("4-28A", "4-1 to 4-Z29"),
        ("13-1", "0 to 12 notes"),
        ("dominant", "4-28"),
        ("", "4-28"),
    ],
)
def test_a_name_that_is_not_listed_is_refused(name: str, mend: str) -> None:
    with pytest.raises(HarmonyError, match=f"is not a set class(.|\n)*{mend}"):
        SetClass.named(name)


def test_the_catalogue_is_one_value() -> None:
    assert set_classes() is set_classes()
    assert hash(SetClass.named("4-28")) == hash(set_classes()[0].named("4-28"))
