"""What a shape makes of a chord: inversions, what is missing, doubled or foreign."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.reading import makeup
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
LOW_G = Instrument.named("ukulele low g")
# Strings on which every pitch of the table can be fretted.
LONG = Instrument.parse("C3 C3 C3 C3", frets=36)
ORDER = ("root position", "first inversion", "second inversion", "third inversion")


# drop2.tsv: the close chord stands on its 1st, 2nd, 3rd and 4th tone in turn.
@pytest.mark.parametrize(
    "row", rows("drop2"), ids=lambda row: f"{row['chord']} {row['close_midi']}"
)
def test_close_chords_are_inverted_as_in_the_table(row: dict[str, str]) -> None:
    frets = tuple(pitch - 48 for pitch in numbers(row["close_midi"]))
    found = makeup(Voicing(LONG, frets), Chord.parse(row["chord"]))
    assert found.layout == "close"
    assert found.inversion == int(row["close_inversion_(bass_degree)"])
    assert found.position == ORDER[int(row["close_inversion_(bass_degree)"])]
    assert (found.missing, found.doubled, found.foreign) == ((), (), ())


@pytest.mark.parametrize(
    "row", rows("drop2"), ids=lambda row: f"{row['chord']} {row['close_midi']}"
)
def test_dropped_chords_have_the_bass_of_the_table(row: dict[str, str]) -> None:
    frets = tuple(pitch - 48 for pitch in numbers(row["drop2_midi"]))
    found = makeup(Voicing(LONG, frets), Chord.parse(row["chord"]))
    assert found.bass.pitch_class == Note.parse(row["drop2_bass"]).pitch_class


# Shapes and what they are called: common practice, no source.
@pytest.mark.parametrize(
    ("digits", "instrument", "symbol", "said"),
    [
        ("0000", UKULELE, "C6", "close, root position"),
        ("0000", LOW_G, "C6", "drop 2, second inversion"),
        ("5757", UKULELE, "C6", "close, second inversion"),
        ("0000", UKULELE, "Am7", "close, first inversion"),
        ("0003", UKULELE, "C", "root position, 1 doubled"),
        ("2212", UKULELE, "G9", "close, rootless over D"),
        ("0201", UKULELE, "C9", "close, rootless over D"),
        ("x32010", GUITAR, "C", "root position, 1, 3 doubled"),
        ("x32310", GUITAR, "C7", "root position, without 5, 1, 3 doubled"),
        ("xx3555", GUITAR, "Fmaj7", "drop 2, root position"),
        ("1x221x", GUITAR, "Fmaj7", "drop 3, root position"),
        ("320003", GUITAR, "C", "rootless over G, without 3, 5 doubled, with B, D"),
        ("x32010", GUITAR, "C6", "root position, without 6, 1, 3 doubled"),
        ("xx0010", GUITAR, "C", "drop 2, over D, with D"),
    ],
)
def test_shapes_are_called_what_players_call_them(
    digits: str, instrument: Instrument, symbol: str, said: str
) -> None:
    assert str(makeup(Voicing.parse(digits, instrument), Chord.parse(symbol))) == said


@given(st.sampled_from(["C6", "G7", "F#dim7", "Bb9", "Em7b5"]), st.data())
def test_missing_doubled_and_lowest_are_counted_on_the_strings(
    symbol: str, data: st.DataObject
) -> None:
    chord = Chord.parse(symbol)
    shapes = find_voicings(chord, GUITAR, 5, playable=False, wanted=Wanted(mutes=True, omit=("1",)))
    shape = data.draw(st.sampled_from(shapes))
    found = makeup(shape, chord)
    heard = [pitch % 12 for pitch in shape.sounding]
    tones = dict(zip(chord.degrees, (note.pitch_class for note in chord.tones), strict=True))
    assert found.missing == tuple(d for d, tone in tones.items() if tone not in heard)
    assert found.doubled == tuple(d for d, tone in tones.items() if heard.count(tone) > 1)
    assert found.bass.pitch_class == min(shape.sounding) % 12
    assert found.rootless == (chord.root.pitch_class not in heard)
    assert (found.inversion is None) == found.rootless
