"""What could stand at a place, told apart by beats where the chords are the same."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from harmonykit.arrange.offering import moves_of, offers
from harmonykit.arrange.places import alternatives, replaced_at
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.told_changes import gone_with
from harmonykit.cli.told import place_lines
from harmonykit.errors import HarmonyError

(WAY,) = reharmonise("| A7 | A7 | Dm7 | G7 | C6 |", "ukulele", k=1, style="walking")


def test_rows_of_the_same_chords_are_told_apart_and_can_be_chosen() -> None:
    found = alternatives(WAY, 1)
    assert max(Counter(each.chords for each in found).values()) > 1
    assert len({each.placed for each in found}) == len(found)
    for each in found[:3]:
        changed = replaced_at(WAY, "1", each.placed)
        steps = [step for step in changed.steps if step.bar < 2]
        assert [(s.chord, s.onset) for s in steps] == [(s.chord, s.onset) for s in each.steps]


def test_beats_that_nothing_is_offered_on_are_one_clear_error() -> None:
    with pytest.raises(HarmonyError, match="not offered on these beats"):
        replaced_at(WAY, "1", "A7 C#dim7@1.5")


def test_the_list_says_what_stands_and_that_costs_are_beside_it() -> None:
    text = "\n".join(place_lines(WAY, "1"))
    assert "compared with what is played now" in text.replace("\n", " ")
    rows = re.findall(r"^  (\S.*) \((costs .*|played now)\)$", text, re.MULTILINE)
    assert len({chords for chords, _ in rows}) == len(rows)
    assert [told for _, told in rows].count("played now") == 1


PEBBLE = (
    "Pebble Street in Eb, 5/4 | Ebmaj7 | Cm7 | Fm7 Bb7 | Gm7 C7 | Fm7 | Abm6 | Ebmaj7 Bb7 | Eb6 |"
)


@pytest.mark.parametrize("instrument", ["ukulele low g", "mandolin"])
def test_of_what_costs_less_it_is_told_why_it_does_not_stand(instrument: str) -> None:
    """The best has the least cost of what its moves and style allow: a bar's menu says no other."""
    (offer,) = offers(PEBBLE, instrument, ["rich"])
    way, moves = offer.arrangement, set(moves_of("rich"))
    less = 0
    for bar in range(1, 9):
        text = " ".join(" ".join(place_lines(way, str(bar))).split())
        for each in (each for each in alternatives(way, bar) if each.extra < 0):
            less += 1
            others = {step.move for step in each.steps if step.move} - moves
            assert bool(others) == bool(each.not_in_use)
            assert all(move in each.not_in_use for move in others)
            assert (each.not_in_use or "kept out by the style") in text
    assert less


def test_what_refusing_does_is_told_beside_what_fits() -> None:
    """A refusal seeks all anew, so that another may come than the list of one place begins with."""
    step = WAY.added[0]
    text = " ".join(" ".join(place_lines(WAY, str(step.bar + 1))).split())
    assert "while all other chords stay" in text and "searches the whole again" in text
    plain = reharmonise("| A7 | Dm7 |", "ukulele", (), 1)[0]
    assert "--refuse" not in " ".join(place_lines(plain, "1"))


@pytest.mark.parametrize(
    ("typed", "bars"),
    [
        ("Eb Cm", [["Eb", "Cm"], ["F"]]),
        ("Dm", [["Dm"], ["F"]]),
        ("F | Dm", [["F"], ["Dm"]]),
        ("Eb Cm | F Dm", [["Eb", "Cm"], ["F", "Dm"]]),
    ],
)
def test_chords_stand_in_the_bar_that_is_named_and_the_written_one_comes_back(
    typed: str, bars: list[list[str]]
) -> None:
    """What a player expects of bars; common practice, no source."""
    (way,) = reharmonise("| C7 | F | % | C7 | F |", "ukulele", (), 1)
    other = replaced_at(way, "2", typed)
    found = [[step.chord.symbol for step in other.steps if step.chord and step.bar == bar]
             for bar in range(5)]  # fmt: skip
    assert found == [["C7"], *bars, ["C7"], ["F"]]


def test_chords_may_begin_in_a_bar_in_which_a_chord_goes_on() -> None:
    (way,) = reharmonise("| C7 | F | % | C7 | F |", "ukulele", (), 1)
    other = replaced_at(way, "3", "D7")
    assert [step.chord.symbol for step in other.steps if step.chord] == ["C7", "F", "D7", "C7", "F"]
    with pytest.raises(HarmonyError, match="2 bars of chords do not fit: the place has 1 bar"):
        replaced_at(way, "3", "D7 | Gm7")


def test_chords_may_begin_on_a_beat_on_which_none_is_written() -> None:
    (way,) = reharmonise("| C7 | F | % | Dm C7 | F |", "ukulele", (), 1)
    told = {
        ("2@3", "A7"): [("F", 4, 2), ("A7", 6, 2), ("F", 8, 4)],
        ("2@3", "A7 D7"): [("F", 4, 2), ("A7", 6, 1), ("D7", 7, 1), ("F", 8, 4)],
        ("3@4", "A7"): [("F", 4, 4), ("F", 8, 3), ("A7", 11, 1)],
        ("2@3", "A7 | D7"): [("F", 4, 2), ("A7", 6, 2), ("D7", 8, 4)],
    }
    for (at, typed), row in told.items():
        steps = [s for s in replaced_at(way, at, typed).steps if s.chord and 4 <= s.onset < 12]
        found = [(s.chord.symbol, int(s.onset), int(s.beats)) for s in steps if s.chord]
        assert found == row
    last = replaced_at(way, "4@4", "Gb7").steps
    assert [step.chord.symbol for step in last if step.chord and step.bar == 3] == [
        "Dm", "C7", "Gb7",
    ]  # fmt: skip


def test_a_bar_with_several_chords_asks_which_is_meant() -> None:
    (way,) = reharmonise("| F | Dm7 | Gm7 C7 | F |", "ukulele", (), 1)
    with pytest.raises(HarmonyError, match="bar 3 has 2 chords") as refused:
        replaced_at(way, "3", "Bbm7 Eb7")
    assert "3.1 or 3.2" in str(refused.value)
    both = replaced_at(replaced_at(way, "3.1", "Bbm7"), "3@3", "Eb7")
    assert [str(step.chord) for step in both.steps] == ["F", "Dm7", "Bbm7", "Eb7", "F"]


def test_what_led_to_a_chord_that_was_replaced_is_told() -> None:
    moves = ["leading-tone diminished"]
    (way,) = reharmonise("| Dm6 | Gm6 | Dm6 | A7 | Dm6 |", "ukulele", moves, 1)
    before = next(step for step in way.added if step.bar == 1)
    after = replaced_at(way, "3", "F7")
    assert before.onset not in {step.onset for step in after.added}
    assert gone_with(way, after) == (f"{before.chord and before.chord.unicode} 2@3",)
    assert gone_with(way, way) == ()
