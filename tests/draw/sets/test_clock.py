"""The clock: what stands where, and what it says."""

from __future__ import annotations

import cmath
import math
from itertools import pairwise

import pytest

from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.sets.clock import draw_clock, mirror_axes
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
    given = draw_clock(A_DIM, names={6: Note.parse("F#")})
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
    clock = draw_clock(notes, axes=True)
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
    clock = draw_clock(Chord.parse(name), was=A_DIM, axes=True)
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
