"""The matrix of distances, against the published table of dominants of a diminished seventh."""

from __future__ import annotations

import itertools
import math
from collections import Counter

import pytest
from lawful import holds, ink, lawful
from small_tunes import tune_of

from harmonykit.draw.plots.matrix import _usual, distances, draw_matrix, neighbours_together
from harmonykit.draw.tree import Box, Path, Sheet, Text
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord


def chords(text: str) -> list[Chord]:
    return [Chord.parse(name) for name in text.split()]


def test_the_diminished_seventh_is_a_semitone_from_its_four_dominants() -> None:
    """B diminished: Bb7, Db7, E7 and G7 (Cohn, Audacious Euphony, ch. 7)."""
    table = distances(chords("Bdim7 Bb7 Db7 E7 G7"))
    assert table[0] == [0, 1, 1, 1, 1]
    # A tritone or a minor third apart, two semitones (by arithmetic; parsimony graph).
    assert {table[a][b] for a in range(1, 5) for b in range(1, 5) if a != b} == {2}


def test_triads_and_sevenths_are_compared_with_a_note_doubled() -> None:
    # C E G to C E G Bb: one G (or C) is doubled and goes two (or three) semitones to B flat.
    assert distances(chords("C C7"))[0][1] == 2


@pytest.mark.parametrize("names", ["Gm6 Bb7 Eb6 D7 C#dim7", "G7 C6", "Bbm6 Gm6 F6 A7 Eb7 Dm7"])
def test_the_order_is_as_short_as_the_best_of_all_orders(names: str) -> None:
    table = distances(chords(names))
    order = neighbours_together(table)
    assert sorted(order) == list(range(len(table)))

    def length(row: tuple[int, ...] | list[int]) -> int:
        return sum(table[a][b] for a, b in itertools.pairwise(row))

    best = min(length(row) for row in itertools.permutations(range(len(table))))
    assert length(order) == best


def test_the_picture_has_the_lower_triangle_alone() -> None:
    figure = draw_matrix(chords("C6 A7 F7 D7"))
    for name in ("C6", "A7", "F7", "D7"):
        assert figure.sheet.texts.count(name) == 1
    numbers = [figure.sheet.texts.count(str(n)) for n in range(1, 8)]
    assert sum(numbers) == 6 + 3  # six pairs and the key
    assert "1 between: A seven and C six" in figure.alt


def test_a_silence_parts_two_changes() -> None:
    """By hand: C6 to A7 and A7 to Dm7 are changes; from G7 to C6 nothing sounds between."""
    told = draw_matrix(tune_of("| C6 | A7 | Dm7 | Dm7 | N.C. | G7 | N.C. | C6 |")).alt
    assert "The tune’s 2 changes" in told and "It uses 2 of the 6 possible changes" in told


def test_one_chord_has_no_matrix() -> None:
    with pytest.raises(HarmonyError, match="1 chord to compare"):
        draw_matrix(chords("C6"))


def cells(sheet: Sheet) -> list[Box]:
    """Return the squares of the triangle, row by row."""
    return [p.box for p in sheet.all(Path) if p.stroke == "hair"]


@pytest.mark.parametrize("names", ["C6 A7", "C6 A7 F7 D7 C#dim7", "C6 A7 F7 D7 C#dim7 Gm6 Bb7 Eb6"])
def test_it_keeps_the_laws_of_figures(names: str) -> None:
    lawful(draw_matrix(chords(names)), (2.5, 2, 20, 6))


def test_squares_touch_and_names_stand_on_the_diagonal() -> None:
    sheet = draw_matrix(chords("C6 A7 F7 D7 Gm6")).sheet
    found = cells(sheet)
    assert len(found) == 10
    side = found[0].width
    assert all(box.width == pytest.approx(side) == pytest.approx(box.height) for box in found)
    assert 6 < side < 8
    left, top = min(b.left for b in found), min(b.top for b in found) - side
    places = {(round((b.left - left) / side, 3), round((b.top - top) / side, 3)) for b in found}
    assert places == {(column, row) for row in range(1, 5) for column in range(row)}
    names = [t for t in sheet.all(Text) if t.text in ("C6", "A7", "F7", "D7", "Gm6")]
    for place, name in enumerate(names):
        assert ink(name).middle[1] == pytest.approx(top + (place + 0.5) * side, abs=0.1)
        assert 0.8 < name.box.left - (left + place * side) < 2
        assert name.anchor == "left" and name.weight == 600


