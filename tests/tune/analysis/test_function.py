"""Numerals, functions, goals, chains and cadences, of progressions invented and analysed by hand.

By hand means: by the common practice of jazz analysis (no source), the diminished sevenths by the
published list in ``tests/data/functions.tsv``.  Behind each chord stands its numeral; then T, P, D
or - for its function, and ? where it is doubtful.
"""

from __future__ import annotations

import pytest

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.function import (
    analyse,
    analyse_chords,
    find_chains,
    find_phrases,
)
from harmonykit.tune.tune import Tune

LETTERS = {"tonic": "T", "predominant": "P", "dominant": "D", "": "-"}

# Key; chord, numeral, function; chains as spans of indices.
PROGRESSIONS = [
    ("C", "Dm7 ii7 P, G7 V7 D, Cmaj7 Imaj7 T", ["0-1"]),
    ("C", "Cmaj7 Imaj7 T, A7 V7/ii D, Dm7 ii7 P, G7 V7 D, Cmaj7 Imaj7 T", ["2-3"]),
    ("C", "Em7b5 iiø7/ii P, A7b9 V7b9/ii D, Dm7 ii7 P, G7 V7 D, C6 I6 T", ["0-3"]),
    ("Am", "Bm7b5 iiø7 P, E7b9 V7b9 D, Am6 i6 T", ["0-1"]),
    (
        "F",
        "Fmaj7 Imaj7 T, Cm7 ii7/IV P, F7 V7/IV D, Bbmaj7 IVmaj7 -, Bbm6 iv6 -, Fmaj7 Imaj7 T",
        ["1-2"],
    ),
    ("C", "C6 I6 T, C#dim7 viio7/ii D, Dm7 ii7 P, G7 V7 D", ["2-3"]),
    ("C", "Cmaj7 Imaj7 T, Ebdim7 biiio7 -, Dm7 ii7 P, G7 V7 D", ["2-3"]),
    ("C", "C6 I6 T, F#dim7 viio7/V D, C/G I D, G7 V7 D, C I T", []),
    ("C", "Dm7 ii7 P, Db7 subV7 D, Cmaj7 Imaj7 T", []),
    ("C", "E7 V7/vi D, A7 V7/ii D, D7 V7/V D, G7 V7 D, C6 I6 T", []),
    (
        "C",
        "Fmaj7 IVmaj7 -, Fm6 iv6 -, Em7 iii7 P, A7 V7/ii D, Dm7 ii7 P, G7 V7 D, C6 I6 T",
        ["2-5"],
    ),
    ("C", "Cmaj7 Imaj7 T, Fm7 iv7 P, Bb7 bVII7 D, Cmaj7 Imaj7 T", ["1-2"]),
    (
        "G",
        "Gmaj7 Imaj7 T, Bm7 iii7 P, E7 V7/ii D, Am7 ii7 P, D7 V7 D, Gmaj7 Imaj7 T",
        ["1-4"],
    ),
    ("Bb", "Bb7 I7 T, Eb7 IV7 -, Bb7 I7 T, F7 V7 D, Eb7 IV7 -, Bb7 I7 T", []),
    ("Cm", "Cm i T, Ab7 subV7/V D, G7 V7 D, Cm i T", []),
    ("C", "C I T, F IV P, G V D, C I T", []),
    ("C", "C I T, F IV -, C I T", []),
    # A dominant is looked for three chords on: a choice of ours.
    ("C", "F IV -, Dm ii -, F IV P, Dm ii P, F IV P, G V D, C I T", []),
    ("C", "G7 V7 D, Am vi T, F IV P, G7 V7 D, C I T", []),
    ("D", "Dmaj7 Imaj7 T, Bm7 vi7 -, Em7 ii7 P, A7 V7 D", ["2-3"]),
    (
        "Am",
        "Am i T, Dm7 iv7 P, G7 V7/bIII D, Cmaj7 bIIImaj7 -, Fmaj7 bVImaj7 -, Bm7b5 iiø7 P, "
        "E7 V7 D, Am i T",
        ["1-2", "5-6"],
    ),
    (
        "C",
        "Cmaj7 Imaj7 T, Dm7 ii7 -, D#dim7 viio7/iii D, Em7 iii7 P, A7 V7/ii D, Dm7 ii7 P, G7 V7 D",
        ["3-6"],
    ),
    ("C", "C6 I6 T, Cdim7 io7 -, C6 I6 T", []),
    # Upon E stands C7 with its ninth flat and its root left out: what it is part of goes on.
    ("C", "C7 V7/IV D, Edim7 iiio7 D, C7 V7/IV D, F IV P, G7 V7 D, C I T", []),
    ("C", "C7 I7 T, Edim7 iiio7 T, C7 I7 T, F7 IV7 -, C7 I7 T, G7 V7 D, C7 I7 T", []),
    ("C", "C I T, D7 V7/V D, F#dim7 #ivo7 D, D7 V7/V D, G7 V7 D, C I T", []),
    ("Dm", "Dm6 i6 T, Bm7b5 viø7 -, Em7b5 iiø7 P, A7 V7 D, Dm i T", ["2-3"]),
    ("C", "Cmaj7 Imaj7 T, D7 V7/V D, Dm7 ii7 P, G7 V7 D, C6 I6 T", ["2-3"]),
    (
        "Eb",
        "Ebmaj7 Imaj7 T, Gm7 iii7 P, C7 V7/ii D, Fm7 ii7 P, Bb7 V7 D, Eb6 I6 T",
        ["1-4"],
    ),
    ("C", "Am7 vi7 P, D7 V7/V D, Dm7 ii7 P, G7 V7 D, Cmaj7 Imaj7 T", ["0-3"]),
    ("C", "E7 V7/vi D?, Fmaj7 IVmaj7 P, G7 V7 D, C I T", []),
    ("Fm", "Fm i T, Db7 bVI7 -?, Gm7b5 iiø7 P, C7 V7 D, Fm i T", ["2-3"]),
    ("C", "C/E I T, A7/C# V7/ii D, Dm7 ii7 P, G7sus4 V7sus4 D, G7 V7 D, C6/9 I6/9 T", ["2-3"]),
    (
        "C",
        "Cmaj7 Imaj7 T, Fm7 ii7/bIII P, Bb7 V7/bIII D, Ebmaj7 bIIImaj7 -, Dm7b5 iiø7 P, G7 V7 D, "
        "Cm i T",
        ["1-2", "4-5"],
    ),
    ("A", "Amaj7 Imaj7 T, F#7 V7/ii D, B7 V7/V D, E7 V7 D, A6 I6 T", []),
    ("Gm", "Gm6 i6 T, A7 V7/V D, D7 V7 D, Gm6 i6 T", []),
    ("C", "Cmaj7 Imaj7 T, F7 IV7 -, Cmaj7 Imaj7 T", []),
    ("Cm", "Cm i T, Db bII P, G7 V7 D, Cm i T", []),
    # Nobody rests on a passing diminished chord; what decorates C puts off its coming.
    ("C", "C6 I6 T, C7 I7 T?, Bdim7 viio7 D, C6 I6 T", []),
    ("Eb", "Ebmaj7 Imaj7 T, C7 V7/ii D?, Bdim7 #vo7 -, Bb7 V7 D, Eb6 I6 T", []),
    ("C", "Dm7 ii7 P, Db7 subV7 D, Cdim7 io7 -, C6 I6 T", []),
    ("C", "F7 subV7/iii D, Em7b5 iiø7/ii P, A7 V7/ii D, Dm7 ii7 P, G7 V7 D", ["1-4"]),
    # E G Bb Db is C7b9 without its root: C7 goes on until F.
    ("C", "C6 I6 T, C7 V7/IV D, Edim7 viio7/IV D, F6 IV6 P, G7 V7 D, C6 I6 T", []),
    ("C", "Am7 vi7 P, D7 V7/V D, F#dim7 viio7/V D, G7 V7 D, C6 I6 T", ["0-1"]),
    # The published list: D# F# A C as common-tone chord of I, B D F Ab into I under another name.
    ("C", "C I T, D#dim7 #iio7 -, C/E I T, Ddim7 viio7 D, C I T", []),
]


