"""Phrases by hand (common practice, no source), and the laws that they keep."""

from __future__ import annotations

from pathlib import Path

import pytest

import harmonykit as hk
from harmonykit.tune.analysis.function import said_phrases
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune

DATA = Path(__file__).parents[2] / "data"


def lengths(tune: Tune | str) -> list[int]:
    return [phrase.last_bar - phrase.first_bar + 1 for phrase in hk.find_phrases(tune)]


def typed(changes: str, melody: str = "", more: str = "", meter: str = "4/4") -> Tune:
    notes = f'melody = "{melody}"\n' if melody else ""
    return Tune.parse(
        f'format = 1\ntitle = "Slipway"\nkey = "C"\nmeter = "{meter}"\n'
        f'[[sections]]\nname = "A"\nchanges = "{changes}"\n{notes}{more}'
    )


def bars(count: int) -> str:
    return "| C " * count + "|"


@pytest.mark.parametrize(
    ("count", "expected"),
    [
        (1, [1]),
        (2, [2]),
        (3, [3]),
        (4, [4]),
        (5, [5]),
        (6, [4, 2]),
        (7, [4, 3]),
        (8, [4, 4]),
        (9, [4, 5]),
        (10, [4, 4, 2]),
        (12, [4, 4, 4]),
        (14, [4, 4, 4, 2]),
        (16, [4, 4, 4, 4]),
        (64, [4] * 16),
    ],
)
def test_without_a_melody_a_section_is_cut_into_fours(count, expected):
    assert lengths(typed(bars(count))) == expected


def test_twelve_bars_of_blues_are_three_times_four():
    blues = "| C7 | F7 | C7 | C7 | F7 | F7 | C7 | C7 | G7 | F7 | C7 | G7 |"
    assert lengths(blues) == [4, 4, 4]


def test_a_section_begins_a_phrase():
    tune = Tune.parse(
        'format = 1\ntitle = "Slipway"\nkey = "C"\nmeter = "4/4"\nform = ["A", "B", "A"]\n'
        '[[sections]]\nname = "A"\nchanges = "| C | F | C |"\n'
        '[[sections]]\nname = "B"\nchanges = "| Am | Dm | G7 | C | C |"\n'
    )
    found = hk.find_phrases(tune)
    assert [(each.section, each.first_bar, each.last_bar) for each in found] == [
        ("A", 0, 2),
        ("B", 3, 7),
        ("A", 8, 10),
    ]


@pytest.mark.parametrize(
    ("melody", "expected"),
    [
        # Whole notes in bars 3 and 6: two phrases of three bars.
        ("| C4 D4 E4 F4 | G4 F4 E4 D4 | C4:4 | G4 A4 G4 F4 | E4 D4 E4 F4 | C4:4 |", [3, 3]),
        # A rest of three beats ends bar 2.
        ("| C4 D4 E4 F4 | G4 r:3 | C4 E4 D4 C4 | G4 A4 G4 F4 | E4 D4 E4 F4 | C4:4 |", [2, 4]),
        # The melody runs on over every bar line but the fourth.
        ("| C4 D4 E4 F4 | G4 F4 E4 D4 | C4 D4 E4 D4 | C4:4 | E4 D4 E4 F4 | C4:4 |", [4, 2]),
    ],
)
def test_the_melody_says_where_a_phrase_ends(melody, expected):
    assert lengths(typed(bars(6), melody)) == expected


def test_two_notes_that_lead_into_the_next_bar_do_not_hide_a_long_one():
    melody = "| C4 D4 E4 F4 | G4 F4 E4 D4 | C4:3 G4 | G4 A4 G4 F4 | E4 D4 E4 F4 | C4:4 |"
    assert lengths(typed(bars(6), melody)) == [3, 3]


def test_a_pick_up_belongs_to_the_first_phrase():
    found = hk.find_phrases(typed("| {1 quarter} G7 " + bars(8)))
    assert [(each.first_bar, each.last_bar) for each in found] == [(0, 4), (5, 8)]
    silent = typed(bars(8)).title  # a pick-up of silence is a section of its own
    text = f'format = 1\ntitle = "{silent}"\nkey = "C"\nmeter = "4/4"\npickup = 1\n'
    tune = Tune.parse(text + f'[[sections]]\nname = "A"\nchanges = "{bars(8)}"\n')
    assert [each.first_bar for each in hk.find_phrases(tune)] == [0, 5]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ("|: C | F | G7 | C :|", [4, 4]),
        ("|: C | F | G7 |[1 C :|[2 C || Am | Dm | G7 | C |", [4, 4, 4]),
        # Two bars four times are two phrases.
        ("|: C | F :|x4", [4, 4]),
        ("|: C :|x8", [4, 4]),
    ],
)
def test_each_round_of_a_repeated_part_begins_a_phrase(changes, expected):
    assert lengths(typed(changes)) == expected


def test_a_reel_with_pick_ups_has_two_parts_of_eight_bars_each_played_twice():
    said = said_phrases(hk.read_tune(DATA / "two_reels.abc", number=80))
    bars = [each.split()[0] for each in said.split(", ")]
    assert bars == [f"{first}–{first + 3}" for first in range(1, 33, 4)]


def test_phrases_that_are_set_are_taken_and_written():
    tune = typed(bars(10), more="phrases = [3, 3, 4]\n")
    assert lengths(tune) == [3, 3, 4]
    assert {each.why for each in hk.find_phrases(tune)} == {"set in the tune"}
    again = Tune.parse(write_text(tune))
    assert again == tune
    assert again.sections[0].phrases == (3, 3, 4)
    assert lengths(tune.transpose("M3")) == [3, 3, 4]


def test_phrases_that_are_set_hold_in_every_round():
    tune = typed("|: C | F | C | F | G7 |[1 C :|[2 Am |", more="phrases = [2, 3, 1, 1]\n")
    assert lengths(tune) == [2, 3, 1, 2, 3, 1]
    pickup = typed("| {1 quarter} G7 " + bars(6), more="phrases = [2, 4]\n")
    assert [each.last_bar for each in hk.find_phrases(pickup)] == [2, 6]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("[3, 3]", "the phrases add up to 6 bars, but section 'A' has 4"),
        ("[0, 4]", "a phrase of 0 bars"),
        ("[2.5, 1.5]", "a phrase length is not a whole number"),
        ("[true, 3]", "a phrase length is not a whole number"),
        ('"4"', "phrases is 4"),
    ],
)
def test_wrong_phrases_are_told_with_their_place(given, said):
    with pytest.raises(hk.HarmonyError, match=said.replace("(", r"\(")) as error:
        typed(bars(4), more=f"phrases = {given}\n")
    assert error.value.place is not None
    assert error.value.place.line == 8


@pytest.mark.parametrize("name", ["heron_landing", "ropewalk_blues", "slack_water_waltz"])
def test_phrases_cover_a_tune_without_a_gap(name):
    tune = hk.read_tune(name)
    found = hk.find_phrases(tune)
    assert found[0].onset == 0
    assert found[-1].end == tune.length
    for before, after in zip(found, found[1:], strict=False):
        assert before.end == after.onset
        assert before.last_bar + 1 == after.first_bar


def test_a_cadence_stands_with_its_phrase():
    found = hk.find_phrases("| C | F | Dm7 | G7 | C | F | G7 | C |")
    assert [each.cadence for each in found] == ["half", "authentic"]
    assert said_phrases(Tune.parse("| C | F | Dm7 | G7 | C | F | G7 | C |")) == (
        "1–4 half, 5–8 authentic"
    )
