"""How the strings of an instrument are drawn, and a tuning as posts of true pitch height.

Conventions.  Strings are counted from 0 in the instrument's order.  Lengths are in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.style import LABEL_PT, SEMIBOLD, join_words, spoken
from harmonykit.draw.base.words import string_names
from harmonykit.draw.drawing import Drawing
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument

# From one line to the next of strings that are pressed together.
_BESIDE_MM = 0.8


def strands(instrument: Instrument, string: int, scale: float = 1.0) -> tuple[float, ...]:
    """Return where the lines of one string lie beside its middle, in mm: two for a double one.

    Examples
    --------
    >>> strands(Instrument.named("ukulele"), 0), strands(Instrument.named("mandolin"), 0)
    ((0.0,), (-0.4, 0.4))
    """
    count = 1 + (len(instrument.doubles[string]) if instrument.doubles else 0)
    return tuple(_BESIDE_MM * scale * (line - (count - 1) / 2) for line in range(count))


def whole_strings(instrument: Instrument, wire: int = 0) -> tuple[int, ...]:
    """Return the strings that lie on a wire; not those that start at a higher fret.

    Examples
    --------
    >>> banjo = Instrument.named("five-string banjo")
    >>> whole_strings(banjo), whole_strings(banjo, 5)
    ((1, 2, 3, 4), (0, 1, 2, 3, 4))
    """
    return tuple(s for s in range(len(instrument.strings)) if instrument.start(s) <= wire)


def drawn_order(count: int, *turned: bool) -> tuple[int, ...]:
    """Return the strings as they are drawn, each turn the other way round.

    Examples
    --------
    >>> drawn_order(4), drawn_order(4, True), drawn_order(4, True, True)
    ((0, 1, 2, 3), (3, 2, 1, 0), (0, 1, 2, 3))
    """
    order = tuple(range(count))
    return order[::-1] if sum(turned) % 2 else order


def is_left_handed(instrument: Instrument, *, asked: bool | None) -> bool:
    """Return the hand that is asked for, else the one that the instrument is strung for."""
    return instrument.left_handed if asked is None else asked


def span(places: Iterable[float]) -> tuple[float, float]:
    """Return the least and the greatest of some places.

    Examples
    --------
    >>> span([3.0, 1.0, 2.0])
    (1.0, 3.0)
    """
    listed = list(places)
    return min(listed), max(listed)


_APART_MM, _SIDE_MM = 8.0, 4.0
_LEAST_MM, _MOST_MM, _SEMITONE_MM = 1.2, 9.5, 0.93
_GROUND_MM, _POST_MM = 0.6, 0.25


def draw_tuning(
    instrument: InstrumentLike, *, left_handed: bool | None = None, palette: str = "colour"
) -> Drawing:
    """Draw each open string as a column as high as it sounds, in the order of a chord diagram.

    ``left_handed`` is the mirror image; as the instrument is strung unless given.

    Parameters
    ----------
    instrument : Instrument or str
    left_handed : bool, optional
        Whether it is the mirror image; as the instrument is strung where not given.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Examples
    --------
    >>> hk.draw.tuning("ukulele").alt.split(": ")[1]
    'G, C, E and A; the C string is the lowest'
    """
    instrument = as_instrument(instrument)
    order = drawn_order(len(instrument.strings), is_left_handed(instrument, asked=left_handed))
    lowest, highest = min(instrument.midi), max(instrument.midi)
    step = min(_SEMITONE_MM, (_MOST_MM - _LEAST_MM) / max(highest - lowest, 1))
    width = 2 * _SIDE_MM + _APART_MM * (len(instrument.strings) - 1)
    ground = _MOST_MM + 4.6
    canvas = Canvas(width, ground + _GROUND_MM, palette)
    labels = instrument.printed_labels
    for index, string in enumerate(order):
        x = _SIDE_MM + index * _APART_MM
        top = ground - _LEAST_MM - (instrument.midi[string] - lowest) * step
        canvas.lines([[(x, ground), (x, top)]], _POST_MM)
        canvas.text(x, top - 1.3, labels[string], LABEL_PT, weight=SEMIBOLD)
    canvas.lines([[(0, ground), (width, ground)]], _GROUND_MM)
    return canvas.drawing(f"tuned {' '.join(labels)}", _describe(instrument, order))


def _describe(instrument: Instrument, order: Sequence[int]) -> str:
    notes = join_words([spoken(instrument.strings[string]) for string in order])
    low = string_names(instrument)[instrument.midi.index(min(instrument.midi))]
    head = "The open strings from left to right, each at its pitch"
    return f"{head}: {notes}; the {low} is the lowest"
