"""Shapes as chord diagrams made of characters, and as lines for a screen reader."""

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from harmonykit.about.text import WIDTH, printed
from harmonykit.draw.shapes.plain import draw_text, read_out
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord

# The most usual shapes: further ones stand in the table.
MOST_DRAWN = 4
_GAP = 4


def diagrams(shapes: Sequence[Voicing], chord: Chord) -> str:
    """Return shapes as chord diagrams with fingers and notes, side by side in 80 columns.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> shape = Voicing.parse("2223", Instrument.named("ukulele"))
    >>> print(diagrams([shape], Chord.parse("D7")).splitlines()[-1].split())
    ['A', 'D', 'F♯', 'C']
    """
    drawn = [_box(shape, chord) for shape in shapes[:MOST_DRAWN]]
    lines = [printed(chord.symbol)]
    for row in _rows(drawn):
        widths = [max(map(len, box)) for box in row]
        for parts in zip_longest(*row, fillvalue=""):
            cells = map(str.ljust, parts, widths)
            lines.append((" " * _GAP).join(cells).rstrip())
        lines.append("")
    return "\n".join([*lines, *_counted(shapes, chord)]).rstrip()


def spoken(shapes: Sequence[Voicing], chord: Chord) -> str:
    """Return shapes as lines for a screen reader: what each is, then string by string.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> shape = Voicing.parse("2223", Instrument.named("ukulele"))
    >>> print(spoken([shape], Chord.parse("D7")).splitlines()[2])
    C string, second fret, the note D, the root, first finger across 3 strings
    """
    told = [read_out(shape, chord) for shape in shapes[:MOST_DRAWN]]
    return "\n\n".join([*told, *_counted(shapes, chord)])


def _box(shape: Voicing, chord: Chord) -> list[str]:
    text = draw_text(shape, chord, name=shape.digits, fingers=shape.fingering is not None)
    return text.splitlines()


def _rows(drawn: Sequence[list[str]]) -> Iterator[list[list[str]]]:
    """Yield diagrams in rows that a terminal holds."""
    row: list[list[str]] = []
    taken = 0
    for box in drawn:
        wide = max(map(len, box))
        if row and taken + _GAP + wide > WIDTH:
            yield row
            row, taken = [], 0
        taken += wide + (_GAP if row else 0)
        row.append(box)
    if row:
        yield row


def _counted(shapes: Sequence[Voicing], chord: Chord) -> Iterator[str]:
    name = printed(chord.symbol)
    if not shapes:
        yield f"No playable shape of {name} within these limits."
    elif len(shapes) > MOST_DRAWN:
        yield f"{MOST_DRAWN} of {len(shapes)} shapes of {name}, the first in order."
