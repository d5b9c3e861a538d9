"""Chords in a row: what is told of each, and what could stand in its place.

Which tones of a chord guide is said in ``theory.guides``.

Which chord may stand for which is common practice, no source; what each keeps is counted.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from harmonykit.errors import HarmonyError, Place, need_several
from harmonykit.theory import given, guides, naming, spelling, typed
from harmonykit.theory.chord import BY_DEGREES, Chord, Note, read_symbol
from harmonykit.theory.diminished import Move
from harmonykit.theory.key import Key
from harmonykit.theory.leading.voiceleading import VoiceLeading, best_voice_leading
from harmonykit.tune.analysis.key_finding import Lasting, find_keys, likely_keys, need_chords
from harmonykit.tune.text.changes import read_changes
from harmonykit.tune.tune import Bar, Section, Tune
from harmonykit.values import dataclass

METER, _TEMPO = (4, 4), 120
_MEND = '"Dm7 G7 Cmaj7" or "| Dm7 G7 | Cmaj7 |"'
# A key that is found is doubted below this probability.
_SURE = 0.75


def tune_of_row(
    chords: str | Iterable[given.ChordLike], key: Key | None = None
) -> tuple[Tune, tuple[Key, ...]]:
    """Return a row of chords as a tune, and what else its key may be where it was found.

    Raises
    ------
    HarmonyError
        If a chord cannot be read, or there is none.

    Examples
    --------
    >>> tune, near = tune_of_row("Dm7 G7 Cmaj7")
    >>> str(tune.key), len(tune.bars)
    ('C major', 3)
    """
    bars, doubts = _read(chords) if isinstance(chords, str) else (_listed(chords), ())
    lasting = [(change.chord, change.beats) for bar in bars for change in bar.changes]
    if not any(chord for chord, _ in lasting):
        raise HarmonyError("the progression has no chord", mend=_MEND)
    home, near = _found_key(lasting) if key is None else (key, ())
    section = Section("A", tuple(bars))
    return Tune("Progression", home, METER, _TEMPO, (section,), doubts=doubts), near


def _found_key(lasting: Sequence[Lasting]) -> tuple[Key, tuple[Key, ...]]:
    """Return the likeliest key, and the next ones where it is not sure: one at least."""
    found = find_keys(lasting)
    home, *others = likely_keys(found)
    sure = found[0][1] >= _SURE
    return home, () if sure else tuple(others) or (found[1][0],)


def _read(text: str) -> tuple[tuple[Bar, ...], tuple[str, ...]]:
    """Return the bars of a text with bar lines, or a bar for each chord typed in a row."""
    need_chords(text)

    def place(index: int) -> Place:
        return Place("progression", 1, index + 1, text)

    if "|" in text:
        return read_changes(text, METER, place)
    words = given.chord_words(text)
    read = [given.read_word(word, text, read_symbol, "progression") for word in words]
    bars = tuple(Bar.of(METER, [(each.chord, Fraction(0))]) for each in read)
    return bars, tuple(dict.fromkeys(doubt for each in read for doubt in each.doubts))


def _listed(chords: Iterable[given.ChordLike]) -> tuple[Bar, ...]:
    several = need_several(chords, "a list of chords, or their symbols as text", _MEND)
    return tuple(Bar.of(METER, [(given.as_chord(chord), Fraction(0))]) for chord in several)


@dataclass(frozen=True, slots=True, repr=False)
class Change(typed.Told):
    """What moves from one chord to the next.

    Parameters
    ----------
    before, after : Chord

    Examples
    --------
    >>> change = Change(Chord.parse("Dm7"), Chord.parse("G7"))
    >>> change.semitones, [str(move) for move in change.moves]
    (3, ['A falls to G', 'C falls to B'])
    >>> [note.name for note in change.common_tones], [str(move) for move in change.guide_tones]
    (['D', 'F'], ['F stays', 'C falls to B'])
    """

    before: Chord
    after: Chord

    @property
    def leading(self) -> VoiceLeading:
        """The best voice leading between all that sounds in both."""
        return best_voice_leading(self.before, self.after)

    @property
    def semitones(self) -> float:
        """What the voices move in all, in semitones."""
        return self.leading.total

    @property
    def moves(self) -> tuple[Move, ...]:
        """The voices that move, by name."""
        order = [note.pitch_class for note in self.before.notes]
        pairs = sorted(self.leading.moving, key=lambda move: order.index(move.start))
        return tuple(Move(self.before.spell(m.start), self.after.spell(m.end)) for m in pairs)

    @property
    def common_tones(self) -> tuple[Note, ...]:
        """The notes of the first chord that the second has too."""
        return common_tones(self.before, self.after)

    @property
    def guide_tones(self) -> tuple[Move, ...]:
        """How the guide tones move to those of the next chord, by the least movement."""
        here, there = guide_tones(self.before), guide_tones(self.after)
        if not here or not there:
            return ()
        order = [note.pitch_class for note in here]
        found = sorted(best_voice_leading(here, there).moves, key=lambda m: order.index(m.start))
        return tuple(Move(self.before.spell(m.start), self.after.spell(m.end)) for m in found)

    def __str__(self) -> str:
        moved = ", ".join(map(str, self.moves)) or "nothing moves"
        return f"{self.before.unicode} to {self.after.unicode}: {moved}"


def guide_tones(chord: Chord) -> tuple[Note, ...]:
    """Return a chord's guide tones, the third first.

    Examples
    --------
    >>> [[note.name for note in guide_tones(Chord.parse(s))] for s in ("G7", "C6", "G7sus4", "C")]
    [['B', 'F'], ['E', 'A'], ['C', 'F'], ['E']]
    """
    return tuple(each.over(chord.root) for each in guides.guide_degrees(chord) if each is not None)


def common_tones(one: Chord, other: Chord) -> tuple[Note, ...]:
    """Return the notes of a chord that another one has too, as the first spells them.

    Examples
    --------
    >>> [note.name for note in common_tones(Chord.parse("Cmaj7"), Chord.parse("Am7"))]
    ['C', 'E', 'G']
    """
    return tuple(note for note in one.notes if note.pitch_class in other.pcs)


# What may stand for a kind of chord: interval from its root, quality, and why.
_SUBSTITUTES = {
    "dominant": (
        ("d5", "7", "tritone substitution"),
        ("M3", "dim7", "rootless dominant ♭9"),
        ("M3", "m7b5", "rootless dominant ninth"),
        ("m2", "m6", "rootless altered dominant"),
        ("m3", "7", "one of the four dominants"),
        ("M6", "7", "one of the four dominants"),
        ("P5", "m7", "related ii"),
    ),
    "major": (
        ("M6", "m7", "relative minor"),
        ("M3", "m7", "mediant, a rootless major ninth"),
    ),
    "minor": (
        ("m3", "6", "relative major"),
        ("m3", "maj7", "relative major, a rootless minor ninth"),
    ),
    "half-diminished": (
        ("m3", "m6", "chord synonym"),
        ("-M3", "9", "the dominant ninth whose root is left out"),
    ),
    "augmented": (("P1", "7#5", "the dominant with its seventh"),),
    "minor sixth": (
        ("P4", "9", "the dominant ninth whose root is left out"),
        ("-m2", "7", "the altered dominant whose root is left out"),
    ),
}


@dataclass(frozen=True, slots=True, repr=False)
class Substitute(typed.Told):
    """A chord that may stand for another.

    Parameters
    ----------
    chord : Chord
    kind : str
        Why: ``"tritone substitution"``, ``"rootless dominant ♭9"``, ``"relative minor"``.
    common : tuple of Note
        The notes of the first chord that it keeps.
    """

    chord: Chord
    kind: str
    common: tuple[Note, ...]

    def __str__(self) -> str:
        kept = " ".join(note.unicode for note in self.common)
        return f"{self.chord.unicode} ({self.kind}, keeps {kept})"


MOST_NOTES = 5


def stands_as(chord: Chord) -> str:
    """Return the kind of a chord for which substitutes are known; empty for others.

    Examples
    --------
    >>> [stands_as(Chord.parse(name)) for name in ("C13", "Cmaj9", "Cm7", "Cm7b5", "Caug", "Csus4")]
    ['dominant', 'major', 'minor', 'half-diminished', 'augmented', '']
    """
    above = set(chord.semitones)
    if above == {0, 4, 8}:
        return "augmented"
    if chord.is_dominant:
        return "dominant"
    if {3, 6, 10} <= above:
        return "half-diminished"
    if {4, 7} <= above:
        return "major"
    if {3, 7} <= above and not above & {10, 11} and 9 in above:
        return "minor sixth"
    return "minor" if {3, 7} <= above and 11 not in above else ""


def substitutes(chord: Chord) -> tuple[Substitute, ...]:
    """Return the chords that may stand for a chord, each with why and with what it keeps.

    Chords with just the same notes come first, as synonyms.

    Examples
    --------
    >>> print(substitutes(Chord.parse("G7"))[0])
    D♭7 (tritone substitution, keeps B F)
    >>> print(substitutes(Chord.parse("C6"))[0])
    Am7 (chord synonym, keeps C E G A)
    """
    # Of a chord in six or seven notes every other root is a synonym, which tells nobody anything.
    few = len(chord.pcs) <= MOST_NOTES
    same = ((one, "chord synonym") for one in synonyms(chord) if few)
    rows = _SUBSTITUTES.get(stands_as(chord), ())
    others = (
        (Chord.of(spelling.chart_name(chord.root.transpose(up).at(None)), suffix), why)
        for up, suffix, why in rows
    )
    found: dict[Chord, Substitute] = {}
    for other, why in (*same, *others):
        if other.pcs != chord.pcs or why == "chord synonym":
            found.setdefault(other, Substitute(other, why, common_tones(chord, other)))
    return tuple(found.values())


def synonyms(chord: Chord) -> tuple[Chord, ...]:
    """Return the other chords of the table of qualities with just the same notes.

    Examples
    --------
    >>> [[str(one) for one in synonyms(Chord.parse(name))] for name in ("C6", "Dm7b5", "C7")]
    [['Am7'], ['Fm6'], []]
    """
    names = naming.name_chords(chord, bass=chord.root)
    whole = (one.chord.over(None).easy() for one in names if one.complete)
    found = dict.fromkeys(
        one for one in whole if one.pcs == chord.pcs and one.degrees in BY_DEGREES
    )
    own = chord.root.pitch_class, chord.degrees
    return tuple(one for one in found if (one.root.pitch_class, one.degrees) != own)
