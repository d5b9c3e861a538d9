"""What a statement is about: a chord, a scale, a kind of chord, and what sounds of it.

Chords are told as in a chart, or by what is left out of them (``"F7 without its fifth"``) or by
their bass (``"C6 in third inversion"``); scales by name (``"C major"``).  A kind is told by its
name or suffix (``"minor triad"``, ``"m"``), an interval by its name (``"perfect fifth"``).
"""

import re

from harmonykit.draw.base.marks import degree_word
from harmonykit.ideas.laws import called, kind_of
from harmonykit.ideas.source import as_source
from harmonykit.lesson.plan.model import LessonError
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.modes import SCALES, Scale
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import join_words, number

_WITHOUT = re.compile(r"(?P<chord>\S+) without (?:its |the )?(?P<lost>.+)")
_TURNED = re.compile(r"(?P<chord>\S+) in (?P<turn>\w+) (?:inversion|position)")
TURNS = ("root", "first", "second", "third")
_PLACES = "root second third fourth fifth sixth seventh octave ninth tenth eleventh".split()
_PLACES += ["twelfth", "thirteenth"]
_INTERVALS = (
    "half step", "whole step", "minor third", "major third", "perfect fourth", "tritone",
    "perfect fifth", "minor sixth", "major sixth", "minor seventh", "major seventh",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Heard:
    """What sounds of a chord or a scale, and what it is called in a sentence.

    Parameters
    ----------
    name : str
    notes : tuple of Note
        With one accidental at most.
    chord : Chord or None
        ``None`` for a scale.
    """

    name: str
    notes: tuple[Note, ...]
    chord: Chord | None = None

    @property
    def pcs(self) -> PcSet:
        """All that sounds, the bass included."""
        return PcSet.of(*(note.pitch_class for note in self.notes))

    @property
    def spelled(self) -> str:
        """The notes for reading."""
        return join_words([note.unicode for note in self.notes])

    def spell(self, pitch_class: int) -> str:
        """Return how a pitch class is called here, as printed."""
        own = {note.pitch_class: note for note in self.notes}
        found = own.get(pitch_class) or (self.chord.spell(pitch_class) if self.chord else None)
        return (found or Note.parse(_SHARPS[pitch_class])).plain().unicode


_SHARPS = "C C# D D# E F F# G G# A A# B".split()


def heard(text: str) -> Heard:
    """Return what a chord, told in any way, or a scale lets sound.

    Raises
    ------
    HarmonyError
        For what cannot be read, or what is left out and is not there.

    Examples
    --------
    >>> [heard(text).spelled for text in ("C/D", "F7 without its fifth", "C whole tone")]
    ['D, C, E and G', 'F, A and E♭', 'C, D, E, F♯, G♯ and B♭']
    >>> str(heard("C6 in third inversion").chord)
    'C6/A'
    """
    if found := _WITHOUT.fullmatch(text.strip()):
        return _without(Chord.parse(found["chord"]), found["lost"])
    if found := _TURNED.fullmatch(text.strip()):
        return _turned(Chord.parse(found["chord"]), found["turn"])
    if " " in text.strip():
        source = as_source(text, None)
        if source.scale is not None:
            spelled = (source.spell(pc).plain() for pc in source.pcs.transpose(0))
            return Heard(source.name, _from_the_tonic(tuple(spelled), source.name))
    return of_chord(Chord.parse(text))


def of_chord(chord: Chord) -> Heard:
    """Return what sounds of a chord."""
    return Heard(chord.unicode, tuple(note.plain() for note in chord.notes), chord)


def _from_the_tonic(notes: tuple[Note, ...], name: str) -> tuple[Note, ...]:
    first = Note.parse(name.split()[0].replace("♭", "b").replace("♯", "#")).pitch_class
    return tuple(sorted(notes, key=lambda note: (note.pitch_class - first) % 12))


def _without(chord: Chord, words: str) -> Heard:
    parts = re.split(r",?\s*\band\b|,", words)
    lost = [re.sub(r"^(its|the)\b", "", part.strip()).strip() for part in parts]
    there = {degree_word(chord, note.pitch_class).removeprefix("the ") for note in chord.notes}
    degrees = chord.degrees
    for name in lost:
        match = [d for d in degrees if name in (_PLACES[d.number - 1], _word(chord, d.pitch_class))]
        if not match:
            raise LessonError(
                f"{chord.unicode} has no {name or 'such note'}",
                rule=f"its tones are: {', '.join(sorted(there))}",
                mend=f"{chord.symbol} without its {sorted(there)[0]}",
            )
        degrees = tuple(degree for degree in degrees if degree not in match)
    if not degrees:
        raise LessonError(f"nothing is left of {chord.unicode}", rule="leave at least one note")
    left = Chord.build(chord.root, degrees, chord.foreign_bass)
    return replace(of_chord(left), name=f"{chord.unicode} without its {join_words(lost)}")


def _word(chord: Chord, above: int) -> str:
    return degree_word(chord, (chord.root.pitch_class + above) % 12).removeprefix("the ")


def _turned(chord: Chord, word: str) -> Heard:
    tones = chord.tones
    if word not in TURNS[: len(tones)]:
        raise LessonError(
            f"{chord.unicode} has no {word} inversion",
            rule=f"it has {number(len(tones))} notes",
            mend=f"{chord.symbol} in {TURNS[1]} inversion",
        )
    turn = TURNS.index(word)
    over = chord.over(tones[turn] if turn else None)
    place = f"{word} {'inversion' if turn else 'position'}"
    return replace(of_chord(over), name=f"{chord.unicode} in {place}")


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of chord, scale or interval: what one and many are called, and its notes on C."""

    one: str
    many: str
    pattern: PcSet
    suffix: str | None = None

    @property
    def sets(self) -> frozenset[int]:
        """Its sets from all twelve roots, as numbers."""
        return frozenset(self.pattern.transpose(root).mask for root in range(12))

    @property
    def article(self) -> str:
        """With its article: ``"an augmented triad"``."""
        return f"{'an' if self.one[0] in 'aeiou8' or self.one.startswith('11') else 'a'} {self.one}"

    def inside(self, whole: Heard) -> list[int]:
        """Return the notes of the first of the kind that a chord holds, its root first."""
        for root in (note.pitch_class for note in whole.notes):
            if self.pattern.transpose(root) <= whole.pcs:
                return [(root + above) % 12 for above in self.pattern]
        return []


def read_kind(text: str) -> Kind | None:
    """Return a kind told by its name or suffix, or an interval; ``None`` for anything else.

    Examples
    --------
    >>> [kind.article for name in ("aug", "minor triads", "tritone") if (kind := read_kind(name))]
    ['an augmented triad', 'a minor triad', 'a tritone']
    >>> read_kind("Cmaj7") is None
    True
    """
    words = text.strip().removeprefix("an ").removeprefix("a ")
    if scale := _scale_kind(words):
        return scale
    for size, name in enumerate(_INTERVALS, start=1):
        if words.rstrip("s") == name:
            return Kind(name, f"{name}s", PcSet.of(0, size))
    suffix = kind_of(words)
    if suffix is None:
        return None
    return Kind(called(suffix, 1), called(suffix, 2), Chord.of("C", suffix).pcs, suffix)


def _scale_kind(words: str) -> Kind | None:
    name = words.removesuffix("s").removesuffix(" scale")
    name = name.replace("whole-tone", "whole tone")
    name = "octatonic whole-half" if name == "diminished" else name
    if name not in SCALES or not re.search(r" scales?$", words):
        return None
    one = words.removesuffix("s").replace("whole tone", "whole-tone")
    return Kind(one, f"{one}s", Scale("C", name).pcs)
