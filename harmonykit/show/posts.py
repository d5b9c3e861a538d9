"""A tuning as posts of true pitch height: it shows which string is the high one."""

from __future__ import annotations

from harmonykit.fretboard.instrument import Instrument
from harmonykit.show.canvas import Canvas
from harmonykit.show.strung import printed_labels
from harmonykit.show.style import LABEL_PT, SEMIBOLD, Drawing, join_words, spoken
from harmonykit.show.words import string_names

_APART_MM, _SIDE_MM = 8.0, 4.0
_LEAST_MM, _MOST_MM, _SEMITONE_MM = 1.2, 9.5, 0.93
_GROUND_MM, _POST_MM = 0.6, 0.25


def draw_tuning(instrument: Instrument, *, palette: str = "colour") -> Drawing:
    """Draw each open string as a post as high as it sounds.

    Examples
    --------
    >>> draw_tuning(Instrument.named("ukulele")).alt.split(": ")[1]
    'G, C, E and A; the C string is the lowest'
    """
    lowest, highest = min(instrument.midi), max(instrument.midi)
    step = min(_SEMITONE_MM, (_MOST_MM - _LEAST_MM) / max(highest - lowest, 1))
    width = 2 * _SIDE_MM + _APART_MM * (len(instrument.strings) - 1)
    ground = _MOST_MM + 4.6
    canvas = Canvas(width, ground + _GROUND_MM, palette)
    labels = printed_labels(instrument)
    for index, (midi, label) in enumerate(zip(instrument.midi, labels, strict=True)):
        x = _SIDE_MM + index * _APART_MM
        top = ground - _LEAST_MM - (midi - lowest) * step
        canvas.lines([[(x, ground), (x, top)]], _POST_MM)
        canvas.text(x, top - 1.3, label, LABEL_PT, weight=SEMIBOLD)
    canvas.lines([[(0, ground), (width, ground)]], _GROUND_MM)
    return canvas.drawing(f"tuned {' '.join(labels)}", _describe(instrument))


def _describe(instrument: Instrument) -> str:
    notes = join_words([spoken(note) for note in instrument.strings])
    low = string_names(instrument)[instrument.midi.index(min(instrument.midi))]
    head = "The open strings from left to right, as high as they sound"
    return f"{head}: {notes}; the {low} is the lowest"
