"""The Pareto front as a scatter that names its points.

Conventions.  Across: semitones that the voices move; up: millimetres that the hand travels; the
third measure, chords put in, stands in the list beside the figure.  A lettered disc is one of the
choices, a small one another arrangement of the front.  Under it stands what the way from the least
of the one measure to the least of the other costs, and where it bends: the choice that has more of
the gain than of the price, each as a part of the whole, by the greatest difference.
"""

from __future__ import annotations

from collections.abc import Sequence

from harmonykit.arrange.choices import Front, Point, Triple
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.fonts import broken
from harmonykit.draw.base.spread import place_labels
from harmonykit.draw.base.style import LABEL_PT, NOTE_PT, SEMIBOLD, SMALL_PT, THIN_MM
from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.words.numbers import counted

LETTERS = "ABCDEFG"

_WIDTH_MM, _HEIGHT_MM = 174.0, 92.0
_LEFT_MM, _TOP_MM, _ACROSS_MM, _UP_MM = 17.0, 8.0, 82.0, 66.0
_LIST_MM, _MARK_MM, _DOT_MM, _LINE_MM = 112.0, 5.0, 1.7, 4.3


def draw_front(front: Front, *, most: int = 7, palette: str = "colour") -> Drawing:
    """Draw a front, its choices lettered and listed.

    Parameters
    ----------
    front : Front
    most : int, optional
        How many choices are lettered.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If more choices are asked for than there are letters, or the front has no point.

    Examples
    --------
    >>> tune = hk.read_tune("slack_water_waltz")
    >>> front = hk.pareto_front(tune, "ukulele", ["leading-tone diminished"])
    >>> hk.draw.front(front).alt.split(": ")[0]
    'Pareto front of 9 arrangements, complete'
    """
    if not 1 <= most <= len(LETTERS) or not front.points:
        raise HarmonyError(
            f"{most} choices of {len(front.points)} points", rule=f"1 to {len(LETTERS)} of some"
        )
    chosen = front.choices(most)
    told = _finding(chosen)
    lines = broken(told, _WIDTH_MM - 2.0, NOTE_PT)
    canvas = Canvas(_WIDTH_MM, _HEIGHT_MM + _LINE_MM * len(lines), palette)
    axes = Axes([point.values for point in front.points])
    axes.draw(canvas)
    _points(canvas, front, chosen, axes)
    _list(canvas, front, chosen)
    for place, line in enumerate(lines):
        y = _HEIGHT_MM + _LINE_MM * (place - 0.3)
        canvas.letter(1.0, y, line, NOTE_PT, anchor="left")
    return canvas.drawing("the Pareto front", f"{_describe(front, chosen)}. {told}")


class Axes:
    """Where semitones and millimetres stand on the sheet, at its left."""

    def __init__(self, values: Sequence[Triple]) -> None:
        self.across = round_ticks([value[0] for value in values])
        self.up = round_ticks([value[1] for value in values])

    def place(self, values: Triple) -> tuple[float, float]:
        """Return the point on the sheet."""
        x, y = (
            (value - ticks[0]) / (ticks[-1] - ticks[0])
            for value, ticks in zip(values[:2], (self.across, self.up), strict=True)
        )
        return _LEFT_MM + x * _ACROSS_MM, _TOP_MM + (1 - y) * _UP_MM

    def draw(self, canvas: Canvas) -> None:
        """Draw both axes with their ticks and titles."""
        ground, left = _TOP_MM + _UP_MM, _LEFT_MM
        canvas.lines([[(left, _TOP_MM), (left, ground), (left + _ACROSS_MM, ground)]], THIN_MM)
        for tick in self.across:
            x, _ = self.place((tick, self.up[0], 0))
            canvas.lines([[(x, ground), (x, ground + 1.2)]], THIN_MM)
            canvas.text(x, ground + 4.8, str(tick), SMALL_PT, colour="soft")
        for tick in self.up:
            _, y = self.place((self.across[0], tick, 0))
            canvas.lines([[(left - 1.2, y), (left, y)]], THIN_MM)
            canvas.letter(left - 2.2, y, str(tick), SMALL_PT, colour="soft", anchor="right")
        title = "semitones that the voices move"
        canvas.text(left + _ACROSS_MM, ground + 9.6, title, NOTE_PT, colour="soft", anchor="right")
        canvas.text(1.0, 3.4, "mm that the hand travels", NOTE_PT, colour="soft", anchor="left")


