"""What a note does in its chord, in words and as a mark, and what a finger does on the way to it.

Round rests, cornered moves; solid names the chord, open fills it.  Each mark is known by its shape;
colour repeats what the shape says.  Marks of fingers bear numbers: an open one is a finger that
stays, one with a tail a finger that slides.  A mark is sized by ``d`` in mm: 4.2 in a box, 5 on the
neck, 6.2 to 6.6 where it bears a letter, 3.2 in a chart.  Its lines grow with it.
"""

import math
from collections.abc import Callable, Iterable

from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SMALL_PT, Canvas, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.draw.tree import Mark, Outline, Path, polyline
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import printed_accidental

# Role to the word that the key and the alt text use.
ROLES = {
    "note": "note",
    "root": "root",
    "third": "third",
    "fifth": "fifth",
    "seventh": "sixth or seventh",
    "tension": "tension",
    "was": "earlier note",
    "passing": "passing note",
}

# What a finger does on the way to a shape, in diagrams with fingers.
FINGER_ROLES = {"stays": "finger that stays", "slides": "finger that slides"}
MARK_WORDS = ROLES | FINGER_ROLES
"""Every mark that a key may hold, with its word."""


def role_of(chord: Chord | None, pitch_class: int) -> str:
    """Return the role of a pitch class in a chord.

    A diminished seventh is the same from each of its notes, so all of them are plain notes; a note
    outside the chord is one too.  An altered fifth over a major third is a tension, the fifth of
    a chord with a minor third is its fifth.  The note that is suspended is a tension.

    Examples
    --------
    >>> [role_of(Chord.parse("D7"), pc) for pc in (2, 6, 9, 0)]
    ['root', 'third', 'fifth', 'seventh']
    >>> role_of(Chord.parse("C7#5"), 8), role_of(Chord.parse("Bm7b5"), 5)
    ('tension', 'fifth')
    """
    if chord is None or chord.is_diminished_seventh:
        return "note"
    degree = chord.degree_of(pitch_class)
    if degree is None:
        return "note"
    if degree.number == 5:
        altered = degree.alter != 0 and Degree(3) in chord.degrees
        return "tension" if altered else "fifth"
    return {1: "root", 3: "third", 6: "seventh", 7: "seventh"}.get(degree.number, "tension")


def degree_word(chord: Chord | None, pitch_class: int) -> str:
    """Return the place of a pitch class in its chord in words; empty where it has none.

    Examples
    --------
    >>> degree_word(Chord.parse("D7"), 0), degree_word(Chord.parse("D7b9"), 3)
    ('the flat seventh', 'the flat ninth')
    >>> degree_word(Chord.parse("C/D"), 2)
    'the bass'
    """
    degree = None if chord is None else chord.degree_of(pitch_class)
    if degree is None:
        return "the bass" if chord and chord.bass.pitch_class == pitch_class else ""
    return f"the {_alter_word(degree)}{_NUMBER_WORDS[degree.number]}"


def degree_label(chord: Chord | None, pitch_class: int) -> str:
    """Return the place of a pitch class in its chord as it is printed; empty where it has none.

    Examples
    --------
    >>> degree_label(Chord.parse("D7b9"), 3), degree_label(Chord.parse("Bdim7"), 8)
    ('♭9', '𝄫7')
    """
    degree = None if chord is None else chord.degree_of(pitch_class)
    return "" if degree is None else f"{printed_accidental(degree.alter)}{degree.number}"


_NUMBER_WORDS = dict(
    enumerate(
        "root second third fourth fifth sixth seventh octave ninth tenth eleventh twelfth "
        "thirteenth".split(),
        start=1,
    )
)


def _alter_word(degree: Degree) -> str:
    if degree.number == 3:
        return {-1: "minor ", 0: "major "}.get(degree.alter, "")
    if degree.number == 7:
        return {-2: "diminished ", -1: "flat ", 0: "major "}.get(degree.alter, "")
    return {-2: "double flat ", -1: "flat ", 1: "sharp ", 2: "double sharp "}.get(degree.alter, "")


# Widths as parts of d: a ring of .32 mm at d = 4.2, an open stroke of .5, a dashed one of .3.
_RING, _OPEN, _DASHED = 0.32 / 4.2, 0.5 / 4.2, 0.3 / 4.2
_ROOT_ACROSS = 1.12
# As part of a mark's d: clearly wider than a string, clearly no barre.
_TAIL, _KEY_TAIL = 0.3, 0.68
_TURNS = 12


def draw_mark(
    canvas: Canvas,
    x: float,
    y: float,
    role: str,
    d: float,
    letter: str = "",
    size: float = LABEL_PT,
) -> None:
    """Draw one mark on a canvas, with a letter in it or without."""
    with canvas.mark(role, x, y, d):
        _SHAPES[role](canvas, x, y, d)
        if letter:
            # An open diamond is narrow where an accidental stands.
            fitted = min(size, NOTE_PT) if role in _NARROW and len(letter) > 1 else size
            colour = LETTER_COLOURS.get(role, "paper")
            canvas.letter(x, y, letter, fitted, weight=SEMIBOLD, colour=colour)


def half_width(role: str) -> float:
    """Return how far a mark reaches from its middle, as a part of its d.

    Examples
    --------
    >>> half_width("note"), half_width("seventh")
    (0.5, 0.625)
    """
    return {"root": 0.6, "third": 0.45, "seventh": 0.625, "tension": 0.625, "passing": 0.27}.get(
        role, 0.5
    )


