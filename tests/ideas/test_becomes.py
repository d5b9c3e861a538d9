"""What becomes of a chord by a change: by brute force over pitch classes, and counts in print."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.ideas.becomes import CHANGES, becomes
from harmonykit.ideas.source import as_source

# Semitones above the root, by hand.
KINDS = {
    "": (0, 4, 7), "m": (0, 3, 7), "+": (0, 4, 8), "7": (0, 4, 7, 10), "m7": (0, 3, 7, 10),
    "6": (0, 4, 7, 9), "m6": (0, 3, 7, 9), "m7b5": (0, 3, 6, 10), "dim7": (0, 3, 6, 9),
    "7b5": (0, 4, 6, 10), "7#5": (0, 4, 8, 10), "9": (0, 2, 4, 7, 10), "7b9": (0, 1, 4, 7, 10),
    "mb5": (0, 3, 6),
}  # fmt: skip
ROOTS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def notes(symbol: str) -> frozenset[int]:
    """Return the pitch classes of a symbol, by arithmetic."""
    root, rest = ROOTS[symbol[0]], symbol[1:]
    if rest[:1] in ("#", "b") and rest[:2] != "b5":
        root, rest = root + (1 if rest[0] == "#" else -1), rest[1:]
    return frozenset((root + each) % 12 for each in KINDS[rest])


def after(source: str, change: str, target: str = "") -> list[str]:
    return [one.after.symbol for one in becomes(as_source(source, None), change, target)]


@pytest.mark.parametrize("source", ["Bdim7", "C+", "G7", "Dm6", "Bm7b5", "Ebm", "A7b5"])
@pytest.mark.parametrize(("change", "ways"), [("lower one note", (-1,)), ("raise one note", (1,))])
def test_one_note_moves_and_every_target_of_a_kind_is_found(
    source: str, change: str, ways: tuple[int, ...]
) -> None:
    own = notes(source)
    moved = {
        own - {pc} | {(pc + way) % 12} for pc in own for way in ways if (pc + way) % 12 not in own
    }
    for kind in ("7", "m6", "m", "maj"):
        suffix = {"maj": ""}.get(kind, kind)
        kinds = (frozenset((root + n) % 12 for n in KINDS[suffix]) for root in range(12))
        wanted = {chord for chord in kinds if chord in moved}
        try:
            found = {notes(symbol) for symbol in after(source, change, kind)}
        except HarmonyError:
            found = set()
        assert found == wanted, kind


def test_the_note_that_moves_may_be_named() -> None:
    """Parallel keys and the augmented triad, as every primer has them: C E G, C Eb G, C E G#."""
    assert after("C", "lower 3") == ["Cm"] and after("Cm", "raise b3") == ["C"]
    assert after("C", "raise 5") == ["C+"] and after("Bdim7", "lower 1", "7") == ["Bb7"]
    assert set(after("C+", "lower 3") + after("C+", "raise 3")) < set(after("C+", "move one note"))
    for change, said in (("raise 9", "gives nothing"), ("lower 14", "not a degree")):
        with pytest.raises(HarmonyError, match=said):
            after("C", change)


def test_counts_in_print() -> None:
    """Cohn 2012: four dominants and four half-diminished about a diminished seventh; six triads."""
    assert len(after("Bdim7", "lower one note", "7")) == 4
    assert len(after("Bdim7", "raise one note", "m7b5")) == 4
    assert sorted(after("C+", "move one note", "maj m")) == ["Ab", "Am", "C", "C#m", "E", "Fm"]


