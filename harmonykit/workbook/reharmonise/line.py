"""The line of the highest note through an arrangement, cut at its chords.

Heights are in CSS pixels from the top of the strip in which the line goes; several arrangements
share one scale, so that their lines can be compared.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.workbook.reharmonise.ways import phrases_of

HIGH_PX, ABOVE_PX, BELOW_PX = 52, 18, 6


@dataclass(frozen=True, slots=True)
class LinePart:
    """The line from one chord to the next.

    Parameters
    ----------
    start, end : float or None
        Heights here and at the next chord; ``None`` where nothing sounds.
    name : str
        The note, where it is the highest of its phrase for the first time.
    """

    start: float | None = None
    end: float | None = None
    name: str = ""


def line_parts(ways: Sequence[Arrangement]) -> list[list[LinePart]]:
    """Return the line of each arrangement, a part for each of its steps.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("| C6 | Dm7 |", "ukulele", (), 1)
    >>> [[step.voicing.top for step in way.steps], [part.name for part in line_parts([way])[0]]]
    [[76, 74], ['E5', '']]
    """
    tops = [step.voicing.top for way in ways for step in way.steps if step.voicing]
    low, high = min(tops, default=0), max(tops, default=1)
    room = HIGH_PX - ABOVE_PX - BELOW_PX

    def height(step: Step) -> float | None:
        if step.voicing is None:
            return None
        share = (high - step.voicing.top) / max(high - low, 1)
        return round(ABOVE_PX + share * room, 1)

    found = []
    for way in ways:
        heights = [height(step) for step in way.steps]
        after = [*heights[1:], None]
        names = _names(way)
        parts = zip(heights, after, names, strict=True)
        found.append([LinePart(start, end, name) for start, end, name in parts])
    return found


def _names(way: Arrangement) -> list[str]:
    """Return the name of the highest note of each phrase, at the step where it first sounds."""
    names = [""] * len(way.steps)
    for span in phrases_of(way.tune):
        inside = [
            (step.voicing.top, -index)
            for index, step in enumerate(way.steps)
            if step.bar in span and step.voicing
        ]
        if inside:
            index = -max(inside)[1]
            names[index] = _top_name(way.steps[index])
    return names


def _top_name(step: Step) -> str:
    shape, chord = step.voicing, step.chord
    if shape is None or chord is None:
        return ""
    note = shape.spelled(chord)[shape.midi.index(shape.top)]
    return "" if note is None else f"{note.plain().unicode}{note.octave}"
