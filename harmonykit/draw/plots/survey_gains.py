"""Which tunes gain most from the moves: a line a tune, from as written to with the moves.

Conventions.  Across: semitones that all voices move at a change, on average.  A ring is the best
way to play the tune's own chords, a disc the best with the moves, both in the tune's best key;
the tune whose changes become smoothest comes first.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from harmonykit.arrange.survey.table import gains, in_one_key, records
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.base.style import LABEL_PT, NOTE_PT, SEMIBOLD, SMALL_PT
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.plots.survey_map import shortened
from harmonykit.errors import HarmonyError
from harmonykit.theory.key import Key

if TYPE_CHECKING:
    import pandas as pd

_WIDTH_MM, _ROW_MM, _TOP_MM, _BELOW_MM = 174.0, 5.6, 16.0, 21.0
_LEFT_MM, _ACROSS_MM, _GAIN_MM, _PUT_IN_MM = 62.0, 76.0, 153.0, 172.5
_MARK_MM, _SPOKEN = 2.6, 5

Row = dict[str, Any]


def draw_gains(
    table: pd.DataFrame,
    instrument: str,
    level: int,
    *,
    by: str = "",
    most: int = 30,
    palette: str = "colour",
) -> Drawing:
    """Draw which tunes of a survey gain most from the moves, for one hand.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.
    instrument, level : str, int
        Whose hand.
    by : str
        The measure that says which key is a tune's best.
    most : int
        How many tunes are drawn; the line below says how many there are.
    palette : str

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If no tune has numbers for that hand.
    """
    ours = table[(table["instrument"] == instrument) & (table["level"] == level)]
    rows = records(gains(ours, by)) if len(ours) else []
    if not rows or most < 1:
        raise HarmonyError(f"no tune of the survey has numbers for {instrument}, level {level}")
    shown = rows[:most]
    ground = _TOP_MM + len(shown) * _ROW_MM
    canvas = Canvas(_WIDTH_MM, ground + _BELOW_MM, palette)
    hand = f"{instrument}, level {level}"
    canvas.text(
        1.5, 5.0, f"Voice movement with the moves: {hand}", LABEL_PT, weight=SEMIBOLD, anchor="left"
    )
    ticks = _ticks(shown)
    _axis(canvas, ticks, ground)
    for place, row in enumerate(shown):
        _row(canvas, row, ticks, _TOP_MM + (place + 0.5) * _ROW_MM, place)
    count = (
        f"{len(rows)} tunes"
        if len(shown) == len(rows)
        else f"the first {len(shown)} of {len(rows)} tunes"
    )
    _legend(canvas, ground, count, "own" if in_one_key(ours) else "best")
    return canvas.drawing(f"voice movement with the moves: {hand}", _describe(rows, hand))


def _ticks(rows: list[Row]) -> tuple[int, ...]:
    values = [row[name] for row in rows for name in ("written_mean_movement", "mean_movement")]
    low, high = int(min(values)), int(max(values)) + 1
    step = next(step for step in (1, 2, 5, 10, 20, 50) if high - low <= 8 * step)
    return tuple(range(low - low % step, high + step, step))


def _across(value: float, ticks: tuple[int, ...]) -> float:
    return _LEFT_MM + _ACROSS_MM * (value - ticks[0]) / (ticks[-1] - ticks[0])


def _axis(canvas: Canvas, ticks: tuple[int, ...], ground: float) -> None:
    for tick in ticks:
        x = _across(tick, ticks)
        canvas.lines([[(x, _TOP_MM), (x, ground)]], 0.12, colour="hair")
        canvas.text(x, ground + 4.2, str(tick), SMALL_PT, colour="soft")
    for x, text in ((_GAIN_MM, "less"), (_PUT_IN_MM, "added chords")):
        canvas.text(x, _TOP_MM - 2.6, text, SMALL_PT, colour="soft", anchor="right")
    middle = _LEFT_MM + _ACROSS_MM / 2
    canvas.text(middle, _TOP_MM - 2.6, "semitones a change, all voices", NOTE_PT, colour="soft")


def _row(canvas: Canvas, row: Row, ticks: tuple[int, ...], y: float, place: int) -> None:
    before, after = (
        _across(row[name], ticks) for name in ("written_mean_movement", "mean_movement")
    )
    canvas.letter(1.5, y, _name(row), NOTE_PT, anchor="left")
    with canvas.group(f"tune-{place}"):
        canvas.lines([[(before, y), (after, y)]], 0.5)
        canvas.circle(before, y, _MARK_MM, fill="paper", stroke="ink", width=0.4)
        canvas.circle(after, y, _MARK_MM, fill="ink")
    canvas.letter(_GAIN_MM, y, _signed(row["gain"]), NOTE_PT, weight=SEMIBOLD, anchor="right")
    canvas.letter(_PUT_IN_MM, y, str(row["added"]), NOTE_PT, anchor="right")


def _signed(gain: float) -> str:
    """Return a gain as what it takes away: a minus where changes become smaller."""
    text = f"{abs(gain):.1f}"
    sign = "" if text == "0.0" else "−" if gain > 0 else "+"
    return sign + text


def _name(row: Row) -> str:
    """Return a tune's title with its best key, as much of it as there is room for."""
    key = Key.parse(row["key"])
    end = f", {key.tonic.unicode}{'m' if key.mode == 'minor' else ''}"
    room = _LEFT_MM - 5.0 - text_width(end, NOTE_PT)
    return shortened(str(row["title"]), room, NOTE_PT) + end


def _legend(canvas: Canvas, ground: float, count: str, which: str) -> None:
    y = ground + 10.0
    canvas.circle(3.0, y, _MARK_MM, fill="paper", stroke="ink", width=0.4)
    told = "the tune’s own chords, at their best"
    canvas.letter(6.0, y, told, SMALL_PT, colour="soft", anchor="left")
    x = 12.0 + text_width(told, SMALL_PT)
    canvas.circle(x, y, _MARK_MM, fill="ink")
    told = f"with the moves of the diminished seventh; both in the tune’s {which} key"
    canvas.letter(x + 3.0, y, told, SMALL_PT, colour="soft", anchor="left")
    canvas.letter(1.5, y + 5.4, count, SMALL_PT, colour="soft", anchor="left")


def _describe(rows: list[Row], hand: str) -> str:
    said = [
        f"{row['title']} {row['written_mean_movement']:.1f} to {row['mean_movement']:.1f}"
        for row in rows[:_SPOKEN]
    ]
    more = f"; {len(rows)} tunes in all" if len(rows) > _SPOKEN else ""
    return f"Semitones a change, as written and with the moves, {hand}: {', '.join(said)}{more}"
