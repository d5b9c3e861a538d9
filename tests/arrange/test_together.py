"""Levels that sound together, by hand and by brute force over pitch classes."""

from __future__ import annotations

from itertools import product

import pytest
from rows_of_shapes import row

import harmonykit as hk
from harmonykit.arrange.together import rubs_between, said_together, semitone_pairs
from harmonykit.theory.chord import Chord

ROOTS = "C Db D Eb E F F# G Ab A Bb B".split()


def below(root: str) -> Chord:
    """Return the diminished seventh a semitone below a root."""
    place = Chord.parse(root).root.pitch_class - 1
    return Chord.parse(f"{ROOTS[place % 12]}dim7")


@pytest.mark.parametrize("root", ROOTS)
@pytest.mark.parametrize("kind", ["", "m", "6", "m6", "7", "m7", "m7b5", "maj7", "dim7", "sus4"])
def test_pairs_are_those_of_all_notes_that_only_one_chord_has(root, kind):
    one = Chord.parse(root + kind)
    for other in (below(root), Chord.parse("Dm7"), Chord.parse("G7")):
        brute = 0
        for a, b in product(range(12), range(12)):
            only = a in one.pcs and a not in other.pcs and b in other.pcs and b not in one.pcs
            brute += only and abs(a - b) in (1, 11)
        assert semitone_pairs(one, other) == semitone_pairs(other, one) == brute


@pytest.mark.parametrize("root", ROOTS)
def test_a_chord_rubs_with_its_own_diminished_seventh_and_its_dominant_hardly(root):
    """Each note of a sixth chord has one of the diminished seventh a semitone from it."""
    target, passing = Chord.parse(f"{root}6"), below(root)
    dominant = Chord.parse(f"{ROOTS[(target.root.pitch_class + 7) % 12]}7")
    assert semitone_pairs(target, passing) == 4
    assert semitone_pairs(Chord.parse(root), passing) == 3
    assert semitone_pairs(dominant, passing) == 1


def test_bars_in_which_two_rub_are_told_by_their_numbers():
    written = row("| C6 | G7 | C6 |", "C6 0000 4", "G7 0212 4", "C6 0000 4")
    under_dominant = row(
        "| C6 | G7 | C6 |", "C6 0000 4", "G7 0212 2", "Bdim7 1212 2 passing", "C6 0000 4"
    )
    under_tonic = row(
        "| C6 | G7 | C6 |", "C6 0000 2", "Bdim7 1212 2 passing", "G7 0212 4", "C6 0000 4"
    )
    assert rubs_between(written, under_dominant) == ()
    (rub,) = rubs_between(written, under_tonic)
    assert (rub.bar, rub.pairs, str(rub.first), str(rub.second)) == (0, 4, "C6", "Bdim7")
    told = said_together([written, under_dominant, under_tonic])
    assert told[0] == "arrangement 1 and arrangement 3: take turns in bar 1 (C6 against B°7)."
    assert told[-1] == "The others: all together."
    assert said_together([written, under_dominant]) == (
        "All together: any two of them sound well at once.",
    )


def test_silence_rubs_with_nothing():
    one = row("| C6 | C6 |", "C6 0000 4", "C6 - 4")
    other = row("| C6 | C6 |", "C6 0000 4", "Bdim7 1212 4 passing")
    assert rubs_between(one, other) == ()


def test_two_tunes_are_not_compared():
    with pytest.raises(hk.HarmonyError, match="two tunes"):
        rubs_between(row("| C6 |", "C6 0000 4"), row("| C6 | C6 |", "C6 0000 4", "C6 0000 4"))
    with pytest.raises(hk.HarmonyError, match="an arrangement"):
        hk.arrange.rubs_between("C6", "G7")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("one", "other", "rubs"),
    [
        ("G 0232", "Gm 0231", True), ("Gm6 0201", "G 0232", True), ("G 0232", "Bm 4222", False),
        ("Gm7 0211", "Gm 0231", False), ("G7 0212", "Gsus4 0233", False),
    ],
)  # fmt: skip
def test_major_and_minor_on_one_root_are_not_heard_as_colour(one, other, rubs):
    """B against B flat is a mistake to the ear, one pair though it is (common practice)."""
    first, second = (row("| D | G |", "D 2220 4", f"{each} 4") for each in (one, other))
    found = rubs_between(first, second)
    assert [rub.bar for rub in found] == [1] * rubs
    assert said_together([first, second])[0].startswith("All together") != rubs
