"""Which shapes the search may choose from."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_tunes import tune_of

from harmonykit.arrange.moves import Part, Variant, as_written
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.shapes import ShapeBook, playable
from harmonykit.arrange.slots import slots_of
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import Wishes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


def digits(shapes: tuple[Voicing, ...]) -> list[str]:
    return [shape.digits for shape in shapes]


def test_on_four_strings_all_sound() -> None:
    assert digits(playable(Chord.parse("C6"), UKULELE, Limits(4))) == ["0-0-0-0", "2-4-3-3"]
    assert digits(playable(Chord.parse("G7"), UKULELE, Limits(2))) == ["0-2-1-2"]


def test_on_six_strings_the_bass_is_the_charts_and_four_or_more_sound_together() -> None:
    shapes = playable(Chord.parse("C/E"), GUITAR, Limits(3))
    assert "0-3-2-0-1-0" in digits(shapes)
    for shape in shapes:
        sounding = [place for place, fret in enumerate(shape.frets) if fret is not None]
        assert min(shape.sounding) % 12 == 4
        assert len(sounding) >= 4 and sounding[-1] - sounding[0] == len(sounding) - 1


def test_fewer_strings_leave_tones_out() -> None:
    three = Instrument.parse("C4 E4 A4", name="three strings")
    # C7 on three strings keeps third and seventh, E and B flat.
    for shape in playable(Chord.parse("C7"), three, Limits(5)):
        assert {4, 10} <= {pitch % 12 for pitch in shape.sounding}
    assert playable(Chord.parse("C7"), three, Limits(5))


def test_a_chord_of_the_tune_past_the_limits_is_shown_with_a_note() -> None:
    slots = slots_of(tune_of("| Eb6 | Eb6 |"))
    book = ShapeBook(UKULELE, Limits(2), Weights())
    (row, _) = book.rows(as_written(slots[0]).parts, slots[0]) or [None, None]
    assert (
        row is not None
        and digits(row.voicings)[0] == digits(playable(Chord.parse("Eb6"), UKULELE, Limits()))[0]
    )
    book.rows(as_written(slots[0]).parts, slots[0])
    said = "E♭6 has no shape within these limits; the one shown goes past them."
    assert book.notes == (said,)
    (slot,) = slots_of(tune_of("| Ab6 |"))
    book.rows(as_written(slot).parts, slot)
    said = "E♭6 and A♭6 have no shapes within these limits; those shown go past them."
    assert book.notes == (said,)


def test_an_inserted_chord_past_the_limits_is_not_offered() -> None:
    slot = slots_of(tune_of("| C6 | C6 |"))[0]
    book = ShapeBook(UKULELE, Limits(0), Weights())
    late = Part(Chord.parse("Bdim7"), Fraction(4), Fraction(4), 1, "leading-tone diminished")
    variant = Variant((Part(slot.chord, Fraction(0), Fraction(4), 0), late))
    assert book.rows(variant.parts, slot) is None
    assert book.notes == ()


def test_a_chord_without_any_shape_is_named_with_its_bar() -> None:
    # Three strings a tritone and more apart, on a neck of one fret, cannot sound an F sharp.
    neck = Instrument.parse("C4 C4 C4", name="three unisons")
    slots = slots_of(tune_of("| C5 | C | F#m7b5 |"))
    book = ShapeBook(neck, Limits(), Weights())
    with pytest.raises(
        HarmonyError, match=r"bar 3: F#m7b5 has no shape on three unisons"
    ) as caught:
        book.rows(as_written(slots[-1]).parts, slots[-1])
    assert "strings C C C" in str(caught.value) and "a simpler chord" in str(caught.value)


def test_a_bass_and_three_strings_with_one_damped_between() -> None:
    """The grips of swing rhythm guitar, a string beside the bass damped (common practice)."""
    for name, grip in (("G7", "3-x-3-4-3-x"), ("Gm7", "3-x-3-3-3-x"), ("Abmaj7", "4-x-5-5-4-x")):
        assert grip in digits(playable(Chord.parse(name), GUITAR, Limits()))
    assert "8-x-10-9-8-x" not in digits(playable(Chord.parse("C"), GUITAR, Limits()))


def test_a_banjo_plays_its_open_strings() -> None:
    """An open G tuning is that chord (common practice, no source)."""
    banjo = Instrument.named("five-string banjo")
    assert "0-0-0-0-0" in digits(playable(Chord.parse("G"), banjo, Limits()))
    (way,) = reharmonise("| G | C | D7 | G |", banjo, (), 1)
    assert way.steps[0].voicing == Voicing(banjo, (0, 0, 0, 0, 0))


def test_a_texture_that_an_instrument_lacks_is_said_once() -> None:
    for texture, instrument, lacks in (
        ("tenths", UKULELE, "C6, Dm7, G7, C."),
        ("drop 3", GUITAR, "any shape is used: C."),
        ("drop 2", GUITAR, ""),
    ):
        asked = Wishes(texture=texture)
        (way,) = reharmonise("| C6 | Dm7 | G7 | C |", instrument, (), 1, wishes=asked)
        said = [note for note in way.notes if texture in note]
        assert len(said) == bool(lacks) and all(lacks in note for note in said)
