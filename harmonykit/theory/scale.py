"""The four sixth-diminished scales: a chord and a diminished seventh by turns.

A sixth-diminished scale has eight notes: four of a chord, and in each of its gaps one note of the
diminished seventh on the scale's leading note.  Every other note from any degree gives the chord
or the diminished seventh, so that a shape carried up the scale sounds the two by turns.

Pitches are MIDI numbers: a step of the scale is a step of a voice, not of a pitch class.

Notebook: 03_sixth_diminished_scale
"""

from __future__ import annotations

import re
from functools import lru_cache

from harmonykit.errors import need_one_of, need_text, wrong_kind
from harmonykit.theory.chord import Chord, Degree, Interval, degrees
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.leading.ladder import Ladder
from harmonykit.theory.note import Note, as_note
from harmonykit.theory.symbols.quality import BY_DEGREES, BY_SUFFIX
from harmonykit.values import dataclass

# Chord suffix and degrees of each kind.  Those of "major" and "minor" are the published major and
# melodic minor scales with a passing note between the fifth and the sixth; that these four and the
# octatonic are all is proved in ``alternation``.
KINDS = {
    "major": ("6", "1 2 3 4 5 b6 6 7"),
    "minor": ("m6", "1 2 b3 4 5 b6 6 7"),
    "dominant": ("7", "1 2 3 4 5 b6 b7 7"),
    "dominant flat five": ("7b5", "1 2 3 4 b5 b6 b7 7"),
}
_DEGREES = {
    kind: tuple(sorted(degrees(spelled), key=lambda degree: degree.semitones))
    for kind, (_, spelled) in KINDS.items()
}

# What a title says behind the kind: "major sixth-diminished", "dominant seventh flat five-...".
_ENDING = re.compile(r"( sixth| seventh)(?= |$)|( diminished)$")


@dataclass(frozen=True, slots=True, init=False)
class SixthDiminished(Ladder):
    """One of the four sixth-diminished scales on a tonic.

    Parameters
    ----------
    tonic : Note or str
    kind : {"major", "minor", "dominant", "dominant flat five"}

    Examples
    --------
    >>> scale = hk.SixthDiminished("C", "major")
    >>> [note.name for note in scale.notes]
    ['C', 'D', 'E', 'F', 'G', 'Ab', 'A', 'B']
    >>> scale.chord.symbol, scale.diminished.symbol, scale.pcs.forte_name
    ('C6', 'Bdim7', '8-26')
    >>> scale.step(67, 1), scale.step(60, -1), scale.step(60, 8)
    (68, 59, 72)
    >>> scale.climb((60, 64, 67, 69), 1), scale.spell(8).name
    ((62, 65, 68, 71), 'Ab')
    """

    tonic: Note
    kind: str

    def __init__(self, tonic: Note | str, kind: str = "major") -> None:
        need_one_of(kind, "kind", KINDS)
        object.__setattr__(self, "tonic", as_note(tonic).at(None))
        object.__setattr__(self, "kind", kind)

    @classmethod
    def parse(cls, text: str) -> SixthDiminished:
        """Read a tonic and a kind: ``"C major"``, ``"Eb minor"``, ``"G dominant flat five"``.

        The whole title is read too: ``"C major sixth-diminished"``.

        Parameters
        ----------
        text : str

        Returns
        -------
        SixthDiminished

        Raises
        ------
        HarmonyError
            If the tonic is not a note, or the kind is not one of the four.

        Examples
        --------
        >>> str(hk.SixthDiminished.parse("A minor"))
        'A minor sixth-diminished'
        """
        need_text(text, "a sixth-diminished scale", '"C major"')
        tonic, _, kind = text.strip().partition(" ")
        plain = _ENDING.sub("", kind.strip().lower().replace("♭", "flat ").replace("-", " "))
        return cls(tonic, " ".join(plain.split()) or "major")

    @property
    def degrees(self) -> tuple[Degree, ...]:
        """The eight degrees over the tonic."""
        return _DEGREES[self.kind]

    @property
    def chord(self) -> Chord:
        """The chord on the tonic: sixth, minor sixth, dominant seventh or that with a ♭5."""
        return Chord.of(self.tonic, KINDS[self.kind][0])

    @property
    def diminished(self) -> Chord:
        """The diminished seventh on the leading note."""
        return Chord.of(self.tonic.transpose(Interval.parse("-m2")).at(None), "dim7")

    @property
    def title(self) -> str:
        """The scale's name as printed: ``"C major sixth-diminished"``."""
        middle = {"major": "major sixth", "minor": "minor sixth", "dominant": "dominant seventh"}
        kind = middle.get(self.kind, "dominant seventh flat five")
        return f"{self.tonic.unicode} {kind}-diminished"

    @property
    def name(self) -> str:
        """The same as ``title``."""
        return self.title

    def __str__(self) -> str:
        return self.title

    def __repr__(self) -> str:
        return f"SixthDiminished({self.tonic.name!r}, {self.kind!r})"


def as_sixth_diminished(given: SixthDiminished | str) -> SixthDiminished:
    """Return a sixth-diminished scale that was handed in as such or as text.

    Examples
    --------
    >>> as_sixth_diminished("F").chord
    Chord.parse('F6')
    """
    if isinstance(given, SixthDiminished):
        return given
    if isinstance(given, str):
        return SixthDiminished.parse(given)
    raise wrong_kind(given, "a sixth-diminished scale, or its name as text", '"C major"')


def scales_for(chord: ChordLike) -> tuple[SixthDiminished, ...]:
    """Return the sixth-diminished scales that go with a chord, the usual one first.

    Triad, sixth and major seventh: major on the root (a major seventh also on its fifth); minor
    seventh: major on its ♭3; minor triad and sixth: minor on the root; half-diminished: minor on
    its ♭3; dominant: dominant on its root, then minor on its fifth or on its ♭9; altered: minor on
    its ♭9; 7♭5: dominant flat five (common practice, no source; the tests check the notes).

    Parameters
    ----------
    chord : Chord or str
        A chord or its symbol.

    Returns
    -------
    tuple of SixthDiminished

    Examples
    --------
    >>> [str(scale) for scale in hk.scales_for(hk.Chord.parse("Dm7"))]
    ['F major sixth-diminished']
    >>> hk.scales_for(hk.Chord.parse("C7sus4"))
    ()
    """
    return _scales_for(as_chord(chord))


@lru_cache(maxsize=1024)
def _scales_for(chord: Chord) -> tuple[SixthDiminished, ...]:
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
    "alt": (("m2", "minor"),),
}


def _core(chord: Chord) -> str:
    """Return the suffix of a chord's first four degrees: additions left out, a lost fifth kept."""
    if chord.degrees == BY_SUFFIX["alt"].degrees:
        return "alt"
    kept = {degree for degree in chord.degrees if degree.number <= 7}
    if not any(degree.number == 5 for degree in kept):
        kept.add(Degree(5))
    quality = BY_DEGREES.get(tuple(sorted(kept)))
    return quality.suffix if quality else "unknown"
