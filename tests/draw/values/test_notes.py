"""Chords, sets and scales as they show themselves: each fact by hand or from a published table."""

from __future__ import annotations

from dataclasses import replace

import pytest
from lawful import lawful

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.board import NeckLook
from harmonykit.draw.shapes.looks import draw_tuning
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.draw.tree import Group, Mark, Path, Text
from harmonykit.draw.values.notes import (
    show_chord,
    show_instrument,
    show_scale,
    show_set,
    show_sixth_diminished,
    show_voicing,
)
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.modes import Scale
from harmonykit.theory.scale import SixthDiminished
from harmonykit.theory.sets.pcset import PcSet


def rows(drawing: Drawing) -> list[tuple[str, ...]]:
    """Return the texts beside the clock, line by line."""
    lines: dict[float, list[str]] = {}
    for part in drawing.sheet.parts:
        if isinstance(part, Text):
            lines.setdefault(round(part.baseline, 2), []).append(part.text)
    found: list[tuple[str, ...]] = []
    for line in lines.values():
        if line[0] or not found:
            found.append(tuple(line))
        else:  # it goes on with what did not fit
            *first, last = found[-1]
            found[-1] = (*first, f"{last} {line[-1]}")
    return found


@pytest.mark.parametrize(
    "drawing",
    [
        show_chord(Chord.parse("C7/E")),
        show_set(PcSet.of(0, 3, 6, 9)),
        show_sixth_diminished(SixthDiminished("C")),
        show_scale(Scale("G", "mixolydian")),
    ],
)
def test_they_keep_the_laws_of_figures(drawing: Drawing) -> None:
    lawful(drawing, (11.5, 11.5, 80, 11.5))


def test_a_chord_tells_each_tone_and_its_bass() -> None:
    told = rows(show_chord(Chord.parse("C7/E")))
    assert told[0] == ("C7/E",) and told[1] == ("C seven over E",)
    assert set(told[2:]) == {
        ("1", "C", "the root"),
        ("3", "E", "the major third, in the bass"),
        ("5", "G", "the fifth"),
        ("♭7", "B♭", "the flat seventh"),
    }
    # A bass outside the chord is no degree of it.
    assert ("bass", "D", "the bass") in rows(show_chord(Chord.parse("C/D")))
    assert "in the bass" not in show_chord(Chord.parse("C7")).alt
    marks = [m.role for m in show_chord(Chord.parse("C7")).sheet.parts if isinstance(m, Mark)]
    assert marks == ["root", "third", "fifth", "seventh"]


def test_a_set_tells_its_class_vector_and_symmetry() -> None:
    """Forte 1973: 4-28 is [0,3,6,9], vector 004002; kept by 4 transpositions and 4 inversions."""
    told = dict(row for row in rows(show_set(PcSet.of(0, 3, 6, 9))) if len(row) == 2)
    assert told["set class"].startswith("4-28") and told["prime form"] == "0369"
    assert told["intervals"] == "0 0 4 0 0 2"
    assert told["symmetry"] == "unchanged by 4 transpositions and 4 inversions"
    axes = show_set(PcSet.of(0, 3, 6, 9)).sheet.all(Group, "axis")
    assert len(axes) == 4


@pytest.mark.parametrize(
    ("pcs", "symmetry", "size"),
    [
        # By hand: a major triad has none, a minor seventh one mirror, an octatonic scale's
        # half, 0 1 6 7, comes back at the tritone and by two inversions.
        ((0, 4, 7), "none", "3 pitch classes"),
        ((0, 3, 7, 10), "unchanged by 1 inversion", "4 pitch classes"),
        ((0, 1, 6, 7), "unchanged by 2 transpositions and 2 inversions", "4 pitch classes"),
        # 6-30 comes back at the tritone, and by no inversion (Forte 1973).
        ((0, 1, 3, 6, 7, 9), "unchanged by 2 transpositions", "6 pitch classes"),
        ((5,), "unchanged by 1 inversion", "one pitch class"),
    ],
)
def test_symmetry_and_size_in_words(pcs: tuple[int, ...], symmetry: str, size: str) -> None:
    told = rows(show_set(PcSet.of(*pcs)))
    assert ("symmetry", symmetry) in told and (size,) in told


def test_an_empty_set_and_names_of_chords() -> None:
    empty = show_set(PcSet.of())
    assert ("no pitch classes",) in rows(empty) and "The set without notes" in empty.alt
    assert ("prime form", "none") in rows(empty) and "prime form none, " in empty.alt
    told = dict(row for row in rows(show_set(PcSet.of(0, 4, 7, 9))) if len(row) == 2)
    assert {"C6", "Am7"} <= set(told["as a chord"].split(", "))
    assert len(told["as a chord"].split(", ")) <= 4
    assert not any(row[0] == "as a chord" for row in rows(show_set(PcSet.of(0, 1, 2))))


