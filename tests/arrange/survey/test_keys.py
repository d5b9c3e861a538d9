"""The twelve keys of a mode and the ways to them, against music21's keys and transposition."""

from __future__ import annotations

from dataclasses import replace

import pytest
from made_tunes import made_tune
from music21 import converter, harmony, interval, key, pitch

from harmonykit.arrange.survey.keys import ALL, read_tonics
from harmonykit.errors import HarmonyError
from harmonykit.score.lead import lead_score
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.theory.key import MODES, TONICS, Key, key_on, shift


def theirs(name: str) -> str:
    """Return a note's name as music21 writes it."""
    return name.replace("b", "-")


@pytest.mark.parametrize("mode", MODES)
def test_each_tonic_has_the_name_with_the_fewest_accidentals(mode: str) -> None:
    """Of all names that music21 knows for a tonic none has a key with fewer sharps or flats."""
    for pitch_class, name in enumerate(TONICS[mode]):
        tonic = pitch.Pitch(theirs(name))
        assert tonic.pitchClass == pitch_class
        least = min(
            abs(key.Key(letter + sign, mode).sharps)
            for letter in "CDEFGAB"
            for sign in ("-", "", "#")
            if pitch.Pitch(letter + sign).pitchClass == pitch_class
        )
        assert abs(key.Key(theirs(name), mode).sharps) == least


def test_six_flats_rather_than_six_sharps() -> None:
    """Common practice, no source."""
    assert str(key_on(6, "major")) == "Gb major" and str(key_on(3, "minor")) == "Eb minor"


@pytest.mark.parametrize("mode", MODES)
def test_the_way_from_every_key_to_every_key_is_short_and_spelled(mode: str) -> None:
    for start in (
        Key.parse(f"{name} {mode}") for name in "C Db D D# Eb E F F# Gb G Ab A Bb B".split()
    ):
        for end in (key_on(tonic, mode) for tonic in ALL):
            way = shift(start, end)
            assert -5 <= way.semitones <= 6
            assert start.tonic.transpose(way).name == end.tonic.name


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("tonic", [1, 6, 7, 10])
def test_a_tune_moves_as_music21_moves_its_score(seed: int, tonic: int) -> None:
    """Roots, basses, kinds and key signature of the same tune, carried by music21 as a score."""
    tune = replace(made_tune(seed), order=())
    end = key_on(tonic, tune.key.mode)
    moved = tune.transpose(shift(tune.key, end))
    start, goal = (pitch.Pitch(theirs(k.tonic.name) + "4") for k in (tune.key, end))
    score = converter.parse(write_musicxml(lead_score(tune)), format="musicxml", forceSource=True)
    score = score.transpose(interval.Interval(noteStart=start, noteEnd=goal))
    found = [chord for chord in score.recurse().getElementsByClass(harmony.ChordSymbol)]
    written = [change.chord for bar in moved.bars for change in bar.changes if change.chord]
    assert [(c.root().name, c.bass().name) for c in found] == [
        (theirs(chord.root.name), theirs(chord.bass.name)) for chord in written
    ]
    assert [sorted(c.pitchClasses) for c in found] == [sorted(chord.pcs) for chord in written]
    signature = next(iter(score.recurse().getElementsByClass(key.KeySignature)))
    assert signature.sharps == moved.key.signature == end.signature
    assert moved.key == end


def test_tonics_as_they_are_typed() -> None:
    assert read_tonics(" All ") == ALL and read_tonics("written") == ()
    assert read_tonics("c,F#, Gb,B♭") == (0, 6, 10)


@pytest.mark.parametrize("text", ["H", "C,,G", "", "C major", "all,C"])
def test_what_is_no_tonic(text: str) -> None:
    with pytest.raises(HarmonyError, match="is not a tonic"):
        read_tonics(text)