def mark_drawing(role: str, d: float = 4.2, palette: str = "colour") -> Drawing:
    """Return one mark alone, for the key at the foot of a page."""
    side = round(1.4 * d, 2)
    canvas = Canvas(side, side, palette)
    _draw_key_mark(canvas, side / 2, side / 2, role, d)
    return canvas.drawing(
        MARK_WORDS[role],
        f"the mark of a {MARK_WORDS[role]}" if role != "was" else "the ring of an earlier note",
    )


def draw_key(roles: Iterable[str], palette: str = "colour") -> Drawing:
    """Return the key at a page's foot: the marks that are used, each with its word.

    Examples
    --------
    >>> draw_key(["root", "third"]).alt
    'The marks: root, third'
    """
    used = [role for role in MARK_WORDS if role in set(roles)]
    wide = [_KEY_WORD_MM + text_width(MARK_WORDS[role], NOTE_PT) for role in used]
    canvas = Canvas(sum(wide) + _KEY_GAP_MM * max(len(used) - 1, 0) + 0.5, 6.0, palette)
    x = 0.0
    for role, room in zip(used, wide, strict=True):
        _draw_key_mark(canvas, x + 2.8, 3.0, role, 4.2)
        canvas.letter(x + _KEY_WORD_MM, 3.0, MARK_WORDS[role], NOTE_PT, anchor="left")
        x += room + _KEY_GAP_MM
    return canvas.drawing("key", f"The marks: {', '.join(MARK_WORDS[role] for role in used)}")


def _draw_key_mark(canvas: Canvas, x: float, y: float, role: str, d: float) -> None:
    if role == "slides":
        draw_tail(canvas, (x, y - _KEY_TAIL * d), (x, y), d)
    draw_mark(canvas, x, y, role, d, "1" if role in FINGER_ROLES else "", SMALL_PT)


def roles_drawn(drawings: Iterable[Drawing]) -> tuple[str, ...]:
    """Return what the marks of some drawings stand for, in the order of a key.

    Examples
    --------
    >>> roles_drawn([mark_drawing("third"), mark_drawing("root")])
    ('root', 'third')
    """
    used = {mark.role for drawing in drawings for mark in drawing.sheet.all(Mark)}
    return tuple(role for role in MARK_WORDS if role in used)


_KEY_WORD_MM, _KEY_GAP_MM = 7.0, 5.0
_NARROW = ("tension",)
# Letters on solid marks are in the paper's colour.
LETTER_COLOURS = {"fifth": "ink", "tension": "tension", "was": "ink", "stays": "ink"}


def _disc(canvas: Canvas, x: float, y: float, d: float) -> None:
    canvas.circle(x, y, d, fill="ink")


def _root(canvas: Canvas, x: float, y: float, d: float) -> None:
    canvas.circle(x, y, _ROOT_ACROSS * d, fill="paper", stroke="ink", width=_RING * d)
    canvas.circle(x, y, 0.91 * d, fill="ink")


def _square(canvas: Canvas, x: float, y: float, d: float) -> None:
    # A square with round joins: the line's half width is the corner's radius.
    corner = 0.3 / 4.2 * d
    half = 0.45 * d - corner
    canvas.add(Path(_polygon(x, y, half, half), fill="third", stroke="third", width=2 * corner))


def _open_disc(canvas: Canvas, x: float, y: float, d: float) -> None:
    canvas.circle(x, y, (1 - _OPEN) * d, fill="paper", stroke="ink", width=_OPEN * d)


def _diamond(canvas: Canvas, x: float, y: float, d: float) -> None:
    edge = 0.04 * d
    canvas.add(Path(_rhomb(x, y, 0.625 * d), fill="seventh", stroke="seventh", width=edge))


def _open_diamond(canvas: Canvas, x: float, y: float, d: float) -> None:
    # Mitred, the corner of a square stands root two times half a line beyond the line's middle.
    half = 0.625 * d - _OPEN * d * 0.5**0.5
    canvas.add(
        Path(_rhomb(x, y, half), fill="paper", stroke="tension", width=_OPEN * d, join="miter")
    )


def _was(canvas: Canvas, x: float, y: float, d: float) -> None:
    across = 0.92 * d
    turn = math.pi * across / _TURNS
    canvas.circle(x, y, across, fill="paper")
    canvas.circle(x, y, across, stroke="ink", width=_DASHED * d, dash=(0.58 * turn, 0.42 * turn))


def draw_tail(
    canvas: Canvas, start: tuple[float, float], end: tuple[float, float], d: float
) -> None:
    """Draw the way along which a finger slides, under the mark of the size ``d`` at its end."""
    canvas.lines([[start, end]], _TAIL * d)


def _passing(canvas: Canvas, x: float, y: float, d: float) -> None:
    canvas.circle(x, y, 0.54 * d, fill="ink")


def _polygon(x: float, y: float, half_width: float, half_height: float) -> Outline:
    corners = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    return polyline([(x + a * half_width, y + b * half_height) for a, b in corners], closed=True)


def _rhomb(x: float, y: float, half: float) -> Outline:
    corners = [(x, y - half), (x + half, y), (x, y + half), (x - half, y)]
    return polyline(corners, closed=True)


_SHAPES: dict[str, Callable[[Canvas, float, float, float], None]] = {
    "note": _disc,
    "root": _root,
    "third": _square,
    "fifth": _open_disc,
    "seventh": _diamond,
    "tension": _open_diamond,
    "was": _was,
    "passing": _passing,
    "stays": _open_disc,
    "slides": _disc,
}
