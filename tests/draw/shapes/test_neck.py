"""Shapes along the neck."""

from __future__ import annotations

import itertools
import math

import pytest
from lawful import lawful

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.board import NeckLook
from harmonykit.draw.shapes.neck import draw_neck, hop
from harmonykit.draw.tree import Mark, Path, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
C6, B_DIM = Chord.parse("C6"), Chord.parse("Bdim7")
# The climb of C sixth-diminished on g C E A: theory, "On the strings" (common practice).
CLIMB = ("0000", "1212", "2433", "4545", "5757", "7878", "9-9-8-10")


def climb(left_handed: bool = False) -> Drawing:
    shapes = [(Voicing.parse(d, UKULELE), (C6, B_DIM)[i % 2]) for i, d in enumerate(CLIMB)]
    return draw_neck(UKULELE, shapes, look=NeckLook(passing=(1, 3, 5), left_handed=left_handed))


def places(drawing: Drawing, text: str) -> list[float]:
    """Return the x in mm of each run of text that reads so."""
    return [found.x for found in drawing.sheet.all(Text) if found.text == text]


def test_every_place_is_marked_once_under_its_id() -> None:
    ids = climb().sheet.ids
    assert len(ids) == len(set(ids)) == 28
    assert {"string-1-fret-0", "string-4-fret-10", "string-2-fret-9"} <= set(ids)


def test_wires_stand_in_true_proportion() -> None:
    """The distance to wire n is L (1 - 2^(-n/12)): Buckland 2021."""
    neck = climb()
    nut = neck.origin_mm[0]
    board = neck.sheet.all(Path)[0]
    wires = [stroke[0][0] - nut for stroke in board.strokes() if stroke[0][0] == stroke[1][0]]
    assert len(wires) == 12
    length = wires[11] * 2
    expected = [length * (1 - 2 ** (-n / 12)) for n in range(1, 13)]
    assert wires == pytest.approx(expected, abs=0.02)


def test_names_stand_over_the_last_string_of_their_shape() -> None:
    neck = climb()
    six, ten = places(neck, "C6"), places(neck, "10")
    assert len(six) == 4 and len(places(neck, "B°7")) == 3
    assert sorted(six)[-1] == pytest.approx(ten[0], abs=0.01)


def test_a_left_handed_neck_is_the_mirror_image() -> None:
    right, left = climb(), climb(left_handed=True)
    for text in ("C6", "B°7", "7", "g"):
        mirrored = sorted(right.width_mm - x for x in places(right, text))
        assert sorted(places(left, text)) == pytest.approx(mirrored, abs=0.01)
    assert "left hand" in left.alt


def test_passing_shapes_are_dashed_and_bear_no_letters() -> None:
    sheet = climb().sheet
    (dashed,) = [path for path in sheet.all(Path) if path.dash]
    assert len(dashed.strokes()) == 3
    assert not sheet.all(Text, within="string-1-fret-1")


def test_what_the_neck_says() -> None:
    alt = climb().alt
    assert alt.startswith(
        "The neck of the ukulele, tuned g C E A. C six: g string, open, the note G"
    )
    assert alt.count("on the way, B diminished seven") == 3


def test_names_that_would_touch_are_set_in_two_rows() -> None:
    shapes = [
        (Voicing.parse("8-10-10-9-8-8", GUITAR), Chord.parse("C")),
        (Voicing.parse("x-x-10-9-8-8", GUITAR), Chord.parse("Am7/C")),
    ]
    two, one = draw_neck(GUITAR, shapes), draw_neck(GUITAR, shapes[:1])
    assert two.height_mm > one.height_mm
    names = [text for text in two.sheet.all(Text) if text.text in ("C", "Am7/C")]
    assert len({text.baseline for text in names if text.size == 10.5}) == 2


