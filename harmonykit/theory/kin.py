"""Kin of triads and seventh chords: P, L, R and their words, the Tonnetz, one note to a seventh.

Conventions.  P changes a major triad into the minor one on its root and back, R into its relative,
L into the triad on the mediant (of a minor one: on the submediant); each keeps two notes.  A word
is read from left to right.  N, S and H are words with a name: N = RLP, S = LPR, H = LPL.

References
----------
R. Cohn, "Neo-Riemannian Operations, Parsimonious Trichords, and Their *Tonnetz* Representations",
*Journal of Music Theory* 41/1 (1997).
S. Cannas, S. Antonini and L. Pernazza, "On the Group of Transformations of Classical Types of
Seventh Chords", *Mathematics and Computation in Music* 2017.

Notebook: 07_set_class_catalogue
"""

from __future__ import annotations

from dataclasses import replace

from harmonykit.errors import HarmonyError, need_text, need_whole
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.leading.neighbours import OneNote, one_note_changes
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.spelling import chart_name

SEVENTHS = ("7", "m7", "m7b5", "maj7", "dim7")
_LONG = {"N": "RLP", "S": "LPR", "H": "LPL"}
# How the root moves from a major and from a minor triad, as intervals, and to which suffix.
_MAJOR = {"P": ("P1", "m"), "L": ("M3", "m"), "R": ("-m3", "m")}
_MINOR = {"P": ("P1", ""), "L": ("-M3", ""), "R": ("m3", "")}
_FIFTH, _THIRD = 7, 4


def plr(chord: ChordLike, word: str) -> Chord:
    """Return the triad that the letters P, L, R, N, S and H make of another, one after the other.

    Parameters
    ----------
    chord : Chord or str
        A major or minor triad.
    word : str
        ``"P"``, ``"PL"``; read from left to right.

    Returns
    -------
    Chord
        With a root as charts write it.

    Raises
    ------
    HarmonyError
        If the chord is another one, or the word has another letter.

    References
    ----------
    R. Cohn, *Journal of Music Theory* 41/1 (1997).

    Examples
    --------
    >>> [hk.theory.plr("C", word).symbol for word in ("P", "L", "R", "N", "S", "H")]
    ['Cm', 'Em', 'Am', 'Fm', 'C#m', 'G#m']
    """
    triad = _need_triad(chord)
    for letter in need_text(word, "letters P, L, R, N, S and H", '"PL"').strip().upper():
        if letter not in {*_MAJOR, *_LONG}:
            raise HarmonyError(
                f"{letter!r} is not one of P, L, R, N, S and H", mend='plr("C", "PL")'
            )
        for step in _LONG.get(letter, letter):
            interval, suffix = (_MINOR if triad.is_minor else _MAJOR)[step]
            root = triad.root.transpose(interval).at(None)
            triad = Chord.of(chart_name(root), suffix)
    return triad


def _need_triad(chord: ChordLike) -> Chord:
    triad = as_chord(chord)
    if triad.semitones in {(0, 4, 7), (0, 3, 7)} and triad.foreign_bass is None:
        return triad.over(None)
    raise HarmonyError(f"{triad.unicode} is not a major or minor triad", mend='"C" or "Am"')


def tonnetz(columns: int = 4, rows: int = 3, start: int = 0) -> tuple[tuple[int, ...], ...]:
    """Return a piece of the Tonnetz: fifths to the right, major thirds upward.

    A note, the one at its right and the one above it are a major triad; a note, the one at its
    right and the one below that are a minor triad.

    Parameters
    ----------
    columns, rows : int in 1..12
    start : int
        The pitch class at the left of the lowest row, C = 0.

    Returns
    -------
    tuple of tuple of int
        Rows of pitch classes, the highest row first.

    Raises
    ------
    HarmonyError
        If a number is out of its range.

    References
    ----------
    R. Cohn, *Journal of Music Theory* 41/1 (1997).

    Examples
    --------
    >>> hk.theory.tonnetz(4, 2)
    ((4, 11, 6, 1), (0, 7, 2, 9))
    """
    wide, high = need_whole(columns, "columns", 1, 12), need_whole(rows, "rows", 1, 12)
    low = need_whole(start, "start", 0, 11)
    return tuple(
        tuple((low + _FIFTH * column + _THIRD * row) % 12 for column in range(wide))
        for row in reversed(range(high))
    )


def seventh_kin(chord: ChordLike) -> tuple[OneNote, ...]:
    """Return the seventh chords of the five usual kinds that one note of a seventh chord makes.

    The five are dominant, minor, half-diminished, major and diminished; the note moves by a
    semitone or a whole step.

    Parameters
    ----------
    chord : Chord or str
        One of the five.

    Returns
    -------
    tuple of OneNote

    Raises
    ------
    HarmonyError
        If the chord is of another kind.

    References
    ----------
    S. Cannas, S. Antonini and L. Pernazza, *Mathematics and Computation in Music* 2017.

    Examples
    --------
    >>> for kin in hk.theory.seventh_kin("Cmaj7"):
    ...     print(kin)
    Cmaj7 with B moved to B♭ is C7
    Cmaj7 with C moved to C♯ is C♯m7♭5
    Cmaj7 with B moved to A is Am7
    Cmaj7 with C moved to D is Em7
    """
    start = as_chord(chord)
    kinds = [Chord.of("C", suffix).pcs for suffix in SEVENTHS]
    if start.foreign_bass is not None or PcSet.of(*start.semitones) not in kinds:
        raise HarmonyError(
            f"{start.unicode} is not one of the five seventh chords",
            rule="7, m7, m7♭5, maj7 and dim7",
            mend=f'"{start.root.name}7"',
        )
    found = []
    for one in one_note_changes(start.over(None)):
        names = tuple(name for name in one.names if name.quality in SEVENTHS)
        found += [replace(one, names=names)] if names else []
    return tuple(found)
