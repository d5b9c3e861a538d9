"""The clock: what stands where, and what it says."""

from __future__ import annotations

import cmath
import math
from itertools import pairwise

import pytest
from lawful import ink, lawful

from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.sets.clock import ClockLook, draw_clock, mirror_axes
from harmonykit.draw.tree import Group, Mark, Path, Point, Text
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

D7, A_DIM = Chord.parse("D7"), Chord.parse("Adim7")


def letters(drawing: Drawing) -> dict[int, str]:
    return {
        pc: "".join(text.text for text in drawing.sheet.all(Text, within=f"pc-{pc}"))
        for pc in range(12)
    }


def others(drawing: Drawing) -> list[str]:
    inside = set(letters(drawing).values())
    return [text for text in drawing.sheet.texts if text not in inside]


def test_twelve_letters_stand_where_a_clock_has_its_hours() -> None:
    clock = draw_clock(D7)
    middle = clock.width_mm / 2
    for pc in range(12):
        (text,) = clock.sheet.all(Text, within=f"pc-{pc}")
        x, y = text.x - middle, text.baseline - middle
        off = math.degrees(math.atan2(x, -y)) - 30 * pc
        assert abs((off + 180) % 360 - 180) < 2.5


def test_names_go_as_the_chord_spells_them() -> None:
    assert letters(draw_clock(D7))[6] == "F♯"
    assert letters(draw_clock(Chord.parse("Ebm7")))[6] == "G♭"
    given = draw_clock(A_DIM, look=ClockLook(names={6: Note.parse("F#")}))
    assert letters(given)[6] == "F♯"


def test_one_note_that_moved_is_found_and_told() -> None:
    clock = draw_clock(D7, was=A_DIM)
    assert others(clock) == ["D7", "E♭ falls to D"]
    assert clock.alt.endswith("E flat falls to D")
    back = draw_clock(A_DIM, was=D7)
    assert others(back) == ["A°7", "D rises to E♭"]


def test_edges_that_go_are_dashed_and_edges_that_stay_are_not() -> None:
    dashed = [path for path in draw_clock(D7, was=A_DIM).sheet.all(Path) if path.dash]
    # C-E flat and E flat-F sharp in one path, and the ring where the note was.
    assert [len(path.strokes()) for path in dashed] == [2, 1]


def test_a_set_without_a_name_has_no_roles() -> None:
    clock = draw_clock((0, 4, 8), title="")
    assert others(clock) == []
    assert {mark.role for mark in clock.sheet.all(Mark)} == {"note"}
    assert clock.alt == "On the clock of twelve notes: C, E and A flat"


@pytest.mark.parametrize(
    ("notes", "count"),
    [
        # Axes as the TnI symmetries of Straus 2016, list of set classes: 3-12 has 3, 4-28 has 4,
        # 6-35 has 6, 3-11 none, 4-26 one.
        ((0, 4, 8), 3),
        ((0, 3, 6, 9), 4),
        ((0, 2, 4, 6, 8, 10), 6),
        ((0, 4, 7), 0),
        ((0, 3, 7, 10), 1),
    ],
)
def test_axes_are_those_of_the_published_table(notes: tuple[int, ...], count: int) -> None:
    assert len(mirror_axes(notes)) == count


def mirrored(point: Point, axis: tuple[Point, Point]) -> Point:
    """Return a point mirrored at the line through two others."""
    a, b, p = (complex(*each) for each in (*axis, point))
    turned = ((p - a) / (b - a)).conjugate() * (b - a) + a
    return turned.real, turned.imag


