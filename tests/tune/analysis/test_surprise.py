"""Surprise of changes: what is usual has few bits (common practice of jazz, no source)."""

from __future__ import annotations

import math

import pytest

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.tune.analysis.surprise import how_often, often_next, surprise
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


def test_a_longer_row_was_heard_no_oftener_than_its_parts():
    for row in ("Dm7 G7 Cmaj7", "Em7 A7 Dm7 G7", "Am7 D7 G7 C7"):
        words = row.split()
        for n in range(2, len(words)):
            part, whole = how_often(" ".join(words[:n])), how_often(" ".join(words[: n + 1]))
            assert 0 < whole.tunes <= part.tunes <= part.of and whole.times <= part.times


def test_how_often_is_the_same_in_every_key():
    assert how_often("Dm7 G7") == how_often(["Ebm9", "Ab13"]) != how_often("Dm7 Db7")
    assert not how_often("Cmaj7 F#m6").tunes


# The kinds are those that were counted, common practice, no source: dominants of any size are
# one, and major triads are with sixths in jazz, minor sevenths with minor triads in songs.
@pytest.mark.parametrize(
    ("row", "counted"),
    [
        ("C13 Fmaj7", "C7 Fmaj7"),
        ("Dm9 G7/B C", "Dm7 G7 C6"),
        ("C7 Fmaj7", ""),
        ("Bm7b5 E7 Am6", ""),
        ("C F G Am7", "C F G Am"),
        ("C F", ""),
    ],
)
def test_what_a_row_was_counted_as_is_said_where_it_differs(row, counted):
    often = how_often(row)
    assert often.counted_as == counted and often == how_often(counted or row)
    assert str(often).endswith(f", counted as {counted}") == bool(counted)


def test_a_bass_beside_the_chord_was_not_counted():
    for row in ("Gm7/C F", "C6 F/G", "F/G C"):
        often = how_often(row)
        assert (often.times, often.tunes, often.counted_as) == (0, 0, "")
        assert str(often).startswith("not counted: the bass of ")
    assert how_often("Gm7/Bb C7") == how_often("Gm7 C7")
    assert often_next("Gm7/C") == [] and often_next("Gm7/Bb") == often_next("Gm7")
    assert surprise("Gm7/C Fmaj7").unheard == 0
    assert {often.counted_as.split()[0] for _, often in often_next("C13")} == {"C7"}


def test_a_chord_tells_what_was_counted():
    assert "counted as C7" in " ".join(str(hk.chord("C13")).split())
    assert "counted as" not in str(hk.chord("C7"))
    assert "often next  not counted: the bass of Gm7/C" in str(hk.chord("Gm7/C"))


@pytest.mark.parametrize(("row", "said"), [("C", "1 chord\n"), ("C F G C F", "5 chords\n")])
def test_rows_that_were_not_counted(row, said):
    with pytest.raises(HarmonyError, match=said):
        how_often(row)


def test_a_dominant_resolves_most_often_down_a_fifth():
    # Common practice, no source.
    roots = [(chord.root.pitch_class) for chord, _ in often_next("Bb7", 3)]
    assert roots == [3, 3, 3]
    assert [o.tunes for _, o in often_next("C6")] == sorted(
        (o.tunes for _, o in often_next("C6")), reverse=True
    )
    assert {chord.root.name for chord, _ in often_next("Bdim7")} <= set(
        "C F Bb Ab G E A D B Eb Db F# C# Gb".split()
    )


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
