"""Instruments: against published tunings and the equal-tempered rule for frets."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names
from harmonykit.theory.note import Note

TUNINGS = {row["tuning"]: row for row in rows("tunings")}
NAMED = {
    "ukulele": "ukulele gCEA re-entrant (soprano/concert, C6)",
    "soprano ukulele": "ukulele gCEA re-entrant (soprano/concert, C6)",
    "tenor ukulele": "ukulele gCEA re-entrant (soprano/concert, C6)",
    "ukulele low g": "ukulele low-G (linear)",
    "tenor ukulele low g": "ukulele low-G (linear)",
    "soprano ukulele in D": "ukulele aDF#B re-entrant (D6)",
    "baritone ukulele": "baritone ukulele DGBE",
    "guitar": "guitar standard EADGBE",
    "guitar drop D": "guitar drop D",
    "guitar DADGAD": "guitar DADGAD",
    "guitar open G": "guitar open G",
}
# Mandolin: Gervasio 1767; banjo in open G: Scruggs 1968 (both from memory).  The tenor guitar:
# common practice, no source.
OTHERS = {
    "mandolin": (55, 62, 69, 76),
    "five-string banjo": (67, 50, 55, 59, 62),
    "tenor guitar": (48, 55, 62, 69),
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


@pytest.mark.parametrize("name", OTHERS)
def test_other_instruments_have_the_usual_tuning(name: str) -> None:
    assert Instrument.named(name).midi == OTHERS[name]


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


@pytest.mark.parametrize("name", ["low g tenor", "Low-G Tenor Ukulele", "tenor low g"])
def test_the_words_of_a_name_may_stand_in_any_order(name: str) -> None:
    assert Instrument.named(name) is Instrument.named("tenor ukulele low g")


def test_an_unknown_name_is_met_with_near_ones() -> None:
    with pytest.raises(HarmonyError, match="unknown instrument 'ukelele'") as caught:
        Instrument.named("ukelele")
    assert "ukulele" in caught.value.mend
    assert "guitar" in caught.value.rule


def test_a_name_like_no_other_is_told_how_to_type_strings() -> None:
    with pytest.raises(HarmonyError, match="its strings, one by one"):
        Instrument.named("serpent")


# What is wrong, and the column of the first character that does not fit.
@pytest.mark.parametrize(
    ("text", "what", "column"),
    [
        ("G4 C4", "2 strings given", 6),
        ("G4 C4 E4 A4 " * 3, "12 strings given", 31),
        ("G4 C E4 A4", "'C' has no octave", 4),
        ("G4 C4 H4 A4", "'H4' is not a string", 7),
        ("G4 C4 Eb! A4", "'Eb!' is not a string", 9),
        ("gCEA", "'gCEA' is not a string", 2),
        ("G4 C4 E4 A44", "the string A44", 10),
        ("G4 C4 E-4 A4", "the string E-4", 7),
        ("G4@x C4 E4 A4", "'x' is not a fret", 4),
        ("G4@ C4 E4 A4", "'' is not a fret", 4),
        ("G4 C4C5 E4F4 A4", "E4 cannot be doubled by F4", 9),
        ("G4 C4 E4E9 A4", "the string E9", 7),
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
        ({"scale_mm": 0.0}, "a scale length of 0.0 mm"),
        ({"scale_mm": float("nan")}, "scale_mm is nan"),
        ({"frets": 0}, "0 frets"),
        ({"frets": 99}, "99 frets"),
    ],
)
def test_a_neck_that_cannot_be_is_refused(changes: dict[str, float], what: str) -> None:
    with pytest.raises(HarmonyError, match=what):
        Instrument.parse("G4 C4 E4 A4", **changes)  # type: ignore[arg-type]


# Octaves of a twelve-string guitar: common practice, no source.
def test_doubled_strings_are_one_string_each() -> None:
    twelve = Instrument.parse("E2E3 A2A3 D3D4 G3G4 B3B3 E4E4")
    assert twelve.midi == Instrument.named("guitar").midi
    assert [[note.midi for note in beside] for beside in twelve.doubles] == [
        [52],
        [57],
        [62],
        [67],
        [59],
        [64],
    ]
    mandolin = Instrument.named("mandolin")
    assert [beside[0].midi for beside in mandolin.doubles] == list(mandolin.midi)
    assert Instrument.named("guitar").doubles == ()


# Scruggs 1968 (from memory): the fifth string's frets are those of the neck, its open string is 0.
def test_a_short_string_has_the_frets_of_the_neck_past_its_start() -> None:
    banjo = Instrument.named("five-string banjo")
    assert [banjo.start(string) for string in range(5)] == [5, 0, 0, 0, 0]
    assert banjo.pitch(0, 0) == 67
    assert [banjo.pitch(0, fret) for fret in (6, 7, 22)] == [68, 69, 84]
    assert [banjo.pitch(4, fret) for fret in (0, 5, 22)] == [62, 67, 84]
    for fret in (1, 5, 23):
        assert not banjo.has_fret(0, fret)
        with pytest.raises(HarmonyError, match=f"g string has no fret {fret}: it starts at fret 5"):
            banjo.pitch(0, fret)
    with pytest.raises(HarmonyError, match="D string has no fret 23: it has 22 frets"):
        banjo.pitch(1, 23)


@given(st.sampled_from(["ukulele", "guitar", "five-string banjo"]), st.data())
def test_a_pitch_is_found_where_it_sounds(name: str, data: st.DataObject) -> None:
    neck = Instrument.named(name)
    string = data.draw(st.integers(0, len(neck.midi) - 1))
    frets = [fret for fret in range(neck.frets + 1) if neck.has_fret(string, fret)]
    for fret in frets:
        assert neck.fret_at(string, neck.pitch(string, fret)) == fret
    for beyond in (neck.midi[string] - 1, neck.pitch(string, frets[-1]) + 1):
        assert neck.fret_at(string, beyond) is None


def test_settings_of_a_neck_make_another_instrument() -> None:
    guitar = Instrument.named("guitar")
    left = guitar.for_left_hand()
    assert left.left_handed
    assert left != guitar
    assert left.midi == guitar.midi
    assert "for_left_hand" in repr(left)


@pytest.mark.parametrize("name", [*NAMED, *OTHERS])
def test_the_repr_gives_the_instrument_again(name: str) -> None:
    known = Instrument.named(name)
    again = eval(repr(known))
    assert (again.strings, again.doubles, again.starts) == (
        known.strings,
        known.doubles,
        known.starts,
    )
    assert (again.name, again.scale_mm, again.frets) == (known.name, known.scale_mm, known.frets)


def test_a_string_needs_its_octave_however_the_instrument_is_made() -> None:
    with pytest.raises(HarmonyError, match="no playable pitch"):
        Instrument("harp", tuple(map(Note.parse, ("C4", "E4", "G"))))
    with pytest.raises(HarmonyError, match="family"):
        Instrument("harp", tuple(map(Note.parse, ("C4", "E4", "G4"))), family="harps")


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"starts": (0, 5)}, "3 strings, and 2 given as doubled or short"),
        ({"starts": (15, 0, 0)}, "starts at fret 15"),
        ({"doubles": ((), (Note.parse("F4"),), ())}, "E4 cannot be doubled by F4"),
        ({"capo": -1}, "a capo at fret -1"),
    ],
)
def test_what_a_string_cannot_be_is_refused(changes: dict[str, object], what: str) -> None:
    with pytest.raises(HarmonyError, match=what):
        Instrument("harp", tuple(map(Note.parse, ("C4", "E4", "G4"))), **changes)  # type: ignore[arg-type]


def test_labels_bear_printed_signs_and_keep_their_case() -> None:
    assert Instrument.named("ukulele").printed_labels == ("g", "C", "E", "A")
    assert Instrument.parse("Bb4 Eb4 G4 C5").printed_labels == ("b♭", "E♭", "G", "C")
    assert Instrument.named("soprano ukulele in D").printed_labels[2] == "F♯"


HIGH = "the g sounds above the C beside it"
LINES = {
    "ukulele": f"For the ukulele tuned g C E A; {HIGH}.",
    "ukulele low g": "For the ukulele low g tuned G C E A from low to high.",
    "baritone": "For the baritone ukulele tuned D G B E from low to high.",
    "soprano in D": "For the soprano ukulele in D tuned a D F♯ B; "
    "the a sounds above the D beside it.",
    "mandolin": "For the mandolin tuned G D A E from low to high, each string doubled.",
    "banjo": "For the five-string banjo tuned g D G B D; the g sounds above the D "
    "beside it; the g is short and starts at fret 5.",
}


@pytest.mark.parametrize("name", LINES)
def test_a_sheet_says_for_which_strings_it_is(name: str) -> None:
    assert Instrument.named(name).sheet_line == LINES[name]


def test_no_two_shipped_instruments_have_one_line() -> None:
    lines = [Instrument.named(name).sheet_line for name in names()]
    assert len(set(lines)) == len(lines)


def test_typed_strings_have_no_other_name() -> None:
    line = Instrument.parse("E2E3 A2A3 D3D4 G3G4 B3B3 E4E4").sheet_line
    assert line == (
        "For an instrument tuned E A D G B E from low to high, each string doubled "
        "(E, A, D and G in octaves)."
    )
    assert "C4 doubled" not in Instrument.parse("G4 C4C4 E4 A4").sheet_line
    assert "C doubled" in Instrument.parse("G4 C4C4 E4 A4").sheet_line


def test_capo_and_left_hand_are_said() -> None:
    line = Instrument.named("guitar").with_capo(3).for_left_hand().sheet_line
    assert "tuned G C F B♭ D G" in line
    assert "the capo is at fret 3, and frets are counted from it" in line
    assert line.endswith("for a left-handed player.")


def test_a_string_an_octave_below_its_usual_place_is_called_low() -> None:
    """ "G C E A" alone is read as the usual tuning (common practice, no source)."""
    low = Instrument.named("ukulele low g")
    assert low.tuning_said == "G C E A with a low G"
    assert Instrument.parse("G3 C4 E4 A4").tuning_said == "G C E A with a low G"
    assert low.with_capo(2).tuning_said == "A D F# B with a low A"
    assert Instrument.parse("A3 D4 F#4 B4").tuning_said == "A D F# B with a low A"
    for name in ("ukulele", "guitar", "baritone ukulele", "mandolin", "five-string banjo"):
        usual = Instrument.named(name)
        assert usual.tuning_said == usual.tuning
