"""What a note does in its chord, and the mark that says so."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from harmonykit.show.canvas import Canvas
from harmonykit.show.marks import ROLES, degree_word, draw_mark, mark_drawing, role_of
from harmonykit.show.style import palette
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

# Common practice, no source: the role of each tone, written out by hand.
TONES = {
    "C": "C root E third G fifth",
    "Am7": "A root C third E fifth G seventh",
    "C6": "C root E third G fifth A seventh",
    "Bm7b5": "B root D third F fifth A seventh",
    "G7b9": "G root B third D fifth F seventh Ab tension",
    "G7#5": "G root B third D# tension F seventh",
    "G7b5": "G root B third Db tension F seventh",
    "D13": "D root F# third A fifth C seventh E tension G tension B tension",
    "Gsus4": "G root C tension D fifth",
    "Edim7": "E note G note Bb note Db note",
    "E5": "E root B fifth",
}


@pytest.mark.parametrize(("symbol", "tones"), TONES.items())
def test_each_tone_has_its_role(symbol: str, tones: str) -> None:
    chord = Chord.parse(symbol)
    words = tones.split()
    for name, role in zip(words[::2], words[1::2], strict=True):
        assert role_of(chord, Note.parse(name).pitch_class) == role, name


def test_a_note_outside_the_chord_is_a_plain_note() -> None:
    assert role_of(Chord.parse("C/D"), 2) == "note"
    assert role_of(None, 2) == "note"
    assert degree_word(Chord.parse("C/D"), 2) == degree_word(None, 2) == ""


def test_degrees_are_said_in_words() -> None:
    said = [degree_word(Chord.parse("Cdim7"), pc) for pc in (0, 3, 6, 9)]
    assert said == ["the root", "the minor third", "the flat fifth", "the diminished seventh"]
    said = [degree_word(Chord.parse("C7#9"), pc) for pc in (4, 10, 3)]
    assert said == ["the major third", "the flat seventh", "the sharp ninth"]
    assert degree_word(Chord.parse("Cmaj7"), 11) == "the major seventh"


def paths(role: str, letter: str = "") -> list[dict[str, str]]:
    canvas = Canvas(10, 10)
    draw_mark(canvas, 5, 5, role, 4.2, letter)
    root = ET.fromstring(canvas.drawing("m", "m").svg)
    return [dict(e.attrib) for e in root.iter() if e.tag.endswith(("path", "text"))]


def test_shapes_differ_without_their_colours() -> None:
    canvases = {}
    for role in ROLES:
        canvas = Canvas(10, 10, "one ink")
        draw_mark(canvas, 5, 5, role, 4.2)
        canvases[role] = canvas.drawing("m", "m").svg
    assert len(set(canvases.values())) == len(ROLES)


def test_letters_stand_out_from_their_mark() -> None:
    paper, ink = palette("colour").paper, palette("colour").ink
    for role in ("note", "root", "third", "seventh"):
        assert f"fill: {paper}" in paths(role, "C")[-1]["style"]
    for role in ("fifth", "was"):
        assert f"fill: {ink}" in paths(role, "C")[-1]["style"]
        assert f"fill: {paper}" in paths(role, "C")[0]["style"]


def test_the_ring_of_where_it_was_has_twelve_dashes() -> None:
    dashes = paths("was")[-1]["style"].split("stroke-dasharray: ")[1].split(";")[0]
    on_off = [float(n) for n in dashes.split(",")]
    assert 3.14159265 * 0.92 * 4.2 * 72 / 25.4 / sum(on_off) == pytest.approx(12, rel=1e-3)


@pytest.mark.parametrize("role", ROLES)
def test_a_mark_alone_fits_its_sheet(role: str) -> None:
    drawing = mark_drawing(role)
    assert drawing.width_mm == pytest.approx(5.88)
    assert ROLES[role].split()[0] in drawing.alt
