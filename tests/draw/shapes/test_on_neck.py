"""Notes all over the neck: each place that sounds one has its mark, and no other place has."""

from __future__ import annotations

import pytest

import harmonykit as hk
from harmonykit.draw.tree import Text

# Pitch classes by hand: the white keys (common practice, no source), a dominant seventh's 0 4 7 10.
SCALES = {"D dorian": {0, 2, 4, 5, 7, 9, 11}, "A7": {9, 1, 4, 7}, "C E G": {0, 4, 7}}


@pytest.mark.parametrize("name", SCALES)
@pytest.mark.parametrize("tuning", ["G4 C4 E4 A4", "E2 A2 D3 G3 B3 E4", "G4@5 D3 G3 B3 D4"])
def test_each_place_of_its_notes_is_marked_and_no_other(name: str, tuning: str) -> None:
    drawing = hk.draw.scale(tuning, name, look=hk.draw.NeckLook(frets=9))
    instrument = hk.Instrument.parse(tuning)
    wanted = {
        f"string-{string + 1}-fret-{fret}"
        for string in range(len(instrument.strings))
        for fret in range(10)
        if instrument.has_fret(string, fret)
        and (instrument.midi[string] + fret) % 12 in SCALES[name]
    }
    assert set(drawing.sheet.ids) == wanted


def test_marks_bear_notes_degrees_or_nothing() -> None:
    look = hk.draw.NeckLook(frets=3)
    said = {
        letters: [
            each.text
            for each in hk.draw.scale("C4 C4 C4", "C7", letters=letters, look=look).sheet.all(Text)
        ]
        for letters in ("notes", "degrees", "none")
    }
    assert "C" in said["notes"] and "1" in said["degrees"]
    # On each string the C alone is marked up to the third fret, open.
    assert len(said["none"]) == len(said["notes"]) - 3


def test_a_scale_is_said_with_its_notes_and_the_frets_of_each_string() -> None:
    drawing = hk.draw.scale("ukulele", "D dorian", look=hk.draw.NeckLook(frets=5))
    assert drawing.alt == (
        "The neck of the ukulele, tuned g C E A. D dorian: D, E, F, G, A, B and C. "
        "g string: frets 0, 2, 4, 5. C string: frets 0, 2, 4, 5. "
        "E string: frets 0, 1, 3, 5. A string: frets 0, 2, 3, 5"
    )


@pytest.mark.parametrize("wrong", ["D nonsense", "", 7, ["H"]])
def test_what_is_neither_scale_nor_notes_is_refused(wrong: object) -> None:
    with pytest.raises(hk.HarmonyError):
        hk.draw.scale("ukulele", wrong)  # type: ignore[arg-type]
