"""Dominants followed through what stands for them; counted by hand."""

from __future__ import annotations

import pytest

from harmonykit.arrange.functions import resolutions
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.theory.chord import Chord


def told(changes: str) -> list[bool]:
    return [*resolutions(reharmonise(changes, "ukulele", (), k=1)[0])]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        # Common practice, no source: down a fifth; by the tritone substitute; deceptively.
        ("| G7 | C6 |", [True]),
        ("| Db7 | C6 |", [True]),
        ("| G7 | Am7 |", [False]),
        # F#°7 is D7b9 without its root: one dominant, and it resolves.
        ("| D7 F#dim7 | Gm7 |", [True]),
        ("| D7 | F#dim7 | Am7 |", [False]),
        # The four dominants of one diminished seventh, F#°7: D7 F7 Ab7 B7.
        ("| D7 Ab7 | Gm7 |", [True]),
        ("| F7 D7 | Gm7 |", [True]),
        # A diminished seventh alone counts where it leads a half step up from one of its notes.
        ("| C6 C#dim7 | Dm7 |", [True]),
        ("| C6 Cdim7 | C6 |", []),
        ("| Em7 Ebdim7 | Dm7 |", []),
        # A dominant of a dominant, and its suspension.
        ("| D7 | G7sus4 G7 | C6 |", [True, True]),
        # The six-four: D7 goes to the G below it.
        ("| D7 | C/G | F6 |", [True]),
        # Where nothing sounds nothing resolves, and at the end neither.
        ("| G7 | N.C. | C6 |", [False]),
        ("| C6 | G7 |", [False]),
    ],
)
def test_dominants_and_whether_they_resolve(changes: str, expected: list[bool]) -> None:
    assert told(changes) == expected


def test_what_stands_for_a_dominant_does_its_work() -> None:
    """B°7 is G7b9, and Dm6 is G9, without the root: added for G7 they resolve as it does."""
    for move in ("rootless dominant", "tritone substitution", "four dominants"):
        way = reharmonise(
            "| Dm7 | G7 | C6 |", "ukulele", [move], k=1, wishes=Wishes(density="full")
        )[0]
        assert way.added and resolutions(way) == (True,), move


def test_an_approach_is_a_dominant_of_its_own() -> None:
    way = reharmonise(
        "| C6 | Dm7 |", "ukulele", ["leading-tone diminished"], k=1, wishes=Wishes(density="full")
    )
    assert way[0].added and resolutions(way[0]) == (True,)


@pytest.mark.parametrize("by", range(12))
def test_it_is_the_same_in_every_key(by: int) -> None:
    names = ("D7", "F#dim7", "Gm7", "C7", "Dm7", "Bb7", "A7", "Dm6")
    row = [Chord.parse(name) for name in names]
    moved = [chord.symbol if not by else _moved(chord, by) for chord in row]
    assert told(f"| {' | '.join(moved)} |") == told(f"| {' | '.join(names)} |")


def _moved(chord: Chord, by: int) -> str:
    roots = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    root = roots[(chord.root.pitch_class + by) % 12]
    return root + chord.symbol.removeprefix(str(chord.root))