def test_a_neck_shows_as_many_frets_as_its_shapes_need() -> None:
    high = [(Voicing.parse("x-x-x-14-15-15", GUITAR), None)]
    assert places(draw_neck(GUITAR, high), "15") and not places(draw_neck(GUITAR, []), "13")


def test_shapes_that_do_not_fit_are_refused() -> None:
    with pytest.raises(HarmonyError, match="strings"):
        draw_neck(GUITAR, [(Voicing.parse("0000", UKULELE), None)])
    with pytest.raises(HarmonyError, match="names"):
        draw_neck(UKULELE, [], names=["C"])


SHAPES = [
    (Voicing.parse("2323", UKULELE), Chord.parse("Adim7")),
    (Voicing.parse("0232", UKULELE), Chord.parse("G")),
]


def ids(drawing: Drawing) -> list[str]:
    return list(drawing.sheet.ids)


def moves(drawing: Drawing) -> dict[str, float]:
    """Return for each string that moves how far its arrow goes to the right, in mm."""
    found = {}
    for name in (name for name in ids(drawing) if name.endswith("-move")):
        shaft, head = drawing.sheet.all(Path, within=name)
        found[name] = head.points[0][0] - shaft.points[0][0]
    return found


def test_arrows_lead_from_rings_to_marks_on_the_strings_that_move() -> None:
    neck = draw_neck(UKULELE, SHAPES, arrows=True)
    # 2323 to 0232: g 2 to 0, C 3 to 2, E 2 to 3, A 3 to 2: all four move.
    assert sorted(i for i in ids(neck) if "was" in i) == [
        *("string-1-was-2", "string-2-was-3", "string-3-was-2", "string-4-was-3")
    ]
    assert {"string-1-fret-0", "string-2-fret-2", "string-3-fret-3"} < set(ids(neck))
    right = {gid: way > 0 for gid, way in moves(neck).items()}
    assert right == {
        "string-1-move": False,
        "string-2-move": False,
        "string-3-move": True,
        "string-4-move": False,
    }
    turned = moves(draw_neck(UKULELE, SHAPES, arrows=True, look=NeckLook(left_handed=True)))
    assert {gid: way > 0 for gid, way in turned.items()} == {g: not r for g, r in right.items()}
    assert "g string goes down 2 semitones from A to open, G, the root" in neck.alt


def test_a_string_that_stays_has_its_mark_and_nothing_else() -> None:
    held = [SHAPES[0], (Voicing.parse("2223", UKULELE), Chord.parse("D7"))]
    neck = draw_neck(UKULELE, held, arrows=True)
    assert [i for i in ids(neck) if "was" in i] == ["string-2-was-3"]
    assert list(moves(neck)) == ["string-2-move"]
    assert neck.alt.count(" stays: ") == 3


def test_letters_may_be_degrees_or_none() -> None:
    shape = [(Voicing.parse("x32010", GUITAR), Chord.parse("C"))]
    assert len(places(draw_neck(GUITAR, shape, letters="degrees"), "1")) == 3  # two roots, fret 1
    bare = draw_neck(GUITAR, shape, letters="none")
    assert len(places(bare, "C")) == 1  # the name
    assert len(places(bare, "G")) == 1  # the string


def test_muted_strings_of_one_shape_are_crossed_out() -> None:
    shape = (Voicing.parse("x32010", GUITAR), Chord.parse("C"))
    assert "string-1-muted" in ids(draw_neck(GUITAR, [shape]))
    assert "string-1-muted" not in ids(draw_neck(GUITAR, [shape, shape]))


def test_the_order_of_strings_turns_without_the_nut() -> None:
    shape = [(Voicing.parse("2433", UKULELE), C6)]
    for left in (False, True):
        plain, turned = (
            draw_neck(UKULELE, shape, look=NeckLook(left_handed=left, reverse_strings=order))
            for order in (False, True)
        )
        assert places(plain, "g") == places(turned, "g")
        assert plain.svg != turned.svg


