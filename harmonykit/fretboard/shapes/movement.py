"""What moves from one shape to another, as plain numbers: the features of a player's next choice.

Conventions.  A row is a candidate, a column a feature, in the order of ``FEATURES``:

- ``strings``: 1 where the same strings sound, else 0,
- ``inversion``: 1 where the root is the same voice, counted from the lowest pitch, else 0,
- ``hand``: how far the middle of what is fretted moves along the neck, in cm,
- ``neck``: how far that middle is from the sixth fret, squared, in dm²,
- ``voices``: what a voice moves, squared, the mean of all voices, in semitones²; where the number
  of voices differs, each of the more goes to the nearest of the fewer.

A shape of open strings is held with the hand at the first fret.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.naming import exact_names, name_chords

FEATURES = ("strings", "inversion", "hand", "neck", "voices")
Numbers = NDArray[np.float64]

_MIDDLE_FRET = 6


def features(
    before: Voicing, root: int | None, chord: Chord, candidates: Sequence[Voicing]
) -> Numbers:
    """Return the features of the way from a shape to each candidate: an array (candidates, 5).

    Parameters
    ----------
    before : Voicing
    root : int or None
        The pitch class of its root, where that is known (``name_of``).
    chord : Chord
        The chord of the candidates.
    candidates : sequence of Voicing
        On the same instrument.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> guitar = Instrument.named("guitar")
    >>> d7, g7 = (Voicing.parse(digits, guitar) for digits in ("x5757x", "x5546x"))
    >>> features(d7, 2, Chord.parse("G7"), [g7]).round(2).tolist()
    [[1.0, 0.0, 2.69, 0.08, 1.5]]
    """
    found: Numbers = np.array(
        [_row(before, root, chord.root.pitch_class, after) for after in candidates]
    ).reshape(len(candidates), len(FEATURES))
    return found


def name_of(voicing: Voicing, target: Chord) -> Chord | None:
    """Return the chord that a shape most likely is, before another; ``None`` where it has no name.

    Of two names with the same notes the one with a seventh is taken (Am7, not C6), since charts
    write it more often.  A diminished seventh is heard on the leading tone of its target where it
    has that, else on its lowest pitch.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> guitar = Instrument.named("guitar")
    >>> shapes = [Voicing.parse(digits, guitar) for digits in ("xx6767", "x7758x", "x323xx")]
    >>> [str(name_of(shape, Chord.parse("Cm7"))) for shape in shapes]
    ['Bdim7', 'Am7', 'C7']
    """
    names = exact_names(voicing.pcs)
    if any(name.is_diminished_seventh for name in names):
        leading = (target.root.pitch_class - 1) % 12
        root = leading if leading in voicing.pcs else voicing.lowest % 12
        return next(name for name in names if name.root.pitch_class == root)
    sevenths = [name for name in names if any(degree.number == 7 for degree in name.degrees)]
    if names:
        return (sevenths or list(names))[0]
    read = name_chords(voicing.pcs, bass=voicing.lowest % 12)
    return read[0].chord if read else None


def _row(before: Voicing, root: int | None, target: int, after: Voicing) -> list[float]:
    old, new = sorted(before.sounding), sorted(after.sounding)
    stood, stands = middle_mm(before), middle_mm(after)
    same = [a is None for a in before.frets] == [b is None for b in after.frets]
    home = before.instrument.finger_mm(_MIDDLE_FRET)
    return [
        float(same),
        float(root is not None and _voice(old, root) == _voice(new, target) is not None),
        abs(stands - stood) / 10,
        ((stands - home) / 100) ** 2,
        _voices(old, new),
    ]


def _voice(pitches: list[int], root: int) -> int | None:
    """Return which voice from the lowest is the root's first."""
    return next((n for n, pitch in enumerate(pitches) if pitch % 12 == root), None)


def middle_mm(voicing: Voicing) -> float:
    """Return the middle of what is fretted, in mm from the nut; the first fret's where all is open.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> round(middle_mm(Voicing.parse("0013", Instrument.named("ukulele"))), 1)
    35.0
    """
    places = [voicing.instrument.finger_mm(fret) for fret in voicing.fretted or (1,)]
    return sum(places) / len(places)


def _voices(old: list[int], new: list[int]) -> float:
    if len(old) == len(new):
        moves: Any = [a - b for a, b in zip(old, new, strict=True)]
    else:
        more, fewer = sorted((old, new), key=len, reverse=True)
        moves = [min(abs(a - b) for b in fewer) for a in more]
    return float(sum(move * move for move in moves)) / len(moves)
