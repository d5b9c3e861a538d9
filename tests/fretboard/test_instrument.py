"""Instruments: against published tunings and the equal-tempered rule for frets."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.instrument import Instrument
from harmonykit.theory.note import Note

TUNINGS = {row["tuning"]: row for row in rows("tunings")}
NAMED = {
    "ukulele": "ukulele gCEA re-entrant (soprano/concert, C6)",
    "ukulele low g": "ukulele low-G (linear)",
    "baritone ukulele": "baritone ukulele DGBE",
    "guitar": "guitar standard EADGBE",
}
MIDI = "midi_in_string_order_(highest_string_number_first)"


def midi_of(row: dict[str, str]) -> tuple[int, ...]:
    return tuple(map(int, row[MIDI].split(",")))


@pytest.mark.parametrize("name", NAMED)
def test_named_instruments_have_the_published_tuning(name: str) -> None:
    row = TUNINGS[NAMED[name]]
    instrument = Instrument.named(name)
    assert instrument.midi == midi_of(row)
    assert " ".join(map(str, instrument.strings)) == row["names"]
    assert instrument.reentrant == (row["reentrant"] == "1")


@pytest.mark.parametrize("row", TUNINGS.values(), ids=TUNINGS)
def test_typed_strings_are_read(row: dict[str, str]) -> None:
    instrument = Instrument.parse(row["names"])
    assert instrument.midi == midi_of(row)
    assert instrument.reentrant == (row["reentrant"] == "1")
    assert {pitch % 12 for pitch in instrument.midi} == set(map(int, row["open_pcs"].split(",")))


# Lower case where a string sounds higher than the next (common practice, no source).
@pytest.mark.parametrize(
    ("strings", "tuning"),
    [
        ("G4 C4 E4 A4", "g C E A"),
        ("A4 D4 F#4 B4", "a D F# B"),
        ("G3 C4 E4 A4", "G C E A"),
        ("G4, D3, G3, B3, D4", "g D G B D"),
        ("Bb4 Eb4 G4 C5", "bb Eb G C"),
        ("D4 D4 A4", "D D A"),
    ],
)
def test_a_reentrant_string_has_a_lower_case_letter(strings: str, tuning: str) -> None:
    assert Instrument.parse(strings).tuning == tuning


@pytest.mark.parametrize(
    "row", rows("fret_positions"), ids=lambda r: f"{r['instrument']}-{r['fret']}"
)
def test_wires_stand_by_the_equal_tempered_rule(row: dict[str, str]) -> None:
    neck = Instrument.parse("G4 C4 E4 A4", scale_mm=float(row["scale_mm"]), frets=24)
    fret = int(row["fret"])
    assert neck.wire_mm(fret) == pytest.approx(float(row["nut_to_fret_mm"]), abs=0.0006)


@pytest.mark.parametrize("row", rows("span_mm"), ids=lambda r: "-".join(list(r.values())[:4]))
def test_spans_are_measured_from_wire_to_wire(row: dict[str, str]) -> None:
    neck = Instrument.parse("G4 C4 E4 A4", scale_mm=float(row["scale_mm"]), frets=24)
    low = int(row["low_fret"])
    span = neck.wire_mm(low + int(row["fret_difference"])) - neck.wire_mm(low)
    assert span == pytest.approx(float(row["distance_wire_to_wire_mm"]), abs=0.006)


@given(st.sampled_from(sorted(NAMED)), st.data())
def test_a_finger_stands_between_its_wire_and_the_middle_of_its_fret(
    name: str, data: st.DataObject
) -> None:
    neck = Instrument.named(name)
    fret = data.draw(st.integers(1, neck.frets))
    wire, before = neck.wire_mm(fret), neck.wire_mm(fret - 1)
    assert (wire + before) / 2 <= neck.finger_mm(fret) < wire
    assert wire - neck.finger_mm(fret) <= 6
    assert neck.finger_mm(0) == 0


def test_what_is_not_typed_is_taken_from_a_like_instrument() -> None:
    dropped = Instrument.parse("D2 A2 D3 G3 B3 E4")
    guitar = Instrument.named("guitar")
    assert (dropped.scale_mm, dropped.frets) == (guitar.scale_mm, guitar.frets)
    assert dropped.family == "guitar"
    assert dropped.name == "D2 A2 D3 G3 B3 E4"
    assert Instrument.parse("G3 D4 A4 E5", "mandolin", 350, 20).scale_mm == 350


def test_equal_instruments_have_one_hash() -> None:
    one, two = Instrument.parse("G4 C4 E4 A4"), Instrument.parse("G4 C4 E4 A4")
    assert one == two
    assert hash(one) == hash(two)
    assert one != Instrument.named("ukulele low g")


@pytest.mark.parametrize("name", ["Ukulele", "  UKULELE ", "uke"])
def test_a_name_may_be_typed_in_any_case(name: str) -> None:
    assert Instrument.named(name) is Instrument.named("ukulele")


def test_an_unknown_name_is_met_with_near_ones() -> None:
    with pytest.raises(HarmonyError, match="no instrument is called 'ukelele'") as caught:
        Instrument.named("ukelele")
    assert "ukulele" in caught.value.mend
    assert "guitar" in caught.value.rule


def test_a_name_like_no_other_is_told_how_to_type_strings() -> None:
    with pytest.raises(HarmonyError, match="Instrument.parse"):
        Instrument.named("serpent")


# What is wrong, and the column of the first character that does not fit.
@pytest.mark.parametrize(
    ("text", "what", "column"),
    [
        ("G4 C4", "2 strings given", 6),
        ("G4 C4 E4 A4 " * 3, "12 strings given", 31),
        ("G4 C E4 A4", "'C' has no octave", 4),
        ("G4 C4 H4 A4", "'H4' is no string", 7),
        ("G4 C4 Eb! A4", "'Eb!' is no string", 9),
        ("gCEA", "'gCEA' is no string", 2),
        ("G4 C4 E4 A44", "the string A44", 10),
        ("G4 C4 E-4 A4", "the string E-4", 7),
    ],
)
def test_bad_strings_are_shown_with_a_caret(text: str, what: str, column: int) -> None:
    with pytest.raises(HarmonyError, match=what) as caught:
        Instrument.parse(text)
    assert caught.value.place is not None
    assert caught.value.place.column == column
    assert "^" in str(caught.value)
    assert caught.value.rule


def test_no_strings_are_too_few() -> None:
    with pytest.raises(HarmonyError, match="0 strings given"):
        Instrument.parse("  ")


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"scale_mm": 0.0}, "a scale of 0.0 mm"),
        ({"scale_mm": float("nan")}, "a scale of nan mm"),
        ({"frets": 0}, "0 frets"),
        ({"frets": 99}, "99 frets"),
    ],
)
def test_a_neck_that_cannot_be_is_refused(changes: dict[str, float], what: str) -> None:
    with pytest.raises(HarmonyError, match=what):
        Instrument.parse("G4 C4 E4 A4", **changes)  # type: ignore[arg-type]


def test_a_string_needs_its_octave_however_the_instrument_is_made() -> None:
    with pytest.raises(HarmonyError, match="no pitch"):
        Instrument("harp", tuple(map(Note.parse, ("C4", "E4", "G"))))
    with pytest.raises(HarmonyError, match="family"):
        Instrument("harp", tuple(map(Note.parse, ("C4", "E4", "G4"))), family="harps")
