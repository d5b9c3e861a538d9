"""From frets to names: what a typed shape sounds, as which chords, and what it makes of them.

Conventions.  A shape's bass is its lowest *pitch*, which on a re-entrant instrument need not be the
first string.  It names the inversion: the root in root position, and so on up the chord's thirds,
so that a sixth is lowest in third inversion.  A shape without its root is *rootless* and has no
inversion.  A step of a sixth-diminished scale is numbered by the lowest pitch too, the tonic being
step 1: on even steps stands the diminished seventh.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache

from harmonykit.fretboard.shapes.textures import layout_of
from harmonykit.fretboard.shapes.voicing import InstrumentLike, Voicing, as_voicing
from harmonykit.theory import spelling, typed
from harmonykit.theory.chord import BY_DEGREES, Chord, Degree, Note
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_key
from harmonykit.theory.naming import ChordName, name_chords
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.values import dataclass, replace

_ROOT = Degree(1)
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
_INVERSIONS = ("root position", *(f"{ordinal} inversion" for ordinal in _ORDINALS))


@dataclass(frozen=True, slots=True, repr=False)
class Makeup(typed.Told):
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


# Two notes stand in too many chords to say where they belong.
_FEWEST_NOTES = 3


@dataclass(frozen=True, slots=True, repr=False)
class ScalePlace(typed.Told):
    """A step of a sixth-diminished scale at which a shape stands.

    Parameters
    ----------
    scale : SixthDiminished
    step : int in 1..8
        The degree of the scale that is its lowest pitch.
    diminished : bool
        Whether it sounds the diminished seventh rather than the scale's chord.
    whole : bool
        Whether it sounds all four notes of it.
    """

    scale: SixthDiminished
    step: int
    diminished: bool
    whole: bool

    def __str__(self) -> str:
        chord = self.scale.diminished if self.diminished else self.scale.chord
        part = "" if self.whole else "part of "
        return f"step {self.step} of {self.scale.title}: {part}{chord.unicode}"


@dataclass(frozen=True, slots=True)
class ShapeReading:
    """What a shape means.

    Parameters
    ----------
    voicing : Voicing
    names : tuple of ChordName
        Every reading as a chord over its lowest pitch, the plainest first.  On a re-entrant
        instrument, which has no bass, a slash is written for a foreign note alone.
    places : tuple of ScalePlace
        Every step of a sixth-diminished scale at which it stands, whole ones first.
    """

    voicing: Voicing
    names: tuple[ChordName, ...]
    places: tuple[ScalePlace, ...]

    def __str__(self) -> str:
        plain = [n for n in self.names if n.complete and n.chord.degrees in BY_DEGREES]
        names = " = ".join(map(str, plain or self.names[:1]))
        lines = [f"{self.voicing.digits}  {names}; {self.makeup}", *map(str, self.places)]
        return "\n  ".join(lines)

    def __repr__(self) -> str:
        held = repr(self.voicing).removeprefix("Voicing.parse(")
        return f"read_shape({held}"

    @property
    def notes(self) -> tuple[Note | None, ...]:
        """The note of each string as the plainest reading spells it, ``None`` for a muted one."""
        return self.voicing.spelled(self.names[0].chord)

    @property
    def makeup(self) -> Makeup:
        """How the plainest reading is voiced."""
        return makeup(self.voicing, self.names[0].chord)


def read_shape(
    text: str | Voicing, instrument: InstrumentLike = "ukulele", key: KeyLike | None = None
) -> ShapeReading:
    """Return what a shape sounds, its readings as chords, and its places in the scales of chords.

    Parameters
    ----------
    text : str or Voicing
        ``"2213"``, ``"x32010"``, ``"10-12-10-12"``, or a shape.
    instrument : Instrument or str
        For a text.
    key : Key or str, optional
        The key that names the notes; otherwise as charts name them.

    Returns
    -------
    ShapeReading

    Raises
    ------
    HarmonyError
        If the text is no shape on the instrument; with a caret under what does not fit.

    Examples
    --------
    >>> found = hk.read_shape("2213", "ukulele")
    >>> [str(name) for name in found.names[:2]], str(found.makeup)
    (['Dm7', 'F6'], 'close, root position')
    >>> str(hk.read_shape("0232", "ukulele").names[0])
    'G'
    >>> print(found.places[0])
    step 7 of F major sixth-diminished: F6
    """
    voicing = as_voicing(text, instrument)
    key = None if key is None else as_key(key)
    names = name_chords(voicing.pcs, bass=voicing.lowest % 12, key=key)
    if voicing.instrument.reentrant:
        names = _without_bass(names)
    return ShapeReading(voicing, names, scale_places(voicing))


def _without_bass(names: Iterable[ChordName]) -> tuple[ChordName, ...]:
    """Return names without the slash that says which of a chord's own tones is lowest."""
    found: dict[Chord, ChordName] = {}
    for name in names:
        chord = name.chord if name.chord.foreign_bass else name.chord.over(None)
        found.setdefault(chord, replace(name, chord=chord))
    return tuple(found.values())


def scale_places(voicing: Voicing) -> tuple[ScalePlace, ...]:
    """Return every step of a sixth-diminished scale at which a shape stands, whole ones first.

    A shape of three notes or more stands at a step whose chord has them all.  A shape that mixes
    the scale's chord with its diminished seventh stands at none.

    Examples
    --------
    >>> [str(place) for place in scale_places(Voicing.parse("5757", "ukulele"))]
    ['step 5 of C major sixth-diminished: C6']
    >>> [str(place) for place in scale_places(Voicing.parse("0003", "ukulele"))][0]
    'step 1 of C major sixth-diminished: part of C6'
    """
    sounding, lowest = voicing.pcs, voicing.lowest % 12
    if len(sounding) < _FEWEST_NOTES:
        return ()
    places = [
        ScalePlace(scale, step_of[lowest], diminished, sounding.mask == mask)
        for scale, mask, diminished, step_of in _chords_of_scales()
        if sounding.mask & ~mask == 0
    ]
    return tuple(sorted(places, key=lambda place: not place.whole))


@cache
def _chords_of_scales() -> tuple[tuple[SixthDiminished, int, bool, dict[int, int]], ...]:
    """Return each scale's two chords as bit masks, with the steps of its notes."""
    return tuple(_two_chords())


def _two_chords() -> Iterator[tuple[SixthDiminished, int, bool, dict[int, int]]]:
    for kind in KINDS:
        for tonic in range(12):
            scale = SixthDiminished(spelling.usual_root(tonic), kind)
            steps = {note.pitch_class: step for step, note in enumerate(scale.notes, start=1)}
            for chord in (scale.chord, scale.diminished):
                yield scale, chord.pcs.mask, chord == scale.diminished, steps
