"""A progression as it shows itself: what is left out of a long row is said."""

from __future__ import annotations

import harmonykit as hk
from harmonykit.draw.values.told import table_of_changes


def test_a_table_has_two_dozen_changes_and_says_how_many_more_there_are() -> None:
    row = "C6 A7 Dm7 G7 ".split() * 7
    for chords, more in ((25, 0), (26, 1), (28, 3)):
        table = table_of_changes(hk.progression(row[:chords]))
        assert table.count("<tr>") == 1 + 24
        assert (f" {more} more changes are not shown" in table) == (more > 0)
