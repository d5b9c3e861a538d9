"""Keys by open strings and by difficulty: a panel a hand, a dot a key, for one tune.

Conventions.  Across: for how much of the tune's time its own chords sound in shapes with an open
string; up: how hard these shapes are.  The easiest key is bold, the one in which the tune is
written has a ring about its dot.  Panels have one scale, so that hands can be compared.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from harmonykit.arrange.survey.cells import OPEN
from harmonykit.arrange.survey.opened import has_open, open_finding
from harmonykit.arrange.survey.table import EASE, by_hand, keys_of, measured, records
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SCREEN_MM, Canvas, Drawing
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, text_width
from harmonykit.draw.plots import frame
from harmonykit.draw.plots.survey_map import short_key, spoken_key
from harmonykit.draw.tree import Point
from harmonykit.errors import HarmonyError
from harmonykit.theory.key import Key

if TYPE_CHECKING:
    import pandas as pd

_BESIDE_MM, _GAP_MM, _LEFT_MM, _RIGHT_MM, _HEAD_MM = 130.0, 6.0, 9.0, 5.0, 10.5
_UP_MM, _BELOW_MM, _DOT_MM, _RING_MM, _HIGH_MM = 50.0, 12.0, 1.8, 3.4, 3.6
_ACROSS = (0, 25, 50, 75, 100)

Row = dict[str, Any]


def draw_open_shapes(
    table: pd.DataFrame,
    title: str = "",
    *,
    width_mm: float = SCREEN_MM,
    palette: str = "colour",
) -> Drawing:
    """Draw whether the keys of a tune with open strings are the easier ones, hand by hand.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.
    title : str
        Which tune; the only one where not given.
    width_mm : float, optional
        How wide the figure is; a telephone has room for 90 mm, where the panels stand under each
        other.
    palette : str

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If no tune, or more than one, has the title, it has no numbers, or the figure is narrower
        than 90 mm.
    """
    frame.check_width(width_mm)
    rows = measured(keys_of(table, title))
    if rows.empty or not has_open(rows):
        raise HarmonyError(
            f"the survey has no results for open strings{f' in {title}' if title else ''}",
            mend="run the survey again",
        )
    hands = list(by_hand(rows))
    columns = min(2 if width_mm >= _BESIDE_MM else 1, len(hands))
    wide = (width_mm - (columns - 1) * _GAP_MM) / columns
    high = _HEAD_MM + _UP_MM + _BELOW_MM
    lines = -(-len(hands) // columns)
    foot = frame.Foot(width_mm, [_told(*hand, say=short_key) for hand in hands], _KEY, _sample)
    canvas = Canvas(width_mm, lines * high + foot.high, palette)
    up = frame.round_ticks([row[EASE] for row in records(rows)])
    for place, (name, cells) in enumerate(hands):
        line, column = divmod(place, columns)
        corner = (column * (wide + _GAP_MM), line * high)
        with canvas.group(f"hand-{place + 1}"):
            _panel(canvas, name, records(cells), up, (*corner, wide))
    foot.draw(canvas, lines * high)
    alt = " ".join(_told(*hand, say=spoken_key) for hand in hands)
    return canvas.drawing(f"open strings and difficulty: {rows['title'].iloc[0]}", alt)


def _panel(
    canvas: Canvas,
    name: str,
    rows: Sequence[Row],
    up: Sequence[int],
    where: tuple[float, float, float],
) -> None:
    left, top, wide = where
    start, room, ground = left + _LEFT_MM, wide - _LEFT_MM - _RIGHT_MM, top + _HEAD_MM + _UP_MM

    def at(across: float, value: float) -> Point:
        part = (value - up[0]) / (up[-1] - up[0])
        return start + room * across / 100, ground - part * _UP_MM

    canvas.text(left + 1.0, top + 3.4, name, LABEL_PT, weight=SEMIBOLD, anchor="left")
    canvas.text(left + 1.0, top + 7.6, "difficulty", NOTE_PT, colour="soft", anchor="left")
    frame.draw_grid(canvas, at, _ACROSS, up)
    said = "open strings, % of the time"
    canvas.text(start + room, ground + 9.2, said, NOTE_PT, colour="soft", anchor="right")
    spots = [at(row[OPEN], row[EASE]) for row in rows]
    for row, spot in zip(rows, spots, strict=True):
        if _is_written(row):
            canvas.circle(*spot, _RING_MM, stroke="ink", width=0.3)
        canvas.circle(*spot, _DOT_MM, fill="ink")
    _names(canvas, rows, spots, (start - 1.0, top + _HEAD_MM - 2.0, left + wide, ground))


def _names(
    canvas: Canvas,
    rows: Sequence[Row],
    spots: Sequence[Point],
    within: tuple[float, float, float, float],
) -> None:
    best = min(range(len(rows)), key=lambda place: rows[place][EASE])
    weights = [SEMIBOLD if place == best else REGULAR for place in range(len(rows))]
    texts = [short_key(row["key"]) for row in rows]
    sizes = [
        (text_width(text, NOTE_PT, weight) + 0.8, _HIGH_MM)
        for text, weight in zip(texts, weights, strict=True)
    ]
    places = frame.place_labels(spots, sizes, within=within, gap=2.3, clear=spots, clear_mm=1.9)
    for text, weight, (wide, high), (x, y) in zip(texts, weights, sizes, places, strict=True):
        canvas.rectangle(x - wide / 2, y - high / 2, wide, high, "paper")
        canvas.letter(x, y, text, NOTE_PT, weight=weight)


def _is_written(row: Row) -> bool:
    one, other = (Key.parse(str(row[name])).tonic.pitch_class for name in ("key", "written"))
    return one == other


def _told(name: str, rows: pd.DataFrame, *, say: Callable[[str], str]) -> str:
    """Return what to see in a panel: whether open strings make it easy, and the easiest key."""
    found = records(rows)
    best = min(found, key=lambda row: row[EASE])
    return (
        f"{name}: {open_finding(rows)}; the easiest, {say(best['key'])}, is rated "
        f"{best[EASE]:.1f} and has open strings for {best[OPEN]:.0f} % of the time."
    )


_KEY = (("dot", "a key"), ("ring", "the key in which the tune is written"))


def _sample(canvas: Canvas, x: float, y: float, kind: str) -> None:
    if kind == "ring":
        canvas.circle(x + 1.4, y, _RING_MM, stroke="ink", width=0.3)
    canvas.circle(x + 1.4, y, _DOT_MM, fill="ink")
