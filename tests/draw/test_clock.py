"""The clock: what stands where, and what it says."""

from __future__ import annotations

import cmath
import math

import pytest

from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.clock import draw_clock, mirror_axes
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Mark, Path, Text
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
