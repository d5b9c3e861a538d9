"""Names on panels."""

from __future__ import annotations

import pytest

from harmonykit.about.names import (
    chord_names,
    chord_of,
    count,
    list_notes,
    note_of,
    read_notes,
    turned_symbol,
)
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet


def test_notes_are_given_in_three_ways() -> None:
    assert read_notes("C7") == read_notes(Chord.parse("C7"))
    assert read_notes(PcSet.of(0, 4)) == (PcSet.of(0, 4), None)


def test_a_chord_is_named_only_where_it_can_be_no_other() -> None:
    """C6 is Am7 (common practice; tests/data/synonyms.tsv): nobody has said which is meant."""
    assert chord_of(PcSet.of(0, 4, 7, 9)) is None
    assert str(chord_of(PcSet.of(0, 4, 7, 10))) == "C7"
    assert set(chord_names(PcSet.of(0, 4, 7, 9))) == {"C6", "Am7"}
    with pytest.raises(HarmonyError, match="not those of C7"):
        chord_of(PcSet.of(0), "C7")


def test_a_chord_turned_keeps_its_kind() -> None:
    assert turned_symbol("Am7", PcSet.of(2, 5, 9, 0), 5) == "Dm7"
    assert turned_symbol("", PcSet.of(0), 5) == "" == turned_symbol("Am7", PcSet.of(0), 1)


def test_words() -> None:
    assert note_of(11, Chord.parse("Db7")).unicode == "C♭" and note_of(11).unicode == "B"
    assert list_notes((0, 3), Chord.parse("Adim7")) == "C and E♭"
    assert count(2, "shape") == "2 shapes"