@pytest.mark.parametrize("notes", [(0, 4, 8), (0, 3, 6, 9), (0, 3, 7, 10), (2, 6, 7, 11), (1, 2)])
def test_an_axis_mirrors_the_notes_that_are_drawn(notes: tuple[int, ...]) -> None:
    """By plane geometry: each mark falls on a mark, and both ends lie as far from the middle."""
    clock = draw_clock(notes, look=ClockLook(axes=True))
    places = [(mark.x, mark.y) for mark in clock.sheet.all(Mark)]
    middle = clock.width_mm / 2
    axes = [clock.sheet.find(f"axis-{n}") for n in mirror_axes(notes)]
    assert len(axes) == len(clock.sheet.all(Group, "axis")) > 0
    ends = [path.ends for group in axes for path in clock.sheet.all(Path, within=group.id)]
    for one, other in ends:
        assert one[0] + other[0] == pytest.approx(2 * middle)
        assert one[1] + other[1] == pytest.approx(2 * middle)
        for place in places:
            at = mirrored(place, (one, other))
            assert min(math.dist(at, each) for each in places) < 1e-6
    assert len({tuple(sorted(map(tuple, pair))) for pair in ends}) == len(axes)


def test_an_edge_joins_the_marks_of_neighbours() -> None:
    clock = draw_clock(D7)
    at = {pc: clock.sheet.all(Mark, within=f"pc-{pc}")[0] for pc in (0, 2, 6, 9)}
    (edges,) = clock.sheet.all(Path, "edge")
    wanted = [((at[a].x, at[a].y), (at[b].x, at[b].y)) for a, b in pairwise((0, 2, 6, 9, 0))]
    drawn = [tuple(sorted(stroke)) for stroke in edges.strokes()]
    assert sorted(drawn) == sorted(tuple(sorted(pair)) for pair in wanted)


def test_moves_can_be_given_one_or_many() -> None:
    one = draw_clock(D7, was=A_DIM, moved=(3, 2))
    assert one.svg == draw_clock(D7, was=A_DIM).svg
    two = draw_clock(Chord.parse("Bm7b5"), was=D7, moved=[(2, 11), (6, 5)])
    assert two.alt.endswith("D falls to B; F sharp falls to F")
    assert others(draw_clock(D7, was=A_DIM, moved=())) == ["D7"]


def crosses(corner: tuple[float, float, float, float], a: complex, b: complex) -> bool:
    """Whether a line comes into a rectangle: looked at in 400 places along it."""
    left, top, right, bottom = corner
    points = (a + (b - a) * step / 400 for step in range(401))
    return any(left < p.real < right and top < p.imag < bottom for p in points)


@pytest.mark.parametrize("symbol", ["D7", "C", "Cm7", "F#m7b5", "Bb13", "Adim7", "Gsus4"])
def test_no_edge_runs_through_the_title(symbol: str) -> None:
    chord = Chord.parse(symbol)
    clock = draw_clock(chord, subtitle="")
    (found,) = [text for text in clock.sheet.all(Text) if text.size == 24]
    middle = clock.width_mm / 2
    x, y = found.x - middle, found.baseline - middle
    half = text_width(chord.unicode, 24, 600) / 2
    # 24 points are 8.47 mm; capitals of the face are .66 em high.
    box = (x - half, y - 0.66 * 8.47, x + half, y)
    hours = [31.5 * cmath.exp(1j * math.pi / 6 * (pc - 3)) for pc in sorted(chord.pcs)]
    for a, b in zip(hours, [*hours[1:], hours[0]], strict=True):
        assert not crosses(box, a, b)


@pytest.mark.parametrize("name", ["D7", "C7b9#11", "F#m7b5", "Bbmaj7", "G7b9/B", "Caug"])
def test_the_title_keeps_inside_the_ring_of_marks(name: str) -> None:
    """By plane geometry: no corner of it lies as far from the middle as the marks reach inward."""
    clock = draw_clock(Chord.parse(name), was=A_DIM, look=ClockLook(axes=True))
    middle = clock.width_mm / 2
    mark = clock.sheet.all(Mark)[0]
    radius = math.dist((mark.x, mark.y), (middle, middle))
    titles = [text for text in clock.sheet.all(Text) if text.text == Chord.parse(name).unicode]
    (title,) = titles
    wide = text_width(title.text, title.size, title.weight) / 2
    cap = 0.66 * title.size * 25.4 / 72
    for x in (title.x - wide, title.x + wide):
        for y in (title.baseline, title.baseline - cap):
            assert math.dist((x, y), (middle, middle)) < radius - mark.d / 2


