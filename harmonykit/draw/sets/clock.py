"""Pitch classes as a clock: C on top, rising to the right.

Conventions.  Pitch class n stands at n times 30 degrees, turning right; its mark or letter has the
id ``pc-0`` to ``pc-11``.  Distances are in mm; the ring's radius is 31.5.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from harmonykit.draw.base import canvas
from harmonykit.draw.base.fonts import POINTS_PER_MM, SEMIBOLD, shortened, text_width
from harmonykit.draw.base.given import as_look, as_seen, spoken, spoken_symbol
from harmonykit.draw.base.marks import degree_word, draw_mark, role_of
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Point
from harmonykit.errors import need_flag
from harmonykit.theory.given import NotesLike
from harmonykit.theory.note import Note
from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass, field
from harmonykit.words.numbers import join_words

_SIDE_MM, _RADIUS_MM = 81.0, 31.5
_CENTRE: Point = (_SIDE_MM / 2, _SIDE_MM / 2)
_MARK_MM = 6.6
# How wide what stands in the ring may be, and in which sizes a long title is tried.
_TITLE_MM, _TITLES_PT = 46.0, (canvas.HUB_PT, canvas.HEAD_PT, canvas.NAME_PT, canvas.LABEL_PT)
_GAP_DEGREES = 8.2
_RING_MM, _EDGE_MM, _ARROW_MM = 0.2, 0.45, 0.65
_DASH_MM = (0.95, 0.75)
_COMMON_NAMES = tuple(Note.parse(n) for n in "C Db D Eb E F F# G Ab A Bb B".split())
_Segment = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class ClockLook:
    """What a clock shows beside its notes.

    Parameters
    ----------
    axes : bool
        Draw the axes about which the set is its own mirror image.
    names : mapping of int to Note
        Names to use in place of the chord's own spelling, by pitch class.

    Examples
    --------
    >>> hk.draw.ClockLook(axes=True)
    ClockLook(axes=True)
    """

    axes: bool = False
    names: Mapping[int, Note] = field(default_factory=dict)

    def __post_init__(self) -> None:
        need_flag(self.axes, "axes")

    def __repr__(self) -> str:
        return as_typed(self)


def draw_clock(
    notes: NotesLike,
    *,
    was: NotesLike | None = None,
    moved: tuple[int, int] | Sequence[tuple[int, int]] | None = None,
    title: str | None = None,
    subtitle: str | None = None,
    look: ClockLook | None = None,
    palette: str = "colour",
) -> Drawing:
    """Draw a chord, or a set of pitch classes, on the clock.

    Parameters
    ----------
    notes : Chord, PcSet, str or iterable of int
        A chord or its symbol shows roles and its own spelling; pitch classes are plain notes.
    was : Chord, PcSet, str or iterable of int, optional
        The notes before: drawn dashed where they differ.
    moved : pair of int, or several, optional
        From one pitch class to another.  Where one note alone differs from ``was`` it is found.
    title, subtitle : str, optional
        Inside the ring.  Unless given: the chord's symbol, and one move in words.
    look : ClockLook, optional
        Other names of the notes, and the axes of a set.
    palette : str

    Returns
    -------
    Drawing

    Examples
    --------
    >>> clock = hk.draw.clock(hk.Chord.parse("D7"), was=hk.Chord.parse("Adim7"))
    >>> clock.alt.split("; ")[1:]
    ['F sharp, the major third', 'A, the fifth', 'C, the flat seventh', 'E flat falls to D']
    """
    clock = _Clock(notes, was, moved, as_look(look, ClockLook), palette)
    clock.ring()
    clock.edges()
    clock.letters()
    clock.arrows()
    heading = clock.name if title is None else title
    below = clock.move_words() if subtitle is None else subtitle
    clock.hub(heading, below)
    return clock.canvas.drawing(heading or "clock", clock.describe(heading))


def mirror_axes(pitch_classes: Iterable[int]) -> tuple[int, ...]:
    """Return each n for which turning x into n - x keeps the set; its axis stands at 15 n degrees.

    Examples
    --------
    >>> mirror_axes((0, 3, 6, 9)), mirror_axes((0, 4, 7))
    ((0, 3, 6, 9), ())
    """
    pcs = {pc % 12 for pc in pitch_classes}
    return tuple(n for n in range(12) if {(n - pc) % 12 for pc in pcs} == pcs)


class _Clock:
    def __init__(
        self,
        notes: NotesLike,
        was: NotesLike | None,
        moved: tuple[int, int] | Sequence[tuple[int, int]] | None,
        look: ClockLook,
        palette: str,
    ) -> None:
        self.chord, self.pcs = as_seen(notes)
        self.old_chord, self.old = as_seen(() if was is None else was)
        self.moves = _moves(moved, self.old, self.pcs)
        self.left = [pc for pc in self.old if pc not in self.pcs]
        self.left += [a for a, _ in self.moves if a not in self.pcs and a not in self.left]
        self.given = look.names
        self.axes = mirror_axes(self.pcs) if look.axes else ()
        self.canvas = canvas.Canvas(_SIDE_MM, _SIDE_MM, palette)
        self.lines: list[_Segment] = []

    @property
    def name(self) -> str:
        """The chord's printed symbol, or nothing."""
        return self.chord.unicode if self.chord else ""

    def note(self, pc: int) -> Note:
        """The name that a pitch class bears on this clock."""
        if pc in self.given:
            return self.given[pc]
        for chord in (self.chord, self.old_chord):
            if chord is not None and chord.degree_of(pc) is not None:
                return chord.spell(pc)
        return _COMMON_NAMES[pc]

    def ring(self) -> None:
        """Arcs of the ring, broken round each letter, and round a move that runs on it."""
        busy = {a if (b - a) % 12 == 1 else b for a, b in self.moves if (b - a) % 12 in (1, 11)}
        for pc in set(range(12)) - busy:
            start, end = 30 * pc + _GAP_DEGREES, 30 * pc + 30 - _GAP_DEGREES
            self.canvas.arc(_CENTRE, _RADIUS_MM, start, end, _RING_MM, "hair")

    def edges(self) -> None:
        """The chord as a polygon; where the one before differs, dashed; axes."""
        now, before = _polygon(self.pcs), _polygon(self.old)
        gone = [edge for edge in before if edge not in now]
        self.lines = [(_place(a), _place(b)) for a, b in [*now, *gone]]
        inner = {n: (_axis_end(15 * n), _axis_end(15 * n + 180)) for n in self.axes}
        if gone:
            dashed = [(_place(a), _place(b)) for a, b in gone]
            self.canvas.lines(dashed, 0.33, dash=_DASH_MM, role="edge-gone")
        for n, axis in inner.items():
            with self.canvas.group(f"axis-{n}", "axis"):
                self.canvas.lines([axis], 0.25, colour="soft", dash=(2.4, 0.8, 0.4, 0.8))
        if now:
            self.canvas.lines([(_place(a), _place(b)) for a, b in now], _EDGE_MM, role="edge")
        self.lines += inner.values()

    def letters(self) -> None:
        """A mark for each note of the chord, a letter for each other pitch class."""
        for pc in range(12):
            (x, y), name = _place(pc), self.note(pc).unicode
            with self.canvas.group(f"pc-{pc}"):
                if pc in self.pcs:
                    draw_mark(self.canvas, x, y, role_of(self.chord, pc), _MARK_MM, name)
                elif pc in self.left:
                    draw_mark(self.canvas, x, y, "was", _MARK_MM, name)
                else:
                    self.canvas.letter(x, y, name, canvas.LABEL_PT, colour="soft")

    def arrows(self) -> None:
        """A step runs on the ring; a longer move runs outside it, clear of the letters."""
        for start, end in self.moves:
            way = (end - start + 6) % 12 - 6
            if way == 0:
                continue
            sign = 1 if way > 0 else -1
            radius, gap = (_RADIUS_MM, _GAP_DEGREES) if abs(way) == 1 else (_RADIUS_MM + 6.2, 1.0)
            turns = 30 * start + sign * gap, 30 * (start + way) - sign * gap
            self.canvas.arrow(canvas.arc_points(_CENTRE, radius, *turns), _ARROW_MM)

    def hub(self, title: str, subtitle: str) -> None:
        """Set title and subtitle where they keep clearest of all lines."""
        if not title and not subtitle:
            return
        fits = (pt for pt in _TITLES_PT if text_width(title, pt, SEMIBOLD) <= _TITLE_MM)
        size = next(fits, _TITLES_PT[-1])
        title = shortened(title, _TITLE_MM, size, SEMIBOLD)
        subtitle = shortened(subtitle, _TITLE_MM, canvas.NOTE_PT)
        cap = 0.66 * size / POINTS_PER_MM if title else 0.0
        below = 5.3 if subtitle else 0.0
        wide = max(text_width(title, size, SEMIBOLD), text_width(subtitle, canvas.NOTE_PT))
        x, y = _clearest(wide, cap + below, self.lines)
        baseline = y - (cap + below) / 2 + cap
        if title:
            self.canvas.text(x, baseline, title, size, weight=SEMIBOLD)
        if subtitle:
            self.canvas.text(x, baseline + below, subtitle, canvas.NOTE_PT, colour="soft")

    def move_words(self) -> str:
        """One move in words, as printed; nothing for none or several."""
        if len(self.moves) != 1:
            return ""
        ((start, end),) = self.moves
        return f"{self.note(start).unicode} {_verb(start, end)} {self.note(end).unicode}"

    def describe(self, title: str) -> str:
        """The clock in words."""
        ordered = [n.pitch_class for n in self.chord.notes] if self.chord else list(self.pcs)
        words = [degree_word(self.chord, pc) for pc in ordered]
        tones = [
            spoken(self.note(pc)) + (f", {word}" if word else "")
            for pc, word in zip(ordered, words, strict=True)
        ]
        name = spoken_symbol(title) if self.chord and title == self.name else title
        head = f"On the clock of twelve notes, {name}" if name else "On the clock of twelve notes"
        listed = "; ".join(tones) if self.chord else join_words(tones)
        moves = [
            f"{spoken(self.note(a))} {_verb(a, b)} {spoken(self.note(b))}" for a, b in self.moves
        ]
        return "; ".join([f"{head}: {listed or 'no notes'}", *moves])


