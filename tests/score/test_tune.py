"""A tune from a score's plain data: sections, key, tempo, doubts."""

from __future__ import annotations

import pytest

from harmonykit.score.tune import build_tune
from harmonykit.tune.bar import TuneError
from harmonykit.tune.tune import Tune


def bar(*typed: str, length: str = "4", **more: object) -> dict:
    chords = [{"typed": text, "at": str(n)} for n, text in enumerate(typed)]
    plain = {"meter": [4, 4], "opens": False, "closes": 0, "ending": [], "notes": []}
    return {"chords": chords, "length": length, **plain, **more}


def tune(*bars: dict, **more: object) -> Tune:
    score = {
        "title": "Trial", "composer": "", "rights": "", "tempo": "100", "shift": [0, 0],
        "key": {"fifths": 0, "mode": "major"}, "bars": list(bars), "doubts": [], **more,
    }  # fmt: skip
    return build_tune(score, "trial.abc")


def names(found: Tune) -> list[tuple[str, int]]:
    return [(section.name, len(section.bars)) for section in found.sections]


@pytest.mark.parametrize(
    ("fifths", "mode", "expected", "doubtful"),
    [
        (2, "major", "D major", False),
        (-3, "minor", "C minor", False),
        (2, "dorian", "E minor", True),
        (2, "mixolydian", "A major", True),
        (-1, "lydian", "Bb major", True),
        (-7, "major", "B major", False),  # C flat has seven flats
        (0, "", "C major", True),
        (9, "major", "C major", True),
    ],
)
def test_keys(fifths, mode, expected, doubtful):
    # Signatures and modes by the circle of fifths (elementary theory).
    found = tune(bar("C"), key={"fifths": fifths, "mode": mode})
    assert str(found.key) == expected
    assert bool(found.doubts) == doubtful


def test_without_a_mode_the_last_chord_tells():
    assert str(tune(bar("C"), bar("Am"), key={"fifths": 0, "mode": ""}).key) == "A minor"
    assert str(tune(bar("Am"), bar("C"), key={"fifths": 0, "mode": ""}).key) == "C major"


def test_a_transposing_part_is_read_in_the_sounding_key():
    found = tune(bar("D7"), key={"fifths": 2, "mode": "major"}, shift=[-1, -2])
    assert (str(found.key), found.changes[0].chord.symbol) == ("C major", "C7")


@pytest.mark.parametrize(
    ("given", "tempo"), [("90", 90), ("145/2", 72.5), ("", 120), ("5000", 120)]
)
def test_tempo(given, tempo):
    found = tune(bar("C"), tempo=given)
    assert found.tempo == tempo
    assert bool(found.doubts) == (tempo == 120)


def test_labels_make_sections_and_an_order_of_parts_makes_the_form():
    bars = [bar("C", label="A"), bar("F"), bar("G", label="B"), bar("C")]
    found = tune(*bars, form="(A.B)2A")
    assert names(found) == [("A", 2), ("B", 2)]
    assert found.order == ("A", "B", "A", "B", "A")
    assert tune(*bars, form="A3B").order == ("A", "A", "A", "B")
    assert "not followed" in tune(*bars, form="AX").doubts[0]


def test_a_label_inside_a_repeat_makes_no_section():
    bars = [bar("C", label="A"), bar("F", label="B", closes=2), bar("G", label="C")]
    assert names(tune(*bars)) == [("A", 2), ("C", 1)]
    assert tune(*bars).doubts == ("bar 2: B stands inside a repeat and begins no section",)
    opened = [bar("C", label="A"), bar("F", label="B", closes=2, opens=True), bar("G", label="A")]
    assert names(tune(*opened)) == [("A", 1), ("B", 1), ("A 2", 1)]


