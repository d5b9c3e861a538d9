"""Roughness: how much the partials of the notes that sound beat against one another, in register.

Conventions.  A pitch is a MIDI number, 60 = C4, A4 = 440 Hz.  Each note has seven harmonic
partials, each .88 times as strong as the one below.  Two partials of frequencies f below g and
strengths v, w add v w (exp(-3.5 s (g - f)) - exp(-5.75 s (g - f))), with s = .24 / (.021 f + 19):
nothing where they are the same, most about a quarter of a critical band apart.  The number has no
unit and says nothing of taste; it compares voicings of about the same loudness.  Low and close is
rough.

References
----------
W. A. Sethares, "Local consonance and the relationship between timbre and scale", *Journal of the
Acoustical Society of America* 94/3 (1993).
R. Plomp and W. J. M. Levelt, "Tonal Consonance and Critical Bandwidth", *Journal of the Acoustical
Society of America* 38 (1965).

Notebook: 07_set_class_catalogue
"""

from collections.abc import Iterable

import numpy as np

from harmonykit.errors import HarmonyError, need_number, need_several

_PARTIALS, _DECAY = np.arange(1, 8), 0.88
_SLOW, _FAST, _WIDEST = 3.5, 5.75, 0.24
_SLOPE, _FLOOR = 0.021, 19.0


def roughness(pitches: Iterable[float]) -> float:
    """Return how rough some pitches sound together.

    Parameters
    ----------
    pitches : iterable of float
        MIDI numbers, 60 = C4; fractions are parts of a semitone.

    Returns
    -------
    float
        0 or more; a note's own partials count too.

    Raises
    ------
    HarmonyError
        If no pitches are given, or one is not a number from 0 to 127.

    References
    ----------
    W. A. Sethares, *Journal of the Acoustical Society of America* 94/3 (1993).

    Examples
    --------
    The same third, low and high; a semitone, and a fifth.

    >>> hk.theory.roughness([40, 44]) > hk.theory.roughness([64, 68])
    True
    >>> hk.theory.roughness([60, 61]) > hk.theory.roughness([60, 67])
    True
    """
    given = need_several(pitches, "pitches as MIDI numbers", "[60, 64, 67]")
    heights = [need_number(each, "a pitch", 0, 127) for each in given]
    if not heights:
        raise HarmonyError("pitches are missing", mend="[60, 64, 67]")
    ground = 440.0 * 2.0 ** ((np.array(heights) - 69.0) / 12.0)
    frequency = (ground[:, None] * _PARTIALS).ravel()
    strength = np.tile(_DECAY ** (_PARTIALS - 1.0), len(heights))
    low, high = np.triu_indices(len(frequency), 1)
    apart = np.abs(frequency[low] - frequency[high])
    width = _WIDEST / (_SLOPE * np.minimum(frequency[low], frequency[high]) + _FLOOR)
    beats = np.exp(-_SLOW * width * apart) - np.exp(-_FAST * width * apart)
    return float(np.sum(strength[low] * strength[high] * beats))