def hair(clock: Drawing) -> list[Path]:
    return [path for path in clock.sheet.all(Path) if path.stroke == "hair"]


def at_hour(clock: Drawing, point: Point) -> float:
    """Return at which angle a point stands, in hours."""
    x, y = point[0] - clock.width_mm / 2, point[1] - clock.width_mm / 2
    return math.degrees(math.atan2(x, -y)) / 30 % 12


@pytest.mark.parametrize(
    "clock",
    [
        draw_clock(D7, was=A_DIM),
        draw_clock((0, 3, 6, 9), look=ClockLook(axes=True)),
        draw_clock(Chord.parse("Bm7b5"), was=D7, moved=[(2, 11), (6, 5)]),
        draw_clock(Chord.parse("C7b9#11"), subtitle="a third below"),
    ],
)
def test_a_clock_keeps_the_laws_of_figures(clock: Drawing) -> None:
    lawful(clock, (8.2, 8.2, 8.2, 8.2))


def test_the_ring_is_broken_round_each_letter_alike_on_both_sides() -> None:
    clock = draw_clock((0, 4, 7))
    assert len(hair(clock)) == 12
    middle = clock.width_mm / 2
    for arc in hair(clock):
        assert all(math.dist(p, (middle, middle)) == pytest.approx(31.5) for p in arc.points)
        start, end = (at_hour(clock, point) for point in arc.ends)
        assert start % 1 == pytest.approx(1 - end % 1) and 0.2 < start % 1 < 0.35
        # Clear of the largest mark, a root of 6.6 mm and its ring, but not far from it.
        assert 3.9 < 31.5 * math.radians(30 * (start % 1)) < 5.5


def test_a_step_takes_the_place_of_the_ring_where_it_goes() -> None:
    for was, now, gone in ((A_DIM, D7, 2), (D7, A_DIM, 2)):
        clock = draw_clock(now, was=was)
        assert {int(at_hour(clock, arc.points[1])) for arc in hair(clock)} == set(range(12)) - {
            gone
        }
        shaft = next(p for p in clock.sheet.all(Path) if p.stroke == "ink" and p.width == 0.65)
        middle = clock.width_mm / 2
        assert math.dist(shaft.points[0], (middle, middle)) == pytest.approx(31.5)
        start = at_hour(clock, shaft.points[0])
        assert 0.2 < abs(start - (3 if now is D7 else 2)) < 0.35 and 2 < start < 3


def test_a_longer_move_runs_outside_the_letters() -> None:
    clock = draw_clock(Chord.parse("Bm7b5"), was=D7, moved=[(2, 11), (6, 5)])
    shafts = [p for p in clock.sheet.all(Path) if p.stroke == "ink" and p.width == 0.65]
    middle = clock.width_mm / 2
    radii = sorted(math.dist(p.points[0], (middle, middle)) for p in shafts)
    # A root's mark reaches 31.5 + 0.6 * 6.6 mm.
    assert radii[0] == pytest.approx(31.5) and 31.5 + 0.6 * 6.6 < radii[-1] < 40
    long = max(shafts, key=lambda p: math.dist(p.points[0], (middle, middle)))
    # From D to B it turns left by three hours.
    assert at_hour(clock, long.points[0]) == pytest.approx(2, abs=0.1)
    passed = [at_hour(clock, point) for point in long.points]
    assert all(hour <= 2 or hour >= 11 for hour in passed)
    assert len(hair(clock)) == 11


def test_a_move_to_itself_has_no_arrow() -> None:
    still, plain = draw_clock(D7, moved=(2, 2), subtitle=""), draw_clock(D7, subtitle="")
    assert still.sheet.parts == plain.sheet.parts


def test_dashes_are_longer_than_their_gaps() -> None:
    clock = draw_clock(D7, was=A_DIM, look=ClockLook(axes=False))
    (gone,) = clock.sheet.all(Path, "edge-gone")
    dash, gap = gone.dash
    assert gap < dash < 2 * gap
    axis = draw_clock((0, 4, 8), look=ClockLook(axes=True))
    (line, *_) = axis.sheet.all(Path, within="axis-0")
    long, gap, dot, again = line.dash
    assert gap == again and dot <= gap / 2 and long == pytest.approx(3 * gap)
    # An axis keeps within the ring of marks: 31.5 less half a mark.
    middle = axis.width_mm / 2
    assert 0.7 * 31.5 < math.dist(line.points[0], (middle, middle)) < 31.5 - 0.6 * 6.6


