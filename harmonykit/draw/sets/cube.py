"""The cube: the sixteen chords between two diminished sevenths.

A diminished seventh leaves two notes in each of its four gaps.  One note from each makes the
sixteen chords that alternate with it, from one of the other two diminished sevenths to the other;
an edge moves one note by a semitone.  A column holds the chords with as many notes raised.

Conventions.  A corner is named by its notes, each 1 where it is raised: ``"0110"``.  Lengths are in
mm.
"""

from __future__ import annotations

from functools import lru_cache

from harmonykit.draw.base.canvas import Canvas, Drawing
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, text_width
from harmonykit.draw.base.given import spoken_symbol
from harmonykit.draw.tree import Outline, Path, Point, rounded
from harmonykit.theory import alternation, naming, spelling
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.given import ChordLike, as_chord

KINDS = {"dim7": "ringed", "7": "solid", "m7b5": "open-bold", "m7": "open", "7b5": "dashed"}
"""Of the names that a chord has, the kinds that are preferred, and how each looks."""

CORNERS = tuple(f"{n:04b}" for n in range(16))
WIDE_MM, HIGH_MM, FOOT_MM = 174.0, 84.0, 8.0
_COLUMN_MM, _FIRST_MM = 38.0, 12.0
# Each voice has a slope of its own, so that the edges of one voice are parallel; with these the six
# chords in the middle stand equally far apart, and both ends at one height.
_RISES_MM = tuple(12.6 * steps for steps in (1.75, 0.75, -0.25, -2.25))
_WORDS = ("no note raised", "one", "two", "three", "all four")
_LEAST_MIDDLE_MM = 12.5

_NAME_PT, _WORD_PT = 13.0, 9.0
_TALL_MM, _PAD_MM, _CORNER_MM, _RING_MM = 7.2, 2.7, 0.8, 1.0
_EDGE_MM, _BOLD_EDGE_MM = 0.22, 0.7
# Of a box: whether it is filled, how wide its line is, its dashes, its letters' weight.
_LOOKS: dict[str, tuple[bool, float, tuple[float, ...], int]] = {
    "ringed": (True, 0.3, (), SEMIBOLD),
    "solid": (True, 0.3, (), SEMIBOLD),
    "open-bold": (False, 0.5, (), SEMIBOLD),
    "open": (False, 0.22, (), REGULAR),
    "dashed": (False, 0.22, (0.7, 0.5), REGULAR),
}


def neighbours(one: str, other: str) -> bool:
    """Say whether two corners differ by one note.

    Examples
    --------
    >>> neighbours("0000", "0100"), neighbours("0000", "0110")
    (True, False)
    """
    return sum(a != b for a, b in zip(one, other, strict=True)) == 1


EDGES = tuple((a, b) for a in CORNERS for b in CORNERS if a < b and neighbours(a, b))


def corner_at(corner: str) -> Point:
    """Return where a corner stands: by notes raised from left to right."""
    raised = corner.count("1")
    rise = sum(mm for mm, bit in zip(_RISES_MM, corner, strict=True) if bit == "1")
    return _FIRST_MM + _COLUMN_MM * raised, HIGH_MM / 2 - rise


def write_columns(canvas: Canvas) -> None:
    """Set under each column how many notes are raised in it."""
    for raised, word in enumerate(_WORDS):
        x = max(_FIRST_MM + _COLUMN_MM * raised, _LEAST_MIDDLE_MM)
        canvas.letter(x, HIGH_MM + 3.0, word, _WORD_PT, colour="soft")


@lru_cache(maxsize=16)
def chords_of(symbol: str) -> dict[str, Chord]:
    """Return the chord at each corner, by its name.

    Examples
    --------
    >>> chords_of("Bdim7")["1000"]
    Chord.parse('F#m7b5')
    """
    between = Chord.parse(symbol)
    spelling.need_diminished(between)
    cube = alternation.alternation_cube(between)
    return {"".join(map(str, corner.place)): named(corner.pcs) for corner in cube.corners}


@lru_cache(maxsize=256)
def named(pcs: PcSet) -> Chord:
    """Return the name that a chord of the cube bears: the one that needs the fewest accidentals.

    Examples
    --------
    >>> named(PcSet.of(0, 4, 7, 9)), named(PcSet.of(0, 3, 7, 9))
    (Chord.parse('Am7'), Chord.parse('Am7b5'))
    """
    found = [
        Chord.of(root, chord.quality)
        for chord in naming.exact_names(pcs)
        if chord.quality in KINDS
        for root in _names_of(chord.root.pitch_class)
    ]
    kinds = list(KINDS)
    return min(found, key=lambda chord: (kinds.index(chord.quality), *_accidentals(chord)))


