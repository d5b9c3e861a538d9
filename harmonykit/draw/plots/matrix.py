"""A matrix of the distances between chords: which are neighbours, which lie far apart.

Conventions.  The lower triangle alone, names on the diagonal, neighbours placed together.  One
semitone is solid, two are boxed, three and more are plain figures; a dot where the notes are the
same.  In the matrix of a tune a turned-down corner marks the changes that it makes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterable, Sequence
from itertools import pairwise

from harmonykit.draw.base import fonts, given
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SCREEN_MM, SMALL_PT, Canvas, Drawing
from harmonykit.draw.plots.frame import check_width
from harmonykit.draw.plots.survey_map import draw_ear
from harmonykit.draw.tree import Path, Point, rounded
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.given import ChordLike, as_chords
from harmonykit.theory.leading.voiceleading import distance_matrix
from harmonykit.tune.tune import Tune
from harmonykit.words.numbers import counted, join_words

_CELL_MM, _TOP_MM, _LEFT_MM, _INSET_MM, _CORNER_MM = 6.6, 1.5, 2.0, 0.4, 0.7
_KEY_MM, _LINE_MM = 52.0, 4.3
_SMALL_CELL_MM, _LEAST_CELL_MM = 5.2, 4.0

Table = list[list[int]]
Place = tuple[int, int]


def draw_matrix(
    chords: Iterable[ChordLike] | str | Tune,
    *,
    width_mm: float = SCREEN_MM,
    palette: str = "colour",
) -> Drawing:
    """Draw the distances between all pairs of some chords, in semitones, all voices together.

    Where chords differ in size, notes are doubled.

    Parameters
    ----------
    chords : iterable of Chord, str or Tune
        Chords, or their symbols: ``"C6 Am7"``.  Of a tune each set of notes stands there once, and
        the changes that it makes are marked.
    width_mm : float, optional
        How wide the figure is at most; a telephone has room for 90 mm.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        For fewer than two chords, for more than have room, or a figure narrower than 90 mm.

    Examples
    --------
    >>> chords = [hk.Chord.parse(name) for name in ("C6", "C#dim7", "A7")]
    >>> hk.draw.matrix(chords).alt
    'Distances in semitones between C six, A seven and C sharp diminished seven; 1 between: C six and A seven, A seven and C sharp diminished seven'
    """  # noqa: E501
    row = [each.chord for each in chords.changes] if isinstance(chords, Tune) else []
    chords = _each_once(row) if isinstance(chords, Tune) else as_chords(chords)
    check_width(width_mm)
    if len(chords) < 2:
        raise HarmonyError(
            f"{'1 chord' if chords else 'no chords'} to compare", rule="at least two"
        )
    table = distances(chords)
    order = neighbours_together(table)
    names = [chords[place] for place in order]
    ordered = [[table[a][b] for b in order] for a in order]
    made = _changes(row, names)
    told = _usual(ordered, made) if made else ""
    names_mm = fonts.text_width(names[-1].unicode, LABEL_PT, fonts.SEMIBOLD) + 2.0
    cell = min(_CELL_MM, (width_mm - _LEFT_MM - names_mm) / len(chords))
    if cell < _LEAST_CELL_MM:
        raise HarmonyError(
            f"{len(chords)} chords in a figure {width_mm:g} mm wide",
            rule=f"at most {int((width_mm - _LEFT_MM - names_mm) / _LEAST_CELL_MM)}",
            mend="width_mm=174, or fewer chords",
        )
    size = len(chords) * cell
    # The key stands in the empty triangle where that has room for it, else below.
    key_left = max(_LEFT_MM + 5 * cell + 16.0, _LEFT_MM + size - _KEY_MM + 14.0)
    beside = key_left + _KEY_MM <= width_mm
    key_high = 25.0 + (7.4 if made else 0.0)
    matrix_high = _TOP_MM + size + 2.0
    width = max(_LEFT_MM + size + names_mm, key_left + _KEY_MM if beside else _KEY_MM + 9.0)
    lines = fonts.broken(told, width - 2 * _LEFT_MM, NOTE_PT)
    high = max(matrix_high, key_high) if beside else matrix_high + key_high
    canvas = Canvas(width, high + _LINE_MM * len(lines), palette)
    _cells(canvas, ordered, made, cell)
    for place, chord in enumerate(names):
        x, y = _LEFT_MM + place * cell + 1.2, _TOP_MM + (place + 0.5) * cell
        canvas.letter(x, y, chord.unicode, LABEL_PT, weight=fonts.SEMIBOLD, anchor="left")
    corner = (key_left, 0.0) if beside else (_LEFT_MM, matrix_high)
    _key(canvas, corner, of_tune=bool(made))
    for place, line in enumerate(lines):
        canvas.letter(_LEFT_MM, high + _LINE_MM * (place + 0.4), line, NOTE_PT, anchor="left")
    alt = _describe(names, ordered)
    return canvas.drawing("distances between chords", f"{alt}. {told}" if told else alt)


def _each_once(row: Sequence[Chord | None]) -> list[Chord]:
    """Return the chords of a row, each set of notes once, under its first name."""
    found: dict[PcSet, Chord] = {}
    for chord in row:
        if chord is not None:
            found.setdefault(chord.pcs, chord)
    return list(found.values())


def _changes(row: Sequence[Chord | None], names: Sequence[Chord]) -> Counter[Place]:
    """Return how often a row goes from one set of notes to another, either way, by their places."""
    places = {chord.pcs: place for place, chord in enumerate(names)}
    found: Counter[Place] = Counter()
    for before, after in pairwise(row):
        if before is not None and after is not None and before.pcs != after.pcs:
            low, high = sorted((places[before.pcs], places[after.pcs]))
            found[high, low] += 1
    return found


def _usual(table: Table, made: Counter[Place]) -> str:
    """Return how far the changes go, and how far two of the chords lie apart at random."""
    count = made.total()
    mean = sum(table[a][b] * times for (a, b), times in made.items()) / count
    pairs = [table[a][b] for a in range(len(table)) for b in range(a)]
    others = sum(pairs) / len(pairs)
    less = "less than" if others - mean > 0.05 else "as much as"
    less = "more than" if mean - others > 0.05 else less
    return (
        f"The tune’s {counted(count, 'change')} move{'s' * (count == 1)} the voices {mean:.1f} "
        f"semitones on average, {less} "
        f"a change between two of its chords picked at random ({others:.1f}). It uses {len(made)} "
        f"of the {len(pairs)} possible changes."
    )


def distances(chords: Sequence[Chord]) -> Table:
    """Return the least semitones between all pairs, notes doubled where sizes differ."""
    sizes = {len(chord.pcs) for chord in chords}
    table = distance_matrix(chords, doubling=len(sizes) > 1)
    return [[round(float(value)) for value in row] for row in table]


def neighbours_together(table: Table) -> list[int]:
    """Return an order in which each chord stands beside near ones.

    From each chord in turn the nearest that is left is taken, and the shortest row of all is then
    mended by turning stretches of it round, as long as that helps.

    Examples
    --------
    >>> neighbours_together([[0, 9, 1], [9, 0, 8], [1, 8, 0]])
    [0, 2, 1]
    """
    rows = [_nearest_first(table, start) for start in range(len(table))]
    order = min(rows, key=lambda row: _length(table, row))
    while True:
        better = _turned(table, order)
        if better is None:
            return order
        order = better


def _nearest_first(table: Table, start: int) -> list[int]:
    row = [start]
    left = [place for place in range(len(table)) if place != start]
    while left:
        nearest = min(left, key=lambda place: table[row[-1]][place])
        row.append(nearest)
        left.remove(nearest)
    return row


def _length(table: Table, row: list[int]) -> int:
    return sum(table[a][b] for a, b in pairwise(row))


def _turned(table: Table, row: list[int]) -> list[int] | None:
    length = _length(table, row)
    for start in range(len(row)):
        for end in range(start + 2, len(row) + 1):
            turned = row[:start] + row[start:end][::-1] + row[end:]
            if _length(table, turned) < length:
                return turned
    return None


def _cells(canvas: Canvas, table: Table, made: Container[Place], side: float) -> None:
    places = [(row, column) for row in range(1, len(table)) for column in range(row)]
    spots = {(row, n): (_LEFT_MM + n * side, _TOP_MM + row * side) for row, n in places}
    for x, y in spots.values():
        corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
        canvas.lines([[*corners, corners[0]]], 0.15, colour="hair")
    for (row, column), spot in spots.items():
        _cell(canvas, spot, table[row][column], side, made=(row, column) in made)


def _cell(
    canvas: Canvas, spot: Point, semitones: int, side: float = _CELL_MM, *, made: bool = False
) -> None:
    x, y = spot
    middle = (x + side / 2, y + side / 2)
    if semitones == 0:
        canvas.circle(*middle, 1.4, fill="ink")
        return
    if semitones <= 2:
        solid = semitones == 1
        inside = side - 2 * _INSET_MM
        box = rounded(x + _INSET_MM, y + _INSET_MM, inside, inside, _CORNER_MM)
        canvas.add(Path(box, fill="ink" if solid else "paper", stroke="ink", width=0.4))
    colour = {1: "paper", 2: "ink"}.get(semitones, "soft")
    weight = fonts.SEMIBOLD if semitones <= 2 else fonts.REGULAR
    points = LABEL_PT if side > _SMALL_CELL_MM else SMALL_PT
    canvas.letter(*middle, str(semitones), points, weight=weight, colour=colour)
    if made:
        right, top = x + side - _INSET_MM - 0.2, y + _INSET_MM + 0.2
        draw_ear(canvas, right, top, "paper" if semitones == 1 else "ink", side / _CELL_MM)


def _key(canvas: Canvas, corner: Point, *, of_tune: bool) -> None:
    left, top = corner
    said = ((1, "one semitone: a neighbour"), (2, "two semitones"), (3, "three or more"))
    for row, (semitones, text) in enumerate(said):
        y = top + _TOP_MM - 1.0 + row * 7.4
        _cell(canvas, (left, y), semitones)
        middle = y + _CELL_MM / 2
        canvas.letter(left + 9.0, middle, text, NOTE_PT, colour="soft", anchor="left")
    if of_tune:
        y = top + _TOP_MM - 1.0 + len(said) * 7.4
        draw_ear(canvas, left + _CELL_MM - _INSET_MM - 0.2, y + _CELL_MM / 2 - 1.0)
        middle, text = y + _CELL_MM / 2, "a change in the tune"
        canvas.letter(left + 9.0, middle, text, NOTE_PT, colour="soft", anchor="left")


def _describe(chords: Sequence[Chord], table: Table) -> str:
    names = [given.spoken_symbol(chord.unicode) for chord in chords]
    near = [
        f"{names[a]} and {names[b]}"
        for b in range(len(names))
        for a in range(b)
        if table[a][b] == 1
    ]
    head = f"Distances in semitones between {join_words(names)}"
    return f"{head}; 1 between: {', '.join(near)}" if near else f"{head}; none of them is 1"
