"""Chords and shapes as the standard's harmony, read back by the published definitions."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.arrange.score import frame_of
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.kinds import chord_harmony, frame_element, harmony_kind
from harmonykit.theory.chord import QUALITIES, Chord, Degree
from harmonykit.theory.note import Note

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
TABLE = Path(__file__).resolve().parents[1] / "data" / "musicxml_kinds.tsv"
MAJOR = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 14, 11: 17, 13: 21}


def published_kinds() -> dict[str, list[int]]:
    """Semitones above the root of each kind that MusicXML 4.0 defines."""
    rows = [line.split("\t") for line in TABLE.read_text(encoding="utf-8").splitlines()[1:]]
    return {kind: [int(n) for n in notes.split(",")] for kind, _, notes, _ in rows if notes != "-"}


def read(harmony: Element) -> tuple[str, tuple[int, ...], str]:
    """Return root, pitch classes above it and bass, by the rules of the standard.

    ``degree-alter`` page: an added degree is relative to a dominant chord, an altered one to the
    kind's own.
    """
    kind = harmony.findtext("kind") or ""
    notes = Counter(published_kinds()[kind])
    for degree in harmony.findall("degree"):
        number = int(degree.findtext("degree-value") or 0)
        alter = int(degree.findtext("degree-alter") or 0)
        plain = MAJOR[number] - (1 if number == 7 else 0)
        own = [n for n in notes if n in range(MAJOR[number] - 2, MAJOR[number] + 2)]
        match degree.findtext("degree-type"):
            case "add":
                notes[plain + alter] += 1
            case "subtract":
                notes[own[0]] -= 1
            case "alter":
                notes[own[0]] -= 1
                notes[own[0] + alter] += 1
    left = sorted({n % 12 for n, count in notes.items() if count > 0})
    return note(harmony, "root"), tuple(left), note(harmony, "bass")


def note(harmony: Element, name: str) -> str:
    step = harmony.findtext(f"{name}/{name}-step") or ""
    alter = int(harmony.findtext(f"{name}/{name}-alter") or 0)
    return step + ("#" * alter if alter > 0 else "b" * -alter)


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.suffix or "major")
@pytest.mark.parametrize("root", ["C", "F#", "Bb", "Ebb"])
def test_every_quality_reads_back_as_the_same_chord(root: str, quality: object) -> None:
    chord = Chord.of(root, quality.suffix)  # type: ignore[attr-defined]
    assert read(chord_harmony(chord)) == (root, chord.semitones, "")


@pytest.mark.parametrize(
    ("symbol", "kind", "degrees"),
    [
        # Reports on a general library: these were written as `none`, or as a kind that the
        # standard lacks.
        ("C6/9", "major-sixth", "add 9 0"),
        ("C5", "power", ""),
        ("C7sus4", "suspended-fourth", "add 7 0"),
        ("Cm7b5", "half-diminished", ""),
        # The standard: `dominant`, degree 5 alter -1 is 7b5; `major-minor` a minor triad with 7.
        ("C7b5", "dominant", "alter 5 -1"),
        ("Cmmaj7", "major-minor", ""),
        ("Cdim7", "diminished-seventh", ""),
        ("C7b9", "dominant", "add 9 -1"),
        ("Cadd9", "major", "add 9 0"),
        ("C13", "dominant-13th", ""),
        ("C+", "augmented", ""),
    ],
)
def test_kinds_and_degrees_are_those_of_the_standard(symbol: str, kind: str, degrees: str) -> None:
    found, changed = harmony_kind(Chord.parse(symbol).degrees)
    assert found == kind
    assert ", ".join(f"{c.type} {c.number} {c.alter}" for c in changed) == degrees


DEGREES = st.sets(
    st.builds(Degree, st.sampled_from([2, 3, 4, 5, 6, 7, 9, 11, 13]), st.integers(-1, 1)),
    min_size=1,
    max_size=6,
)


@given(DEGREES)
def test_any_degrees_read_back_through_our_own_reader(degrees: set[Degree]) -> None:
    from harmonykit.score.kinds import chord_of_kind

    root = Note.parse("C")
    chord = Chord.build(root, {Degree(1), *degrees})
    kind, changed = harmony_kind(chord.degrees)
    assert chord_of_kind(root, kind, changed).semitones == chord.semitones


def test_root_kind_bass_and_degrees_stand_in_the_standards_order() -> None:
    # MusicXML 4.0, harmony: root, kind, inversion?, bass?, degree*.
    element = chord_harmony(Chord.parse("F#7b9/B"))
    assert [child.tag for child in element] == ["root", "kind", "bass", "degree"]


def test_a_slash_chord_has_its_bass_and_its_printed_text() -> None:
    harmony = chord_harmony(Chord.parse("F#7b9/B"))
    assert read(harmony) == ("F#", (0, 1, 4, 7, 10), "B")
    assert harmony.find("kind").get("text") == "7♭9"  # type: ignore[union-attr]
    # The text says the degree, so it is not printed a second time.
    assert {d.get("print-object") for d in harmony.findall("degree")} == {"no"}


def test_no_chord_is_the_kind_none() -> None:
    harmony = chord_harmony(None)
    assert harmony.findtext("kind") == "none"
    assert harmony.find("kind").get("text") == "N.C."  # type: ignore[union-attr]


def test_a_frame_has_the_frets_of_the_neck_on_the_strings_of_the_standard() -> None:
    # The standard's `string`: 1 is the highest-pitched; a muted string has no frame-note.
    frame = frame_element(frame_of(Voicing.parse("x32010", GUITAR)))
    found = [(n.findtext("string"), n.findtext("fret")) for n in frame.findall("frame-note")]
    assert found == [("5", "3"), ("4", "2"), ("3", "0"), ("2", "1"), ("1", "0")]
    assert frame.findtext("frame-strings") == "6"
    assert frame.find("first-fret") is None


def test_up_the_neck_a_frame_says_its_first_fret() -> None:
    frame = frame_element(frame_of(Voicing.parse("10-12-10-12", UKULELE)))
    # The standard's own example: first-fret 12 with frets 12 and 14.
    assert frame.findtext("first-fret") == "10"
    assert {n.findtext("fret") for n in frame.findall("frame-note")} == {"10", "12"}


def test_a_barre_starts_and_stops() -> None:
    shape = Voicing.parse("133211", GUITAR)
    frame = frame_element(frame_of(shape))
    ends = {
        n.findtext("string"): n.find("barre").get("type")  # type: ignore[union-attr]
        for n in frame.findall("frame-note")
        if n.find("barre") is not None
    }
    # The standard: it starts at the lowest-pitched string.
    assert ends == {"6": "start", "1": "stop"}
    assert {
        n.findtext("fret") for n in frame.findall("frame-note") if n.find("barre") is not None
    } == {"1"}
