"""Our numerals and keys against published analyses: the roman-text files that music21 carries.

The analyses: J. S. Bach's chorales 1 to 20 of the Riemenschneider edition, analysed by Andrew
Jones, proofread by Dmitri Tymoczko and Hamish Robb.  Each stretch in one key is given to us as bare
chords with its key, and what each numeral leads to is compared (``viio/V`` leads to V, ``IV`` to
nothing but the key's own tonic).  Keys are found from stretches of six chords or more, which often
begin on a pivot chord or end on a dominant or a raised third: no more is asked of them.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest

from harmonykit.theory.chord import BY_SUFFIX, Chord
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.analysis.function import analyse_chords
from harmonykit.tune.analysis.key_finding import find_keys

LEAST_AGREEMENT = 0.98
LEAST_KEYS = 0.75
# Shorter stretches tell no key.
LEAST_CHORDS = 6
SHAPES = {tuple(sorted({d.pitch_class for d in q.degrees})): s for s, q in BY_SUFFIX.items()}

Row = tuple[Chord, str, int | None, Fraction]


def ours(name: str) -> Note:
    return Note.parse(name.replace("-", "b"))


def row(numeral: Any) -> Row | None:
    """Return chord, published figure, pitch class of its goal, and length; None for odd shapes."""
    root = numeral.root()
    shape = tuple(sorted({(p.pitchClass - root.pitchClass) % 12 for p in numeral.pitches}))
    if shape not in SHAPES:
        return None
    goal = numeral.secondaryRomanNumeral
    pc = None if goal is None else goal.root().pitchClass
    chord = Chord.of(ours(root.name), SHAPES[shape])
    return chord, numeral.figure, pc, Fraction(numeral.quarterLength)


# The first few by default; all twenty are among the long tests.
@pytest.fixture(scope="module", params=[6, pytest.param(20, marks=pytest.mark.long)])
def chorales(request: pytest.FixtureRequest) -> int:
    """Return how many chorales are compared."""
    return int(request.param)


@pytest.fixture(scope="module")
def stretches(chorales: int) -> list[tuple[Key, list[Row]]]:
    import music21
    from music21 import roman
    from music21.romanText import rtObjects, translate

    folder = Path(music21.__file__).parent / "corpus" / "bach" / "choraleAnalyses"
    found = []
    for path in sorted(folder.glob("riemenschneider0*.rntxt"))[:chorales]:
        parsed = rtObjects.RTFile().readstr(path.read_text(encoding="utf-8"))
        score = translate.romanTextToStreamScore(parsed)
        numerals = score.recurse().getElementsByClass(roman.RomanNumeral)
        for (tonic, mode), group in groupby(numerals, key=lambda n: (n.key.tonic.name, n.key.mode)):
            rows = [made for numeral in group if (made := row(numeral)) is not None]
            if rows:
                found.append((Key(ours(tonic), mode), rows))
    return found


def goal_of(numeral: str, key: Key) -> int | None:
    """Return the pitch class that a numeral of ours leads to."""
    _, stroke, goal = numeral.rpartition("/")
    if not stroke or goal[0].isdigit():
        return None
    roman = goal.lstrip("b#")
    flats = goal.count("b", 0, len(goal) - len(roman))
    place = ("i", "ii", "iii", "iv", "v", "vi", "vii").index(roman.lower())
    return (key.tonic.pitch_class + (0, 2, 4, 5, 7, 9, 11)[place] - flats) % 12


def test_numerals_agree_with_published_analyses(stretches, chorales):
    right, total, missed = 0, 0, []
    for key, rows in stretches:
        for (chord, figure, goal, _), entry in zip(
            rows, analyse_chords([r[0] for r in rows], key), strict=True
        ):
            total += 1
            if goal_of(entry.numeral, key) == goal:
                right += 1
            else:
                missed.append(f"{chord} in {key}: {entry.numeral}, published {figure}")
    print(
        f"\nnumerals: {right} of {total} agree ({right / total:.1%}), in {len(stretches)} stretches"
    )
    assert total > 40 * chorales
    assert right / total >= LEAST_AGREEMENT, missed[:40]


def test_secondary_dominants_are_found(stretches):
    found = [
        (goal, goal_of(entry.numeral, key))
        for key, rows in stretches
        for (_, _, goal, _), entry in zip(
            rows, analyse_chords([r[0] for r in rows], key), strict=True
        )
    ]
    published = [pair for pair in found if pair[0] is not None]
    hits = sum(goal == mine for goal, mine in published)
    false = sum(goal is None and mine is not None for goal, mine in found)
    print(f"\nsecondary: {hits} of {len(published)} published ones found, {false} of ours are not")
    assert hits / len(published) >= 0.75
    assert false <= 5


def test_keys_agree_with_published_analyses(stretches, chorales):
    asked = [(key, rows) for key, rows in stretches if len(rows) >= LEAST_CHORDS]
    found = [(key, find_keys([(r[0], r[3]) for r in rows])[0][0]) for key, rows in asked]
    right = sum(key == mine.readable() for key, mine in found)
    print(f"\nkeys: {right} of {len(found)} stretches agree ({right / len(found):.1%})")
    assert len(found) > 2 * chorales
    assert right / len(found) >= LEAST_KEYS, [f"{a}: {b}" for a, b in found if a != b]