def test_figures_are_the_distances_of_row_and_column_and_look_so() -> None:
    names = "C6 A7 F7 D7 C#dim7 Am7"
    read = chords(names)
    table = distances(read)
    drawing = draw_matrix(read)
    sheet = drawing.sheet
    symbols = [t.text for t in sheet.all(Text) if t.weight == 600 and not t.text.isdigit()]
    place = {chord.unicode: n for n, chord in enumerate(read)}
    found = cells(sheet)
    side, left = found[0].width, min(b.left for b in found)
    top = min(b.top for b in found) - side
    for row in range(1, 6):
        for column in range(row):
            wanted = table[place[symbols[row]]][place[symbols[column]]]
            x, y = left + (column + 0.5) * side, top + (row + 0.5) * side
            here = [
                t
                for t in sheet.all(Text)
                if abs(t.x - x) < 0.01 and abs(ink(t).middle[1] - y) < 0.1 and t.anchor == "center"
            ]
            filled = [
                p for p in sheet.all(Path) if p.fill and math.dist(p.box.middle, (x, y)) < 0.01
            ]
            if wanted == 0:
                # The same notes: a dot alone.
                assert not here and len(filled) == 1 and 1 < filled[0].box.width < 2
                continue
            assert [t.text for t in here] == [str(wanted)]
            looks = {1: ("ink", "paper", 600), 2: ("paper", "ink", 600)}.get(wanted)
            if looks:
                assert (filled[0].fill, here[0].colour, here[0].weight) == looks
                assert side - 1.2 < filled[0].box.width < side
            else:
                assert not filled and (here[0].colour, here[0].weight) == ("soft", 400)
    # C6 and Am7 have the same notes.
    assert "0" not in sheet.texts


def test_the_key_stands_in_the_empty_triangle_in_even_rows() -> None:
    for names in ("C6 A7", "C6 A7 F7 D7 C#dim7 Gm6 Bb7 Eb6"):
        drawing = draw_matrix(chords(names))
        words = [t for t in drawing.sheet.all(Text) if "semitone" in t.text or "three" in t.text]
        assert len({t.box.left for t in words}) == 1
        steps = [b.baseline - a.baseline for a, b in itertools.pairwise(words)]
        assert steps[0] == pytest.approx(steps[1]) and 6.7 < steps[0] < 9
        for text, figure in zip(words, "123", strict=True):
            (number,) = [
                t
                for t in drawing.sheet.all(Text)
                if t.text == figure
                and abs(ink(t).middle[1] - ink(text).middle[1]) < 0.3
                and 0 < text.box.left - t.x < 9
            ]
            assert 4 < text.box.left - number.x < 7
        right = max(t.box.right for t in words)
        assert right < drawing.width_mm and words[0].baseline < 8
        assert max(b.bottom for b in cells(drawing.sheet)) < drawing.height_mm


MANY = "C6 A7 F7 D7 C#dim7 Gm6 Bb7 Eb6 E7 Bdim7 Ab7 B7 Dm7 Fm6 F#m6 G7 Abm6"


@pytest.mark.parametrize("count", [2, 6, 10, 14])
def test_on_a_telephone_the_key_stands_below_and_squares_shrink(count: int) -> None:
    """By hand: 14 squares of 6.6 mm are 92 mm wide, more than the 90 that a telephone has."""
    names = " ".join(MANY.split()[:count])
    small, wide = draw_matrix(chords(names), width_mm=90), draw_matrix(chords(names), width_mm=174)
    assert small.width_mm <= 90 and wide.width_mm <= 174
    sides = [cells(figure.sheet)[0].width for figure in (small, wide)]
    assert sides[1] == pytest.approx(6.6) and (sides[0] < 6.6) == (count == 14)
    lawful(small, (2.5, 4, 17, 6))
    words = [t for t in small.sheet.all(Text) if "semitone" in t.text]
    assert words[0].baseline > max(b.bottom for b in cells(small.sheet)) or count == 2


def test_more_chords_than_have_room_are_refused() -> None:
    names = [f"{root}{kind}" for root in "CDEFG" for kind in ("6", "7", "m7", "m6", "+")]
    with pytest.raises(HarmonyError, match="25 chords in a figure 90 mm wide"):
        draw_matrix([Chord.parse(name) for name in names], width_mm=90)


def test_the_key_of_a_tune_has_a_fourth_row_for_the_ear_as_far_below_as_the_others() -> None:
    for width in (152.0, 90.0):
        drawing = draw_matrix(tune_of("| C6 | A7 | Dm7 | G7 | C6 |"), width_mm=width)
        said = ("one semitone", "two semitones", "three or more", "a change in the tune")
        rows = [t for t in drawing.sheet.all(Text) if t.text.startswith(said)]
        assert [t.text.partition(":")[0] for t in rows] == list(said)
        assert [b.baseline - a.baseline for a, b in itertools.pairwise(rows)] == pytest.approx(
            [7.4] * 3
        )
        assert len({t.x for t in rows}) == 1
        row = ink(rows[3]).middle[1]
        near = [p.box for p in drawing.sheet.all(Path) if abs(p.box.middle[1] - row) < 2]
        assert any(0 < rows[3].x - box.right < 6 for box in near)