def test_large_print_is_larger_in_all_its_parts() -> None:
    plain, large = (
        draw_neck(UKULELE, SHAPES[:1], look=NeckLook(size=size)) for size in ("plain", "large")
    )
    assert large.height_mm > 1.4 * plain.height_mm and large.width_mm == plain.width_mm
    assert min(text.size for text in large.sheet.all(Text)) >= 13


def test_every_place_has_its_id_where_they_are_asked_for() -> None:
    neck = draw_neck(UKULELE, SHAPES[:1], look=NeckLook(places=True))
    wanted = {f"string-{s}-fret-{f}" for s in range(1, 5) for f in range(13)}
    assert {i for i in ids(neck) if "-fret-" in i} == wanted
    assert len(ids(neck)) == len(set(ids(neck)))
    assert {"line-1", "line-4", "wire-1", "wire-12"} < set(ids(neck))


def test_a_short_neck_is_shown_whole() -> None:
    raised = UKULELE.with_capo(5)
    neck = draw_neck(raised, [(Voicing.parse("0003", raised), None)])
    assert places(neck, "10") and not places(neck, "11")


def test_settings_that_contradict_each_other_are_refused() -> None:
    with pytest.raises(HarmonyError, match="arrows between 1 shapes"):
        draw_neck(UKULELE, SHAPES[:1], arrows=True)
    with pytest.raises(HarmonyError, match="is not a setting for letters"):
        draw_neck(UKULELE, SHAPES, letters="colours")


@pytest.mark.parametrize("size", ["plain", "large"])
@pytest.mark.parametrize("left_handed", [False, True])
def test_a_neck_keeps_the_laws_of_figures(size: str, left_handed: bool) -> None:
    large = size == "large"
    shapes = [(Voicing.parse(d, UKULELE), (C6, B_DIM)[i % 2]) for i, d in enumerate(CLIMB)]
    for neck in (
        draw_neck(
            UKULELE, shapes, look=NeckLook(passing=(1, 3, 5), left_handed=left_handed, size=size)
        ),
        draw_neck(UKULELE, SHAPES, arrows=True, look=NeckLook(left_handed=left_handed, size=size)),
        draw_neck(GUITAR, [(Voicing.parse("x32010", GUITAR), None)], look=NeckLook(size=size)),
    ):
        lawful(neck, (4, 4, 4, 2), large=large)


def test_main_shapes_are_joined_whole_and_passing_ones_dashed() -> None:
    """Four main shapes and three on the way, each joined from string to string."""
    sheet = climb().sheet
    lines = [p for p in sheet.all(Path) if len(p.strokes()) in (3, 4)]
    dashed, main = lines
    assert dashed.dash and not main.dash and len(main.strokes()) == 4
    assert main.width == pytest.approx(0.8) and dashed.width < 0.5 * main.width
    gap, dash = dashed.dash[1], dashed.dash[0]
    assert 0.5 * dash < gap < dash
    for path in lines:
        for stroke in path.strokes():
            assert len(stroke) == 4
            assert sorted({y for _, y in stroke}, reverse=True) == [y for _, y in stroke]
    # The marks lie where the lines turn.
    at = sheet.find("string-2-fret-4").box.middle
    assert any(math.dist(at, point) < 0.01 for stroke in main.strokes() for point in stroke)
    # A shape of one note has no line.
    lone = draw_neck(GUITAR, [(Voicing.parse("xxx5xx", GUITAR), None)])
    board = draw_neck(GUITAR, [])
    assert len([p for p in lone.sheet.all(Path) if p.width == 0.8]) == 0
    assert not board.sheet.all(Path, within="")[0].dash
    alone = draw_neck(
        GUITAR, [(Voicing.parse("xxx5xx", GUITAR), None)], look=NeckLook(passing=(0,))
    )
    assert not any(path.dash for path in alone.sheet.all(Path))


