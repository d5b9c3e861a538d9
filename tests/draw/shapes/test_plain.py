"""Shapes in plain characters: what is drawn can be read back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.draw.shapes.plain import TextLook, draw_text, read_out
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
MANDOLIN, BANJO = Instrument.named("mandolin"), Instrument.named("five-string banjo")
SHAPES = [
    (UKULELE, "2223 0003 9-9-8-10 12-14-12-14 x212 0-0-0-0 5-0-0-9"),
    (GUITAR, "x32010 133211 xx0232 x-8-10-9-8-x 022100 10-12-12-11-10-10"),
    (MANDOLIN, "2002 7-5-2-3"),
    (BANJO, "0-2-0-1-2 0-7-5-5-6 7-0-0-0-0 x-9-7-8-9"),
    (Instrument.parse("C2 G2 D3 A3 B3 E4 G4 C5 E5 A5", scale_mm=600.0), "0-1-2-3-4-0-0-x-2-1"),
]


def read_back(text: str, strings: int, pressed: str) -> tuple[int | None, ...]:
    """Return the frets of a drawn box: strings every four characters, frets every two lines."""
    lines = text.splitlines()
    nut = next(i for i, line in enumerate(lines) if line.count("─") + line.count("═") > 2)
    signs = lines[nut - 1] if nut else ""
    rows = [line for line in lines[nut + 1 :: 2] if line.strip()]
    number = rows[0][:4].strip() or rows[0][4 * strings + 1 :].strip()
    first = int(number) if number.isdigit() else 1
    frets: list[int | None] = []
    for string in range(strings):
        place = 4 + 4 * string
        sign = signs[place : place + 1]
        held = [first + row for row, line in enumerate(rows) if line[place : place + 1] == pressed]
        assert (sign in ("o", "x")) != bool(held)
        frets.append(held[0] if held else {"o": 0, "x": None}[sign])
    return tuple(frets)


@pytest.mark.parametrize(("instrument", "digits"), SHAPES)
def test_every_shape_is_read_back_from_its_box(instrument: Instrument, digits: str) -> None:
    for typed in digits.split():
        shape = Voicing.parse(typed, instrument)
        text = draw_text(shape, look=TextLook(notes=False))
        assert read_back(text, len(shape.frets), "●") == shape.frets
        turned = draw_text(shape, look=TextLook(notes=False, left_handed=True))
        assert read_back(turned, len(shape.frets), "●") == shape.frets[::-1]
        both = draw_text(shape, look=TextLook(notes=False, left_handed=True, reverse_strings=True))
        assert read_back(both, len(shape.frets), "●") == shape.frets
        assert max(map(len, text.splitlines())) <= 80
        assert not any(line != line.rstrip() for line in text.splitlines())


def test_four_strings_in_a_box() -> None:
    shape = Voicing.parse("2223", UKULELE)
    assert draw_text(shape, Chord.parse("D7")) == "\n".join(
        [
            "         D7",
            "    ╒═══╤═══╤═══╕",
            "    │   │   │   │",
            "    ├───┼───┼───┤",
            "    ●   ●   ●   │",
            "    ├───┼───┼───┤",
            "    │   │   │   ●",
            "    ├───┼───┼───┤",
            "    │   │   │   │",
            "    └───┴───┴───┘",
            "    A   D   F♯  C",
        ]
    )


def test_plain_letters_are_plain_everywhere() -> None:
    for instrument, digits in SHAPES:
        shape = Voicing.parse(digits.split()[0], instrument)
        text = draw_text(
            shape, Chord.parse("Bbm7b5"), look=TextLook(degrees=True, characters="ascii")
        )
        assert text.isascii() and text.splitlines()[0].strip() == "Bbm7b5"


def test_fingers_stand_on_their_strings_and_a_barre_between() -> None:
    """The F of every guitar book and its fingers: common practice, no source."""
    text = draw_text(Voicing.parse("133211", GUITAR), fingers=True, look=TextLook(notes=False))
    rows = text.splitlines()[1::2]
    assert rows[0].strip() == "1━━━━━━━━━━━━━━━1━━━1"
    assert rows[1].split() == ["│", "│", "│", "2", "│", "│"]
    assert rows[2].split() == ["│", "3", "4", "│", "│", "│"]


def test_double_and_short_strings_are_told_apart() -> None:
    assert (
        draw_text(Voicing.parse("2002", MANDOLIN), look=TextLook(notes=False)).count("║")
        == 4 * 4 - 2
    )
    mixed = Instrument.parse("E2E3 A2A3 D3D4 G3 B3 E4", scale_mm=640.0)
    nut = draw_text(Voicing.parse("022100", mixed), look=TextLook(notes=False)).splitlines()[1]
    assert nut == "    ╔═══╦═══╦═══╤═══╤═══╕"
    low = draw_text(Voicing.parse("0-2-0-1-2", BANJO), look=TextLook(notes=False)).splitlines()
    assert low[1] == "        ╒═══╤═══╤═══╕"
    high = draw_text(Voicing.parse("0-7-5-5-6", BANJO), look=TextLook(notes=False)).splitlines()
    # It starts at the wire of fret 5: common practice, no source.
    assert high[1][4] == high[2][4] == " " and high[3][4] == "├"


def test_notes_and_degrees_stand_under_their_strings() -> None:
    text = draw_text(
        Voicing.parse("4545", UKULELE), Chord.parse("Cbdim7"), look=TextLook(degrees=True)
    )
    notes, degrees = (line.split() for line in text.splitlines()[-2:])
    # C flat, E double flat, G double flat and B triple flat, counted down on paper.
    assert degrees == ["1", "♭5", "𝄫7", "♭3"]
    assert notes == ["C♭", "G𝄫", "B♭𝄫", "E𝄫"]
    muted = draw_text(Voicing.parse("x32010", GUITAR), Chord.parse("C")).splitlines()[-1]
    assert muted == "        C   E   G   C   E"


def test_an_instrument_strung_for_the_left_hand_is_drawn_so() -> None:
    shape, left = (
        Voicing.parse("9-9-8-10", i) for i in (UKULELE, replace(UKULELE, left_handed=True))
    )
    assert draw_text(left) == draw_text(shape, look=TextLook(left_handed=True))
    assert draw_text(left).splitlines()[1].endswith("8")


def test_what_is_read_out_has_a_line_for_each_string() -> None:
    said = read_out(Voicing.parse("x32010", GUITAR), Chord.parse("C")).splitlines()
    assert said[0] == "C on the guitar, x 3 2 0 1 0"
    assert said[1] == "low E string not played"
    assert said[2] == "A string, third fret, the note C, the root, third finger"
    assert said[4] == "G string, open, the note G, the fifth"
    assert len(said) == 7
    assert read_out(Voicing.parse("0003", UKULELE)).startswith("A shape on the ukulele, 0 0 0 3\n")


def test_unknown_characters_and_degrees_of_nothing_are_refused() -> None:
    shape = Voicing.parse("2223", UKULELE)
    with pytest.raises(HarmonyError, match="'runes' is not a character set"):
        draw_text(shape, look=TextLook(characters="runes"))
    with pytest.raises(HarmonyError, match="degrees need a chord"):
        draw_text(shape, look=TextLook(degrees=True))
