"""What moves: height is pitch."""

from __future__ import annotations

import math
import re
from itertools import combinations, pairwise

import pytest
from lawful import ink, lawful

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.voices import draw_voices
from harmonykit.draw.tree import Group, Mark, Path, Text
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
    assert sorted(found) == ["+1", "1 half step in all", "4 half steps in all", "−1", "−1", "−2"]


def test_the_words_say_each_string() -> None:
    parts = resolved().alt.split(". ")
    assert len(parts) == 2
    assert "C string falls 1 half step from E flat to D" in parts[0]
    assert "g string falls 2 half steps from A to G" in parts[1]
    assert parts[1].endswith("4 half steps in all")


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
    assert "no half steps in all" in texts(same)
    assert same.alt.startswith("From C six to A minor seven: g string stays on G")


def test_digits_of_six_strings_and_the_total_do_not_touch() -> None:
    high = [shape("10-12-12-11-10-10", "D", GUITAR), shape("10-12-12-10-10-10", "Dm", GUITAR)]
    low = [shape("022100", "E", GUITAR), shape("022000", "Em", GUITAR)]
    four = [shape("4-4-4-7", "E", UKULELE), shape("4-4-3-7", "Em", UKULELE)]
    rows = []
    for shapes in (high, low, four):
        found = [
            t for t in draw_voices(shapes).sheet.all(Text) if "in all" in t.text or "-" in t.text
        ]
        rows.append({t.baseline for t in found})
        assert len(found) == 3
        for one, other in combinations(found, 2):
            boxes = one.box, other.box
            beside = boxes[0].right < boxes[1].left or boxes[1].right < boxes[0].left
            assert beside or one.baseline != other.baseline
    assert [len(row) for row in rows] == [2, 1, 1]


def test_what_cannot_be_compared_is_refused() -> None:
    with pytest.raises(HarmonyError, match="1 shapes"):
        draw_voices([shape("0000", "C6")])
    with pytest.raises(HarmonyError, match="one instrument"):
        draw_voices([shape("0000", "C6"), shape("022100", "E", GUITAR)])
    with pytest.raises(HarmonyError, match="names"):
        draw_voices([shape("0000", "C6"), shape("0001", "C7")], names=["C"])


def marks(drawing: Drawing, column: int) -> list[Mark]:
    """Return the marks of a column, string by string."""
    return [
        mark
        for group in drawing.sheet.all(Group)
        if group.id.startswith(f"shape-{column}-")
        for mark in drawing.sheet.all(Mark, within=group.id)
    ]


GUITARS = [shape("x32010", "C", GUITAR), shape("xx0212", "D7", GUITAR)]


def test_they_keep_the_laws_of_figures() -> None:
    high = [shape("10-12-12-11-10-10", "D", GUITAR), shape("10-12-12-10-10-10", "Dm", GUITAR)]
    for drawing in (resolved(), draw_voices(GUITARS), draw_voices(high)):
        lawful(drawing, (3.3, 3, 4.6, 2))


def test_columns_stand_as_far_apart_everywhere_under_their_names() -> None:
    drawing = resolved()
    names = [t for t in drawing.sheet.all(Text) if t.size == 17]
    feet = [t for t in drawing.sheet.all(Text) if t.text in ("2-3-2-3", "2-2-2-3", "0-2-3-2")]
    assert [t.x for t in names] == [t.x for t in feet]
    steps = {round(b.x - a.x, 3) for a, b in pairwise(names)}
    assert len(steps) == 1 and 40 < steps.pop() < 50
    for column, name in enumerate(names, 1):
        xs = [mark.x for mark in marks(drawing, column)]
        assert (min(xs) + max(xs)) / 2 == pytest.approx(name.x)
    # A name clears the highest mark, and what is below clears the lowest.
    highest = min(m.y - m.d / 2 for column in (1, 2, 3) for m in marks(drawing, column))
    lowest = max(m.y + m.d / 2 for column in (1, 2, 3) for m in marks(drawing, column))
    assert 1 < highest - names[0].baseline < 5
    assert 1.5 < ink(feet[0]).top - lowest < 5
    totals = [t for t in drawing.sheet.all(Text) if t.text.endswith("in all")]
    assert [t.x for t in totals] == [(a.x + b.x) / 2 for a, b in pairwise(names)]
    assert drawing.width_mm == pytest.approx(13.9 + 2 * 44.1 + 12)


