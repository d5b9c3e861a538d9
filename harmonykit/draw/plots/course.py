"""A map of chords by their distances, and the course of each arrangement on it.

Conventions.  Positions are fitted to the distances in semitones by classical scaling (Torgerson,
*Psychometrika* 17, 1952): they are as near to scale as a flat sheet allows.  How near is printed as
the misfit: the root of the squared differences between drawn and true distances, over that of the
squared true ones (Kruskal's stress, *Psychometrika* 29, 1964).  Every panel has the same map and
one arrangement's course; a change that is made in both directions has two heads.  A change from or
to an added chord is a thick line with a solid dot at the chord, one between chords as written thin,
with open dots.
"""

import math
from collections.abc import Sequence
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SCREEN_MM, Canvas, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.draw.plots import frame, matrix
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord

Point = tuple[float, float]
Stroke = tuple[Point, Point, bool, bool]

_BESIDE_MM, _PANEL_MM, _SIDE_MM, _HEAD_MM, _FOOT_MM = 130.0, 84.0, 7.0, 9.0, 12.0
_GUTTER_MM, _DOT_MM, _LINE_MM, _HIGH_MM = 6.0, 1.8, 0.45, 4.4
_FAR_MM, _THIN_MM, _THIN_LINE_MM, _ALONG_MM = 1.9, 0.2, 0.25, 0.6


def scale_to_plane(table: Sequence[Sequence[float]]) -> tuple[NDArray[np.float64], float]:
    """Return points in the plane whose distances fit a table of distances, and the misfit.

    Parameters
    ----------
    table : square of float
        Symmetrical, zero on the diagonal.

    Returns
    -------
    (array (n, 2), float)
        The misfit is 0 for distances that a plane holds.

    Examples
    --------
    >>> points, misfit = scale_to_plane([[0, 3, 4], [3, 0, 5], [4, 5, 0]])
    >>> float(np.hypot(*(points[1] - points[2])).round(6)), abs(misfit) < 1e-9
    (5.0, True)
    """
    given = np.asarray(table, dtype=float)
    squared = given**2
    centred = squared - squared.mean(axis=0) - squared.mean(axis=1)[:, None] + squared.mean()
    values, vectors = np.linalg.eigh(-centred / 2)
    points = np.zeros((len(given), 2))
    for column, place in enumerate(np.argsort(-values, kind="stable")[:2]):
        vector = vectors[:, place]
        # The sign of an eigenvector is free: the point that is farthest out stands to the right.
        far = vector[np.argmax(np.abs(vector).round(9))]
        points[:, column] = vector * math.copysign(math.sqrt(max(values[place], 0.0)), far)
    drawn = np.hypot(*(points[:, None, :] - points[None, :, :]).transpose(2, 0, 1))
    total = float((given**2).sum())
    return points, math.sqrt(float(((drawn - given) ** 2).sum()) / total) if total else 0.0


