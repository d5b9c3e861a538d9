"""What could stand at a place, told apart by beats where the chords are the same."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from harmonykit.arrange.places import alternatives, replaced_at
from harmonykit.arrange.search import reharmonise
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


def test_the_list_says_what_stands_and_that_numbers_are_beside_the_first() -> None:
    text = "\n".join(place_lines(WAY, "1"))
    assert "than with the first" in text.replace("\n", " ")
    rows = re.findall(r"^  (\S.*) \(\+(\d+)(, played now)?\)$", text, re.MULTILINE)
    assert len({chords for chords, *_ in rows}) == len(rows) and rows[0][1] == "0"
    assert [bool(stands) for *_, stands in rows].count(True) == 1
