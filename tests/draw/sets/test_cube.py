"""The cube as a figure: corners and edges as the published graph has them, each name in its box."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest
from lawful import ink, lawful
from tables import numbers, rows

from harmonykit.draw.base.colours import palette
from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.base.given import spoken_symbol
from harmonykit.draw.sets.cube import CORNERS, EDGES, chords_of, corner_at, draw_cube
from harmonykit.draw.tree import Path, Text
from harmonykit.errors import HarmonyError
from harmonykit.theory.diminished import diminished_sevenths
from harmonykit.theory.sets.pcset import PcSet

SYMBOLS = [chord.symbol for chord in diminished_sevenths()]


def test_the_sixteen_are_those_of_the_table() -> None:
    """The chords that alternate with {2, 5, 8, 11}, found by exhaustion: 16, of five kinds."""
    table = {
        PcSet.of(*numbers(row["chord"]))
        for row in rows("eightnote_70")
        if row["alternates_with_2_5_8_11"] == "1"
    }
    chords = chords_of("Bdim7").values()
    assert {chord.pcs for chord in chords} == table and len(table) == 16
    kinds = Counter(chord.quality for chord in chords)
    assert kinds == {"dim7": 2, "7": 4, "m7b5": 4, "m7": 4, "7b5": 2}


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_an_edge_raises_one_note_by_a_semitone(symbol: str) -> None:
    """Thirty-two edges, as of every cube in four dimensions."""
    chords = chords_of(symbol)
    assert len(EDGES) == 32
    for low, high in EDGES:
        (old,), (new,) = chords[low].pcs - chords[high].pcs, chords[high].pcs - chords[low].pcs
        assert (new - old) % 12 == 1


def test_edges_of_one_voice_are_parallel_and_columns_are_evenly_filled() -> None:
    for bit in range(4):
        slopes = set()
        for low in (c for c in CORNERS if c[bit] == "0"):
            high = low[:bit] + "1" + low[bit + 1 :]
            (x, y), (a, b) = corner_at(low), corner_at(high)
            slopes.add((round(a - x, 6), round(b - y, 6)))
        assert len(slopes) == 1
    middle = sorted(corner_at(corner)[1] for corner in CORNERS if corner.count("1") == 2)
    gaps = {round(b - a, 6) for a, b in zip(middle, middle[1:], strict=False)}
    assert len(gaps) == 1 and corner_at("0000")[1] == pytest.approx(corner_at("1111")[1])


@pytest.mark.parametrize("colours", ["colour", "dark", "print", "one ink"])
@pytest.mark.parametrize("symbol", SYMBOLS)
def test_every_chord_stands_in_its_own_box(symbol: str, colours: str) -> None:
    drawing = draw_cube(symbol, colours)
    assert drawing.sheet.ids == tuple(f"corner-{corner}" for corner in CORNERS)
    assert palette(colours).ink in drawing.svg
    for corner, chord in chords_of(symbol).items():
        (name,) = drawing.sheet.all(Text, within=f"corner-{corner}")
        assert name.text == chord.unicode and name.x == pytest.approx(corner_at(corner)[0])
        assert spoken_symbol(chord.unicode) in drawing.alt
    boxes = [box_of(corner, symbol) for corner in CORNERS]
    for (a, b, c, d), (e, f, g, h) in combinations(boxes, 2):
        assert c < e or g < a or d < f or h < b
    assert min(box[0] for box in boxes) >= 0.5
    assert max(box[2] for box in boxes) <= drawing.width_mm - 0.5
    assert 0 < min(box[1] for box in boxes) and max(box[3] for box in boxes) < drawing.height_mm


def box_of(corner: str, symbol: str) -> tuple[float, float, float, float]:
    """Return the left, upper, right and lower edge of what a name takes, in mm."""
    x, y = corner_at(corner)
    half = text_width(chords_of(symbol)[corner].unicode, 13.0, 600) / 2 + 2.7
    return x - half, y - 3.6, x + half, y + 3.6


def test_the_first_column_says_which_note_was_raised() -> None:
    # By hand: A°7 is A C E♭ G♭; E♭ raised gives F♯m7♭5 (F♯ A C E), A raised Cm7♭5 (C E♭ G♭ B♭).
    texts = draw_cube("Bdim7").sheet.texts
    for words in ("E♭ to E", "G♭ to G", "A to B♭", "C to C♯", "no note raised", "all four"):
        assert words in texts


def test_kinds_are_told_by_the_box_and_not_by_colour() -> None:
    paths = draw_cube("Bdim7").sheet.all(Path)
    assert {path.fill for path in paths} | {path.stroke for path in paths} <= {
        *("", "ink", "paper", "soft", "hair")
    }
    assert len([path for path in paths if path.dash]) == 2  # the two flat fives


@pytest.mark.parametrize("symbol", ["C7", "C6", "Am"])
def test_there_is_no_cube_of_another_chord(symbol: str) -> None:
    with pytest.raises(HarmonyError, match="not a diminished seventh"):
        draw_cube(symbol)


def test_the_same_bytes_twice() -> None:
    assert draw_cube("Bdim7") == draw_cube("Bdim7")


# What the docstring says of each kind: whether the box is filled, its line, its dashes, its ring.
LOOKS = {
    "dim7": (True, 600, False, True),
    "7": (True, 600, False, False),
    "m7b5": (False, 600, False, False),
    "m7": (False, 400, False, False),
    "7b5": (False, 400, True, False),
}


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_each_kind_has_the_box_that_is_said_of_it(symbol: str) -> None:
    """Ringed, solid, bold, thin, broken; a half-diminished has a bold line, a minor a thin one."""
    drawing = draw_cube(symbol)
    lawful(drawing, (3.3, 6.9, 4, 4))
    widths = {}
    for corner, chord in chords_of(symbol).items():
        *rings, box = drawing.sheet.all(Path, within=f"corner-{corner}")
        (name,) = drawing.sheet.all(Text, within=f"corner-{corner}")
        filled, weight, dashed, ringed = LOOKS[chord.quality]
        assert (box.fill == "ink", name.weight) == (filled, weight)
        assert (bool(box.dash), len(rings)) == (dashed, ringed)
        widths[chord.quality] = box.width
        # By hand: corners of .8 mm, of a third of its height where it is ringed; dashes of .7.
        assert box.dash == ((0.7, 0.5) if dashed else ())
        assert corner_of(box) == pytest.approx(0.32 * 7.2 if ringed else 0.8)
        assert [corner_of(ring) for ring in rings] == [pytest.approx(0.32 * 7.2 + 1)] * ringed
        # All boxes are equally high; a name has as much air at its sides in each.
        assert box.box.height == pytest.approx(7.2)
        assert box.box.width - name.box.width == pytest.approx(2 * 2.7)
        for ring in rings:
            # A millimetre of paper all round.
            assert (ring.fill, ring.stroke, ring.width) == ("paper", "ink", box.width)
            assert ring.box.middle == pytest.approx(box.box.middle)
            across, down = (
                ring.box.width - box.box.width,
                ring.box.height - box.box.height,
            )
            assert across == pytest.approx(2) and down == pytest.approx(2)
    assert widths["m7b5"] > 2 * widths["m7"] and widths["m7"] == widths["7b5"]


def corner_of(box: Path) -> float:
    """Return how far a round corner reaches down its side."""
    return box.points[0][1] - box.box.top


def test_the_words_of_the_first_column_stand_close_to_their_boxes_away_from_the_edges() -> None:
    """Above the three that rise, below the one that falls; the line to the next column is clear."""
    drawing = draw_cube("Bdim7")
    words = {"1000": "A to B♭", "0100": "C to C♯", "0010": "E♭ to E", "0001": "G♭ to G"}
    said = {t.text: t for t in drawing.sheet.all(Text)}
    assert {said[word].text for word in words.values()} == set(words.values())
    for corner in words:
        (box,) = drawing.sheet.all(Path, within=f"corner-{corner}")
        near = [
            t
            for t in said.values()
            if t.x == pytest.approx(box.box.middle[0]) and t.colour == "soft"
        ]
        gaps = [
            box.box.top - ink(t).bottom if corner != "0001" else ink(t).top - box.box.bottom
            for t in near
        ]
        assert min(gap for gap in gaps if gap > 0) == pytest.approx(1.15, abs=0.15)


def test_columns_say_below_how_many_notes_are_raised() -> None:
    drawing = draw_cube("Bdim7")
    said = ("no note raised", "one", "two", "three", "all four")
    below = [t for t in drawing.sheet.all(Text) if t.text in said]
    assert tuple(t.text for t in below) == said
    xs = [corner_at(corner)[0] for corner in ("0000", "1000", "1100", "1110", "1111")]
    # The first gives way to the edge of the sheet by half a millimetre.
    assert [t.x for t in below] == pytest.approx([xs[0] + 0.5, *xs[1:]])
    lowest = max(part.box.bottom for part in drawing.sheet.all(Path))
    assert len({t.baseline for t in below}) == 1 and ink(below[0]).top > lowest + 4
    assert 3.5 < drawing.height_mm - below[0].baseline < 4.5


def test_edges_run_from_box_to_box_and_those_at_the_ends_are_bold() -> None:
    thin, bold = (p for p in draw_cube("Bdim7").sheet.parts if isinstance(p, Path))
    assert bold.width > 2 * thin.width
    for path, wanted in ((bold, 8), (thin, 24)):
        assert len(path.strokes()) == wanted
        for (x, y), (a, b) in path.strokes():
            ends = [c for c in CORNERS if corner_at(c) in ((x, y), (a, b))]
            assert len(ends) == 2 and (a - x) == pytest.approx(38)
            assert any(c in ("0000", "1111") for c in ends) == (path is bold)