def clearance(middle: Point, half: Point, lines: list[tuple[Point, Point]]) -> float:
    """Return how far a block of text about the middle of the ring keeps from lines and marks."""
    left, right = middle[0] - half[0], middle[0] + half[0]
    top, bottom = middle[1] - half[1], middle[1] + half[1]
    least = 31.5 - 6.6 - max(math.hypot(x, y) for x in (left, right) for y in (top, bottom))
    for a, b in lines:
        for n in range(201):
            x, y = a[0] + (b[0] - a[0]) * n / 200, a[1] + (b[1] - a[1]) * n / 200
            away = max(left - x, x - right, 0), max(top - y, y - bottom, 0)
            least = min(least, math.hypot(*away))
    return least


@pytest.mark.parametrize("symbol", ["D7", "Cm7", "Gsus4", "F#m7b5", "Bbmaj7"])
def test_the_title_stands_as_clear_as_anywhere(symbol: str) -> None:
    """By brute force over places 1.5 mm apart; beyond 9 mm clearer is no better."""
    chord = Chord.parse(symbol)
    clock = draw_clock(chord, subtitle="")
    (title,) = [text for text in clock.sheet.all(Text) if text.text == chord.unicode]
    centre = clock.width_mm / 2
    # Capitals of 24 points are .66 em high, and half a mm is left about them.
    half = text_width(title.text, 24, 600) / 2 + 0.5, 0.66 * 24 * 25.4 / 72 / 2 + 0.5
    at = title.x - centre, title.baseline - 0.33 * 24 * 25.4 / 72 - centre
    hours = [31.5 * cmath.exp(1j * math.pi / 6 * (pc - 3)) for pc in sorted(chord.pcs)]
    points = [(z.real, z.imag) for z in hours]
    lines = list(pairwise([*points, points[0]]))
    grid = [1.5 * n for n in range(-14, 15)]
    best = max(clearance((x, y), half, lines) for x in grid for y in grid)
    assert clearance(at, half, lines) >= min(best, 9.0) - 0.35


def test_a_subtitle_stands_under_its_title() -> None:
    clock = draw_clock(D7, was=A_DIM)
    title, below = (t for t in clock.sheet.all(Text) if t.text in ("D7", "E♭ falls to D"))
    assert title.x == below.x and title.size == 24 and below.size < 10
    assert 2.0 < ink(below).top - title.baseline < 4.5
    assert draw_clock((0, 4, 8), title="").alt == draw_clock((0, 4, 8)).alt


def test_up_to_a_tritone_a_note_rises() -> None:
    """By hand: C to F sharp is six up, C to G five down."""
    for end, verb in ((6, "rises to"), (7, "falls to"), (1, "rises to"), (11, "falls to")):
        assert verb in draw_clock((end,), moved=(0, end)).alt


def test_a_given_title_is_read_as_it_stands() -> None:
    assert draw_clock(D7, title="Am").alt.startswith("On the clock of twelve notes, Am: ")
    assert draw_clock(D7).alt.startswith("On the clock of twelve notes, D seven: ")


def test_a_note_that_a_move_leaves_is_a_ring_also_where_nothing_was_drawn_before() -> None:
    clock = draw_clock("C6", moved=[(8, 7), (8, 9), (0, 4)])
    roles = {m.role for m in clock.sheet.all(Mark, within="pc-8")}
    assert roles == {"was"}
    # C is left too, and stays: it keeps the mark of the chord.
    assert [m.role for m in clock.sheet.all(Mark, within="pc-0")] == ["root"]
    for pc in (1, 2, 3, 5, 6, 10, 11):
        assert not clock.sheet.all(Mark, within=f"pc-{pc}")