@pytest.mark.parametrize("width", [90.0, 152.0, 174.0])
@pytest.mark.parametrize("bars", [2, 5, 14, 17])
def test_what_is_told_of_a_tune_stands_below_matrix_and_key(width: float, bars: int) -> None:
    drawing = draw_matrix(tune_of(f"| {' | '.join(MANY.split()[:bars])} |"), width_mm=width)
    lawful(drawing, (2.5, 4, 20, 6))
    sheet = drawing.sheet
    told = [t for t in sheet.all(Text) if (t.size, t.colour, t.x) == (8.5, "ink", 2.0)]
    assert " ".join(t.text for t in told) in drawing.alt
    head = "The tune’s 1 change moves" if bars == 2 else f"The tune’s {bars - 1} changes move the"
    assert told[0].text.startswith(head)
    rest = [t for t in sheet.all(Text) if t not in told]
    lowest = max(ink(t).bottom for t in rest)
    lowest = max(lowest, *(b.bottom for b in cells(sheet)))
    assert 1.0 < ink(told[0]).top - lowest < 6.3
    steps = [b.baseline - a.baseline for a, b in itertools.pairwise(told)]
    assert steps == pytest.approx([4.3] * len(steps))
    assert 1.0 < drawing.height_mm - told[-1].baseline < 3.0


def test_the_key_stands_clear_of_the_triangle_wherever_it_stands() -> None:
    """Beside it, in the corner that is empty, while the figure's width has room; else below."""
    for count in range(2, 15):
        for width in (90.0, 120.0, 152.0, 174.0):
            names = " ".join(MANY.split()[:count])
            sheet = draw_matrix(chords(names), width_mm=width).sheet
            squares = cells(sheet)
            said = [t for t in sheet.all(Text) if "semitone" in t.text or "three" in t.text]
            bold = [t for t in sheet.all(Text) if t.weight == 600 and t.anchor == "left"]
            for text in said:
                row = ink(text)
                left = row.left - 9.0
                level = [b for b in squares if b.top < row.bottom + 2 and row.top - 2 < b.bottom]
                assert all(b.right < left for b in level)
                near = [ink(t) for t in bold if ink(t).top < row.bottom and row.top < ink(t).bottom]
                assert all(b.right < left - 1 for b in near)
                assert row.right <= sheet.width


def test_changes_are_compared_with_two_chords_at_random() -> None:
    """By hand: of distances 2, 4 and 6 the mean is 4; a change twice made counts twice."""
    table = [[0, 2, 4], [2, 0, 6], [4, 6, 0]]
    for made, said in (
        ({(1, 0): 1}, "1 change moves the voices 2.0 semitones on average, less than a"),
        ({(2, 0): 1}, "1 change moves the voices 4.0 semitones on average, as much as a"),
        ({(2, 1): 1}, "1 change moves the voices 6.0 semitones on average, more than a"),
        ({(1, 0): 1, (2, 1): 1}, "2 changes move the voices 4.0 semitones on average, as much as"),
        ({(1, 0): 3, (2, 1): 1}, "4 changes move the voices 3.0 semitones on average, less than"),
    ):
        told = _usual(table, Counter(made))
        assert told.startswith(f"The tune’s {said}") and "picked at random (4.0)" in told
        assert told.endswith(f"It uses {len(made)} of the 3 possible changes.")


@pytest.mark.parametrize("width", [90.0, 152.0])
@pytest.mark.parametrize("bars", [5, 17])
def test_a_corner_is_as_large_a_part_of_its_cell_in_small_cells(width: float, bars: int) -> None:
    """By hand: in a cell of 6.6 mm the corner is 1.9 mm, .6 from its edges."""
    sheet = draw_matrix(tune_of(f"| {' | '.join(MANY.split()[:bars])} |"), width_mm=width).sheet
    squares = cells(sheet)
    side = squares[0].width
    ears = [p for p in sheet.all(Path) if p.fill and len(p.points) == 3][:-1]
    assert len(ears) == bars - 1
    for ear in ears:
        size = pytest.approx(1.9 * side / 6.6)
        assert (ear.box.width, ear.box.height) == (size, size)
        (cell,) = [b for b in squares if holds(b, ear.box.middle)]
        assert cell.right - ear.box.right == pytest.approx(0.6)
        assert ear.box.top - cell.top == pytest.approx(0.6)
        # White on a solid cell, black on others.
        solid = any(
            p.fill == "ink" and len(p.points) > 4 and holds(p.box, cell.middle)
            for p in sheet.all(Path)
        )
        assert ear.fill == ("paper" if solid else "ink")
