"""The strum over a chart: strokes on their beats, what is counted below, what the signs mean."""

from collections.abc import Iterator
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.tune.bar import bar_length, beat_length
from harmonykit.tune.groove import shelf, value
from harmonykit.tune.groove.strokes import MUTED, ROLLED, STOPPED, Stroke, syllable


def strum_of(
    way: Arrangement, lead: float, column: float, columns: int, margins: tuple[float, float]
) -> dict[str, Any]:
    """Return the strokes of the groove over the first bars of a row, with counts on its beats.

    Parameters
    ----------
    way : Arrangement
    lead, column : float
        Where the first bar of a row begins, and how wide each is, in mm.
    columns : int
        How many bars a row has.
    margins : tuple of float
        How far the first beat stands from the bar line, and the end of the last from the next.
    """
    meter = way.tune.meter
    whole, beat = bar_length(meter), beat_length(meter)
    before, after = margins
    room = column - before - after
    groove = shelf.in_meter(way.strum, way.tune, meter)
    bars = groove.bars[:columns]
    found: dict[str, Any] = {
        "strokes": [],
        "counts": [],
        "rests": [],
        "said": list(_said_of(groove)),
    }
    # It stands behind the strokes; below them where they take the whole row.
    found["below"] = len(bars) >= columns
    found["at"] = lead + before + (0 if found["below"] else len(bars) * column)
    for number, bar in enumerate(bars):
        first = lead + number * column + before
        struck = {one.at: one for one in bar if one.how != STOPPED}
        stops = {one.at for one in bar if one.how == STOPPED}
        beats = {n * beat for n in range(int(whole / beat))}
        for at in sorted(beats | set(struck)):
            x, on = first + float(at / whole) * room, at in beats
            found["counts"].append({"x": x, "text": syllable(at, beat), "beat": on})
            if at in struck:
                later = min((each for each in {*struck, *stops} if each > at), default=whole)
                found["strokes"].append({"x": x, "short": later in stops} | _drawn(struck[at]))
            else:
                found["rests"].append(x)
    return found


def _said_of(groove: value.Groove) -> Iterator[str]:
    """Yield what stands beside the strokes: how the beat is divided, and what each sign means."""
    strokes = [stroke for bar in groove.bars for stroke in bar]
    signs = {
        groove.feel: bool(groove.feel),
        "hollow: soft": any(stroke.ghost for stroke in strokes),
        "thick: louder": any(stroke.accent for stroke in strokes),
        "cross: muted": any(stroke.how == MUTED for stroke in strokes),
        "waves: string by string": any(stroke.how == ROLLED for stroke in strokes),
        "dot: cut short": any(stroke.how == STOPPED for stroke in strokes),
        "bow: the next chord, early": any(stroke.push for stroke in strokes),
    }
    yield from (text for text, has in signs.items() if has)


def _drawn(stroke: Stroke) -> dict[str, bool]:
    """Return how a stroke is drawn."""
    return {
        "down": stroke.down, "accent": stroke.accent, "ghost": stroke.ghost,
        "muted": stroke.how == MUTED, "rolled": stroke.how == ROLLED, "push": stroke.push,
    }  # fmt: skip
