"""The text form: what it holds, and faults with file, line, column and caret."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.tune.tune import Tune

GOOD = '''format = 1
title = "Trial"
key = "Bb"
meter = "3/4"
tempo = 90.5
form = ["A", "B", "A"]
composer = "nobody"

[[sections]]
name = "A"
changes = """
| Bb6 | Cm7 / F7 |   # the ii and the V
"""
melody = """
| D5:3 | r Eb5 C5 |
"""

[[sections]]
name = "B"
changes = "| Gm | Gm |"
'''


def test_a_whole_tune():
    tune = Tune.parse(GOOD, "trial.toml")
    assert (tune.title, str(tune.key), tune.meter, tune.tempo) == (
        "Trial",
        "Bb major",
        (3, 4),
        90.5,
    )
    assert (tune.composer, tune.order, tune.doubts) == ("nobody", ("A", "B", "A"), ())
    assert [bar.number for bar in tune.bars] == [1, 2, 3, 4]
    # By hand: two bars of three quarters a section, the second bar of A shared two to one.
    assert [(c.chord.symbol, c.onset, c.beats, c.bar) for c in tune.changes][:5] == [
        ("Bb6", 0, 3, 1),
        ("Cm7", 3, 2, 2),
        ("F7", 5, 1, 2),
        ("Gm", 6, 3, 3),
        ("Gm", 9, 3, 4),
    ]
    assert tune.length == 18
    assert [(str(s.note), s.onset) for s in tune.melody][:3] == [("D5", 0), ("Eb5", 4), ("C5", 5)]


@pytest.mark.parametrize("given", ["1.5", '"3/2"'])
def test_a_pickup_is_silent_and_played_once(given):
    tune = Tune.parse(GOOD.replace("form =", f"pickup = {given}\nform ="))
    assert tune.pickup == Q(3, 2)
    assert tune.changes[0].chord is None
    assert tune.changes[1].onset == Q(3, 2)
    assert tune.length == Q(39, 2)
    assert [bar.number for bar in tune.bars] == [0, 1, 2, 3, 4]


def test_the_name_of_the_pick_up_is_taken_where_there_is_one():
    named = GOOD.replace('"B"', '"pick-up"')
    assert [section.name for section in Tune.parse(named).sections] == ["A", "pick-up"]
    with pytest.raises(HarmonyError, match="two sections are named 'pick-up'"):
        Tune.parse(named.replace("form =", "pickup = 1\nform ="))


def test_words_have_the_bars_of_their_section():
    words = 'words = "| go | slow- ly |"\n\n[[sections]]\nname = "B"'
    tune = Tune.parse(GOOD.replace('[[sections]]\nname = "B"', words))
    sung = [word.text for note in tune.sections[0].bars[1].melody for word in note.words]
    assert sung == ["slow", "ly"]
    with pytest.raises(HarmonyError, match="verse 1 has 1 bars, the changes have 2"):
        Tune.parse(GOOD + 'words = "go home"\n')


def test_metre_may_be_spelled_either_way_and_tempo_left_out():
    tune = Tune.parse(GOOD.replace("meter", "metre").replace("tempo = 90.5\n", ""))
    assert tune.meter == (3, 4)
    assert tune.tempo == 120  # the default of Standard MIDI Files, RP-001


def test_windows_line_ends_and_a_byte_order_mark_change_nothing():
    assert Tune.parse("\ufeff" + GOOD.replace("\n", "\r\n")) == Tune.parse(GOOD)


def test_a_section_that_is_never_played_is_a_doubt():
    tune = Tune.parse(GOOD.replace('"A", "B", "A"', '"A"'))
    assert tune.doubts == ("section B is never played",)


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "message"),
    [
        ("| Bb6 |", "| Hx6 |", 12, 3, "Hx6"),
        ("| Bb6 |", "| Bb6 / / / |", 12, 3 + 8, "too many beats: 4 in a bar of 3/4"),
        ("| Gm | Gm |", "| Gm | Qm |", 20, 19, "Qm"),
        ('"A", "B", "A"', '"A", "C"', 6, 8, "'C', which is not a section"),
        ("format = 1", "format = 2", 1, 10, "format 2"),
        ("format = 1", 'format = "1"', 1, 10, "does not say its format"),
        ("format = 1\n", "", None, None, "does not say its format"),
        ('title = "Trial"\n', "", None, None, "title is missing"),
        ('title = "Trial"', 'title = ""', 2, 1, "title is empty"),
        ('title = "Trial"', 'title = "Tri\\nal"', 2, 1, "title has more than one line"),
        ('title = "Trial"', 'title = "Tri\\u0000al"', 2, 13, "title has a control character"),
        ('key = "Bb"\n', "", None, None, "key is missing"),
        ('key = "Bb"', 'key = "X dur"', 3, 7, "not a key"),
        ('key = "Bb"', "key = 3", 3, 7, "key is 3"),
        ('meter = "3/4"\n', "", None, None, "meter is missing"),
        ('meter = "3/4"', 'meter = "3/5"', 4, 9, "not a metre"),
        ('meter = "3/4"', 'meter = "3/4"\nmetre = "3/4"', 5, 1, "twice"),
        ("tempo = 90.5", "tempo = 5", 5, 9, "a tempo of 5"),
        ("tempo = 90.5", "tempo = true", 5, 9, "tempo is True"),
        ("tempo = 90.5", "tempoo = 90", 5, 1, "unknown key 'tempoo'"),
        ("tempo = 90.5", "tempo = nan", None, None, "nan"),
        ("tempo = 90.5", "tempo = 1e999999999", None, None, "1e999999999"),
        ("tempo = 90.5", "tempo = " + "9" * 5000, None, None, "not TOML"),
        ("tempo = 90.5", 'tempo = 90\npickup = "x"', 6, 10, "a pick-up of x"),
        ("tempo = 90.5", "tempo = 90\npickup = 0", 6, 10, "a pick-up of 0"),
        ("tempo = 90.5", "tempo == 90", 5, 8, "not TOML"),
        ('name = "B"', 'name = "A"', 19, 8, "two sections are named 'A'"),
        ('name = "B"', 'nome = "B"', 19, 1, "unknown key 'nome'"),
        ('name = "B"\n', "", 18, 3, "name is missing"),
        ('changes = "| Gm | Gm |"', 'changes = ""', 20, 11, "has no bars"),
        ("| D5:3 |", "| D5:4 |", 15, 3, "too many notes"),
        ("| D5:3 |", "| D5:3 | D5 |", 15, 1, "has 3 bars"),
        ('form = ["A", "B", "A"]', "form = []", 6, 8, "a form of 0"),
    ],
)
def test_faults_have_their_place(old, new, line, column, message):
    assert old in GOOD
    with pytest.raises(HarmonyError) as caught:
        Tune.parse(GOOD.replace(old, new, 1), "trial.toml")
    place = caught.value.place
    assert message in str(caught.value)
    assert (place.source, place.line) == ("trial.toml", line)
    if column:
        assert place.column == column


def test_the_caret_stands_under_the_chord():
    with pytest.raises(HarmonyError) as caught:
        Tune.parse(GOOD.replace("F7", "F7y"), "trial.toml")
    *_, shown, caret = str(caught.value.place.show()).split("\n")
    assert shown[caret.index("^")] in "F7y"


def test_a_tune_without_chords_gives_one_message():
    silent = GOOD.replace("Bb6 | Cm7 / F7", "N.C. | -").replace("Gm | Gm", "- | -")
    with pytest.raises(HarmonyError, match="the tune has no chords"):
        Tune.parse(silent)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "format = 1",
        "= 1",
        "a = [" * 5000,
        'format = 1\ntitle="x"\nkey="C"\nmeter="4/4"\nsections=[1]',
    ],
)
def test_what_is_no_tune_gives_our_error(text):
    with pytest.raises(HarmonyError):
        Tune.parse(text, "x.toml")