def round_ticks(values: Sequence[float]) -> list[int]:
    """Return five or so round numbers that hold all the values."""
    low, high = min(values), max(values)
    step = next(s for s in _STEPS if (high - low) / s <= 5)
    start = int(low // step * step)
    end = int(max(start + step, -(-high // step) * step))
    return list(range(start, end + 1, step))


_STEPS = [n * 10**power for power in range(12) for n in (1, 2, 5)]


def _points(canvas: Canvas, front: Front, chosen: Sequence[Point], axes: Axes) -> None:
    named = [axes.place(point.values) for point in chosen]
    within = (_LEFT_MM - 1.0, _TOP_MM - 5.0, _LEFT_MM + _ACROSS_MM + 8.0, _TOP_MM + _UP_MM - 0.5)
    size = (_MARK_MM + 0.6, _MARK_MM + 0.6)
    spots = place_labels(named, [size] * len(named), within=within)
    for point in front.points:
        x, y = axes.place(point.values)
        canvas.circle(x, y, _DOT_MM, fill="paper", stroke="ink", width=0.3)
    for start, end in zip(named, spots, strict=True):
        if start != end:
            canvas.lines([[start, end]], THIN_MM)
            canvas.circle(*start, _DOT_MM, fill="ink")
    for letter, spot in zip(LETTERS, spots, strict=False):
        with canvas.group(f"choice-{letter}"):
            canvas.circle(*spot, _MARK_MM, fill="ink")
            canvas.letter(*spot, letter, LABEL_PT, weight=SEMIBOLD, colour="paper")


def _list(canvas: Canvas, front: Front, chosen: Sequence[Point]) -> None:
    y = 3.4
    columns = (_LIST_MM + 24.0, _LIST_MM + 42.0, _LIST_MM + 60.0)
    for x, head in zip(columns, ("semitones", "mm", "added"), strict=True):
        canvas.text(x, y, head, SMALL_PT, colour="soft", anchor="right")
    for letter, point in zip(LETTERS, chosen, strict=False):
        y += 7.4
        canvas.circle(_LIST_MM + 4.0, y - 1.2, _MARK_MM, fill="ink")
        canvas.letter(_LIST_MM + 4.0, y - 1.2, letter, LABEL_PT, weight=SEMIBOLD, colour="paper")
        for column, x in enumerate(columns):
            least = min(other.values[column] for other in front.points)
            weight = SEMIBOLD if point.values[column] == least else 400
            text = str(point.values[column])
            canvas.text(x, y, text, LABEL_PT, weight=weight, anchor="right")
    lines = ["bold: the least"]
    if len(front.points) > len(chosen):
        lines.append(f"open: {len(front.points) - len(chosen)} more on the Pareto front")
    lines += _how_complete(front)
    for line in lines:
        y += 6.2 if line is lines[0] else 4.4
        canvas.text(_LIST_MM + 1.5, y, line, NOTE_PT, colour="soft", anchor="left")


def _how_complete(front: Front) -> list[str]:
    if not front.bounded:
        return ["the Pareto front is complete"]
    semitones, travel, _ = front.epsilon
    return [
        "not complete: a missing one is better",
        f"by {semitones} semitones, {travel} mm at most",
    ]


def _describe(front: Front, chosen: Sequence[Point]) -> str:
    kind = "not complete" if front.bounded else "complete"
    said = [
        f"{letter} {point.values[0]} semitones, {point.values[1]} mm, {point.values[2]} added"
        for letter, point in zip(LETTERS, chosen, strict=False)
    ]
    return f"Pareto front of {len(front.points)} arrangements, {kind}: {'; '.join(said)}"


def _finding(chosen: Sequence[Point]) -> str:
    """Return what less travel costs in movement from end to end, and the choice at the bend."""
    named = {point.values[:2]: letter for letter, point in zip(LETTERS, chosen, strict=False)}
    first = min(named)
    last = min(named, key=lambda pair: (pair[1], pair[0]))
    semitones, travel = last[0] - first[0], first[1] - last[1]
    if not semitones:
        return f"{named[first]} moves voices and hand the least."
    head = (
        f"From {named[first]} to {named[last]} the hand travels {travel} mm less, and the voices "
        f"move {counted(semitones, 'semitone')} more."
    )

    def gain(pair: tuple[int, int]) -> float:
        return (first[1] - pair[1]) / travel - (pair[0] - first[0]) / semitones

    bend = max(named, key=gain)
    if gain(bend) <= 0:
        return head
    return (
        f"{head} The way bends at {named[bend]}: "
        f"{first[1] - bend[1]} of these mm for {bend[0] - first[0]} of the semitones."
    )
