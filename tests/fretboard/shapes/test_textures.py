"""Textures: shapes that players call by a name, and what must hold of every shape."""

from __future__ import annotations

import pytest
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.textures import (
    BARRE,
    FAMILY,
    OPEN,
    ROOTLESS,
    SHELL,
    TENTHS,
    TEXTURES,
    TWO_STRINGS,
    check_texture,
    layout_of,
    textures_of,
)
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord


# Common practice, no source: what players call these grips.
@pytest.mark.parametrize(
    ("symbol", "frets", "kept", "also"),
    [
        ("Gmaj7", "3-x-4-4-x-x", SHELL, "movable"),
        ("Cm7", "x-3-1-3-x-x", SHELL, "movable"),
        ("G6", "3-x-2-4-x-x", SHELL, "movable"),
        ("C7sus4", "x-3-3-3-x-x", SHELL, "movable"),
        ("G13", "3-x-3-4-5-x", SHELL, "movable"),
        ("C9", "x-3-2-3-3-x", SHELL, "movable"),
        ("Dm9", "x-5-3-5-5-x", SHELL, "movable"),
        ("G7", "x-x-3-4-x-x", TWO_STRINGS, ROOTLESS),
        ("C", "x-3-x-x-5-x", TENTHS, "movable"),
        ("Bb7", "x-x-6-7-6-6", "drop 2", BARRE),
        ("Gm7", "3-x-3-3-3-x", "drop 3", BARRE),
        ("C9", "x-x-8-7-8-x", "close", ROOTLESS),
        ("C", "x-3-2-0-1-0", OPEN, OPEN),
        ("F", "1-3-3-2-1-1", BARRE, BARRE),
        ("C9", "x-x-2-3-3-3", "drop 2", ROOTLESS),
        ("C", "x-x-5-5-5-x", "close", "movable"),
        ("C", "x-3-5-x-5-x", "spread", "movable"),
    ],
)
def test_what_players_call_a_grip(symbol: str, frets: str, kept: str, also: str) -> None:
    shape = Voicing.parse(frets, Instrument.named("guitar"))
    found = textures_of(shape, Chord.parse(symbol))
    assert found[0] == kept
    assert also in found


def test_on_four_strings_open_or_movable_comes_first() -> None:
    ukulele = Instrument.named("ukulele")
    assert textures_of(Voicing.parse("0000", ukulele), Chord.parse("C6"))[0] == OPEN
    found = textures_of(Voicing.parse("2323", ukulele), Chord.parse("Cdim7"))
    assert found == ("movable", "close")


@pytest.mark.parametrize("row", rows("usual_shapes"), ids=lambda row: row["frets"])
def test_each_usual_shape_has_a_texture_and_names_its_layout(row: dict[str, str]) -> None:
    """The first name is known; exactly one says how it is held; a layout is that of its pitches."""
    shape = Voicing.parse(row["frets"], Instrument.named(row["instrument"]))
    found = textures_of(shape, Chord.parse(row["chord"]))
    assert set(found) <= set(TEXTURES)
    assert sum(name in FAMILY for name in found) == 1
    assert (OPEN in found) == (0 in shape.frets)
    for name in {"close", "drop 2", "drop 3"} & set(found):
        assert layout_of(shape.sounding) == name


def test_an_unknown_texture_is_refused_with_the_names() -> None:
    with pytest.raises(HarmonyError, match="'drop 5' is not a texture") as caught:
        check_texture("drop 5")
    assert "drop 3" in str(caught.value)
