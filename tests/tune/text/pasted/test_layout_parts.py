"""Sections of a message: what is played again, and under which name."""

from __future__ import annotations

import pytest
from small_tunes import tune_of

from harmonykit.tune.text.pasted.layout import name_sections

VERSE, CHORUS, OTHER = ((tune_of(f"| {chord} |").bars[0],) for chord in ("F", "Bb", "C7"))


@pytest.mark.parametrize(
    ("read", "played", "order"),
    [
        # A part is played as often as it comes.
        ([("Verse", VERSE), ("Chorus", CHORUS)], [0, 1, 0, 1, 1],
         ["Verse", "Chorus", "Verse", "Chorus", "Chorus"]),
        # The same bars are the same section; with other bars a name has a number added.
        ([("Verse", VERSE), ("Chorus", CHORUS), ("Verse", VERSE)], [0, 1, 2],
         ["Verse", "Chorus", "Verse"]),
        ([("Verse", VERSE), ("Verse", OTHER)], [0, 1, 1], ["Verse", "Verse 2", "Verse 2"]),
        # What has no name is called by a letter that nothing else has.
        ([("", VERSE), ("A", CHORUS)], [0, 1, 1], ["B", "A", "A"]),
    ],
)  # fmt: skip
def test_names_in_the_order_in_which_they_are_played(
    read: list[tuple[str, tuple[object, ...]]], played: list[int], order: list[str]
) -> None:
    sections, names = name_sections(read, played)  # type: ignore[arg-type]
    assert list(names) == order
    assert {section.name for section in sections} == set(order)
    bars = [section.bars for section in sections]
    assert len(bars) == len(set(bars))
