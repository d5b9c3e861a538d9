"""What a shape makes of a chord: its inversion, what is missing or doubled, how its notes lie.

Conventions.  The inversion is named by the lowest *pitch*, which on a re-entrant instrument need
not be the first string: the root in root position, and so on up the chord's thirds, so that a sixth
is lowest in third inversion.  A shape without its root is *rootless* and has no inversion.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from harmonykit.fretboard.shapes.spacing import layout_of
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing
from harmonykit.theory.chord import Degree
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.note import Note
from harmonykit.theory.typed import Told

_ROOT = Degree(1)
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
_INVERSIONS = ("root position", *(f"{ordinal} inversion" for ordinal in _ORDINALS))


@dataclass(frozen=True, slots=True, repr=False)
class Makeup(Told):
    """How a shape voices a chord: layout, bass, missing and doubled tones.

    Parameters
    ----------
    layout : str
        ``"close"``, ``"drop 2"`` and so on; empty where it has no name.
    bass : Note
        The lowest pitch, as the chord spells it.
    inversion : int or None
        0 for root position; ``None`` where the root is missing or the bass is foreign.
    missing, doubled : tuple of Degree
        The tones of the chord that do not sound, and those that more than one string sounds.
    foreign : tuple of Note
        Notes that sound and are not chord tones, the lowest first.

    Examples
    --------
    >>> print(hk.fretboard.makeup(hk.Voicing.parse("2212", "ukulele"), "G9"))
    close, rootless over D
    >>> print(hk.fretboard.makeup(hk.Voicing.parse("0003", "ukulele"), "C"))
    root position, 1 doubled
    """

    layout: str
    bass: Note
    inversion: int | None
    missing: tuple[Degree, ...]
    doubled: tuple[Degree, ...]
    foreign: tuple[Note, ...]

    @property
    def rootless(self) -> bool:
        """Whether the root does not sound."""
        return _ROOT in self.missing

    @property
    def position(self) -> str:
        """The inversion in words: ``"second inversion"``, ``"rootless over D"``, ``"over D"``."""
        if self.inversion is not None:
            return _INVERSIONS[self.inversion]
        return f"{'rootless ' if self.rootless else ''}over {self.bass.unicode}"

    def __str__(self) -> str:
        missing = [degree for degree in self.missing if degree != _ROOT]
        parts = [self.layout, self.position]
        parts += [f"without {_listed(missing)}"] if missing else []
        parts += [f"{_listed(self.doubled)} doubled"] if self.doubled else []
        parts += (
            [f"with {', '.join(note.unicode for note in self.foreign)}"] if self.foreign else []
        )
        return ", ".join(part for part in parts if part)


def makeup(voicing: Voicing | str, chord: ChordLike) -> Makeup:
    """Return how a shape voices a chord: layout, bass, missing and doubled tones.

    A chord's written bass plays no part: what counts is what sounds lowest.

    Parameters
    ----------
    voicing : Voicing or str
        A shape, or its frets on a ukulele.
    chord : Chord or str

    Returns
    -------
    Makeup

    Examples
    --------
    >>> made = hk.fretboard.makeup("0232", "G")
    >>> made.inversion, made.foreign
    (2, ())
    """
    voicing, chord = as_voicing(voicing), as_chord(chord)
    pitches = sorted(voicing.sounding)
    strings = Counter(pitch % 12 for pitch in pitches)
    root = chord.root.pitch_class
    placed = [(degree, (root + degree.pitch_class) % 12) for degree in chord.degrees]
    lowest = pitches[0] % 12
    ranks = [rank for rank, (_, tone) in enumerate(placed) if tone == lowest]
    tones = {tone for _, tone in placed}
    return Makeup(
        layout=layout_of(pitches),
        bass=chord.spell(lowest),
        inversion=ranks[0] if ranks and root in strings else None,
        missing=tuple(degree for degree, tone in placed if tone not in strings),
        doubled=tuple(degree for degree, tone in placed if strings[tone] > 1),
        foreign=tuple(chord.spell(tone) for tone in strings if tone not in tones),
    )


def _listed(degrees: tuple[Degree, ...] | list[Degree]) -> str:
    return ", ".join(degree.unicode for degree in degrees)
