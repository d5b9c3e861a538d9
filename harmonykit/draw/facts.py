"""A figure with facts beside it: a heading, and rows of what is said of it.

Conventions.  Lengths are in mm, type in points.  The figure stands at the left; a row has a mark or
a word, then what is said, each in a column of its own.  The facts stand level with the figure's
middle, unless they are the higher of the two.
"""

from collections.abc import Iterator, Sequence

from harmonykit.draw.base import fonts, marks
from harmonykit.draw.base.canvas import HEAD_PT, LABEL_PT, NOTE_PT, SCREEN_MM, Canvas, Drawing
from harmonykit.values import dataclass

_GAP_MM, _COLUMN_MM, _SIDE_MM, _MARK_MM, _MARK_GAP_MM = 8.0, 4.0, 3.0, 4.6, 2.4
_LINE_MM, _MORE_MM = 6.6, 4.8
_HEAD_DOWN_MM, _SUB_DOWN_MM, _ROWS_DOWN_MM = 6.0, 5.2, 7.4


@dataclass(frozen=True, slots=True)
class Fact:
    """One row beside a figure: a mark by its role, or none; and texts, each in its column."""

    texts: tuple[str, ...]
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """What is said beside a figure: a heading, a line below it, and rows."""

    heading: str
    below: str
    rows: tuple[Fact, ...]


def draw_facts(figure: Drawing, facts: Facts, alt: str) -> Drawing:
    """Draw a figure with facts at its right.

    Examples
    --------
    >>> from harmonykit.draw.shapes.looks import draw_tuning
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> posts = draw_tuning(Instrument.named("ukulele"))
    >>> made = draw_facts(posts, Facts("ukulele", "g C E A", ()), "a ukulele")
    >>> made.width_mm, made.alt
    (152.0, 'a ukulele')
    """
    left = _SIDE_MM + figure.width_mm + _GAP_MM
    room = SCREEN_MM - left - _SIDE_MM
    rows = list(_fitted(facts.rows, room))
    heads = fonts.broken(facts.heading, room, HEAD_PT, fonts.SEMIBOLD)
    below = fonts.broken(facts.below, room, NOTE_PT)
    head = _HEAD_DOWN_MM * len(heads) + _SUB_DOWN_MM * len(below)
    high = head + sum(_down(row) for row in rows) + (_ROWS_DOWN_MM - _LINE_MM if rows else 0.0)
    height = max(figure.height_mm, high) + 2 * _SIDE_MM
    canvas = Canvas(SCREEN_MM, height, figure.colours)
    canvas.place(figure, _SIDE_MM, (height - figure.height_mm) / 2)
    y = (height - high) / 2
    for line in heads:
        y += _HEAD_DOWN_MM
        canvas.text(left, y, line, HEAD_PT, weight=fonts.SEMIBOLD, anchor="left")
    for line in below:
        y += _SUB_DOWN_MM
        canvas.text(left, y, line, NOTE_PT, colour="soft", anchor="left")
    _lay(canvas, rows, left, y + _ROWS_DOWN_MM - _LINE_MM)
    return canvas.drawing(facts.heading, alt)


def _down(row: Fact) -> float:
    """Return how far below the row before it a row stands; what goes on stands nearer."""
    return _LINE_MM if row.texts[0] else _MORE_MM


def _lay(canvas: Canvas, rows: Sequence[Fact], left: float, y: float) -> None:
    starts = _starts(rows, left)
    for row in rows:
        y += _down(row)
        if row.mark:
            marks.draw_mark(canvas, left + _MARK_MM / 2, y - _MARK_MM / 4, row.mark, _MARK_MM)
        for place, (x, text) in enumerate(zip(starts, row.texts, strict=False)):
            colour = "soft" if place > 1 else "ink"
            canvas.text(x, y, text, LABEL_PT, weight=_weight(place), colour=colour, anchor="left")


def _weight(place: int) -> int:
    return fonts.REGULAR if place else fonts.SEMIBOLD


def _starts(rows: Sequence[Fact], left: float) -> list[float]:
    """Return where each column starts: each as wide as its widest text."""
    x = left + (_MARK_MM + _MARK_GAP_MM if any(row.mark for row in rows) else 0.0)
    starts = []
    for place in range(max((len(row.texts) for row in rows), default=0)):
        starts.append(x)
        texts = (row.texts[place] for row in rows if place < len(row.texts))
        x += max(fonts.text_width(text, LABEL_PT, _weight(place)) for text in texts) + _COLUMN_MM
    return starts


def _fitted(rows: Sequence[Fact], room: float) -> Iterator[Fact]:
    """Yield the rows, the last text of each broken where it would leave the sheet."""
    starts = _starts(rows, 0.0)
    for row in rows:
        *first, last = row.texts
        head, *more = fonts.broken(last, room - starts[len(first)], LABEL_PT) or [""]
        yield Fact((*first, head), row.mark)
        yield from (Fact((*("" for _ in first), line)) for line in more)