@pytest.mark.parametrize(
    ("source", "change", "target", "wanted"),
    [
        # Common practice, no source: sixth and minor seventh, minor sixth and half-diminished.
        ("C6", "same notes", "", {"Am7"}),
        ("Dm6", "same notes", "", {"Bm7b5"}),
        ("Dm6", "upper part", "9", {"G9"}),
        ("Bdim7", "upper part", "7b9", {"G7b9", "Bb7b9", "Db7b9", "E7b9"}),
        ("G7", "leave out 1", "", {"Bmb5"}),
        ("C", "add 6", "6", {"C6"}),
        ("G7", "turn by 6", "", {"C#7"}),
        ("G7", "slide by -1", "", {"F#7"}),
        ("G7", "resolve", "", {"C"}),
        ("Bdim7", "resolve", "", {"C", "Eb", "Gb", "A"}),
        ("C6", "alternates", "", {"Bdim7"}),
        # The inversion of a dominant seventh is half-diminished: both are 4-27 (Forte 1973).
        ("C7", "mirror", "m7b5", {"Dm7b5"}),
        ("C whole tone", "holds", "7#5", {"C7#5", "D7#5", "E7#5", "F#7#5", "G#7#5", "Bb7#5"}),
    ],
)  # fmt: skip
def test_each_change(source: str, change: str, target: str, wanted: set[str]) -> None:
    found = after(source, change, target)
    assert {notes(each) for each in found} == {notes(each) for each in wanted}
    assert len(found) == len(wanted)


def test_a_diminished_seventh_alternates_with_fourteen_chords_of_four_kinds() -> None:
    """One note of each gap: 2 to the power of 4, without the two diminished sevenths."""
    own = notes("Bdim7")
    found = {notes(each) for each in after("Bdim7", "alternates")}
    gaps = [((pc + 1) % 12, (pc + 2) % 12) for pc in own]
    every = {frozenset()}
    for low, high in gaps:
        every = {each | {pc} for each in every for pc in (low, high)}
    assert found == every - {notes("Cdim7"), notes("C#dim7")} and len(found) == 14


def test_a_degree_may_be_said_in_words() -> None:
    ninth = as_source("G9", None)
    sixth = becomes(ninth, "leave out 1", "m6")
    assert sixth == becomes(ninth, "leave out the root", "minor sixth") and len(sixth) == 1
    fifth = as_source("C", None)
    assert becomes(fifth, "raise the fifth", "+") == becomes(fifth, "raise 5", "+")
    triad = as_source("G", None)
    assert becomes(triad, "add a sixth") == becomes(triad, "add 6")


def test_a_change_nearly_right_is_told_how_it_is_typed() -> None:
    with pytest.raises(HarmonyError) as caught:
        becomes(as_source("Bdim7", None), "leave out 3rd")
    assert caught.value.mend == 'change = "leave out 5"' and " D" not in caught.value.rule
    with pytest.raises(HarmonyError, match="'sweet' is not a kind of chord"):
        becomes(as_source("G9", None), "leave out 1", "sweet")


def test_what_cannot_be_read_or_made_is_told() -> None:
    dim = as_source("Bdim7", None)
    for change in ("lower", "turn by x", "turn by", "leave out 2nd"):
        with pytest.raises(HarmonyError, match="unknown"):
            becomes(dim, change)
    with pytest.raises(HarmonyError, match="gives nothing"):
        becomes(dim, "lower one note", "maj7")
    with pytest.raises(HarmonyError, match="is not a chord"):
        becomes(as_source("C whole tone", None), "lower one note")
    assert becomes(dim, "") == ()
    assert all(said and said[0].islower() or said.startswith("N") for _, said in CHANGES.values())


@pytest.mark.parametrize(
    "before, after, told",
    [
        ("Am", "Am6", "A stays, C stays, E stays and F♯ is added"),
        ("Am", "Am7", "A stays, C stays, E stays and G is added"),
        ("G7", "C", "G stays, B rises to C, D falls to C and F falls to E"),
    ],
)
def test_a_note_that_comes_from_none_is_told(before: str, after: str, told: str) -> None:
    """By hand: else two answers that differ in it alone would be told in the same words."""
    (way,) = becomes(as_source(before, None), "lead", after)
    assert way.done == told


def test_a_change_that_gives_nothing_says_what_it_does() -> None:
    """The upper part of D9 is F sharp half-diminished: D9 holds it, and is made above it."""
    with pytest.raises(HarmonyError, match="a root is put below it"):
        after("D9", "upper part")
    assert "D9" in after("F#m7b5", "upper part") and after("D9", "holds", "m7b5") == ["F#m7b5"]
