"""What a page draws with a question, as short plain data: notes on the clock, shapes on strings.

The page's script draws it with the marks of ``draw.base.marks``, which the page holds once.  Before
an answer all notes are plain; after it each has the mark of what it does in its chord.
"""

from typing import Any

from harmonykit.about.names import note_of
from harmonykit.draw.base.marks import role_of
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice.question import Seen
from harmonykit.theory.chord import Chord, Note

Figure = dict[str, Any]
Mark = tuple[int, str, str]


def figure_of(seen: Seen, *, plain: bool = False) -> Figure | None:
    """Return what is seen, or nothing where it is nothing.

    Parameters
    ----------
    seen : Seen
    plain : bool
        Whether no mark may say what its note does.

    Examples
    --------
    >>> from harmonykit.theory.chord import Chord
    >>> seen = Seen("C7", Chord.parse("C7").pcs, Chord.parse("C7"))
    >>> figure_of(seen)["clock"]
    [(0, 'root', 'C'), (4, 'third', 'E'), (7, 'fifth', 'G'), (10, 'seventh', 'B♭')]
    """
    if seen.ways:
        chord = None if plain else seen.chord
        ways = [[_held(a, None, seen.old), _held(b, chord, seen.chord)] for a, b in seen.ways]
        return {"ways": ways}
    if seen.shape is not None:
        chord = None if plain else seen.chord
        names = None if seen.nameless else seen.chord
        held = _held(seen.shape, chord, names, nameless=seen.nameless)
        if seen.before is not None and seen.before != seen.shape:
            held["was"] = list(seen.before.frets)
        return held
    return _clock(seen, plain=plain) if seen.notes else None


def _held(
    shape: Voicing, chord: Chord | None, names: Chord | None, *, nameless: bool = False
) -> Figure:
    """Return a shape: frets, and the mark and letters of each string that sounds."""
    marks: list[tuple[str, str] | None] = []
    for midi in shape.midi:
        if midi is None:
            marks.append(None)
        else:
            name = "" if nameless else note_of(midi % 12, names).unicode
            marks.append((role_of(chord, midi % 12), name))
    return {"frets": list(shape.frets), "marks": marks}


def shape_figure(shape: Voicing, chord: Chord | None, names: Chord | None = None) -> Figure:
    """Return a shape with what its notes do in a chord, spelled as that chord or another asks."""
    return _held(shape, chord, names or chord)


def chord_figure(chord: Chord) -> Figure:
    """Return a chord on the clock, with what its notes do."""
    return {"clock": [_mark(pc, chord, {}) for pc in chord.pcs], "name": chord.unicode}


def _clock(seen: Seen, *, plain: bool) -> Figure:
    names = {note.pitch_class: note for note in seen.names}
    chord = seen.chord
    marks = [_mark(pc, chord, names) for pc in seen.notes]
    if plain:
        marks = [(pc, "note", name) for pc, _, name in marks]
    found: Figure = {"clock": marks, "name": seen.heading}
    left = [pc for pc in seen.was if pc not in seen.notes]
    if left:
        found["was"] = [(pc, note_of(pc, seen.old).unicode) for pc in left]
    if seen.moves:
        found["moves"] = [pair for pair in seen.moves if pair[0] != pair[1]]
    return found


def _mark(pc: int, chord: Chord | None, names: dict[int, Note]) -> Mark:
    name = names.get(pc) or note_of(pc, chord)
    return pc, role_of(chord, pc), name.unicode
