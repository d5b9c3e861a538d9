"""The four sixth-diminished scales: a chord and a diminished seventh by turns.

A sixth-diminished scale has eight notes: four of a chord, and in each of its gaps one note of the
diminished seventh on the scale's leading note.  Every other note from any degree gives the chord
or the diminished seventh, so that a shape carried up the scale sounds the two by turns.

Pitches are MIDI numbers: a step of the scale is a step of a voice, not of a pitch class.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, Degree, degrees
from harmonykit.theory.note import Interval, Note
from harmonykit.theory.pcset import PcSet

# Chord suffix and degrees of each kind (theory of the harmonised eight-note scale; the step
# patterns are those of the published "bebop major" and its minor form, the other two computed).
KINDS = {
    "major": ("6", "1 2 3 4 5 b6 6 7"),
    "minor": ("m6", "1 2 b3 4 5 b6 6 7"),
    "dominant": ("7", "1 2 3 4 5 b6 b7 7"),
    "dominant flat five": ("7b5", "1 2 3 4 b5 b6 b7 7"),
}


@dataclass(frozen=True, slots=True, init=False)
class SixthDiminished:
    """One of the four sixth-diminished scales on a tonic.

    Parameters
    ----------
    tonic : Note or str
    kind : {"major", "minor", "dominant", "dominant flat five"}

    Examples
    --------
    >>> scale = SixthDiminished("C", "major")
    >>> [note.name for note in scale.notes]
    ['C', 'D', 'E', 'F', 'G', 'Ab', 'A', 'B']
    >>> scale.chord.symbol, scale.diminished.symbol, scale.pcs.forte_name
    ('C6', 'Bdim7', '8-26')
    """

    tonic: Note
    kind: str

    def __init__(self, tonic: Note | str, kind: str = "major") -> None:
        if kind not in KINDS:
            raise HarmonyError(
                f"{kind!r} is no kind of sixth-diminished scale",
                rule="there are four",
                mend=", ".join(map(repr, KINDS)),
            )
        note = Note.parse(tonic) if isinstance(tonic, str) else tonic
        object.__setattr__(self, "tonic", note.at(None))
        object.__setattr__(self, "kind", kind)

    @property
    def degrees(self) -> tuple[Degree, ...]:
        """The eight degrees over the tonic."""
        return degrees(KINDS[self.kind][1])

    @property
    def notes(self) -> tuple[Note, ...]:
        """The eight notes from the tonic up, spelled by degree."""
        return tuple(degree.over(self.tonic) for degree in self.degrees)

    @property
    def pcs(self) -> PcSet:
        """The pitch-class set."""
        return PcSet.of(*_ladder(self.tonic.pitch_class, self.kind))

    @property
    def chord(self) -> Chord:
        """The chord on the tonic: sixth, minor sixth, dominant seventh or that with a ♭5."""
        return Chord.of(self.tonic, KINDS[self.kind][0])

    @property
    def diminished(self) -> Chord:
        """The diminished seventh on the leading note."""
        return Chord.of(self.tonic.transpose(Interval.parse("-m2")).at(None), "dim7")

    def step(self, midi: int, steps: int = 1) -> int:
        """Return the pitch a number of scale steps from a pitch of the scale.

        Raises
        ------
        HarmonyError
            If the pitch is no note of the scale.

        Examples
        --------
        >>> scale = SixthDiminished("C", "major")
        >>> scale.step(67, 1), scale.step(60, -1), scale.step(60, 8)
        (68, 59, 72)
        """
        ladder = _ladder(self.tonic.pitch_class, self.kind)
        if midi % 12 not in ladder:
            raise HarmonyError(
                f"{Note.from_midi(midi)} is no note of the {self} scale",
                rule="its notes are " + " ".join(note.name for note in self.notes),
            )
        octaves, place = divmod(ladder.index(midi % 12) + steps, len(ladder))
        return midi - midi % 12 + 12 * octaves + ladder[place]

    def climb(self, pitches: tuple[int, ...], steps: int) -> tuple[int, ...]:
        """Return a chord's pitches with every voice moved by a number of scale steps."""
        return tuple(self.step(pitch, steps) for pitch in pitches)

    def spell(self, pitch_class: int) -> Note:
        """Return the name that the scale gives one of its pitch classes.

        Examples
        --------
        >>> SixthDiminished("A", "major").spell(5).name
        'F'
        """
        for note in self.notes:
            if note.pitch_class == pitch_class % 12:
                return note
        raise HarmonyError(f"pitch class {pitch_class % 12} is no note of the {self} scale")

    @property
    def name(self) -> str:
        """The scale's name as printed: ``"C major sixth-diminished"``."""
        middle = {"major": "major sixth", "minor": "minor sixth", "dominant": "dominant seventh"}
        kind = middle.get(self.kind, "dominant seventh flat five")
        return f"{self.tonic.unicode} {kind}-diminished"

    def __str__(self) -> str:
        return self.name


@lru_cache(maxsize=64)
def _ladder(tonic: int, kind: str) -> tuple[int, ...]:
    """Return the scale's pitch classes, sorted."""
    return tuple(sorted((tonic + degree.semitones) % 12 for degree in degrees(KINDS[kind][1])))


def scales_for(chord: Chord) -> tuple[SixthDiminished, ...]:
    """Return the sixth-diminished scales that go with a chord, the usual one first.

    Triad, sixth and major seventh: major on the root (a major seventh also on its fifth); minor
    seventh: major on its ♭3; minor triad and sixth: minor on the root; half-diminished: minor on
    its ♭3; dominant: dominant on its root, then minor on its fifth or on its ♭9; 7♭5: dominant
    flat five (common practice, no source; pitch classes checked in the tests).

    Examples
    --------
    >>> [str(scale) for scale in scales_for(Chord.parse("Dm7"))]
    ['F major sixth-diminished']
    >>> scales_for(Chord.parse("C7sus4"))
    ()
    """
    rows = _SCALES_FOR.get(_core(chord), ())
    return tuple(
        SixthDiminished(chord.root.transpose(Interval.parse(interval)), kind)
        for interval, kind in rows
    )


_SCALES_FOR = {
    "": (("P1", "major"),),
    "6": (("P1", "major"),),
    "maj7": (("P1", "major"), ("P5", "major")),
    "m7": (("m3", "major"),),
    "m": (("P1", "minor"),),
    "m6": (("P1", "minor"),),
    "m7b5": (("m3", "minor"),),
    "7": (("P1", "dominant"), ("P5", "minor"), ("m2", "minor")),
    "7b5": (("P1", "dominant flat five"),),
}


def _core(chord: Chord) -> str:
    """Return the suffix of a chord's first four degrees, additions left out."""
    kept = tuple(degree for degree in chord.degrees if degree.number <= 7)
    return Chord.build(chord.root, kept).quality
