"""Many tunes of a survey at once: how each key lies on the whole, and which tunes gain most.

How keys lie.  Keys across in the order of fifths; up: how many percent more than in its own best
key a tune asks for, on average.  A whisker spans two standard errors to each side, within which
the mean over many such tunes would lie in 19 of 20 surveys.  The figures below count the tunes of
which a key is the best; a corner beside one says that in this key more than half of the tunes ask
for shapes past the level's limits.

What tunes gain.  Across: semitones that all voices move at a change, on average.  A ring is the
best way to play the tune's own chords, a disc the best with the moves, both in the tune's best key;
the tune whose changes become smoothest comes first.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from harmonykit.arrange.survey import table as tables
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SMALL_PT, THIN_MM, Canvas, Drawing
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, shortened, text_width
from harmonykit.draw.plots import frame, survey_map
from harmonykit.errors import HarmonyError
from harmonykit.words.numbers import counted

if TYPE_CHECKING:
    import pandas as pd

_LEFT_MM, _TOP_MM, _UP_MM, _STEP_MM, _LINE_MM = 34.0, 13.0, 58.0, 11.4, 5.2
_WIDTH_MM, _MARK_MM, _ERRORS = 174.0, 2.9, 2.0
MOST_HANDS = 4
"""So many marks can be told apart."""

Row = dict[str, Any]


def draw_key_profile(
    table: pd.DataFrame, mode: str = "major", *, by: str = "", palette: str = "colour"
) -> Drawing:
    """Draw how the keys of a mode lie over all tunes of a survey.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it; of at most four hands (instrument and level).
    mode : str
    by : str
        The measure to go by; the usual one where empty.
    palette : str

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If no tune of the mode has results, or there are more hands than can be told apart.
    """
    by = tables.measure_for(table, by)
    profile = tables.key_profile(table, by)
    profile = profile[profile["mode"] == mode]
    hands = [(name, tables.records(rows)) for name, rows in tables.by_hand(profile)]
    if not 1 <= len(hands) <= MOST_HANDS:
        raise HarmonyError(
            f"{len(hands)} rows to draw (an instrument at a level)",
            rule=f"1 to {MOST_HANDS} that have results",
        )
    keys = survey_map.in_fifths(list(dict.fromkeys(profile["key"])))
    ground = _TOP_MM + _UP_MM
    canvas = Canvas(_WIDTH_MM, ground + 11.0 + len(hands) * _LINE_MM + 7.0, palette)
    tunes = int(profile["tunes"].max())
    title = f"{mode.capitalize()} keys, {counted(tunes, 'tune')}"
    canvas.text(1.5, 5.0, title, LABEL_PT, weight=SEMIBOLD, anchor="left")
    told = f"percent more {tables.measure_said(by)} than in a tune’s own best key"
    canvas.text(_WIDTH_MM - 1.5, 5.0, told, NOTE_PT, colour="soft", anchor="right")
    top = _axis(canvas, keys, hands)
    for number, (name, rows) in enumerate(hands):
        _hand(canvas, number, len(hands), rows, keys, top)
        _counts(canvas, number, name, rows, keys, ground + 11.0 + (number + 0.5) * _LINE_MM)
    _foot(canvas)
    return canvas.drawing(title, _describe(title, hands))


def _axis(canvas: Canvas, keys: list[str], hands: list[tuple[str, list[Row]]]) -> int:
    """Draw the lines of the percents and the keys' names; return the highest percent."""
    highest = max(row["over"] + _reach(row) for _, rows in hands for row in rows)
    step = next(step for step in frame.STEPS if step >= 5 and highest / step <= 6)
    top = step * max(1, -int(-highest // step))
    right = _LEFT_MM + len(keys) * _STEP_MM
    for percent in range(0, top + 1, step):
        y = _up(percent, top)
        canvas.lines([[(_LEFT_MM, y), (right, y)]], 0.12 if percent else THIN_MM, colour="hair")
        canvas.letter(_LEFT_MM - 2, y, f"{percent} %", SMALL_PT, colour="soft", anchor="right")
    for place, name in enumerate(keys):
        x = _LEFT_MM + (place + 0.5) * _STEP_MM
        canvas.text(
            x, _TOP_MM + _UP_MM + 7.0, survey_map.short_key(name), LABEL_PT, weight=SEMIBOLD
        )
    return top


def _reach(row: Row) -> float:
    """Return how far a whisker goes; nowhere for a single tune."""
    error = float(row["error"])
    return 0.0 if error != error else _ERRORS * error


def _up(percent: float, top: int) -> float:
    return _TOP_MM + _UP_MM * (1 - percent / top)


def _hand(
    canvas: Canvas, number: int, count: int, rows: list[Row], keys: list[str], top: int
) -> None:
    aside = (number - (count - 1) / 2) * min(3.4, (_STEP_MM - 2.0) / count)
    with canvas.group(f"hand-{number}"):
        for row in rows:
            x = _LEFT_MM + (keys.index(row["key"]) + 0.5) * _STEP_MM + aside
            ends = [max(0.0, row["over"] - _reach(row)), row["over"] + _reach(row)]
            canvas.lines([[(x, _up(ends[0], top)), (x, _up(ends[1], top))]], 0.35)
            _mark(canvas, number, x, _up(row["over"], top))


def _mark(canvas: Canvas, number: int, x: float, y: float) -> None:
    """Draw a hand's own mark: disc, ring, square, open square."""
    if number < 2:
        fill = "paper" if number else "ink"
        canvas.circle(x, y, _MARK_MM - 0.4, fill=fill, stroke="ink", width=0.4)
        return
    side = _MARK_MM - 0.3
    canvas.rectangle(x - side / 2, y - side / 2, side, side, "ink")
    if number == 3:
        inner = side - 0.8
        canvas.rectangle(x - inner / 2, y - inner / 2, inner, inner, "paper")


def _counts(
    canvas: Canvas, number: int, name: str, rows: list[Row], keys: list[str], y: float
) -> None:
    _mark(canvas, number, 3.0, y)
    canvas.letter(6.2, y, name, _fitting(name), anchor="left")
    most = max(row["best"] for row in rows)
    for row in rows:
        x = _LEFT_MM + (keys.index(row["key"]) + 0.5) * _STEP_MM
        weight = SEMIBOLD if row["best"] == most else REGULAR
        canvas.letter(x, y, str(row["best"]), NOTE_PT, weight=weight)
        if 2 * row["past"] > row["tunes"]:
            survey_map.draw_ear(canvas, x + 4.4, y - _LINE_MM / 2 + 0.6)


def _foot(canvas: Canvas) -> None:
    y = canvas.height - 2.2
    told = "numbers: how many tunes have it as their best key; whiskers: two standard errors;"
    canvas.text(1.5, y, told, SMALL_PT, colour="soft", anchor="left")
    x = 5.0 + text_width(told, SMALL_PT)
    survey_map.draw_ear(canvas, x, y - 2.2)
    told = "most tunes have shapes beyond the limits of the level"
    canvas.text(x + 1.4, y, told, SMALL_PT, colour="soft", anchor="left")


def _fitting(name: str) -> float:
    return NOTE_PT if text_width(name, NOTE_PT) < _LEFT_MM - 8.0 else SMALL_PT


def _describe(title: str, hands: list[tuple[str, list[Row]]]) -> str:
    said = []
    for name, rows in hands:
        best = sorted(rows, key=lambda row: row["over"])[:3]
        keys = [f"{survey_map.spoken_key(row['key'])} {row['over']:.0f}" for row in best]
        said.append(f"{name}: {', '.join(keys)}")
    return f"{title}: percent above each tune's own best key, on average. {'. '.join(said)}"


_WIDE_MM, _ROW_MM, _ABOVE_MM, _BELOW_MM = 174.0, 5.6, 16.0, 21.0
_NAMED_MM, _ACROSS_MM, _GAIN_MM, _PUT_IN_MM = 62.0, 76.0, 153.0, 172.5
_SPOT_MM, _SPOKEN = 2.6, 5


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
    rows = tables.records(tables.gains(ours, by)) if len(ours) else []
    if not rows or most < 1:
        raise HarmonyError(f"no tune of the survey has results for {instrument}, level {level}")
    shown = rows[:most]
    ground = _ABOVE_MM + len(shown) * _ROW_MM
    canvas = Canvas(_WIDE_MM, ground + _BELOW_MM, palette)
    hand = f"{instrument}, level {level}"
    canvas.text(
        1.5, 5.0, f"Voice movement with the moves: {hand}", LABEL_PT, weight=SEMIBOLD, anchor="left"
    )
    ticks = _ticks(shown)
    _moved_axis(canvas, ticks, ground)
    for place, row in enumerate(shown):
        _row(canvas, row, ticks, _ABOVE_MM + (place + 0.5) * _ROW_MM, place)
    count = (
        f"{len(rows)} tunes"
        if len(shown) == len(rows)
        else f"the first {len(shown)} of {len(rows)} tunes"
    )
    _legend(canvas, ground, count, "own" if tables.in_one_key(ours) else "best")
    return canvas.drawing(f"voice movement with the moves: {hand}", _describe_gains(rows, hand))


def _ticks(rows: list[Row]) -> tuple[int, ...]:
    values = [row[name] for row in rows for name in ("written_mean_movement", "mean_movement")]
    low, high = int(min(values)), int(max(values)) + 1
    step = next(step for step in frame.STEPS if high - low <= 8 * step)
    return tuple(range(low - low % step, high + step, step))


def _across(value: float, ticks: tuple[int, ...]) -> float:
    return _NAMED_MM + _ACROSS_MM * (value - ticks[0]) / (ticks[-1] - ticks[0])


def _moved_axis(canvas: Canvas, ticks: tuple[int, ...], ground: float) -> None:
    for tick in ticks:
        x = _across(tick, ticks)
        canvas.lines([[(x, _ABOVE_MM), (x, ground)]], 0.12, colour="hair")
        canvas.text(x, ground + 4.2, str(tick), SMALL_PT, colour="soft")
    for x, text in ((_GAIN_MM, "difference"), (_PUT_IN_MM, "added chords")):
        canvas.text(x, _ABOVE_MM - 2.6, text, SMALL_PT, colour="soft", anchor="right")
    middle = _NAMED_MM + _ACROSS_MM / 2
    canvas.text(middle, _ABOVE_MM - 2.6, "semitones a change, all voices", NOTE_PT, colour="soft")


def _row(canvas: Canvas, row: Row, ticks: tuple[int, ...], y: float, place: int) -> None:
    before, after = (
        _across(row[name], ticks) for name in ("written_mean_movement", "mean_movement")
    )
    canvas.letter(1.5, y, _name(row), NOTE_PT, anchor="left")
    with canvas.group(f"tune-{place}"):
        canvas.lines([[(before, y), (after, y)]], 0.5)
        canvas.circle(before, y, _SPOT_MM, fill="paper", stroke="ink", width=0.4)
        canvas.circle(after, y, _SPOT_MM, fill="ink")
    canvas.letter(_GAIN_MM, y, _signed(row["gain"]), NOTE_PT, weight=SEMIBOLD, anchor="right")
    canvas.letter(_PUT_IN_MM, y, str(row["added"]), NOTE_PT, anchor="right")


def _signed(gain: float) -> str:
    """Return a gain as what it takes away: a minus where changes become smaller."""
    text = f"{abs(gain):.1f}"
    sign = "" if text == "0.0" else "−" if gain > 0 else "+"
    return sign + text


def _name(row: Row) -> str:
    """Return a tune's title with its best key, as much of it as there is room for."""
    end = f", {survey_map.short_key(row['key'])}"
    room = _NAMED_MM - 5.0 - text_width(end, NOTE_PT)
    return shortened(str(row["title"]), room, NOTE_PT) + end


def _legend(canvas: Canvas, ground: float, count: str, which: str) -> None:
    y = ground + 10.0
    canvas.circle(3.0, y, _SPOT_MM, fill="paper", stroke="ink", width=0.4)
    told = "the tune’s own chords, best arrangement"
    canvas.letter(6.0, y, told, SMALL_PT, colour="soft", anchor="left")
    x = 12.0 + text_width(told, SMALL_PT)
    canvas.circle(x, y, _SPOT_MM, fill="ink")
    told = f"with the moves of the diminished seventh; both in the tune’s {which} key"
    canvas.letter(x + 3.0, y, told, SMALL_PT, colour="soft", anchor="left")
    canvas.letter(1.5, y + 5.4, count, SMALL_PT, colour="soft", anchor="left")


def _describe_gains(rows: list[Row], hand: str) -> str:
    said = [
        f"{row['title']} {row['written_mean_movement']:.1f} to {row['mean_movement']:.1f}"
        for row in rows[:_SPOKEN]
    ]
    more = f"; {len(rows)} tunes in all" if len(rows) > _SPOKEN else ""
    return f"Semitones a change, as written and with the moves, {hand}: {', '.join(said)}{more}"
