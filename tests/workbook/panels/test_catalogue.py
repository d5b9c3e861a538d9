"""The catalogue panel: filters against the published table and against trying all."""

from __future__ import annotations

import itertools

import pytest
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.panels.catalogue import CataloguePanel, draw, scene, show
from harmonykit.workbook.panels.catalogue_filter import CatalogueState, compute, entries

TABLE = rows("setclasses")


def passing(**asked: str) -> set[str]:
    return set(compute(CatalogueState(**asked)).passing)  # type: ignore[arg-type]


@pytest.mark.parametrize("size", range(13))
def test_sizes_are_those_of_the_published_table(size: int) -> None:
    """Forte 1973, App. 1; see tests/data/README.md."""
    assert passing(size=str(size)) == {r["forte"] for r in TABLE if r["card"] == str(size)}


def test_symmetries_are_those_of_the_published_table() -> None:
    turns = {row["forte"] for row in TABLE if int(row["tn_sym"]) > 1}
    mirrors = {row["forte"] for row in TABLE if int(row["tni_sym"]) > 0}
    every = {row["forte"] for row in TABLE}
    assert passing(symmetry="turns") == turns and passing(symmetry="mirrors") == mirrors
    assert passing(symmetry="turns or mirrors") == turns | mirrors
    assert passing(symmetry="none") == every - turns - mirrors and passing() == every


def test_vectors_find_a_class_and_its_partner() -> None:
    for row in TABLE[2:-1]:
        asked = row["icv"].replace(",", " ")
        partner = row["z_partner"]
        assert passing(size=row["card"], vector=asked) == {row["forte"]} | (
            set() if partner in ("-", "") else {partner}
        )
    assert passing(vector="..4...", size="4") == {
        row["forte"] for row in TABLE if row["card"] == "4" and numbers(row["icv"])[2] == 4
    }


def images(notes: tuple[int, ...]) -> set[frozenset[int]]:
    """Return the 24 transpositions and inversions, by arithmetic alone."""
    return {frozenset((s * n + t) % 12 for n in notes) for s in (1, -1) for t in range(12)}


@pytest.mark.parametrize(
    "text, notes",
    [
        ("0369", (0, 3, 6, 9)), ("C7", (0, 4, 7, 10)), ("m7b5", (0, 3, 6, 10)),
        ("C harmonic minor", (0, 2, 3, 5, 7, 8, 11)), ("whole tone", (0, 2, 4, 6, 8, 10)),
    ],
)  # fmt: skip
def test_inclusion_by_trying_all_forms(text: str, notes: tuple[int, ...]) -> None:
    primes = {row["forte"]: numbers(row["forte_prime"]) for row in TABLE}
    holding = {n for n, p in primes.items() if any(i <= set(p) for i in images(notes))}
    inside = {n for n, p in primes.items() if any(i <= set(notes) for i in images(p))}
    assert passing(holds=text) == holding and passing(within=text) == inside


def test_one_picked_is_seen_on_clock_and_neck() -> None:
    panel = CataloguePanel("4-27")
    panel.press("class-4-28")
    panel.set("up")
    shown = show(compute(panel.state))
    assert {pc for pc in range(12) if shown.looks[f"pc-{pc}"].on} == {1, 4, 7, 10}
    assert shown.lines["shape"] and shown.looks["class-4-28"].role == "class-picked"
    assert panel.choice.notes == PcSet.of(1, 4, 7, 10)
    assert draw(compute(panel.state)).svg.count('id="class-') == 224


def test_what_is_filtered_out_is_a_dot_and_says_so() -> None:
    panel = CataloguePanel("4-28")
    panel.set("size", "3")
    look = show(compute(panel.state)).looks["class-5-1"]
    assert look.text == "·" and look.name == "5-1, filtered out"


def test_no_two_places_for_the_finger_overlap() -> None:
    places = [spot for spot in scene("ukulele").spots if spot.id.startswith("class-")]
    assert len(places) == 224
    for one, other in itertools.combinations(places, 2):
        beside = abs(one.x - other.x) >= (one.across + other.across) / 2
        assert beside or abs(one.y - other.y) >= (one.tall + other.tall) / 2


def test_entries_of_a_vector() -> None:
    assert entries("1,1,1,1,1,1") == (1, 1, 1, 1, 1, 1)
    with pytest.raises(HarmonyError, match="six numbers"):
        entries("0 0 4")


@pytest.mark.parametrize(
    "state",
    [
        {"picked": "4-99"},
        {"size": "13"},
        {"symmetry": "some"},
        {"vector": "x"},
        {"holds": "H7"},
        {"turn": 12},
        {"instrument": "lute"},
    ],
)
def test_what_cannot_be_is_refused(state: dict[str, object]) -> None:
    with pytest.raises(HarmonyError):
        CatalogueState(**state)  # type: ignore[arg-type]


def test_a_class_that_does_not_pass_is_not_said_to() -> None:
    panel = CataloguePanel("4-27")
    panel.set("size", "3")
    # Forte 1973, appendix 1: twelve classes of three notes.
    assert panel.facts.startswith("12 of 224 classes pass; 4-27, drawn below, is none of them; ")
    panel.press("class-3-11")
    assert panel.facts.startswith("12 of 224 classes pass; 3-11: prime form 037; ")