def test_lines_leave_and_reach_the_marks_with_air_alike() -> None:
    """Every line begins and ends clear of the marks, by less than a mark's width."""
    for drawing in (resolved(), draw_voices(GUITARS)):
        for column in range(1, 3 if drawing.width_mm > 100 else 2):
            before, after = marks(drawing, column), marks(drawing, column + 1)
            left, right = max(m.x for m in before), min(m.x for m in after)
            for path in drawing.sheet.parts:
                if isinstance(path, Path) and path.stroke and left < path.box.middle[0] < right:
                    assert path.box.left > left - 30
                    ends = path.points[0], path.points[-1]
                    for mark in (*before, *after):
                        for x, y in ends:
                            near = abs(y - mark.y) < mark.d / 2 + 0.4
                            assert not near or abs(x - mark.x) >= mark.d / 2 + 1.2


def test_what_stays_runs_from_mark_to_mark_with_a_little_air() -> None:
    drawing = resolved()
    every = [mark for column in (1, 2, 3) for mark in marks(drawing, column)]
    for path in drawing.sheet.parts:
        if isinstance(path, Path) and path.width == 0.25:
            for x, y in path.points:
                gap = min(abs(x - m.x) - m.d / 2 for m in every if abs(m.y - y) < 0.01)
                assert 1.2 < gap < 2.2


def test_what_stays_is_thin_and_level_and_what_moves_is_thick_with_a_head() -> None:
    drawing = resolved()
    paths = [p for p in drawing.sheet.parts if isinstance(p, Path)]
    thin = [p for p in paths if p.width == 0.25]
    assert thin and all(p.box.height == 0 for p in thin)
    # 2323 to 2223: three stay.  2223 to 0232: D alone stays.
    assert len(thin) == 4
    # Each move: a line to the figure, a shaft and a head after it.
    thick = [p for p in paths if p.width == 0.8]
    assert len([p for p in paths if not p.stroke and p.fill]) == 4 and len(thick) == 8
    for figure in (t for t in drawing.sheet.all(Text) if t.text[0] in "+−"):
        at = figure.x, ink(figure).middle[1]
        # The number stands in the gap half-way: both pieces end as far from it.
        pieces = sorted(thick, key=lambda p: min(math.dist(at, point) for point in p.points))[:2]
        gaps = sorted(min(math.dist(at, q) for q in p.points) for p in pieces)
        assert gaps[0] == pytest.approx(gaps[1], abs=0.05)
        assert figure.box.width / 2 + 0.8 < gaps[0] < figure.box.width / 2 + 1.7


def test_neighbours_in_pitch_stand_side_by_side_and_others_in_the_column() -> None:
    """At 3.74 mm a semitone marks of 6.2 mm touch below two semitones."""
    for digits, apart in (("0000", 1), ("0002", 1)):
        row = marks(draw_voices([shape(digits, "C6"), shape("0003", "C")]), 1)
        xs = {round(mark.x, 3) for mark in row}
        assert len(xs) == apart
    # C4 C sharp 4 on neighbouring strings of a guitar: g string 5, b string 2.
    close = [(Voicing.parse("xxx52x", GUITAR), None), (Voicing.parse("xxx55x", GUITAR), None)]
    row = marks(draw_voices(close), 1)
    assert abs(row[0].x - row[1].x) == pytest.approx(8.0)
    assert all(mark.d == 6.2 for mark in row)


def test_strings_are_named_at_the_left_at_the_height_of_their_first_note() -> None:
    drawing = resolved()
    for string, label in enumerate(("g", "C", "E", "A"), 1):
        (mark,) = drawing.sheet.all(Mark, within=f"shape-1-string-{string}")
        names = [t for t in drawing.sheet.all(Text) if t.text == label and t.x < 5]
        assert [ink(t).middle[1] for t in names] == pytest.approx([mark.y], abs=0.1)
        assert names[0].box.right < mark.x - mark.d
    # Two strings at one pitch share a line: 0-4-0-x sounds G4, E4, E4.
    same = draw_voices([(Voicing.parse("040x", UKULELE), None), shape("0003", "C")])
    assert "C E" in same.sheet.texts


def test_a_wide_row_is_squeezed_to_80_mm() -> None:
    wide = [shape("0-2-2-1-0-12", "E", GUITAR), shape("022100", "E", GUITAR)]
    row = marks(draw_voices(wide), 1)
    assert max(m.y for m in row) - min(m.y for m in row) == pytest.approx(80)
    assert draw_voices(wide).height_mm < 110