def _moves(
    moved: tuple[int, int] | Sequence[tuple[int, int]] | None,
    old: Sequence[int],
    new: Sequence[int],
) -> tuple[tuple[int, int], ...]:
    if moved is None:
        gone, come = set(old) - set(new), set(new) - set(old)
        return ((gone.pop(), come.pop()),) if len(gone) == len(come) == 1 else ()
    flat = [pc % 12 for move in moved for pc in ((move,) if isinstance(move, int) else move)]
    return tuple(zip(flat[::2], flat[1::2], strict=True))


def _verb(start: int, end: int) -> str:
    return "rises to" if (end - start) % 12 <= 6 else "falls to"


def _axis_end(angle: float) -> Point:
    return canvas.on_clock(_CENTRE, 25, angle)


def _place(pc: int) -> Point:
    return canvas.on_clock(_CENTRE, _RADIUS_MM, 30 * pc)


def _polygon(pcs: Sequence[int]) -> list[tuple[int, int]]:
    """Return the edges between neighbours on the ring, each written low note first."""
    if len(pcs) < 2:
        return []
    pairs = zip(pcs, [*pcs[1:], pcs[0]], strict=True)
    return sorted({(min(a, b), max(a, b)) for a, b in pairs})


def _clearest(width: float, height: float, lines: Sequence[_Segment]) -> Point:
    """Return the middle of a block of text that stands farthest from all lines.

    Among places as good as one another within .3 mm the one nearest the ring's middle.
    """
    border = np.array(list(_border(width / 2 + 0.5, height / 2 + 0.5)))
    axis = np.arange(-21.0, 21.01, 1.5)
    middles = np.stack(np.meshgrid(axis, axis), axis=-1).reshape(-1, 2)
    points = middles[:, None, :] + border
    room = _RADIUS_MM - _MARK_MM - np.hypot(points[..., 0], points[..., 1]).max(axis=1)
    for a, b in lines:
        room = np.minimum(room, _room(points + np.array(_CENTRE), np.array(a), np.array(b)))
    score = np.round(np.minimum(room, 9.0) / 0.3) * 100 - np.hypot(*middles.T)
    best = middles[int(np.argmax(score))]
    return _CENTRE[0] + float(best[0]), _CENTRE[1] + float(best[1])


def _border(half_x: float, half_y: float) -> Iterator[Point]:
    """Yield the corners: of a convex block the corner is what comes nearest to a line."""
    for x in (-half_x, half_x):
        yield from ((x, -half_y), (x, half_y))


def _room(
    blocks: NDArray[np.float64], a: NDArray[np.float64], b: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return how far each block lies from a line, negative where the line runs through it.

    All lines end on the ring or near it, and all blocks lie inside: a block on both sides of the
    line without its ends is cut by it.
    """
    length = float(np.hypot(*(b - a)))
    normal = np.array((a[1] - b[1], b[0] - a[0])) / length
    apart = (blocks - a) @ normal
    nearest: NDArray[np.float64] = np.abs(apart).min(axis=1)
    return np.where(np.abs(np.sign(apart).sum(axis=1)) == blocks.shape[1], nearest, -nearest)