@pytest.mark.parametrize(
    ("first", "second", "read"),
    [
        ([1], [3], [(1,), (2,)]),
        ([1], [1], [(1,), (2,)]),
        ([1, 2], [2, 4], [(1, 2), (3,)]),
        ([2], [3], [(1,), (2,)]),
    ],
)
def test_endings_with_wrong_numbers_are_read_in_their_order(first, second, read):
    found = tune(bar("C", opens=True), bar("F", ending=first, closes=2), bar("G", ending=second))
    assert [b.ending for b in found.bars[1:]] == read
    passes = max(read[-1])
    assert len(found.changes) == 2 * passes
    assert "is read as ending" in found.doubts[0]


def test_an_ending_before_another_goes_back_without_a_sign():
    # ABC standard 2.1, 4.10: an ending may end with ||; part A is played with each ending once.
    bars = [
        bar("C", label="A"),
        bar("F", ending=[1, 3]),
        bar("G", ending=[2]),
        bar("E", ending=[4]),
    ]
    found = tune(*bars, form="A4")
    assert [c.chord.symbol for c in found.changes] == ["C", "F", "C", "G", "C", "F", "C", "E"]
    assert (found.order, found.doubts) == (("A",), ())


def test_a_chord_that_is_never_played_is_no_chord():
    with pytest.raises(TuneError, match="no chords"):
        tune(bar(label="A"), bar("C", label="B"), form="A")


def test_bars_of_another_length_are_doubts_but_not_pickups_and_halves():
    short = [bar("C", length="1"), bar("D"), bar("E", length="3"), bar("F", length="1"), bar("G")]
    assert tune(*short).doubts == ()
    assert tune(*short, bar("A", length="3")).doubts == ()
    assert tune(bar("C"), bar("D", length="5")).doubts == ("bar 2: 5 quarters where 4/4 has 4",)


def test_bars_before_the_first_chord_are_doubts():
    assert tune(bar(), bar(), bar("C")).doubts == ("bars 1 to 2: no chord yet",)
    assert tune(bar(length="1"), bar("C")).doubts == ()
    late = bar() | {"chords": [{"typed": "C", "at": "2"}]}
    assert tune(late).doubts == ("bar 1: no chord in its first 2 quarters",)


def test_free_time_has_a_metre_that_holds_the_bar():
    found = tune(bar("C", meter=None, length="7/2"), bar("C", meter=None, length="5"))
    assert [b.meter for b in found.bars] == [(7, 8), (5, 4)]


def test_a_melody_note_that_does_not_fit_is_a_doubt():
    notes = [
        {"note": ["C4", "E4"], "at": "0", "beats": "3", "tied": False},
        {"note": ["G4"], "at": "2", "beats": "1", "tied": False},
        {"note": ["Q4"], "at": "3", "beats": "1", "tied": False},
    ]
    found = tune(bar("C", notes=notes))
    assert [str(s.note) for s in found.melody] == ["E4"]
    assert len(found.doubts) == 2


def test_the_name_of_the_file_is_the_title_of_last_resort():
    assert tune(bar("C"), title=" ").title == "trial"


@pytest.mark.parametrize(
    ("bars", "message"),
    [
        ([bar()], "no chords"),
        ([bar("Fine")], "no chords"),
        ([bar("N.C.")], "no chords"),
        ([bar("C", length="65")], "bar lines are missing"),
        ([bar("C")] * 5001, "more than 5000 bars"),
    ],
)
def test_what_is_no_tune_is_refused(bars, message):
    with pytest.raises(TuneError, match=message):
        tune(*bars)


def test_a_section_that_begins_inside_a_repeat_is_told():
    """A repeat without a sign before it goes back to the repeat before (ABC standard 2.1, 4.8)."""
    bars = (
        bar("C", opens=True, label="A"), bar("F", closes=2),
        bar("G"), bar("C", label="B"), bar("E", closes=2), bar("D", label="C"),
    )  # fmt: skip
    found = tune(*bars)
    assert names(found) == [("A", 5), ("C", 1)]
    assert any("B stands inside a repeat and begins no section" in each for each in found.doubts)
    beside = tune(bars[0], bars[1], bar("G", label="B"), bar("C", closes=2))
    assert names(beside) == [("A", 2), ("B", 2)] and beside.doubts == ()
