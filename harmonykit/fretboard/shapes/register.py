"""How low the close intervals of a shape lie: what sounds thick on any instrument.

No second below about E♭3, no third below about C3: the lower note of each is meant (common
practice, no source).  An open G of six strings has B2 over G2 and is played all the same: the marks
are a price, never a ban.

Conventions.  C4 is MIDI 60.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing

LOWEST_SECOND, LOWEST_THIRD = 51, 48
"""The lowest notes, E♭3 and C3, over which a second and a third sound clear."""

_LOWEST = {1: LOWEST_SECOND, 2: LOWEST_SECOND, 3: LOWEST_THIRD, 4: LOWEST_THIRD}
_MOST, _SILENT = 12, 10_000


def register_marks(voicing: Voicing) -> int:
    """Return by how many semitones the close intervals of a shape lie too low, in all.

    Parameters
    ----------
    voicing : Voicing

    Returns
    -------
    int
        0 where none does; each interval counts 12 at most.

    Examples
    --------
    >>> guitar = hk.Instrument.named("guitar")
    >>> shapes = [hk.Voicing.parse(digits, guitar) for digits in ("x32010", "320003")]
    >>> [hk.fretboard.register_marks(shape) for shape in shapes]  # B2 over G2, D3 over B2
    [0, 6]
    """
    row = np.array([as_voicing(voicing).sounding], dtype=np.int64)
    return int(registers(row)[0])


def registers(pitches: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return ``register_marks`` of shapes given as MIDI numbers by string, -1 where muted.

    Examples
    --------
    >>> registers(np.array([[43, 47, 50, 55], [-1, 48, 52, 55]])).tolist()
    [6, 0]
    """
    row = np.sort(np.where(pitches < 0, _SILENT, pitches), axis=1)
    low, gaps = row[:, :-1], np.diff(row, axis=1)
    marks = np.zeros(low.shape, dtype=np.int64)
    for gap, least in _LOWEST.items():
        marks = np.where(gaps == gap, np.clip(least - low, 0, _MOST), marks)
    found: NDArray[np.int64] = marks.sum(axis=1)
    return found
