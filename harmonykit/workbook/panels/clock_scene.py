"""The clock of twelve notes as part of a scene: where things stand, and what is seen of a set.

Pitch class n stands at n times 30 degrees, turning right, with the id ``pc-0`` to ``pc-11``.
"""

from collections.abc import Iterable, Sequence

from harmonykit.draw.base.canvas import Canvas, arc_points, on_clock
from harmonykit.draw.base.marks import role_of
from harmonykit.draw.base.style import spoken
from harmonykit.draw.sets.clock import mirror_axes
from harmonykit.draw.tree import Outline, Point, polyline
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.names import note_of
from harmonykit.workbook.base.scene import Line, Look, Spot, joined

SIDE_MM, RADIUS_MM, MARK_MM = 81.0, 31.5, 6.6
_GAP_DEGREES, _AXIS_MM = 8.2, 25.0
_DASH_MM = (0.95, 0.75)

CLOCK_LINES = (
    Line("axes", 0.25, "soft", (2.4, 0.8, 0.4, 0.8)),
    Line("before", 0.33, "ink", _DASH_MM),
    Line("edges", 0.45),
    Line("moves", 0.65),
)


def ring(canvas: Canvas, corner: Point = (0.0, 0.0)) -> None:
    """Draw what never changes: the arcs between the letters."""
    for pc in range(12):
        start, end = 30 * pc + _GAP_DEGREES, 30 * pc + 30 - _GAP_DEGREES
        canvas.arc(_middle(corner), RADIUS_MM, start, end, 0.2, "hair")


def clock_spots(corner: Point = (0.0, 0.0), *, press: bool = True) -> tuple[Spot, ...]:
    """Return the twelve places."""
    places = (_place(pc, corner) for pc in range(12))
    return tuple(
        Spot(f"pc-{pc}", x, y, MARK_MM, press=press, across=11.0)
        for pc, (x, y) in enumerate(places)
    )


def clock_looks(
    notes: PcSet, chord: Chord | None = None, was: PcSet | None = None, old: Chord | None = None
) -> dict[str, Look]:
    """Return how the twelve places look: a mark with its letter, a letter, or a dashed ring."""
    before = was or PcSet(0)
    return {f"pc-{pc}": _look(pc, notes, chord, before, old) for pc in range(12)}


def _look(pc: int, notes: PcSet, chord: Chord | None, was: PcSet, old: Chord | None) -> Look:
    on = pc in notes
    note = note_of(pc, chord if on or pc not in was else old)
    role = role_of(chord, pc) if on else "was" if pc in was else "off"
    said = "on" if on else "off, where a note was" if pc in was else "off"
    return Look(role, note.unicode, f"{spoken(note)}, {said}", on)


def clock_courses(
    notes: PcSet,
    was: PcSet | None = None,
    *,
    axes: bool = False,
    moves: Sequence[tuple[int, int]] = (),
    corner: Point = (0.0, 0.0),
) -> dict[str, Outline]:
    """Return the courses of the clock's lines."""
    now, before = _edges(notes), _edges(was or PcSet(0))
    middle = _middle(corner)
    mirrors = [
        [on_clock(middle, _AXIS_MM, 15 * n), on_clock(middle, _AXIS_MM, 15 * n + 180)]
        for n in (mirror_axes(notes) if axes and notes else ())
    ]
    return {
        "edges": _course(now, corner),
        "before": _course([edge for edge in before if edge not in now], corner),
        "axes": joined(polyline(axis) for axis in mirrors),
        "moves": joined(_arrow(start, end, corner) for start, end in moves),
    }


def _edges(notes: PcSet) -> list[tuple[int, int]]:
    pcs = list(notes)
    if len(pcs) < 2:
        return []
    pairs = zip(pcs, [*pcs[1:], pcs[0]], strict=True)
    return sorted({(min(a, b), max(a, b)) for a, b in pairs})


def _course(edges: Iterable[tuple[int, int]], corner: Point) -> Outline:
    return joined(polyline([_place(a, corner), _place(b, corner)]) for a, b in edges)


def _arrow(start: int, end: int, corner: Point) -> Outline:
    """A step of a semitone runs on the ring; a longer move runs outside it."""
    way = (end - start + 6) % 12 - 6
    if way == 0:
        return ()
    sign = 1 if way > 0 else -1
    radius, gap = (RADIUS_MM, _GAP_DEGREES) if abs(way) == 1 else (RADIUS_MM + 5.6, 1.5)
    last = 30 * (start + way) - sign * gap
    middle = _middle(corner)
    shaft = arc_points(middle, radius, 30 * start + sign * gap, last)
    turn = 210 / radius * sign
    barbs = [on_clock(middle, radius + side, last - turn * 0.5) for side in (1.1, -1.1)]
    return polyline(shaft) + polyline([barbs[0], shaft[-1], barbs[1]])


def _place(pc: int, corner: Point) -> Point:
    return on_clock(_middle(corner), RADIUS_MM, 30 * pc)


def _middle(corner: Point) -> Point:
    return corner[0] + SIDE_MM / 2, corner[1] + SIDE_MM / 2
