"""What instruments sound of: by material, tension, length."""

from __future__ import annotations

import json
import math

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings import shipped
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound.strung import Strand, drum, numbers, voices


def strands(name: str) -> tuple[Strand, ...]:
    return voices(Instrument.named(name))["tone"].strands


@pytest.mark.parametrize("name", shipped.names())
def test_every_instrument_has_strings_at_its_pitches(name: str) -> None:
    instrument = Instrument.named(name)
    found = strands(name)
    for strand, midi in zip(found, instrument.midi, strict=True):
        assert strand.hz == pytest.approx(440 * 2 ** ((midi - 69) / 12))
    # From left to right in the instrument's order.
    assert [s.pan for s in found] == sorted(s.pan for s in found)


def test_strings_are_as_thick_as_those_that_are_sold() -> None:
    """Treble strings: nylon of a guitar .68 to .74 mm, of a ukulele .5 to .8 mm, steel .25 to .33.

    Common practice, no source.
    """
    for name, string, density, low, high in (
        ("guitar", 5, 1140, 0.6, 0.76),
        ("ukulele", 3, 1140, 0.5, 0.8),
        ("guitar DADGAD", 5, 7850, 0.25, 0.36),
    ):
        strand = strands(name)[string]
        mass = strand.tension / (2 * strand.length * strand.hz) ** 2
        assert low < 1000 * math.sqrt(4 * mass / (math.pi * density)) < high, name


def test_the_material_is_the_instruments_own() -> None:
    assert Instrument.named("ukulele").material == "nylon"
    assert Instrument.named("mandolin").material == "steel"
    assert strands("mandolin")[0].tension > strands("ukulele")[0].tension
    # What is typed as strings is made of what is strung most like it.
    assert Instrument.parse("G3G3 D4D4 A4A4 E5E5").material == "steel"
    with pytest.raises(HarmonyError, match=r"'gut'(?s:.)*nylon, steel"):
        Instrument("x", Instrument.named("ukulele").strings, material="gut")


def test_a_capo_shortens_the_strings_and_leaves_the_box() -> None:
    plain = Instrument.named("ukulele")
    raised = plain.with_capo(2)
    before, after = (voices(one)["tone"] for one in (plain, raised))
    assert after.modes[1][0] == pytest.approx(before.modes[1][0])
    assert after.strands[1].hz == pytest.approx(before.strands[1].hz * 2 ** (2 / 12))
    assert after.strands[1].length == pytest.approx(before.strands[1].length * 2 ** (-2 / 12))
    assert after.place == pytest.approx(before.place)


def test_the_short_string_of_a_banjo_is_short() -> None:
    banjo = strands("five-string banjo")
    assert banjo[0].length == pytest.approx(banjo[1].length * 2 ** (-5 / 12))


def test_doubled_strings_sound_together() -> None:
    assert [len(strand.pairs) for strand in strands("mandolin")] == [1, 1, 1, 1]
    octave = Instrument.parse("G3G4 D4D4 A4A4 E5E5")
    assert voices(octave)["tone"].strands[0].pairs[0] == pytest.approx(2, rel=0.002)


def test_what_a_page_is_given_is_small() -> None:
    text = json.dumps(numbers(Instrument.named("guitar")))
    assert json.loads(text)["voices"]["tone"]["strands"][0]["hz"] == pytest.approx(82.40689)
    assert len(text) < 8000


def test_an_unknown_number_is_a_stick() -> None:
    """General MIDI (RP-003): 37 is the side stick."""
    assert drum(99) == drum(37) != drum(40)