def test_a_sixth_diminished_scale_alternates() -> None:
    """C D E F G A♭ A B: C6 on C, E, G and A, a diminished seventh on each other note."""
    drawing = show_sixth_diminished(SixthDiminished("C"))
    table = [row for row in rows(drawing) if len(row) == 3]
    assert [row[1] for row in table] == "C D E F G A♭ A B".split()
    assert [row[0] for row in table] == "1 2 3 4 5 ♭6 6 7".split()
    chords = [row[2] for row in table]
    assert [chord.endswith("°7") for chord in chords] == [False, True, False, True] + [
        False,
        True,
        False,
        True,
    ]
    assert chords[0] == "C6" and chords[2] == "C6/E" and chords[1] == "D°7"
    marks = [m.role for m in drawing.sheet.parts if isinstance(m, Mark)]
    assert [role == "was" for role in marks] == [False, True, False, True] + [
        False,
        True,
        False,
        True,
    ]
    dashed = [path for path in drawing.sheet.all(Path) if path.dash]
    assert dashed


def test_a_scale_of_seven_notes_has_a_chord_on_each_degree() -> None:
    """The seventh chords of the major scale (any textbook: common practice)."""
    told = rows(show_scale(Scale("C", "major")))
    table = [row for row in told if len(row) == 3]
    assert [row[1:] for row in table] == [
        ("C", "Cmaj7"), ("D", "Dm7"), ("E", "Em7"), ("F", "Fmaj7"),
        ("G", "G7"), ("A", "Am7"), ("B", "Bm7♭5"),
    ]  # fmt: skip
    assert ("steps of 2 2 1 2 2 2 1 semitones",) in told
    whole = rows(show_scale(Scale("C", "whole tone")))
    assert not any(len(row) == 3 for row in whole)
    assert "on each degree" not in show_scale(Scale("C", "whole tone")).alt


def test_a_shape_spells_its_notes_as_its_chord_does() -> None:
    """Of B flat the root is B flat and no A sharp; of E the third is G sharp (any textbook)."""
    for frets, wanted in (("3211", "B♭4 D4 F4 B♭4"), ("4442", "B4 E4 G♯4 B4")):
        told = dict(
            row for row in rows(show_voicing(Voicing.parse(frets, "ukulele"))) if len(row) == 2
        )
        assert told["notes"] == wanted


@pytest.mark.parametrize(
    "name", ["ukulele", "guitar", "mandolin", "five-string banjo", "baritone ukulele"]
)
@pytest.mark.parametrize("capo", [0, 3])
def test_an_instrument_has_its_words_its_posts_and_its_neck(name: str, capo: int) -> None:
    """By hand: the name 9 mm down, facts in lines of 5 mm; posts at the right, the neck below."""
    instrument = replace(Instrument.named(name), capo=capo)
    drawing = show_instrument(instrument)
    lawful(drawing, (4.1, 6, 6.1, 6))
    sheet = drawing.sheet
    texts = [part for part in sheet.parts if isinstance(part, Text)]
    assert texts[0].text == name and (texts[0].size, texts[0].weight) == (17.0, 600)
    assert [t.x for t in texts] == [4.0] * len(texts)
    assert [t.baseline for t in texts] == pytest.approx([9 + 5.0 * n for n in range(len(texts))])
    assert [(t.size, t.weight, t.colour) for t in texts[1:]] == [(8.5, 400, "soft")] * (
        3 if capo else 2
    )
    opened = [t.text for t in texts if t.text.startswith("open strings ")]
    pitches = " ".join(f"{note.unicode}{note.octave}" for note in instrument.strings)
    assert opened == [f"open strings {pitches}"]
    assert any("capo at fret 3" in t.text for t in texts) == bool(capo)
    posts, neck = (p for p in sheet.parts if isinstance(p, Group) and p.role == "drawing")
    # The ground of the posts ends 4 mm from the edge, as the neck's figure does on both sides.
    assert posts.box.right == pytest.approx(sheet.width - 4)
    assert 4.0 <= neck.box.left and neck.box.right <= sheet.width - 4
    assert neck.box.top > max(posts.box.bottom, texts[-1].baseline) + 3
    # Over the neck there is room for a name of a shape.
    assert neck.box.top < max(posts.box.bottom, texts[-1].baseline) + 12.5
    # Whole: the words or the posts, 4 mm, the neck with its own room, and 2 mm at the foot.
    alone = draw_neck(instrument, (), look=NeckLook(frets=12, width=144))
    head = max(9 + 5.0 * (len(texts) - 1), draw_tuning(instrument).height_mm + 4)
    assert drawing.height_mm == pytest.approx(head + 4 + alone.height_mm + 2)
    assert "strung left-handed" in show_instrument(instrument.for_left_hand()).sheet.texts
