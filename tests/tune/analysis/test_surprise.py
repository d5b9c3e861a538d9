"""Surprise of changes: what is usual has few bits (common practice of jazz, no source)."""

from __future__ import annotations

import math

import pytest

import harmonykit as hk
from harmonykit.tune.analysis.surprise import how_often, surprise
from harmonykit.tune.bar import TuneError
from harmonykit.tune.tune import Tune

MODULATES = (
    "|C6|Am7|Dm7|G7|C6|A7|Dm7|G7|C6|C6|F#m7|B7|Emaj7|C#m7|F#m7|B7|Emaj7|Emaj7|Am7|D7|Gmaj7|Em7"
    "|Am7|D7|Dm7|G7|C6|Am7|Dm7|G7|C6|C6|"
)


@pytest.mark.parametrize(
    ("usual", "odd"),
    [
        ("Dm7 G7 Cmaj7", "Dm7 G7 F#m6"),
        ("Dm7 G7 Cmaj7", "Dm7 G7 Ebm7"),
        ("C6 A7 Dm7 G7", "C6 Abm7 F#6 G7"),
        ("Bm7b5 E7 Am7", "Bm7b5 E7 Bbm7"),
        ("C F G7 C", "C F# G7 C"),
    ],
)
def test_the_usual_surprises_less(usual, odd):
    key = "Am" if usual.startswith("B") else "C"
    assert surprise(usual, key).mean < surprise(odd, key).mean - 1


def test_bits_turn_with_the_tune():
    tune = Tune.parse("| C6 A7 | Dm7 G7 | Em7b5 A7 | Dm7 G7@3 C6@4 |", key="C")
    here, there = surprise(tune), surprise(tune.transpose("m3"))
    assert [e.bits for e in here.changes] == pytest.approx([e.bits for e in there.changes])
    assert [e.often for e in here.changes] == [e.often for e in there.changes]


def test_each_change_is_told_once_and_repeats_are_none():
    found = surprise("| Dm7 Dm7 | G7 | Dm9 | C6 |")
    assert [str(e.chord) for e in found.changes] == ["G7", "Dm9", "C6"]
    assert [e.bar for e in found.changes] == [2, 3, 4]
    assert found.mean * 3 == pytest.approx(found.a_bar * 4)
    assert surprise("C6").changes == () and surprise("C6").mean == 0


def test_local_keys_follow_the_tune():
    found = {e.bar: str(e.key) for e in surprise(MODULATES, "C").changes}
    assert [found[bar] for bar in (4, 8, 13, 17, 21, 27, 31)] == [
        "C major", "C major", "E major", "E major", "G major", "C major", "C major",
    ]  # fmt: skip


@pytest.mark.parametrize("row", ["C6 A7 D7 G7 C6", "|F7|Bb7|F7|F7|Bb7|Bb7|F7|D7|Gm7|C7|F7|C7|"])
def test_secondary_dominants_and_a_blues_stay_at_home(row):
    assert len({str(e.key) for e in surprise(row).changes}) == 1


def test_style_is_said():
    assert (surprise("C Am F G").style, surprise("C6 Am7 Dm7 G7").style) == ("plain", "jazz")
    assert "jazz" in str(surprise("Dm7 G7")) and "popular songs" in str(how_often("C F"))


def test_silence_has_no_changes():
    with pytest.raises(TuneError, match="no chord"):
        surprise([None])


def test_public():
    assert math.isclose(hk.surprise("Dm7 G7").mean, surprise("Dm7 G7").mean)


def test_each_change_has_its_line_and_of_many_the_most_surprising() -> None:
    found = surprise("Dm7 G7 C6 Ab7", "C")
    lines = str(found).splitlines()
    assert [line.split(": ")[1].split(",")[0] for line in lines[1:]] == ["G7", "C6", "A♭7"]
    long = surprise("| C6 | A7 | Dm7 | G7 " * 6 + "|", "C")
    told = str(long).splitlines()
    assert told[-1] == f"and {len(long.changes) - 12} less surprising ones"
    assert len(told) == 14