def _names_of(pc: int) -> list[Note]:
    notes = [Note.from_midi(60 + pc, flats=flats).at(None) for flats in (False, True)]
    return list(dict.fromkeys(notes))


def _accidentals(chord: Chord) -> tuple[int, int]:
    return sum(note.accidental**2 for note in chord.tones), abs(chord.root.accidental)


def draw_cube(chord: ChordLike, palette: str = "colour") -> Drawing:
    """Draw the sixteen chords that alternate with a diminished seventh.

    A diminished seventh is ringed, a dominant seventh solid, a half-diminished has a bold line, a
    minor seventh a thin one, a seventh with a flat five a broken one.

    Parameters
    ----------
    chord : Chord or str
        The diminished seventh that lies between the two at the ends.
    palette : str
        The name of a palette.

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If it is no diminished seventh.

    Examples
    --------
    >>> print(hk.draw.cube("Bdim7").alt.split(", by")[0])
    The sixteen chords that alternate with B diminished seven
    """
    read = as_chord(chord)
    chords = chords_of(read.symbol)
    canvas = Canvas(WIDE_MM, HIGH_MM + FOOT_MM, palette)
    outer = [edge for edge in EDGES if "0000" in edge or "1111" in edge]
    for width, edges in ((_EDGE_MM, set(EDGES) - set(outer)), (_BOLD_EDGE_MM, outer)):
        canvas.lines([[corner_at(a), corner_at(b)] for a, b in sorted(edges)], width)
    for corner, name in chords.items():
        with canvas.group(f"corner-{corner}"):
            _box(canvas, corner_at(corner), name)
    for corner in CORNERS:
        if corner.count("1") == 1:
            _write_move(canvas, chords, corner)
    write_columns(canvas)
    return canvas.drawing(f"The map of sixteen chords round {read.unicode}", _alt(read, chords))


def _write_move(canvas: Canvas, chords: dict[str, Chord], corner: str) -> None:
    """Set beside a corner of the first column which note was raised, and to which."""
    x, y = corner_at(corner)
    below = corner == "0001"
    beside = y + (_TALL_MM / 2 + 2.2) * (1 if below else -1)
    canvas.letter(x, beside, _move(chords, corner), _WORD_PT, colour="soft")


def _move(chords: dict[str, Chord], corner: str) -> str:
    before, after = chords["0000"], chords[corner]
    (old,), (new,) = before.pcs - after.pcs, after.pcs - before.pcs
    return f"{before.spell(old).unicode} to {after.spell(new).unicode}"


def _box(canvas: Canvas, middle: Point, chord: Chord) -> None:
    """Draw a chord's name in the box of its kind."""
    filled, width, dash, weight = _LOOKS[KINDS[chord.quality]]
    wide, corner = _wide(chord), _CORNER_MM
    if KINDS[chord.quality] == "ringed":
        corner = _TALL_MM * 0.32
        ring = _about(middle, wide + 2 * _RING_MM, _TALL_MM + 2 * _RING_MM, corner + _RING_MM)
        canvas.add(Path(ring, fill="paper", stroke="ink", width=0.3))
    fill, letters = ("ink", "paper") if filled else ("paper", "ink")
    canvas.add(
        Path(
            _about(middle, wide, _TALL_MM, corner), fill=fill, stroke="ink", width=width, dash=dash
        )
    )
    canvas.letter(*middle, chord.unicode, _NAME_PT, weight=weight, colour=letters)


def _wide(chord: Chord) -> float:
    weight = _LOOKS[KINDS[chord.quality]][-1]
    return text_width(chord.unicode, _NAME_PT, weight) + 2 * _PAD_MM


def _about(middle: Point, wide: float, tall: float, corner: float) -> Outline:
    """Return a box with round corners about a point."""
    return rounded(middle[0] - wide / 2, middle[1] - tall / 2, wide, tall, corner)


def _alt(chord: Chord, chords: dict[str, Chord]) -> str:
    said = {corner: spoken_symbol(name.unicode) for corner, name in chords.items()}
    columns = [
        f"{word}: {', '.join(said[c] for c in CORNERS if c.count('1') == raised)}"
        for raised, word in enumerate(_WORDS)
    ]
    return (
        f"The sixteen chords that alternate with {spoken_symbol(chord.unicode)}, by how many notes"
        f" of {said['0000']} are raised a semitone; {'; '.join(columns)}. An edge raises one note"
    )