def test_a_place_of_two_shapes_is_marked_for_the_one_that_is_not_passing() -> None:
    shapes = [
        (Voicing.parse("0003", UKULELE), Chord.parse("C")),
        (Voicing.parse("2003", UKULELE), Chord.parse("F")),
    ]
    neck = draw_neck(UKULELE, shapes, look=NeckLook(passing=(0,)))
    (mark,) = neck.sheet.all(Mark, within="string-4-fret-3")
    assert mark.role != "passing" and mark.letter == "C"
    (passed,) = neck.sheet.all(Mark, within="string-1-fret-0")
    assert passed.role == "passing" and not passed.letter


def test_names_of_passing_shapes_are_soft_and_plain() -> None:
    names = [t for t in climb().sheet.all(Text) if t.size == 10.5]
    looks = {t.text: (t.weight, t.colour) for t in names}
    assert looks == {"C6": (600, "ink"), "B°7": (400, "soft")}


def test_rows_of_names_leave_a_mm_between_neighbours_and_use_the_lowest_row() -> None:
    names = [t for t in climb().sheet.all(Text) if t.size == 10.5]
    rows: dict[float, list[Text]] = {}
    for name in names:
        rows.setdefault(name.baseline, []).append(name)
    lowest = max(rows)
    assert len(rows[lowest]) >= max(map(len, rows.values()))
    for row in rows.values():
        spots = sorted(row, key=lambda t: t.x)
        for one, other in itertools.pairwise(spots):
            assert other.box.left - one.box.right > 1.0
    # One in a higher row would have touched one in the row below.
    for baseline, row in rows.items():
        if baseline < lowest:
            for name in row:
                assert any(
                    name.box.left - 1.01 < other.box.right
                    and other.box.left < name.box.right + 1.01
                    for other in rows[lowest]
                )


def test_names_of_any_length_keep_a_mm_between_them() -> None:
    shapes = [(Voicing.parse(digits, UKULELE), C6) for digits in ("4545", "5757")]
    levels = set()
    for letters in range(10, 18):
        label = "x" * letters
        one, other = (
            text
            for text in draw_neck(UKULELE, shapes, names=[label, label]).sheet.all(Text)
            if text.text == label
        )
        level = one.baseline == other.baseline
        assert level == (
            max(one.box.left, other.box.left) - min(one.box.right, other.box.right) > 1
        )
        levels.add(level)
    assert levels == {True, False}


@pytest.mark.parametrize("left_handed", [False, True])
def test_a_name_at_the_end_of_the_neck_is_not_cut_in_a_wider_face(left_handed: bool) -> None:
    """Another face runs a quarter wider at most: measured with DejaVu Sans Bold."""
    shape = (Voicing.parse("0000", UKULELE), Chord.parse("C6"))
    neck = draw_neck(
        UKULELE, [shape], names=["C6 with a very long name"], look=NeckLook(left_handed=left_handed)
    )
    (name,) = [t for t in neck.sheet.all(Text) if t.text.startswith("C6 with")]
    half = name.box.width / 2
    room = neck.width_mm - name.x if left_handed else name.x
    assert room == pytest.approx(1.25 * half)


def test_a_cross_lies_beyond_the_nut_on_its_string() -> None:
    shape = (Voicing.parse("x32010", GUITAR), Chord.parse("C"))
    neck = draw_neck(GUITAR, [shape])
    cross = neck.sheet.find("string-1-muted").box
    ring = neck.sheet.find("string-4-fret-0").box
    assert cross.middle[0] == pytest.approx(ring.middle[0])
    assert cross.width == pytest.approx(cross.height) and 1.5 < cross.width < 2.5
    (path,) = neck.sheet.all(Path, within="string-1-muted")
    corners = {(round(x, 3), round(y, 3)) for stroke in path.strokes() for x, y in stroke}
    assert len(corners) == 4 and 0.3 < path.width < 0.6
    lowest = max(text.box.middle[1] for text in neck.sheet.all(Text) if text.text == "E")
    assert cross.middle[1] == pytest.approx(lowest, abs=0.8)


