"""ABC put together from music21's tokens.  Values worked out by hand from the ABC standard 2.1."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.score.abc import read_abc
from harmonykit.score.abc_lines import split_tunes
from harmonykit.tune.bar import TuneError

HEAD = "X:1\nT:Trial\nM:4/4\nL:1/4\nK:C\n"


def score(music: str, head: str = HEAD) -> dict:
    return read_abc(split_tunes(head + music)[0])


def typed(music: str, head: str = HEAD) -> list[list[tuple[str, str, str]]]:
    return [
        [(c["typed"], c["at"], c["room"]) for c in bar["chords"]]
        for bar in score(music, head)["bars"]
    ]


def sung(music: str, head: str = HEAD) -> list[list[tuple[str, str, str]]]:
    return [
        [(n["note"][-1], n["at"], n["beats"]) for n in bar["notes"]]
        for bar in score(music, head)["bars"]
    ]


def test_chords_stand_on_their_notes():
    assert typed('"Am7"C2 "D7"D2|"G"G "C-7""Eb7"E3|') == [
        [("Am7", "0", "2"), ("D7", "2", "2")],
        [("G", "0", "1"), ("C-7", "1", "3"), ("Eb7", "1", "3")],
    ]


def test_lengths():
    # ABC 2.1: > lengthens the first by half; (3 puts three into the time of two; / halves.
    assert sung("C>D E/F/ (3GAB|") == [
        [("C4", "0", "3/2"), ("D4", "3/2", "1/2"), ("E4", "2", "1/2"), ("F4", "5/2", "1/2"),
         ("G4", "3", "2/3"), ("A4", "11/3", "2/3"), ("B4", "13/3", "2/3")]
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("fields", "beats"),
    [("M:2/4\n", "1/4"), ("M:3/4\n", "1/2"), ("M:C\n", "1/2"), ("", "1/2"), ("M:none\n", "1/2")],
)
def test_the_unit_of_a_tune_that_gives_none(fields, beats):
    # ABC 2.1, 3.1.7: a sixteenth below a metre of 0.75, else an eighth, without a metre too.
    assert sung("C|", f"X:1\n{fields}K:C\n") == [[("C4", "0", beats)]]


@pytest.mark.parametrize("under", [1, 2, 4, 8, 16, 32, 64])
def test_a_metre_counts_any_plain_note_value(under):
    assert score("C|", f"X:1\nM:3/{under}\nL:1/4\nK:C\n")["bars"][0]["meter"] == [3, under]


def test_accidentals_hold_to_the_bar_line_and_keys_change_inside_a_line():
    assert [[n[0] for n in bar] for bar in sung("^F F|F [K:D] F c|[K:Bb]B|")] == [
        ["F#4", "F#4"],
        ["F4", "F#4", "C#5"],
        ["Bb4"],
    ]
    assert any("key changes" in text for _, text in score("F[K:D]F|")["doubts"])


def test_the_metre_changes_inside_a_line():
    bars = score("C4|[M:3/4]C3|[M:none]C5|")["bars"]
    assert [(bar["meter"], bar["length"]) for bar in bars] == [
        ([4, 4], "4"),
        ([3, 4], "3"),
        (None, "5"),
    ]


def test_rests_and_many_bars_of_them():
    assert [bar["length"] for bar in score("C4|Z2|x4|")["bars"]] == ["4", "4", "4", "4"]


@pytest.mark.parametrize(
    ("music", "expected"),
    [
        ("|:C4:|D4|", [(1, 2, []), (0, 0, [])]),
        ("C4::D4:|", [(0, 2, []), (1, 2, [])]),
        ("|::C4::|", [(1, 3, [])]),
        ("|:C4|1 D4:|2 E4||F4|", [(1, 0, []), (0, 2, [1]), (0, 0, [2]), (0, 0, [])]),
        ("|:C4|[1,3 D4:|[2 E4:|", [(1, 0, []), (0, 2, [1, 3]), (0, 2, [2])]),
        ("|:C4|[1-3 D4:|[4 E4|]", [(1, 0, []), (0, 2, [1, 2, 3]), (0, 0, [4])]),
        # ABC 2.1, 4.8: a repeat that nothing opened goes back to the last double bar.
        ("C4||D4:|", [(0, 0, []), (1, 2, [])]),
        ("C4||D4:|E4:|", [(0, 0, []), (1, 2, []), (0, 2, [])]),
        ("C4||:D4:|", [(0, 0, []), (1, 2, [])]),
    ],
)
def test_repeats_and_endings(music, expected):
    bars = score(music)["bars"]
    assert [(bar["opens"], bar["closes"], bar["ending"]) for bar in bars] == expected


def test_parts_and_their_order():
    found = score("P:A\nC4|D4|\nP:B\nE4|", HEAD.replace("M:", "P:AAB\nM:"))
    assert found["form"] == "AAB"
    assert [bar["label"] for bar in found["bars"]] == ["A", "", "B"]


@pytest.mark.parametrize(
    ("field", "tempo"), [("1/4=120", "120"), ("3/8=60", "90"), ('"Lively" 1/2=50', "100")]
)
def test_tempo_in_quarters(field, tempo):
    assert score("C4|", HEAD.replace("K:", f"Q:{field}\nK:"))["tempo"] == tempo


def test_a_tempo_in_words_is_a_doubt():
    found = score("C4|", HEAD.replace("K:", 'Q:"Lively"\nK:'))
    assert found["tempo"] == ""
    assert any("Lively" in text for _, text in found["doubts"])


@pytest.mark.parametrize(
    ("field", "fifths", "mode"),
    [
        ("Em", 1, "minor"),
        ("Edor", 2, "dorian"),
        ("Bb", -2, "major"),
        ("A mixolydian", 2, "mixolydian"),
    ],
)
def test_keys(field, fifths, mode):
    # Signatures by the circle of fifths; E dorian has D major's, A mixolydian too.
    assert score("C4|", HEAD.replace("K:C", f"K:{field}"))["key"] == {
        "fifths": fifths,
        "mode": mode,
    }


def test_other_voices_are_left_out_and_said():
    found = score("V:1\nC4|\nV:2\nE4|\nV:1\nD4|")
    assert [bar["notes"][0]["note"] for bar in found["bars"]] == [["C4"], ["D4"]]
    assert (None, "voice 2 is left out") in found["doubts"]


def test_words_that_send_elsewhere_are_doubts():
    assert (None, "'segno 2' is ignored") in score("C4!segno 2!|")["doubts"]
    assert (None, "'&' is ignored") in score("C4&E4|")["doubts"]


@pytest.mark.parametrize(
    ("music", "expected"),
    [
        # ABC 2.1, 4.14: a decoration stands before its note, or before the bar line.
        ("C4|!segno!D4!fine!|E4!D.S.!|", [[], ["segno", "fine"], ["D.S."]]),
        ("C4 !dacoda!|D4 !dacapo!|!coda!E4|", [["to coda"], ["D.C."], ["coda"]]),
        ('C4"Fine"|D4"^D.C. al Fine"|]', [["fine"], ["D.C. al fine"]]),
        ("C4!fine!|D4|!D.C.!", [["fine"], ["D.C."]]),
        ("C4|!D.C.!D4|", [[], ["D.C."]]),
        ("C4|D4!fine!|E4|!D.C.!", [[], ["fine"], ["D.C."]]),
    ],
)
def test_jumps_belong_to_bars(music, expected):
    assert [bar["signs"] for bar in score(music)["bars"]] == expected


def test_fermatas_stand_on_their_notes():
    bars = score("C2!fermata!D2|HE4|")["bars"]
    assert [bar["fermatas"] for bar in bars] == [["2"], ["0"]]


def test_ties_and_chords_of_notes():
    bars = score("C4-|C4|[CEG]4|")["bars"]
    assert [bar["notes"][0]["tied"] for bar in bars] == [True, False, False]
    assert bars[2]["notes"][0]["note"] == ["C4", "E4", "G4"]
    assert Q(bars[2]["length"]) == 4


def test_a_tune_without_music_is_refused():
    with pytest.raises(TuneError, match="no music"):
        score("")


@pytest.mark.parametrize("meter", ["3131/3", "65/4", "4/0", "3/5"])
def test_a_metre_that_nobody_counts_is_refused(meter):
    with pytest.raises(TuneError, match=f"a metre of {meter}"):
        score("C|", f"X:1\nM:{meter}\nK:C\n")


def test_of_several_chords_on_a_note_all_but_the_first_are_alternates():
    (bar,) = score('"C""Am""^slow""F"c4|')["bars"]
    said = {one["typed"]: one.get("alternate", False) for one in bar["chords"]}
    assert {name: said[name] for name in ("C", "Am", "F")} == {"C": False, "Am": True, "F": True}
