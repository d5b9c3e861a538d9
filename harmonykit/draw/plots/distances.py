"""The bars of a tune against how far the voices move in them, for several arrangements.

Conventions.  One strip an arrangement, all on one scale; bars stand in playing order.  A column is
as high as the semitones that the voices move at the changes of that bar; it is solid where a chord
was put in and open where the bar is as written.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement, is_foreign
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.style import LABEL_PT, NOTE_PT, SEMIBOLD, SMALL_PT, THIN_MM
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Path, polyline
from harmonykit.errors import HarmonyError
from harmonykit.theory.leading.staircase import pair_semitones

_WIDTH_MM, _LEFT_MM, _TOP_MM = 174.0, 1.0, 7.0
_STRIP_MM, _HIGH_MM, _FOOT_MM, _KEY_MM = 32.0, 17.0, 6.0, 8.0
_MOST_FIGURES = 40


def bar_distances(arrangement: Arrangement) -> tuple[int, ...]:
    """Return the semitones that the voices move at the changes of each bar, in playing order.

    A change belongs to the bar in which the new shape begins; across a silence none is counted.
    """
    found = [0] * len(arrangement.tune.playing)
    for before, after in pairwise(arrangement.steps):
        if before.voicing is not None and after.voicing is not None:
            found[after.bar] += pair_semitones(before.sounds, after.sounds)
    return tuple(found)


def draw_distances(
    arrangements: Sequence[Arrangement], *, names: Sequence[str] = (), palette: str = "colour"
) -> Drawing:
    """Draw the bars of one tune against voice leading, a strip for each arrangement.

    Parameters
    ----------
    arrangements : sequence of Arrangement
        In the order in which they are drawn.
    names : sequence of str, optional
        What each is called; its own name where not given.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        For no arrangement, or arrangements of tunes of several lengths.

    Examples
    --------
    >>> tune = hk.read_tune("slack_water_waltz")
    >>> named = hk.Wishes(name="subV7")
    >>> ways = hk.reharmonise(tune, "ukulele", ["subV7"], k=1, wishes=named)
    >>> hk.draw.distances(ways).alt[:45]
    'Semitones that the voices move in each of 16 '
    """
    if len({len(way.tune.playing) for way in arrangements}) != 1:
        raise HarmonyError(
            f"{len(arrangements)} arrangements to compare bar by bar",
            rule="one at least, all of one tune",
        )
    labels = list(names) or [way.name or str(n) for n, way in enumerate(arrangements, 1)]
    rows = [bar_distances(way) for way in arrangements]
    height = _TOP_MM + _STRIP_MM * len(rows) + _KEY_MM
    canvas = Canvas(_WIDTH_MM, height, palette)
    scale = _HIGH_MM / max(1, *(max(row) for row in rows))
    for place, (way, row, label) in enumerate(zip(arrangements, rows, labels, strict=True)):
        with canvas.group(f"arrangement-{place + 1}"):
            _strip(canvas, way, row, label, _TOP_MM + _STRIP_MM * place, scale)
    _key(canvas, height - _KEY_MM + 4.5)
    return canvas.drawing("semitones by bar", _describe(labels, rows))


def _strip(
    canvas: Canvas, way: Arrangement, row: tuple[int, ...], label: str, top: float, scale: float
) -> None:
    room = _WIDTH_MM - 2 * _LEFT_MM
    wide = room / len(row)
    ground = top + 6.0 + _HIGH_MM
    canvas.text(_LEFT_MM, top, label, LABEL_PT, weight=SEMIBOLD, anchor="left")
    total = f"{sum(row)} semitones in all"
    canvas.text(_WIDTH_MM - _LEFT_MM, top, total, NOTE_PT, anchor="right", colour="soft")
    put_in = {step.bar for step in way.steps if is_foreign(step.chord, step.written)}
    column = min(0.7 * wide, 3.4)
    for bar, semitones in enumerate(row):
        x = _LEFT_MM + (bar + 0.5) * wide
        if semitones:
            _column(canvas, x, ground, column, semitones * scale, solid=bar in put_in)
        if semitones and len(row) <= _MOST_FIGURES:
            up = ground - semitones * scale - 1.0
            canvas.text(x, up, str(semitones), SMALL_PT, colour="ink")
    canvas.lines([[(_LEFT_MM, ground), (_WIDTH_MM - _LEFT_MM, ground)]], THIN_MM)
    _bar_numbers(canvas, way, ground, wide)


def _column(
    canvas: Canvas, x: float, ground: float, wide: float, high: float, *, solid: bool
) -> None:
    line = min(0.4, wide / 3)
    left, right = x - wide / 2 + line / 2, x + wide / 2 - line / 2
    top = ground - high + line / 2
    corners = [(left, ground), (left, top), (right, top), (right, ground)]
    fill = "ink" if solid else "paper"
    outline = polyline(corners, closed=True)
    canvas.add(Path(outline, fill=fill, stroke="ink", width=line, join="miter"))


def _bar_numbers(canvas: Canvas, way: Arrangement, ground: float, wide: float) -> None:
    """Number every fourth bar as it is written, and name sections where they start."""
    playing = way.tune.playing
    every = max(4, -(-len(playing) // 40) * 4)
    section = None
    for bar, played in enumerate(playing):
        x = _LEFT_MM + bar * wide
        if played.section != section and len(way.tune.sections) > 1:
            canvas.lines([[(x, ground), (x, ground + 2.0)]], THIN_MM)
        section = played.section
        if bar % every == 0:
            text = str(played.bar.number)
            canvas.text(x + wide / 2, ground + 4.2, text, SMALL_PT, colour="soft")


def _key(canvas: Canvas, y: float) -> None:
    _column(canvas, _LEFT_MM + 2, y, 3.4, 3.2, solid=True)
    canvas.text(_LEFT_MM + 5, y - 0.3, "added chord", NOTE_PT, anchor="left", colour="soft")
    _column(canvas, _LEFT_MM + 38, y, 3.4, 3.2, solid=False)
    text = "as written; height and figure: semitones, all voices together"
    canvas.text(_LEFT_MM + 41, y - 0.3, text, NOTE_PT, anchor="left", colour="soft")


def _describe(labels: Sequence[str], rows: Sequence[tuple[int, ...]]) -> str:
    head = f"Semitones that the voices move in each of {len(rows[0])} bars"
    said = [
        f"{label}: {sum(row)} in all, at most {max(row)}, in played bar {row.index(max(row)) + 1}"
        for label, row in zip(labels, rows, strict=True)
    ]
    return f"{head}; {'; '.join(said)}"
