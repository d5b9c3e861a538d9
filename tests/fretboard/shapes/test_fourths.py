"""Stacked fourths: the grips that players know, all that there are, and what has none."""

from __future__ import annotations

from itertools import pairwise

import pytest

from harmonykit.about.shapes import Hand, shapes_of
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes.fourths import in_fourths, named_in_fourths, stack_of
from harmonykit.fretboard.shapes.row_textures import texture_missing, texture_shapes
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

LIMITS = Limits(max_fret=12)
ROOTS = "C Db D Eb E F F# G Ab A Bb B".split()


# Common practice, no source; each is the same grip two frets higher for the chord a step above.
@pytest.mark.parametrize(
    ("symbol", "instrument", "frets"),
    [
        ("Dm11", "guitar", "x5556x"),
        ("Em11", "guitar", "x7778x"),
        ("Dm11", "guitar", "xx0011"),
        ("D7sus4", "guitar", "x0001x"),
        ("Gm11", "ukulele low g", "0011"),
        ("Gm11", "ukulele", "0011"),
        ("Dm11", "baritone ukulele", "0011"),
        ("Am11", "mandolin", "5555"),
        ("Dm11", "tenor guitar", "5555"),
        ("Dm11", "five-string banjo", "x0013"),
        ("Eb6/9", "guitar", "xx5566"),
        ("C6/9", "guitar", "x7778x"),
        ("Eb6/9", "ukulele", "0011"),
        ("C6/9", "mandolin", "0000"),
        ("Bb69", "baritone ukulele", "0011"),
    ],
)
def test_a_known_grip_is_among_them(symbol: str, instrument: str, frets: str) -> None:
    neck = Instrument.named(instrument)
    assert Voicing.parse(frets, neck) in texture_shapes(symbol, neck, "fourths", LIMITS)


@pytest.mark.parametrize("root", ROOTS)
def test_a_minor_eleventh_is_the_lower_four_notes_of_the_published_chord(root: str) -> None:
    """Three perfect fourths, then a major third: 1, 4, flat 7, flat 3, 5 (Wikipedia, "So What
    chord"); its lower four are those of the grip, on each root.
    """
    low = Chord.parse(f"{root}m11").root.pitch_class
    for shape in in_fourths(Chord.parse(f"{root}m11"), Instrument.named("guitar"), LIMITS):
        assert [(pitch - low) % 12 for pitch in shape.sounding] == [0, 5, 10, 3]
        assert [b - a for a, b in pairwise(shape.sounding)] == [5, 5, 5]


@pytest.mark.parametrize("instrument", ["guitar", "ukulele low g", "guitar open G", "mandolin"])
def test_all_that_a_hand_holds_are_found(instrument: str) -> None:
    """Every pitch on the first string, and every other a fourth higher; in fifths the stack is
    turned over (Persichetti 1961, ch. 4, from memory).
    """
    neck = Instrument.named(instrument)
    step = -7 if instrument == "mandolin" else 5
    chord = Chord.parse("F#m11")
    wanted = set()
    lowest = 1 if len(neck.midi) > 4 else 0
    for first in range(lowest, len(neck.midi) - 3):
        strings = neck.midi[first : first + 4]
        for fret in range(13):
            # On the mandolin the lowest string has the last of the stack.
            pitch = strings[0] + fret
            if (pitch + (15 if step == 5 else 0)) % 12 != 9:
                continue
            up = 5 if step == 5 else 7
            frets = [pitch + n * up - string for n, string in enumerate(strings)]
            shape = (*(None,) * first, *frets, *(None,) * (len(neck.midi) - first - 4))
            within = all(0 <= fret <= 12 for fret in frets) and max(frets) - min(frets) <= 4
            if within and can_hold(shape, neck, LIMITS):
                wanted.add(shape)
    assert {shape.frets for shape in in_fourths(chord, neck, LIMITS)} == wanted


def test_on_a_re_entrant_string_the_lowest_note_sounds_an_octave_higher() -> None:
    (high,) = in_fourths(Chord.parse("Gm11"), Instrument.named("ukulele"), LIMITS)
    (low,) = in_fourths(Chord.parse("Gm11"), Instrument.named("ukulele low g"), LIMITS)
    assert high.frets == low.frets and high.sounding[0] - low.sounding[0] == 12


@pytest.mark.parametrize("symbol", ["Dm7", "Dm", "Dm9", "Dm6", "Dm11", "D7sus4", "D9sus4"])
def test_what_fourths_stand_over_is_told_with_its_third_where_it_is_minor(symbol: str) -> None:
    chord = Chord.parse(symbol)
    stack, third = stack_of(chord), (chord.root.pitch_class + 3) % 12
    assert {*stack} <= {*named_in_fourths(chord).pcs}
    assert (third in stack) == (3 in chord.semitones)


@pytest.mark.parametrize(
    ("symbol", "why"),
    [
        ("C7", "the third and the seventh of C7 are a tritone apart"),
        ("Ab13", "the third and the seventh of A♭13 are a tritone apart"),
        ("Eb", "E♭ has no sixth or ninth: in stacked fourths it is E♭6/9"),
        ("Eb6", "E♭6 has no ninth: in stacked fourths it is E♭6/9"),
        ("Fmaj9", "Fmaj9 has no thirteenth: in stacked fourths it is Fmaj13"),
        ("Cmaj7", "Cmaj7 has no ninth or thirteenth: in stacked fourths it is Cmaj13"),
        ("C6/9/E", "another bass than its root"),
        ("Caug", "no four notes of C+ that tell it lie a fourth apart"),
        ("Dm7", "Dm7 has no eleventh: in stacked fourths it is Dm11"),
        ("Dm", "Dm has no minor seventh: in stacked fourths it is Dm11"),
        ("Em7b5", "no fourths that keep its fifth"),
        ("Dm(maj7)", "no fourths that keep its fifth and a minor seventh"),
        ("Dm11/A", "another bass than its root"),
        ("D5", "no fourths"),
    ],
)
def test_what_has_none_says_why(symbol: str, why: str) -> None:
    assert texture_shapes(symbol, "guitar", "fourths") == ()
    assert why in texture_missing(symbol, "guitar", "fourths")


@pytest.mark.parametrize("root", ROOTS)
def test_a_six_nine_and_a_major_thirteenth_are_stacked_of_their_own_notes(root: str) -> None:
    """On the third: 3 6 9 5; on the seventh: 7 3 13 9 (common practice, no source)."""
    for suffix, wanted in (("6/9", [4, 9, 2, 7]), ("maj13", [11, 4, 9, 2])):
        chord = Chord.parse(root + suffix)
        shapes = texture_shapes(chord, "guitar", "fourths", LIMITS)
        low = chord.root.pitch_class
        assert {tuple((p - low) % 12 for p in one.sounding) for one in shapes} == {tuple(wanted)}
        assert not texture_missing(chord, "guitar", "fourths")


def test_another_texture_is_offered_but_the_one_that_was_refused() -> None:
    with pytest.raises(HarmonyError) as refused:
        shapes_of(Chord.parse("C7"), "guitar", hand=Hand(texture="fourths"))
    assert "rootless" in refused.value.mend and "fourths" not in refused.value.mend
