"""A ladder: the notes of a scale in every octave, and steps upon it.

Pitches are MIDI numbers: a step of the scale is a step of a voice, not of a pitch class, so that a
voice that climbs eight steps of an eight-note scale stands an octave higher.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable
from functools import lru_cache

from harmonykit.errors import HarmonyError
from harmonykit.theory.degree import Degree
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet


class Ladder(ABC):
    """What every scale can do: be spelled, and be climbed.

    Examples
    --------
    >>> scale = hk.Scale("C", "major")
    >>> isinstance(scale, hk.theory.Ladder), scale.title, scale.pattern
    (True, 'C major', (2, 2, 1, 2, 2, 2, 1))
    >>> scale.step(64), scale.climb((60, 64), -1), scale.spell(11).name
    (65, (59, 62), 'B')
    """

    __slots__ = ()

    tonic: Note

    @property
    @abstractmethod
    def degrees(self) -> tuple[Degree, ...]:
        """The degrees over the tonic, in rising order."""

    @property
    @abstractmethod
    def title(self) -> str:
        """The scale's name as printed."""

    @property
    def notes(self) -> tuple[Note, ...]:
        """The notes from the tonic up, spelled by degree."""
        return tuple(degree.over(self.tonic) for degree in self.degrees)

    @property
    def pcs(self) -> PcSet:
        """The pitch-class set."""
        return PcSet.of(*_rungs(self.tonic.pitch_class, self.degrees))

    @property
    def pattern(self) -> tuple[int, ...]:
        """The steps in semitones, from the tonic up to its octave."""
        heights = [*(degree.semitones for degree in self.degrees), 12]
        return tuple(high - low for low, high in zip(heights, heights[1:], strict=False))

    def step(self, midi: int, steps: int = 1) -> int:
        """Return the pitch a number of scale steps from a pitch of the scale; down if negative.

        Parameters
        ----------
        midi : int
            C4 is 60.
        steps : int
            Scale steps, up or down.

        Returns
        -------
        int

        Raises
        ------
        HarmonyError
            If the pitch is no note of the scale.

        Examples
        --------
        >>> scale = hk.Scale(hk.Note.parse("C"), "major")
        >>> scale.step(64), scale.step(64, -2)
        (65, 60)
        """
        rungs = _rungs(self.tonic.pitch_class, self.degrees)
        if midi % 12 not in rungs:
            raise HarmonyError(
                f"{Note.from_midi(midi)} is not a note of the {self} scale",
                rule="its notes are " + " ".join(note.name for note in self.notes),
            )
        octaves, place = divmod(rungs.index(midi % 12) + steps, len(rungs))
        return midi - midi % 12 + 12 * octaves + rungs[place]

    def climb(self, pitches: Iterable[int], steps: int) -> tuple[int, ...]:
        """Return a chord's pitches with every voice moved by a number of scale steps.

        Parameters
        ----------
        pitches : iterable of int
            MIDI numbers, C4 is 60.
        steps : int
            Scale steps, up or down.

        Returns
        -------
        tuple of int

        Examples
        --------
        >>> hk.Scale(hk.Note.parse("C"), "major").climb((60, 64, 67), 1)
        (62, 65, 69)
        """
        return tuple(self.step(pitch, steps) for pitch in pitches)

    def spell(self, pitch_class: int) -> Note:
        """Return the name that the scale gives one of its pitch classes.

        Parameters
        ----------
        pitch_class : int
            C = 0 to B = 11.

        Returns
        -------
        Note

        Raises
        ------
        HarmonyError
            If it is no note of the scale.

        Examples
        --------
        >>> hk.Scale(hk.Note.parse("Eb"), "major").spell(8).name
        'Ab'
        """
        for note in self.notes:
            if note.pitch_class == pitch_class % 12:
                return note
        raise HarmonyError(f"pitch class {pitch_class % 12} is not a note of the {self} scale")

    def every_other(self, place: int, size: int = 4) -> tuple[Note, ...]:
        """Return every other note from a place of the scale (0 is the tonic): a chord in thirds.

        Parameters
        ----------
        place : int
        size : int

        Returns
        -------
        tuple of Note

        Examples
        --------
        >>> [note.name for note in hk.Scale("C", "major").every_other(4)]
        ['G', 'B', 'D', 'F']
        """
        notes = self.notes
        return tuple(notes[(place + 2 * n) % len(notes)] for n in range(size))

    def __str__(self) -> str:
        return self.title


@lru_cache(maxsize=512)
def _rungs(tonic: int, degrees: tuple[Degree, ...]) -> tuple[int, ...]:
    """Return the scale's pitch classes, sorted."""
    return tuple(sorted((tonic + degree.semitones) % 12 for degree in degrees))
