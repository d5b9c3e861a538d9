"""Keys of a melody that has no chords: how likely each of the 24 is, from its notes.

The share of the time that each pitch class sounds is held against how well each degree was heard to
fit a major or a minor key, and the last note against the tonic.  ``WEIGHT`` and ``LAST`` were set
on traditional melodies whose key is printed (``shared/evidence/evaluate_melodies.py``).

References
----------
C. L. Krumhansl, E. J. Kessler, "Tracing the dynamic changes in perceived tonal organization in a
spatial representation of musical keys", Psychological Review 89, 1982: the ratings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from harmonykit.evidence.keys import MAJOR, MINOR, softmax

# How well each degree fits, in semitones above the tonic: ratings from 1 to 7.
FITS = {
    MAJOR: (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88),
    MINOR: (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17),
}
WEIGHT, LAST = 40.0, 2.0


def melody_probabilities(notes: Sequence[tuple[int, float]]) -> dict[tuple[int, str], float]:
    """Return the probability of each key, by its tonic (0..11) and mode.

    Parameters
    ----------
    notes : sequence of (int, float)
        Pitch class and length of each note, in order; one at least.

    Examples
    --------
    >>> found = melody_probabilities([(0, 1), (4, 1), (7, 1), (5, 1), (2, 1), (0, 2)])
    >>> max(found, key=found.get), round(sum(found.values()), 9)
    ((0, 'major'), 1.0)
    """
    total = sum(length for _, length in notes)
    points = {}
    for mode, fits in FITS.items():
        logs = [math.log(each / sum(fits)) for each in fits]
        for tonic in range(12):
            fit = sum(length * logs[(note - tonic) % 12] for note, length in notes) / total
            points[tonic, mode] = WEIGHT * fit + LAST * (notes[-1][0] == tonic)
    return softmax(points)
