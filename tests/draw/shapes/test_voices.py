"""What moves: height is pitch."""

from __future__ import annotations

import re

import pytest

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.voices import draw_voices
from harmonykit.draw.tree import Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


def shape(digits: str, symbol: str, instrument: Instrument = UKULELE) -> tuple[Voicing, Chord]:
    return Voicing.parse(digits, instrument), Chord.parse(symbol)


def resolved() -> Drawing:
    return draw_voices([shape("2323", "Adim7"), shape("2223", "D7"), shape("0232", "G")])


def texts(drawing: Drawing) -> list[str]:
    return list(drawing.sheet.texts)


def height(drawing: Drawing, gid: str) -> float:
    return drawing.sheet.all(Text, within=gid)[0].baseline


def test_moves_and_totals_are_those_counted_by_hand() -> None:
    # A C F# Eb to A C F# D: one falls by one.  D7 to G: A to G -2, F# to G +1, C to B -1.
    found = [t for t in texts(resolved()) if re.fullmatch(r"[+−]\d|.* in all", t)]
    assert sorted(found) == ["+1", "1 semitone in all", "4 semitones in all", "−1", "−1", "−2"]


def test_the_words_say_each_string() -> None:
    parts = resolved().alt.split(". ")
    assert len(parts) == 2
    assert "C string falls 1 semitone from E flat to D" in parts[0]
    assert "g string falls 2 semitones from A to G" in parts[1]
    assert parts[1].endswith("4 semitones in all")


def test_a_semitone_is_as_high_everywhere() -> None:
    drawing = resolved()
    # g string A4, C string E flat 4, A string C5 in the first shape.
    a, e_flat, c = (height(drawing, f"shape-1-string-{n}") for n in (1, 2, 4))
    assert (e_flat - a) / 6 == pytest.approx((a - c) / 3, abs=1e-3)
    assert (a - c) / 3 == pytest.approx(3.74, abs=1e-3)


def test_notes_at_one_pitch_stand_side_by_side() -> None:
    one, other = (
        resolved().sheet.all(Text, within=f"shape-3-string-{string}")[0] for string in (1, 3)
    )
    assert one.baseline == pytest.approx(other.baseline)
    assert abs(one.x - other.x) == pytest.approx(8)


def test_a_muted_string_has_no_line() -> None:
    drawing = draw_voices([shape("x32010", "C", GUITAR), shape("xx0212", "D7", GUITAR)])
    assert "A string" not in drawing.alt
    ids = [name for name in drawing.sheet.ids if name.startswith("shape-2-")]
    assert ids == [f"shape-2-string-{string}" for string in (3, 4, 5, 6)]


def test_where_nothing_moves_it_says_so() -> None:
    same = draw_voices([shape("0000", "C6"), shape("0000", "Am7")])
    assert "no semitones in all" in texts(same)
    assert same.alt.startswith("From C six to A minor seven: g string stays on G")


def test_digits_of_six_strings_and_the_total_do_not_touch() -> None:
    high = [shape("10-12-12-11-10-10", "D", GUITAR), shape("10-12-12-10-10-10", "Dm", GUITAR)]
    low = [shape("022100", "E", GUITAR), shape("022000", "Em", GUITAR)]
    rows = []
    for shapes in (high, low):
        found = draw_voices(shapes).sheet.all(Text)
        rows.append({t.baseline for t in found if "in all" in t.text or "-" in t.text})
    assert [len(row) for row in rows] == [2, 1]


def test_what_cannot_be_compared_is_refused() -> None:
    with pytest.raises(HarmonyError, match="1 shapes"):
        draw_voices([shape("0000", "C6")])
    with pytest.raises(HarmonyError, match="one instrument"):
        draw_voices([shape("0000", "C6"), shape("022100", "E", GUITAR)])
    with pytest.raises(HarmonyError, match="names"):
        draw_voices([shape("0000", "C6"), shape("0001", "C7")], names=["C"])
