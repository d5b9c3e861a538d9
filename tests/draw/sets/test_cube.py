"""The cube as a figure: corners and edges as the published graph has them, each name in its box."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest
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
