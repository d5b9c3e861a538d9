"""A ladder: the notes of a scale in every octave, and voices that move by steps upon it.

Pitches are MIDI numbers: a step of the scale is a step of a voice, not of a pitch class, so that a
voice that climbs eight steps of an eight-note scale stands an octave higher.  A chord is a tuple
of such numbers, one a voice.  On a sixth-diminished scale the notes of the chord and of the
diminished seventh come by turns, so that voices which all move by an odd number of steps change
from one to the other, whatever their directions.

Notebook: 03_sixth_diminished_scale
"""

from abc import ABC, abstractmethod
from collections.abc import Collection, Iterable, Sequence
from functools import lru_cache
from itertools import pairwise, product

from harmonykit.errors import HarmonyError
from harmonykit.theory import chord, naming
from harmonykit.theory.degree import Degree
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass


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
        return tuple(high - low for low, high in pairwise(heights))

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


def move_voices(scale: Ladder, pitches: Sequence[int], steps: Sequence[int]) -> tuple[int, ...]:
    """Return the pitches with each voice moved by its own number of scale steps.

    Parameters
    ----------
    scale : Ladder
    pitches : sequence of int
        MIDI numbers, from low to high.
    steps : sequence of int
        Of the scale, one for each voice; less than 0 goes down.

    Returns
    -------
    tuple of int

    Raises
    ------
    HarmonyError
        If there is not one number for each voice, or a pitch is no note of the scale.

    Examples
    --------
    >>> hk.theory.move_voices(hk.SixthDiminished("C"), (60, 64, 67, 69), (1, 1, -1, -1))
    (62, 65, 65, 68)
    """
    if len(steps) != len(pitches):
        raise HarmonyError(
            f"steps are given for {len(steps)} voices, but there are {len(pitches)} pitches",
            rule="one number of steps for each voice",
        )
    return tuple(scale.step(pitch, n) for pitch, n in zip(pitches, steps, strict=True))


def contrary(
    scale: Ladder, pitches: Sequence[int], falling: Collection[int], steps: int = 8
) -> tuple[tuple[int, ...], ...]:
    """Return a chord and what follows while the chosen voices fall and the others rise.

    Parameters
    ----------
    scale : Ladder
    pitches : sequence of int
        MIDI numbers, one a voice.
    falling : collection of int
        The places of the voices that fall, counted from 0.
    steps : int
        How many scale steps to take, one at a time.

    Returns
    -------
    tuple of tuple of int
        The given chord first, then one for each step.

    Raises
    ------
    HarmonyError
        If there is no such voice, or a pitch is no note of the scale.

    Examples
    --------
    >>> hk.theory.contrary(hk.SixthDiminished("C"), (48, 64, 67, 69), falling=[0], steps=2)
    ((48, 64, 67, 69), (47, 65, 68, 71), (45, 67, 69, 72))
    """
    strangers = set(falling) - set(range(len(pitches)))
    if strangers:
        raise HarmonyError(
            f"voice {min(strangers)} is not one of the {len(pitches)} voices",
            rule="voices are counted from 0, the lowest",
        )
    ways = [-1 if voice in falling else 1 for voice in range(len(pitches))]
    return tuple(move_voices(scale, pitches, [n * way for way in ways]) for n in range(steps + 1))


@dataclass(frozen=True, slots=True)
class Borrowed:
    """A chord some of whose voices have given way to their neighbours in the scale.

    Parameters
    ----------
    steps : tuple of int
        Of each voice: -1, 0 or 1.
    pitches : tuple of int

    Examples
    --------
    >>> from harmonykit.theory.scale import SixthDiminished
    >>> found = borrow(SixthDiminished("C"), (60, 64, 67, 69)).chords[0]
    >>> found.steps, found.pitches, [str(chord) for chord in found.names]
    ((-1, 0, 0, 0), (59, 64, 67, 69), ['A7sus2', 'Em(add11)'])
    """

    steps: tuple[int, ...]
    pitches: tuple[int, ...]

    @property
    def pcs(self) -> PcSet:
        """The pitch-class set."""
        return PcSet.of(*self.pitches)

    @property
    def names(self) -> tuple[chord.Chord, ...]:
        """The chords of the table of qualities that have just these notes; often none."""
        return naming.exact_names(self.pcs)


@dataclass(frozen=True, slots=True)
class Borrowing:
    """All ways to borrow from the neighbours, and how many of them there are.

    Parameters
    ----------
    choices : int
        How many there are in all: each voice stays, falls or rises, but not all stay.
    collisions : int
        How many of them bring two voices onto one pitch class.
    chords : tuple of Borrowed
        The others, each set of notes once; those that move the fewest voices first.

    Examples
    --------
    >>> from harmonykit.theory.scale import SixthDiminished
    >>> borrow(SixthDiminished("C", "minor"), (60, 63, 67, 69)).collisions
    34
    """

    choices: int
    collisions: int
    chords: tuple[Borrowed, ...]


def borrow(scale: Ladder, pitches: Sequence[int]) -> Borrowing:
    """Replace voices by their neighbours in the scale, in every way.

    Parameters
    ----------
    scale : Ladder
    pitches : sequence of int
        MIDI numbers, from low to high.

    Returns
    -------
    Borrowing

    Examples
    --------
    >>> found = hk.theory.borrow(hk.SixthDiminished("C"), (60, 64, 67, 69))
    >>> found.choices, found.collisions, len(found.chords)
    (80, 34, 45)
    """
    ways = [steps for steps in product((-1, 0, 1), repeat=len(pitches)) if any(steps)]
    ways.sort(key=lambda steps: sum(map(abs, steps)))
    found = [Borrowed(steps, move_voices(scale, pitches, steps)) for steps in ways]
    free = [one for one in found if len(one.pcs) == len(pitches)]
    distinct = {one.pcs: one for one in reversed(free)}
    chords = tuple(one for one in free if distinct[one.pcs] is one)
    return Borrowing(len(found), len(found) - len(free), chords)
