"""The textures of a row: grips that players know, and what must hold of every shape."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes.ranking import rank_shapes
from harmonykit.fretboard.shapes.row_textures import (
    ROW_TEXTURES,
    guide_tones,
    one_voice,
    texture_missing,
    texture_shapes,
)
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names
from harmonykit.theory.chord import Chord

HAND = Limits(max_fret=9)
SYMBOLS = ("C", "F#m7", "Bb7", "Cm6", "Bm7b5", "A7b9", "E13")


# Common practice, no source: grips that players call by these names.
@pytest.mark.parametrize(
    ("symbol", "instrument", "texture", "frets"),
    [
        ("G7", "guitar", "shells", "3-x-3-4-x-x"),
        ("C7", "guitar", "shells", "x-3-2-3-x-x"),
        ("Am7", "guitar", "shells", "5-x-5-5-x-x"),
        ("Dmaj7", "guitar", "shells", "x-5-4-6-x-x"),
        # A triad spread: root, fifth, tenth.
        ("F", "guitar", "shells", "1-3-x-2-x-x"),
        ("Bb", "guitar", "shells", "x-1-3-x-3-x"),
        ("Am", "guitar", "shells", "5-7-x-5-x-x"),
        ("G7", "guitar", "two strings", "x-x-3-4-x-x"),
        ("C7", "guitar", "two strings", "x-x-2-3-x-x"),
        ("C7", "guitar", "drop 2", "x-3-5-3-5-x"),
        ("Fmaj7", "guitar", "drop 2", "x-x-3-5-5-5"),
        ("G7", "guitar", "drop 3", "3-x-3-4-3-x"),
        ("C9", "guitar", "rootless", "x-x-2-3-3-3"),
        ("C", "guitar", "tenths", "x-3-x-x-5-x"),
        ("G", "guitar", "tenths", "3-x-x-4-x-x"),
        ("C", "guitar", "open and barre", "x-3-2-0-1-0"),
        ("F", "guitar", "open and barre", "1-3-3-2-1-1"),
        ("Bb", "ukulele", "open and barre", "3-2-1-1"),
        ("G7", "ukulele", "close", "0-2-1-2"),
        ("Am7", "ukulele low g", "drop 2", "0-0-0-0"),
        ("G7", "baritone ukulele", "drop 2", "0-0-0-1"),
        ("G7", "five-string banjo", "close", "x-5-4-3-3"),
        ("G7", "mandolin", "two strings", "4-3-x-x"),
        ("D7", "mandolin", "two strings", "x-4-3-x"),
    ],
)
def test_a_known_grip_is_among_its_texture(
    symbol: str, instrument: str, texture: str, frets: str
) -> None:
    neck = Instrument.named(instrument)
    assert Voicing.parse(frets, neck) in texture_shapes(symbol, neck, texture)


def dropped(chord: Chord, voices: tuple[int, ...]) -> set[tuple[int, ...]]:
    """Return the intervals of each inversion of a chord with some voices an octave lower.

    Drop 2: the second voice from the top of a close position (Berklee, Arranging 3).
    """
    found = set()
    tones = sorted(chord.semitones)
    for place in range(len(tones)):
        close = [*tones[place:], *(tone + 12 for tone in tones[:place])]
        lowered = [tone - 12 if len(close) - n in voices else tone for n, tone in enumerate(close)]
        low = min(lowered)
        found.add(tuple(sorted(tone - low for tone in lowered)))
    return found


@pytest.mark.parametrize("instrument", names())
@pytest.mark.parametrize(("texture", "voices"), [("close", ()), ("drop 2", (2,)), ("drop 3", (3,))])
def test_layouts_are_close_positions_with_a_voice_lowered(
    instrument: str, texture: str, voices: tuple[int, ...]
) -> None:
    for symbol in ("C", "F#m7", "Bb7", "Bm7b5"):
        chord = Chord.parse(symbol)
        wanted = dropped(chord, voices)
        for shape in texture_shapes(symbol, instrument, texture, HAND):
            low = min(shape.sounding)
            assert tuple(sorted(pitch - low for pitch in shape.sounding)) in wanted


@pytest.mark.parametrize("instrument", names())
@pytest.mark.parametrize("texture", ROW_TEXTURES)
def test_every_texture_has_shapes_that_a_hand_holds_or_a_reason(
    texture: str, instrument: str
) -> None:
    neck, hand = Instrument.named(instrument), HAND
    for symbol in SYMBOLS:
        chord = Chord.parse(symbol)
        shapes = texture_shapes(symbol, neck, texture, hand)
        assert bool(shapes) != bool(texture_missing(symbol, neck, texture, hand))
        for shape in shapes:
            assert can_hold(shape.frets, neck, hand)
            assert shape.pcs <= chord.pcs
            check(texture, shape, chord)


def check(texture: str, shape: Voicing, chord: Chord) -> None:
    """Check what a texture is defined by, read off the notes."""
    heard = [(pitch - chord.root.pitch_class) % 12 for pitch in sorted(shape.sounding)]
    third = {3, 4} & {*chord.semitones}
    if texture == "two strings":
        assert len(heard) == 2 and third & {*heard}
    elif texture == "shells":
        assert len(heard) == 3 and heard[0] == 0 and third & {*heard}
    elif texture == "rootless":
        assert 0 not in heard and third & {*heard} and len(heard) in (3, 4)
    elif texture == "tenths":
        low, high = sorted(shape.sounding)
        assert high - low in (15, 16) and heard[0] == 0
    elif texture == "chord melody":
        assert not {shape.top - 1, shape.top - 13} & {*shape.sounding}


@pytest.mark.parametrize(
    ("symbol", "tones"),
    [("G7", "B F"), ("Cmaj7", "E B"), ("Dm7", "F C"), ("Am6", "C F#"), ("F", "A F"),
     ("G7sus4", "C F"), ("Bdim7", "D Ab"), ("C5", "")],
)  # fmt: skip
def test_guide_tones_are_third_and_seventh(symbol: str, tones: str) -> None:
    """Common practice, no source; so is what stands in for them where one is missing."""
    chord = Chord.parse(symbol)
    assert (
        " ".join(chord.spell((chord.root.pitch_class + t) % 12).name for t in guide_tones(chord))
        == tones
    )


def test_a_line_cliche_moves_one_voice() -> None:
    """C, Cmaj7, C7: the C falls to B and B flat, all else is held (common practice, no source)."""
    row = [Voicing.parse(digits, "ukulele") for digits in ("0003", "0002", "0001")]
    assert one_voice(row[0], row[1]) and one_voice(row[1], row[2])
    assert not one_voice(row[0], Voicing.parse("2010", "ukulele"))


@pytest.mark.parametrize(
    ("symbol", "first"),
    [("F7", "1x12xx"), ("F#m7", "2x22xx"), ("G7", "3x34xx"), ("Abmaj7", "4x55xx")],
)
def test_the_first_shell_is_no_low_cluster(symbol: str, first: str) -> None:
    """The third above the seventh where else it would lie thick (common practice, no source)."""
    guitar = Instrument.named("guitar")
    shape = Voicing.parse(first, guitar)
    assert texture_shapes(symbol, guitar, "shells", HAND)[0] == shape
    assert rank_shapes(symbol, guitar, texture="shell")[0] == shape


def test_what_is_missing_says_why() -> None:
    assert "triad" in texture_missing("F", "guitar", "drop 3")
    assert "no third" in texture_missing("C5", "guitar", "tenths")
    assert "9 semitones" in texture_missing("G7", "ukulele", "drop 3")
    with pytest.raises(HarmonyError, match="open and barre, shells"):
        texture_shapes("C", "guitar", "shell")