@pytest.mark.parametrize(("key", "row", "chains"), PROGRESSIONS)
def test_progressions_analysed_by_hand(key, row, chains):
    asked = [part.split() for part in row.split(",")]
    found = analyse_chords([Chord.parse(symbol) for symbol, _, _ in asked], Key.parse(key))
    said = [(a.numeral, LETTERS[a.function] + "?" * bool(a.doubt)) for a in found]
    assert said == [(numeral, letter) for _, numeral, letter in asked]
    assert [f"{c.chords[0]}-{c.chords[-1]}" for c in find_chains(found)] == chains


def test_there_are_thirty_at_least():
    assert len(PROGRESSIONS) >= 30


def tune(changes: str, key: str = "C"):
    return Tune.parse(
        f'format = 1\ntitle = "Slipway"\nkey = "{key}"\nmeter = "4/4"\n'
        f'[[sections]]\nname = "A"\nchanges = "{changes}"\n'
    )


def test_silence_has_no_numeral():
    found = analyse(tune("| C | N.C. | G7 | C |"))
    assert [entry.numeral for entry in found.chords] == ["I", "", "V7", "I"]


def test_a_key_that_the_chords_deny_is_a_doubt():
    found = analyse(tune("| Gmaj7 | Am7 D7 | Gmaj7 | D7 | Gmaj7 |"))
    assert found.doubts[0].startswith(
        "the tune is marked C major, but its chords suggest G major ("
    )
    given = analyse(tune("| Gmaj7 | Am7 D7 | Gmaj7 |"), Key.parse("G"))
    assert [entry.numeral for entry in given.chords] == ["Imaj7", "ii7", "V7", "Imaj7"]
    assert given.doubts == ()


def test_a_key_that_is_one_of_several_likely_ones_is_no_doubt():
    # Either is what a player would say (common practice, no source).
    for key in ("C", "Am"):
        assert not any(
            "the tune says" in d for d in analyse(tune("| C | Am | F | G |", key)).doubts
        )


def test_doubts_name_their_bar_and_chord():
    found = analyse(tune("| C | E7 | F | G7 | C |"))
    assert found.doubts == ("bar 2, E7: F follows where vi was expected",)
    found = analyse(tune("| C | E7 | Bb | G7 | C |"))
    assert found.doubts == ("bar 2, E7: B♭ follows where vi was expected",)


def test_phrases_are_told_without_another_key_being_sought(monkeypatch):
    sought = []
    monkeypatch.setattr("harmonykit.tune.analysis.key_finding.find_keys", sought.append)
    found = find_phrases(tune("| Bb | Eb | Cm7 | F7 | Bb | Eb | F7 | Bb |", "Bb"))
    assert [each.cadence for each in found] == ["half", "authentic"] and not sought
