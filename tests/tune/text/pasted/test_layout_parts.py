"""Sections of a message: what is played again, and under which name."""

from __future__ import annotations

import pytest
from small_tunes import tune_of

from harmonykit.tune.text.pasted.layout import name_sections

VERSE, CHORUS, OTHER = ((tune_of(f"| {chord} |").bars[0],) for chord in ("F", "Bb", "C7"))


@pytest.mark.parametrize(
    ("read", "names", "order"),
    [
        # A name without bars of its own plays those that it had, as often as it comes.
        ([("Verse", VERSE), ("Chorus", CHORUS)], "Verse Chorus Verse Chorus Chorus",
         ["Verse", "Chorus", "Verse", "Chorus", "Chorus"]),
        # The same bars are the same section; with other bars a name has a number added.
        ([("Verse", VERSE), ("Chorus", CHORUS), ("Verse", VERSE)], "Verse Chorus Verse",
         ["Verse", "Chorus", "Verse"]),
        ([("Verse", VERSE), ("Verse", OTHER)], "Verse Verse Verse",
         ["Verse", "Verse 2", "Verse 2"]),
        # What has no name comes first, under a letter that nothing else has.
        ([("", VERSE), ("A", CHORUS)], "A A", ["B", "A", "A"]),
    ],
)  # fmt: skip
def test_names_in_the_order_in_which_they_are_played(
    read: list[tuple[str, tuple[object, ...]]], names: str, order: list[str]
) -> None:
    sections, played = name_sections(read, names.split())  # type: ignore[arg-type]
    assert list(played) == order
    assert {section.name for section in sections} == set(order)
    bars = [section.bars for section in sections]
    assert len(bars) == len(set(bars))


def test_a_name_that_never_had_bars_is_left_out() -> None:
    sections, played = name_sections([("Verse", VERSE)], ["Verse", "Solo", "Verse"])
    assert played == ("Verse", "Verse") and len(sections) == 1
