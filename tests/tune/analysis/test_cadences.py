"""Cadences at the ends of phrases, by hand (common practice, no source)."""

from __future__ import annotations

import pytest

from harmonykit.tune.analysis.function import analyse
from harmonykit.tune.tune import Tune


def cadences(changes: str, key: str = "C") -> list[tuple[str, int]]:
    tune = Tune.parse(
        f'format = 1\ntitle = "Slipway"\nkey = "{key}"\nmeter = "4/4"\n'
        f'[[sections]]\nname = "A"\nchanges = "{changes}"\n'
    )
    return [(cadence.kind + cadence.where, cadence.bar) for cadence in analyse(tune).cadences]


@pytest.mark.parametrize(
    ("changes", "key", "expected"),
    [
        ("| C | F | G7 | C |", "C", [("authentic", 4)]),
        ("| C | F | Dm7 | G7 | C | Dm7 | G7 | C |", "C", [("half", 4), ("authentic", 8)]),
        ("| C | Am | F | C |", "C", [("plagal", 4)]),
        ("| C | F | G7 | Am |", "C", [("deceptive", 4)]),
        ("| Am | Dm | E7 | F |", "Am", [("deceptive", 4)]),
        # The tonic arrives in bar 3, and a turnaround leads on.
        ("| Dm7 | G7 | C6 | Em7 A7 |", "C", [("authentic", 3)]),
        ("| C6 Am7 | Dm7 G7 | C6 Am7 | Dm7 G7 |", "C", [("authentic", 3)]),
        ("| F | G7 | C | N.C. |", "C", [("authentic", 3)]),
        ("| F | Dm7 | G7 | C Am |", "C", [("authentic", 4)]),
        # A phrase whose last bar is the dominant ends on it, whatever stood before.
        ("| C | F G7 | C F | G7 | C | F | G7 | C |", "C", [("half", 4), ("authentic", 8)]),
        ("| C | F G7 | C | G7sus4 G7 |", "C", [("half", 4)]),
        ("| Am | E7 | Am Dm | E7 |", "Am", [("half", 4)]),
        ("| C | F | G7 C | F G7 |", "C", [("half", 4)]),
        # A chord that leads on for a bar is no arrival; the relative key has cadences too.
        (
            "| G | D7 | Em | Am6 | C Cm | G/D | D7 | G |",
            "Em",
            [("authentic in G major", 8)],
        ),
        ("| C | F | E7 | Am |", "C", [("authentic in A minor", 4)]),
        # On the dominant of the relative key, where its tonic comes next; else on nothing.
        (
            "| Gm | Cm | Eb | F7 | Bb | Eb | D7 | Gm |",
            "Gm",
            [("half in Bb major", 4), ("authentic", 8)],
        ),
        ("| Gm | Eb | Cm | F7 | Gm | Cm | D7 | Gm |", "Gm", [("authentic", 8)]),
        ("| C | F | Dm | E7 | Am | F | G7 | C |", "C", [("half in A minor", 4), ("authentic", 8)]),
        # The tonic of the relative key may be prolonged.
        ("| Gm | Gm | Cm F7 | Bbmaj7 Bb6 |", "Gm", [("authentic in Bb major", 4)]),
        # ii and V bring a tonic chord that the key has not; one that it has may be its V or IV.
        ("| Dbmaj7 | Dm7 G7 | Cmaj7 | Cmaj7 |", "Ab", [("authentic in C major", 3)]),
        ("| Cm7 | Fm7 | Bb7 | Ebmaj7 |", "Ab", [("authentic in Eb major", 4)]),
        ("| Cmaj7 | C | Fm7 Bb7 | Eb6 |", "C", [("authentic in Eb major", 4)]),
        ("| C | Am7 | D7 | G |", "C", [("half", 4)]),
        ("| C | Gm7 | C7 | Fmaj7 |", "C", []),
        ("| C | Bb7 | C | Bb7 |", "C", []),
        # The dominant of another degree is no half cadence.
        ("| C | F | C | A7 |", "C", []),
        # What is left over is a phrase too.
        ("| C | F | C | G7 | Dm7 G7 | C |", "C", [("half", 4), ("authentic", 6)]),
        # A pick-up belongs to the first phrase.
        ("| {1 quarter} G7 | C | F | G7 | C |", "C", [("authentic", 4)]),
        # Each round of a repeated part has its own.
        ("|: C | F | G7 | C :|", "C", [("authentic", 4), ("authentic", 4)]),
    ],
)
def test_cadences_by_hand(changes, key, expected):
    assert cadences(changes, key) == [
        (kind.replace("Bb", "B♭").replace("Eb", "E♭"), bar) for kind, bar in expected
    ]
