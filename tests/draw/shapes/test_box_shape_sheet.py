"""A sheet of shapes: which are drawn, for which strings, and what the marks mean."""

from __future__ import annotations

import pytest

from harmonykit.draw.shapes.box import instrument_sheet, shape_groups
from harmonykit.draw.tree import Group
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

SVG = "{http://www.w3.org/2000/svg}"
UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
DIM7 = Chord.parse("F#dim7")
CHORDS = [Chord.parse("C6"), DIM7, Chord.parse("G7b9")]
SHIPPED = [
    *("ukulele", "ukulele low g", "soprano ukulele", "soprano ukulele in D", "tenor ukulele"),
    *("tenor ukulele low g", "baritone ukulele", "guitar", "guitar drop D", "guitar DADGAD"),
    *("guitar open G", "tenor guitar", "mandolin", "five-string banjo"),
]


@pytest.mark.parametrize("name", SHIPPED)
def test_every_shipped_instrument_has_its_sheet(name: str) -> None:
    instrument = Instrument.named(name)
    pages = instrument_sheet(instrument, CHORDS, most=6)
    said = [text for page in pages for text in page.sheet.texts]
    assert said[0].lower() == name.lower()
    assert instrument.sheet_line.split(";")[0] in " ".join(said[1:3])
    assert {"C6", "F♯°7", "G7♭9"} <= set(said)
    assert "sixth or seventh" in said and "tension" in said and "earlier note" not in said
    boxes = [page.sheet.all(Group, "drawing") for page in pages]
    assert sum(map(len, boxes)) >= 3 * 3 + 1


def test_shapes_of_a_chord_are_counted_and_spread() -> None:
    (whole,) = shape_groups(UKULELE, [DIM7], most=99)
    shapes = find_voicings(DIM7, UKULELE)
    assert whole.note == f"{len(shapes)} shapes" and len(whole.drawings) == len(shapes)
    (some,) = shape_groups(UKULELE, [DIM7], most=4)
    assert some.note == f"4 of {len(shapes)} shapes" and len(some.drawings) == 4
    assert some.drawings[0] == whole.drawings[0]
    assert set(some.drawings) < set(whole.drawings)
    (none,) = shape_groups(Instrument.parse("C2 C3 C4 C5"), [Chord.parse("C13")])
    assert (none.note, none.drawings) == ("no shapes", ())


def test_the_sheet_has_the_shapes_in_their_order() -> None:
    for chord in (DIM7, Chord.parse("C")):
        (found,) = shape_groups(GUITAR, [chord], most=9)
        titles = [drawing.sheet.title for drawing in found.drawings]
        first = [shape.digits for shape in find_voicings(chord, GUITAR)[:9]]
        assert [title.split()[-1] for title in titles] == first


def test_a_shape_without_its_root_is_marked() -> None:
    # C9 = G D E Bb on g C E A has no C (common practice, no source).
    (found,) = shape_groups(UKULELE, [Chord.parse("C9")], most=2)
    rooted, rootless = found.drawings
    assert "rootless" in rootless.svg and "rootless" not in rooted.svg
