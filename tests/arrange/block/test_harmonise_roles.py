"""The roles of a melody's long notes."""

from __future__ import annotations

import pytest
from small_tunes import tune_of

from harmonykit.arrange.block.harmonise import melody_roles
from harmonykit.arrange.block.melody import melody_on_top


def test_long_notes_are_counted_by_what_they_are() -> None:
    """By hand: E is the third of C6, A the fifth of Dm7, E the 13 of G7, F no note of C6."""
    tune = tune_of("| C6 | Dm7 | G7 | C6 |", melody="| E5:4 | A4:2 B4 A4 | E5:4 | F5:2 E5:2 |")
    found = melody_roles(melody_on_top(tune, "ukulele").arrangement)
    assert found.written == {"third": 2, "fifth": 1, "tension": 1, "avoid note": 1}
    # Under F stands the other half of the scale, B diminished, of which it is the fifth.
    assert found.played == {"third": 2, "fifth": 2, "tension": 1}
    assert (found.coloured, found.coloured_as_written) == (3, 3)


@pytest.mark.parametrize("instrument", ["ukulele", "guitar", "mandolin", "five-string banjo"])
def test_a_chord_melody_keeps_the_colour_of_the_tune(instrument: str) -> None:
    """Long notes that are thirds, sevenths or tensions of the tune's chords stay so."""
    for melody in ("| B4:2 D5:2 | F5:4 | B4:4 | E5:4 |", "| D5:4 | C5:4 | A4:4 | B4:2 G4:2 |"):
        tune = tune_of("| Cmaj7 | Dm7 | G7 | C6 |", melody=melody)
        found = melody_roles(melody_on_top(tune, instrument).arrangement)
        assert found.coloured >= found.coloured_as_written
        assert "avoid note" not in found.played
