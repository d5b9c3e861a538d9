"""Words of ABC tunes: the examples of the ABC standard 2.1, sections 5.1 and 5.2."""

from __future__ import annotations

import pytest

from harmonykit.score.abc import read_abc
from harmonykit.score.abc_lines import split_tunes
from harmonykit.score.abc_words import syllables_of
from harmonykit.score.tune import build_tune

HEAD = "X:1\nT:Trial\nM:4/4\nL:1/8\nQ:1/4=100\nK:C\n"


def tune(music: str):
    return build_tune(read_abc(split_tunes(HEAD + music)[0]), "trial.abc")


def words(music: str, verse: int = 1) -> list[list[str]]:
    """Return what stands at each note: nothing, ``_`` where held, a hyphen where a word goes on."""
    found = []
    for bar in tune(music).bars:
        row = []
        for note in bar.melody:
            one = next((word for word in note.words if word.verse == verse), None)
            held = one is not None and one.place == "held"
            row.append("" if one is None else "_" if held else one.text + "-" * one.goes_on)
        found.append(row)
    return found


@pytest.mark.parametrize(
    ("field", "aligned"),
    [
        # ABC standard 2.1, 5.1: "aligned with three notes", "with four notes", and so on.
        ("syll-a-ble", ["syll-", "a-", "ble"]),
        ("syll-a--ble", ["syll-", "a-", "_", "ble"]),
        ("syll-a -ble", ["syll-", "a-", "_", "ble"]),
        ("time__", ["time", "_", "_"]),
        ("of~the~day", ["of the day"]),
        # * leaves a note out; \- is a hyphen that is printed; text strings (8.2) have accents.
        ("a * b", ["a", "", "b"]),
        (r"x\-ray", ["x-ray"]),
        (r"caf\'e &eacute;t\u00e9", ["café", "été"]),
        ("a-_ b", ["a-", "_", "b"]),
    ],
)
def test_syllables_of_a_field(field, aligned):
    (row,) = words(f'"C"CDEF GABc|\nw: {field}\n')
    assert row == aligned + [""] * (8 - len(aligned))


def test_the_example_with_a_pick_up():
    # The lines of 5.1, with a field that goes on (3.3): nineteen syllables for as many notes.
    found = words(
        '"C"gf|e2dc B2A2|B2G2 E2D2|.G2.G2 GABc|d4 B2\n'
        "w: Sa-ys my au-l' wan to your aul' wan,\n"
        "+: Will~ye come to the Wa-x-ies dar-gle?\n"
    )
    assert found == [
        ["Sa-", "ys"],
        ["my", "au-", "l'", "wan", "to"],
        ["your", "aul'", "wan,", "Will ye"],
        ["come", "to", "the", "Wa-", "x-", "ies"],
        ["dar-", "gle?"],
    ]


def test_two_verses_one_after_the_other():
    # 5.2: the two examples are equal.
    verses = (f"w: these are the lyr-ics for verse {number}\n" for number in ("one", "two"))
    plain = '"C"CDEF FEDC|\n' + "".join(verses)
    cut = (
        '"C"CDEF FEDC|\nw: these are the lyr-ics\n+: for verse one\n'
        "w: these are the lyr-ics\n+: for verse two\n"
    )
    assert tune(plain) == tune(cut)
    assert words(plain, 2) == [["these", "are", "the", "lyr-", "ics", "for", "verse", "two"]]
    repeated = tune(plain.replace("CDEF", "|:CDEF", 1).replace("FEDC|", "FEDC:|"))
    sung = [note.words[0].text for note in repeated.melody]
    assert (sung[7], sung[15]) == ("one", "two")


def test_an_empty_field_leaves_its_notes_without_words():
    # 5.1: "the 4 G notes have no lyric associated with them".
    found = words('"C"C2D2E2F2|\nw: doh re mi fa\nG2G2G2G2|\nw:\nF2E2F2C2|\nw: fa mi re doh\n')
    assert found == [["doh", "re", "mi", "fa"], [""] * 4, ["fa", "mi", "re", "doh"]]


def test_a_field_is_for_all_lines_since_the_last():
    assert words('"C"C2D2\nE2F2|\nw: a b c d\n') == [["a", "b", "c", "d"]]


def test_a_bar_line_goes_to_the_next_bar_and_is_ignored_where_the_bar_is_full():
    found = words('"C"C4 D4|E4 F4|G4 z4|A4 B4|\nw: a | b c | | d e\n')
    assert found == [["a", ""], ["b", "c"], [""], ["d", "e"]]


def test_rests_and_grace_notes_have_no_words_and_tied_notes_count():
    # 5.1: "tied, slurred or beamed notes are treated as separate notes"; the tie says the rest.
    assert words('"C"C2 z2 {ga}D4-|D4 E4|\nw: a b_ c\n') == [["a", "b"], ["", "c"]]
    doubts = tune('"C"C4 D4-|D4 E4|\nw: a b c d\n').doubts
    assert "bar 2: the syllable 'c' on a tied note is left out" in doubts


def test_what_is_left_out_is_told():
    told = tune('"C"C4 {g}D4|!trill!E8|\nw: a b c d e\nW: more below\ns: *\n').doubts
    assert told == (
        "bar 2: words without a note are left out: 'd e'",
        "left out: grace notes, symbol lines (s:), trill",
        "words below the tune (W:) are left out: 'more below'",
    )


def test_a_second_voice_has_its_own_words():
    found = words('V:1\n"C"C4 D4|\nw: a b\nV:2\nE4 F4|\nw: no no\nV:1\nG4 A4|\nw: c d\n')
    assert found == [["a", "b"], ["c", "d"]]


def test_a_field_taken_apart():
    assert syllables_of("- a") == [("_", ""), ("", "a")]
    assert syllables_of("a|b *") == [("", "a"), ("|", ""), ("", "b"), ("*", "")]