def test_of_two_shapes_with_arrows_the_first_leaves_rings_where_it_differs() -> None:
    neck = draw_neck(UKULELE, SHAPES, arrows=True)
    rings = [mark for mark in neck.sheet.all(Mark) if mark.role == "was"]
    assert len(rings) == 4 and all(mark.d == 5 for mark in rings)
    assert [mark.letter for mark in rings] == ["A", "E♭", "G♭", "C"]
    # A string that falls silent keeps its ring and has no arrow.
    silent = [SHAPES[0], (Voicing.parse("x232", UKULELE), Chord.parse("G"))]
    drawn = draw_neck(UKULELE, silent, arrows=True)
    assert "string-1-was-2" in ids(drawn) and "string-1-move" not in ids(drawn)
    assert "string-1-muted" in ids(drawn)
    arrow = drawn.sheet.all(Path, within="string-2-move")[0]
    y = drawn.sheet.find("string-2-fret-2").box.middle[1]
    assert arrow.width == pytest.approx(0.65)
    assert all(point[1] <= y + 0.01 for point in arrow.points)


def test_the_neck_reaches_as_far_as_is_asked_or_needed_and_no_farther() -> None:
    assert places(draw_neck(GUITAR, [], look=NeckLook(frets=7)), "7") and not places(
        draw_neck(GUITAR, [], look=NeckLook(frets=7)), "8"
    )
    high = [(Voicing.parse("xxx999", GUITAR), None)]
    assert places(draw_neck(GUITAR, high, look=NeckLook(frets=5)), "9")
    assert not places(draw_neck(GUITAR, high, look=NeckLook(frets=5)), "10")
    neck = draw_neck(GUITAR, [], look=NeckLook(frets=7))
    assert neck.width_mm == 174 and draw_neck(GUITAR, [], look=NeckLook(width=120)).width_mm == 120
    with pytest.raises(HarmonyError, match="2 shapes|3 shapes") as told:
        draw_neck(UKULELE, [*SHAPES, SHAPES[0]], arrows=True)
    assert "arrows join two shapes" in str(told.value)


@pytest.mark.parametrize("end", [30.0, -30.0])
def test_where_there_is_room_an_arrow_is_straight(end: float) -> None:
    (x0, y0), (x1, y1) = hop((0, 4), (end, 4), 5, 2.7)
    assert y0 == y1 == 4
    # Clear of a mark of 5 mm at both ends, farther before the tip.
    assert 2.5 < abs(x0) < 3 and 3.5 < abs(end - x1) < 4.5
    assert (x1 - x0) * end > 0


@pytest.mark.parametrize("end", [6.0, -6.0])
def test_without_room_it_goes_over_the_top(end: float) -> None:
    points = hop((0, 4), (end, 4), 5, 2.7)
    assert points[0] == pytest.approx((0, 1.5))
    assert all(y <= 1.5 for _, y in points)
    # High enough to be seen, low enough for the string above, 8 mm away with marks of its own.
    assert -2.5 < min(y for _, y in points) < 0
    assert abs(points[-1][0] - end) < 0.5


def test_a_name_longer_than_the_neck_is_cut() -> None:
    shape = (Voicing.parse("0000", UKULELE), Chord.parse("C6"))
    long = "a name that goes on and on " * 12
    neck = draw_neck(UKULELE, [shape], names=[long], look=NeckLook(width=120))
    lawful(neck, (24, 4, 24, 2))
    (name,) = [t for t in neck.sheet.all(Text) if t.size == 10.5]
    assert name.text.endswith("…") and 90 < name.box.width <= 96
    assert 120 - name.x >= 0.625 * name.box.width - 1e-6 and name.x >= 0.625 * name.box.width - 1e-6
