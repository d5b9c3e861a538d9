"""A progression as it shows itself: what is left out of a long row is said."""

from __future__ import annotations

from lawful import lawful

import harmonykit as hk
from harmonykit.draw.values.told import show_progression, table_of_changes


def test_a_table_has_two_dozen_changes_and_says_how_many_more_there_are() -> None:
    row = "C6 A7 Dm7 G7 ".split() * 7
    for chords, more in ((25, ""), (26, "1 more change is"), (28, "3 more changes are")):
        table = table_of_changes(hk.progression(row[:chords]))
        assert table.count("<tr>") == 1 + 24
        assert ("not shown" in table) == bool(more) and more in table


def test_a_picture_says_how_many_changes_it_leaves_out() -> None:
    """Each change is told once: a chord after every root, in rows of 25 to 27 different changes."""
    roots = "C Db D Eb E F Gb G Ab A Bb B".split()
    row = [f"{root}{kind}" for kind in ("6", "m7", "7") for root in roots]
    for chords, said in ((25, ""), (26, "1 more change is not"), (28, "3 more changes are not")):
        figure = show_progression(hk.progression(row[:chords]))
        told = [text for text in figure.sheet.texts if "not shown" in text]
        assert told == ([f"{said} shown."] if said else [])
        assert ("not shown" in figure.alt) == bool(said)
        lawful(figure, (9, 9, 60, 9))
