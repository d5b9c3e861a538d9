"""A tune's dominants: read by hand from a tune of eight bars, and counted from all roots."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.statements.counted import dominant_rows, dominants_of, holding, melody_over
from harmonykit.tune.tune import Tune

# Invented.  What is expected below was read from these two lines by hand.
TUNE = """
format = 1
title = "Cold Anchor"
key = "G minor"
meter = "4/4"
[[sections]]
name = "A"
changes = "| Gm | A7 | D7 | Gm | A7 D7 | Eb6 | D7 | D7 |"
melody = "| G4:4 | E4:2 C#5:2 | C5:4 | Bb4:4 | A4:2 F#4:2 | G4:4 | Eb5:4 | D5:4 |"
"""


def made(text: str = TUNE) -> Tune:
    """Return the tune of a text."""
    return Tune.parse(text)


def test_the_dominants_of_a_tune_come_with_bars_and_what_follows() -> None:
    found = dominants_of(made())
    told = [(one.chord.symbol, str(one.target), one.bars, one.longest) for one in found]
    assert told == [
        ("A7", "D7", (2, 5), 1), ("D7", "Gm", (3,), 1), ("D7", "Eb6", (5,), 1),
        ("D7", "None", (7, 8), 2),
    ]  # fmt: skip
    assert [one.resolves for one in found] == [True, True, False, False]


def test_the_table_has_the_melody_only_where_there_is_one() -> None:
    rows = dominant_rows(made())
    assert rows[0] == ("A7", "bars 2 and 5", "D7", "A, E and C♯")
    assert rows[-1] == ("D7", "bars 7 and 8", "–", "E♭ and D")
    silent = made("\n".join(TUNE.splitlines()[:-1]))
    assert dominant_rows(silent)[0] == ("A7", "bars 2 and 5", "D7")


def test_a_tune_without_dominants_says_so() -> None:
    plain = made('format = 1\ntitle = "Low"\nkey = "C"\nmeter = "4/4"\n[[sections]]\n'
                 'name = "A"\nchanges = "| C6 | F |"\n')  # fmt: skip
    assert dominants_of(plain) == ()
    with pytest.raises(HarmonyError, match="no dominant"):
        dominant_rows(plain)
    with pytest.raises(HarmonyError, match="no melody over"):
        melody_over(plain, "F")


def test_the_melody_over_a_chord_is_told_with_its_bars() -> None:
    assert melody_over(made(), "Gm")[0] == "Over Gm the melody has G and B♭, in bars 1 and 4."
    with pytest.raises(HarmonyError, match="has no F7"):
        melody_over(made(), "F7")


@pytest.mark.parametrize("notes", [(0,), (10, 7), (4, 10), (0, 1), (0, 1, 2), (1, 5, 8, 11)])
def test_holding_tries_every_root(notes: tuple[int, ...]) -> None:
    names = "C Db D Eb E F F# G Ab A Bb B".split()
    # A dominant seventh is root, major third, fifth and minor seventh: 0, 4, 7 and 10 semitones.
    wanted = [
        names[root]
        for root in range(12)
        if all((note - root) % 12 in (0, 4, 7, 10) for note in notes)
    ]
    said = holding("7", *(names[note] for note in notes))[0]
    told = said.split(", ", 1)[1].split(" hold")[0].replace(" and ", ", ").split(", ")
    plain = [one.removesuffix("7").replace("♭", "b").replace("♯", "#") for one in told]
    assert plain == (wanted or ["none"])


def test_holding_refuses_what_it_cannot_count() -> None:
    with pytest.raises(HarmonyError, match="names no note"):
        holding("7")
    with pytest.raises(HarmonyError, match="not a chord quality"):
        holding("blue", "C")
