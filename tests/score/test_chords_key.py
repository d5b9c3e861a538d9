"""The key of a score: modes stand on the degrees of the major scale of their signature."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as Q

import pytest

from harmonykit.score.chords import key_given, key_heard
from harmonykit.theory.chord import Chord
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, BarNote

UNISON = Interval.parse("P1")
# Semitones above the signature's major tonic, and whether the third is minor (elementary theory).
MODES = {
    "major": (0, False), "ionian": (0, False), "dorian": (2, True), "phrygian": (4, True),
    "lydian": (5, False), "mixolydian": (7, False), "minor": (9, True), "aeolian": (9, True),
    "locrian": (11, True),
}  # fmt: skip


@pytest.mark.parametrize("mode", MODES)
def test_a_mode_stands_on_its_degree_of_every_signature(mode: str) -> None:
    above, minor = MODES[mode]
    for fifths in range(-7, 8):
        key, doubts = key_given({"fifths": fifths, "mode": mode}, [], UNISON)
        assert key.tonic.pitch_class == (7 * fifths + above) % 12
        assert key.mode == ("minor" if minor else "major")
        assert bool(doubts) == (mode not in ("major", "ionian", "minor", "aeolian"))


@pytest.mark.parametrize("fifths", [-8, 8, 12])
def test_a_signature_beyond_seven_is_not_followed(fifths: int) -> None:
    key, doubts = key_given({"fifths": fifths, "mode": "major"}, [], UNISON)
    assert (str(key), doubts) == (
        "C major",
        [f"a key signature of {abs(fifths)} {'flats' if fifths < 0 else 'sharps'} is ignored"],
    )


def test_a_key_is_heard_and_said() -> None:
    chords = [Bar.of((4, 4), [(Chord.parse(name), Q(0))]) for name in ("Am7", "D7", "Gmaj7")]
    notes = [
        BarNote(Note.parse(name), Q(at), Q(1)) for at, name in enumerate("D5 B4 A4 G4".split())
    ]
    sung = replace(Bar.of((4, 4), [(None, Q(0))]), melody=tuple(notes))
    for bars, by in ((chords, "chords"), ([sung], "notes")):
        key, (said,) = key_heard(bars)
        assert str(key) == "G major" and said.startswith(f"no key is given; its {by} fit G major")
