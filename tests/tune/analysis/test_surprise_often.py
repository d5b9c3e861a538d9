"""How often rows were heard: what is counted as what, and parts as often as wholes."""

from __future__ import annotations

import pytest

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.tune.analysis.surprise import how_often, often_next, surprise


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


def test_what_follows_is_spelled_as_the_chord() -> None:
    """iv of E flat minor is A flat minor; ii and V of E are F sharp and B: common practice."""
    assert "Abm7" in {str(after) for after, _ in often_next("Ebm9")}
    assert {"F#7", "F#m7"} <= {str(after) for after, _ in often_next("C#m7")}
    assert str(often_next("Db7")[0][0]) == "Gbmaj7"


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
