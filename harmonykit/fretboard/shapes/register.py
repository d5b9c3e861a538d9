"""How low the close intervals of a shape lie: what sounds thick on any instrument.

No second below about E♭3, no third below about C3: the lower note of each is meant (common
practice, no source).  An open G of six strings has B2 over G2 and is played all the same: the marks
are a price, never a ban.

Conventions.  C4 is MIDI 60.
"""

from __future__ import annotations

from itertools import pairwise

from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing

LOWEST_SECOND, LOWEST_THIRD = 51, 48
"""The lowest notes, E♭3 and C3, over which a second and a third sound clear."""

_LOWEST = {1: LOWEST_SECOND, 2: LOWEST_SECOND, 3: LOWEST_THIRD, 4: LOWEST_THIRD}
_MOST = 12


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
    pitches = sorted(as_voicing(voicing).sounding)
    return sum(
        min(_MOST, max(0, _LOWEST.get(high - low, low) - low)) for low, high in pairwise(pitches)
    )
