"""The Fourier transform of a set: which even division of the octave its notes are nearest to.

Conventions.  Coefficient k, from 0 to 6, compares a set with k equal parts of the octave: 3 with
the augmented triad, 4 with the diminished seventh, 5 with a row of fifths, 6 with the whole-tone
scale.  Its *magnitude* runs from 0 to the number of notes; transposition and inversion leave it
as it is.  Its *phase* says where, in twelfths of a circle: it is oriented so that coefficient 1 of
a single note points at that note.  Coefficient 12 - k has the magnitude of k.

References
----------
I. Quinn, "General Equal-Tempered Harmony", *Perspectives of New Music* 44/2 and 45/1 (2006, 2007).
E. Amiot, *Music Through Fourier Space*, Springer 2016.
J. Yust, "Ganymed's Heavenly Descent", *Music Theory Spectrum* 43 (2021): scaling of phases.

Notebook: 07_set_class_catalogue
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.theory.given import NotesLike, as_pcset
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass

_SETS, _NOTES, _PARTS = 1 << 12, 12, 7
_ZERO = 1e-9


@dataclass(frozen=True, slots=True)
class Fourier:
    """The coefficients 0 to 6 of a set.

    Parameters
    ----------
    pcs : PcSet
    magnitudes : tuple of float
        Seven, each from 0 to the number of notes.
    phases : tuple of float
        Seven, in twelfths of a circle, 0 to less than 12; 0 where the magnitude is 0.

    Examples
    --------
    >>> found = hk.theory.fourier("Cdim7")
    >>> found.magnitudes, found.strongest
    ((4.0, 0.0, 0.0, 0.0, 4.0, 0.0, 0.0), 4)
    """

    pcs: PcSet
    magnitudes: tuple[float, ...]
    phases: tuple[float, ...]

    @property
    def strongest(self) -> int:
        """The part of the octave, 1 to 6, to which the set is nearest; the least of equals.

        Examples
        --------
        >>> hk.theory.fourier([0, 2, 4, 5, 7, 9, 11]).strongest
        5
        """
        sizes = self.magnitudes[1:]
        return 1 + next(k for k, size in enumerate(sizes) if size > max(sizes) - _ZERO)


def fourier(notes: NotesLike) -> Fourier:
    """Return the Fourier transform of a set.

    Parameters
    ----------
    notes : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    Fourier

    Raises
    ------
    HarmonyError
        If the notes cannot be read.

    References
    ----------
    J. Yust, "Ganymed's Heavenly Descent", *Music Theory Spectrum* 43 (2021).

    Examples
    --------
    >>> [round(size, 2) for size in hk.theory.fourier("C").magnitudes]
    [3.0, 0.52, 1.0, 2.24, 1.73, 1.93, 1.0]
    """
    pcs = as_pcset(notes)
    row = _transforms()[pcs.mask, :_PARTS]
    sizes = [float(size) for size in np.abs(row).round(12)]
    turns = np.angle(row) * -_NOTES / (2 * np.pi)
    phases = [
        float(turn) % _NOTES if size > _ZERO else 0.0
        for turn, size in zip(turns.round(9).tolist(), sizes, strict=True)
    ]
    return Fourier(pcs, tuple(sizes), tuple(phases))


def evenness(notes: NotesLike) -> float:
    """Return how evenly a set is spread, from 0 to 1, which is as evenly as so many notes can be.

    For n notes it is the magnitude of coefficient n over the greatest that any n notes have; the
    sets that have 1 are the maximally even ones.

    Parameters
    ----------
    notes : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    float
        1 also for the empty set and for all twelve notes.

    Raises
    ------
    HarmonyError
        If the notes cannot be read.

    References
    ----------
    E. Amiot, "David Lewin and Maximally Even Sets", *Journal of Mathematics and Music* 1/3 (2007).
    J. Clough and J. Douthett, "Maximally Even Sets", *Journal of Music Theory* 35 (1991).

    Examples
    --------
    >>> hk.theory.evenness("Cdim7"), hk.theory.evenness([0, 2, 4, 5, 7, 9, 11])
    (1.0, 1.0)
    >>> hk.theory.evenness("C7") > hk.theory.evenness("C6") > hk.theory.evenness([0, 1, 2, 3])
    True
    """
    return float(_evenness()[as_pcset(notes).mask])


@cache
def _transforms() -> NDArray[np.complex128]:
    """Return the transform of each of the 4,096 sets: a row a set, a column a coefficient."""
    sets = np.arange(_SETS)[:, None]
    held = (sets >> np.arange(_NOTES)) & 1
    return np.fft.fft(held, axis=1)


@cache
def _evenness() -> NDArray[np.float64]:
    """Return the evenness of each of the 4,096 sets."""
    sizes = np.bitwise_count(np.arange(_SETS)).astype(np.intp)
    own = np.abs(_transforms())[np.arange(_SETS), sizes % _NOTES]
    most = np.zeros(_NOTES + 1)
    np.maximum.at(most, sizes, own)
    most[[0, _NOTES]] = 1.0
    own[[0, -1]] = 1.0
    return (own / most[sizes]).round(12)