def draw_courses(
    arrangements: Sequence[Arrangement],
    *,
    names: Sequence[str] = (),
    width_mm: float = SCREEN_MM,
    palette: str = "colour",
) -> Drawing:
    """Draw the map of all chords of some arrangements, a panel for the course of each.

    Parameters
    ----------
    arrangements : sequence of Arrangement
        In the order in which they are drawn.
    names : sequence of str, optional
        What each is called; its own name where not given.
    width_mm : float, optional
        How wide the figure is; a telephone has room for 90 mm, where the panels stand under each
        other.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        For no arrangement, fewer than two different chords, or a figure narrower than 90 mm.

    References
    ----------
    J. C. Gower, *Biometrika* 53 (1966): classical scaling.

    Examples
    --------
    >>> tune = hk.read_tune("slack_water_waltz")
    >>> named = hk.Wishes(name="subV7")
    >>> ways = hk.reharmonise(tune, "ukulele", ["subV7"], k=1, wishes=named)
    >>> hk.draw.courses(ways).alt.split("; ")[0]
    'Map of 7 chords by their distances, misfit 14 %'
    """
    chords = list(dict.fromkeys(c for way in arrangements for c in _chords(way)))
    if not arrangements or len(chords) < 2:
        raise HarmonyError(
            f"{len(chords)} chords of {len(arrangements)} arrangements",
            rule="a map needs an arrangement and two chords",
        )
    frame.check_width(width_mm)
    labels = list(names) or [way.name or str(n) for n, way in enumerate(arrangements, 1)]
    table = matrix.distances(chords)
    points, misfit = scale_to_plane(table)
    columns = min(2 if width_mm >= _BESIDE_MM else 1, len(arrangements))
    wide = min(_PANEL_MM, (width_mm - (columns - 1) * _GUTTER_MM) / columns)
    sheet = _Map(chords, points, wide)
    rows = -(-len(arrangements) // columns)
    width = columns * sheet.wide + (columns - 1) * _GUTTER_MM
    told = [
        _finding(label, way, chords, table) for label, way in zip(labels, arrangements, strict=True)
    ]
    foot = frame.Foot(width, told, _KEY, _sample)
    below = rows * (_HEAD_MM + sheet.high)
    canvas = Canvas(width, below + _FOOT_MM + foot.high, palette)
    for place, (way, label) in enumerate(zip(arrangements, labels, strict=True)):
        row, column = divmod(place, columns)
        corner = (column * (sheet.wide + _GUTTER_MM), row * (_HEAD_MM + sheet.high))
        with canvas.group(f"arrangement-{place + 1}"):
            sheet.draw(canvas, way, label, corner)
    with canvas.group("foot"):
        foot.draw(canvas, below + _FOOT_MM - 1.0)
    _foot(canvas, sheet.mm, misfit, below)
    return canvas.drawing("map of chords", _describe(told, chords, misfit))


_KEY = (("open", "a chord of the tune"), ("solid", "an added chord"))


def _sample(canvas: Canvas, x: float, y: float, kind: str) -> None:
    _dot(canvas, (x + 1.4, y), added=kind == "solid")


def _dot(canvas: Canvas, spot: Point, *, added: bool) -> None:
    fill = "ink" if added else "paper"
    canvas.circle(*spot, _DOT_MM, fill=fill, stroke="ink", width=0.4)


def _finding(label: str, way: Arrangement, chords: Sequence[Chord], table: matrix.Table) -> str:
    """Return how far a course goes from chord to chord, by what the notes ask."""
    places = {chord: place for place, chord in enumerate(chords)}
    row = [None if step.chord is None else step.chord.over(None) for step in way.steps]
    steps = [
        table[places[a]][places[b]]
        for a, b in pairwise([chord for chord, _ in groupby(row)])
        if a is not None and b is not None
    ]
    new = len(_added(way))
    head = f"{label}: {len(_chords(way))} chords, {new or 'none'} of them added"
    if not steps:
        return f"{head}."
    mean = sum(steps) / len(steps)
    return f"{head}; {mean:.1f} semitones from chord to chord on average, {max(steps)} at most."


class _Map:
    """Where the chords stand on a panel."""

    def __init__(self, chords: list[Chord], points: NDArray[np.float64], wide: float) -> None:
        self.chords, self.wide = chords, wide
        low, high = points.min(axis=0), points.max(axis=0)
        room = wide - 2 * _SIDE_MM
        across, down = (max(float(size), 1e-9) for size in high - low)
        self.mm = min(room / across, room / down, 14.0)
        self.high = min(down * self.mm, room) + 2 * _SIDE_MM
        left = (wide - across * self.mm) / 2
        self.places = {
            chord: (
                round(left + float(x - low[0]) * self.mm, 2),
                round(_SIDE_MM + float(y - low[1]) * self.mm, 2),
            )
            for chord, (x, y) in zip(chords, points, strict=True)
        }

    def draw(self, canvas: Canvas, way: Arrangement, label: str, corner: Point) -> None:
        used = _chords(way)
        head = (corner[0] + 1.0, corner[1] + 4.0)
        canvas.text(*head, label, LABEL_PT, weight=SEMIBOLD, anchor="left")
        at = {
            chord: (corner[0] + x, corner[1] + _HEAD_MM + y)
            for chord, (x, y) in self.places.items()
            if chord in used
        }
        strokes = _strokes(at, way)
        for start, end, both, added in sorted(strokes, key=lambda stroke: stroke[3]):
            _arrow(canvas, start, end, both=both, width=_LINE_MM if added else _THIN_LINE_MM)
        new = {at[chord] for chord in _added(way)}
        for spot in dict.fromkeys(at.values()):
            _dot(canvas, spot, added=spot in new)
        self._names(canvas, at, corner, strokes)

    def _names(
        self, canvas: Canvas, at: dict[Chord, Point], corner: Point, strokes: list[Stroke]
    ) -> None:
        """Write the names beside their points; those of one point in one run of text."""
        shared: dict[Point, list[str]] = {}
        for chord, spot in at.items():
            shared.setdefault(spot, []).append(chord.unicode)
        texts = [", ".join(names) for names in shared.values()]
        sizes = [(text_width(text, LABEL_PT, SEMIBOLD) + 0.8, _HIGH_MM) for text in texts]
        bottom = corner[1] + _HEAD_MM + self.high
        heads = [spot for start, end, both, _ in strokes for spot in _heads(start, end, both=both)]
        along = [spot for start, end, *_ in strokes for spot in _between(start, end)]
        within = (corner[0], corner[1] + 5.5, corner[0] + self.wide, bottom)
        spots = frame.place_labels(
            list(shared),
            sizes,
            within=within,
            gap=1.5,
            clear=[*shared, *heads],
            clear_mm=1.15,
            rather_not=along,
        )
        write_names(canvas, list(zip(texts, shared, spots, sizes, strict=True)))


def write_names(canvas: Canvas, names: Sequence[tuple[str, Point, Point, Point]]) -> None:
    """Write names, each with its point, its place and its size, and break the lines under them.

    One that stands farther off has a thin line to its point.
    """
    for _, point, (x, y), (wide, high) in names:
        near = (
            min(max(point[0], x - wide / 2), x + wide / 2),
            min(max(point[1], y - high / 2), y + high / 2),
        )
        if math.dist(point, near) > _FAR_MM:
            canvas.lines([[_toward(point, near, _DOT_MM / 2 + 0.2), near]], _THIN_MM)
    for _, _, (x, y), (wide, high) in names:
        canvas.rectangle(x - wide / 2, y - high / 2, wide, high, "paper")
    for text, _, spot, _ in names:
        canvas.letter(*spot, text, LABEL_PT, weight=SEMIBOLD)


def _chords(way: Arrangement) -> list[Chord]:
    """Return an arrangement's chords, each name once, whatever its bass."""
    sounding = (step.chord.over(None) for step in way.steps if step.chord is not None)
    return list(dict.fromkeys(sounding))


def _strokes(at: dict[Chord, Point], way: Arrangement) -> list[Stroke]:
    """Return the lines of a course, each once: from, to, and whether it is gone both ways."""
    row = [None if step.chord is None else step.chord.over(None) for step in way.steps]
    pairs = pairwise([chord for chord, _ in groupby(row)])
    gone = dict.fromkeys((at[a], at[b]) for a, b in pairs if a is not None and b is not None)
    new = {at[chord] for chord in _added(way)}
    found: dict[frozenset[Point], Stroke] = {}
    for start, end in gone:
        if start != end:
            both = (end, start) in gone
            added = not new.isdisjoint((start, end))
            found.setdefault(frozenset((start, end)), (start, end, both, added))
    return list(found.values())


def _added(way: Arrangement) -> set[Chord]:
    """Return the chords that the tune itself has nowhere."""
    own = {step.written.pcs for step in way.steps if step.written is not None}
    return {chord for chord in _chords(way) if chord.pcs not in own}


def _arrow(canvas: Canvas, start: Point, end: Point, *, both: bool, width: float) -> None:
    inset = min(1.5, math.dist(start, end) / 4)
    first, last = _toward(start, end, inset), _toward(end, start, inset)
    canvas.arrow([first, last], width)
    if both:
        canvas.arrow([last, first], width)


def _toward(start: Point, end: Point, length: float) -> Point:
    """Return the point that lies so far from one point on the way to another."""
    part = length / math.dist(start, end)
    return start[0] + (end[0] - start[0]) * part, start[1] + (end[1] - start[1]) * part


def _heads(start: Point, end: Point, *, both: bool) -> list[Point]:
    long = math.dist(start, end)
    found = [_toward(end, start, min(2.2, long / 2))]
    return [*found, _toward(start, end, min(2.2, long / 2))] if both else found


def _between(start: Point, end: Point) -> list[Point]:
    count = int(math.dist(start, end) / _ALONG_MM)
    return [_toward(start, end, _ALONG_MM * n) for n in range(1, count)]


def _foot(canvas: Canvas, mm: float, misfit: float, top: float) -> None:
    y = top + 4.5
    canvas.lines([[(1.0, y), (1.0 + mm, y)]], 0.5)
    canvas.lines([[(x, y - 1.0), (x, y + 1.0)] for x in (1.0, 1.0 + mm)], 0.25)
    text = f"1 semitone, all voices together; misfit of the map {misfit:.0%}".replace("%", " %")
    canvas.letter(3.5 + mm, y, text, NOTE_PT, colour="soft", anchor="left")


def _describe(told: Sequence[str], chords: list[Chord], misfit: float) -> str:
    percent = f"{misfit * 100:.0f} %"
    head = f"Map of {len(chords)} chords by their distances, misfit {percent}"
    return f"{head}; {' '.join(told)}"
