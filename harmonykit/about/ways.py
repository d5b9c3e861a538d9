"""Where a chord goes, what leads to it, and the dominants that it stands for.

The rules are common practice, no source but those named in ``theory.diminished``.  A chord *stands
for* a dominant whose third and seventh it holds: G7 for itself, B°7 for G7♭9, Bm7♭5 for G9, each of
the last two without the root.  An augmented triad is the dominant triad with a raised fifth on each
of its notes.  A seventh in the bass falls to the third of the goal.  A minor seventh or
half-diminished chord prepares the dominant a fourth above.  In a key the goal is the triad that the
key has there, the dominant's a major one, and goals in the key come first; what prepares the key's
dominant there resolves to nothing else.
"""

from collections.abc import Iterator

from harmonykit.about import keys
from harmonykit.theory import diminished, naming, note, spelling, typed
from harmonykit.theory.chord import BY_DEGREES, Chord, Degree
from harmonykit.theory.key import Key
from harmonykit.theory.uses import nearest_moves, uses
from harmonykit.tune.analysis.numerals import may_be_dominant
from harmonykit.values import dataclass, replace

DOMINANT, PREDOMINANT = "dominant", "predominant"
# What precedes a chord, by the side on which a diminished seventh stands.
_BEFORE = {
    "below": "leading-tone diminished",
    "above": "descending passing diminished",
    "same": "common-tone diminished",
}


@dataclass(frozen=True, slots=True, repr=False)
class Dominant(typed.Told):
    """A dominant for which a chord stands.

    Parameters
    ----------
    chord : Chord
        The dominant in full, on its own root: ``G9`` for Bm7♭5.
    missing : tuple of Degree
        What of it does not sound; the root of a rootless one.

    Examples
    --------
    >>> [str(dominant) for dominant in stands_for(Chord.parse("Bm7b5"))]
    ['G9 without 1', 'D♭alt without 1, ♯9, ♯11']
    """

    chord: Chord
    missing: tuple[Degree, ...] = ()

    @property
    def target(self) -> note.Note:
        """The root a fifth below."""
        return self.chord.root.transpose("-P5").at(None)

    def __str__(self) -> str:
        lost = ", ".join(degree.unicode for degree in self.missing)
        return f"{self.chord.unicode} without {lost}" if lost else self.chord.unicode


@dataclass(frozen=True, slots=True, repr=False)
class Way(typed.Told):
    """A way on from a chord.

    Parameters
    ----------
    chord : Chord
    target : Chord
        Where it goes: a triad after a dominant, a dominant after what prepares one.
    kind : {"dominant", "predominant"}
    moves : tuple of Move
        How the notes move to the target's triad, or to the dominant's four notes.
    dominant : Dominant or None
        What the chord stands for; ``None`` where it is not a dominant.

    Examples
    --------
    >>> print(ways_on(Chord.parse("G7"))[0])
    G7 resolves to C: G stays, B rises to C, D falls to C, F falls to E
    """

    chord: Chord
    target: Chord
    kind: str
    moves: tuple[diminished.Move, ...]
    dominant: Dominant | None = None

    def __str__(self) -> str:
        verb = "resolves to" if self.kind == DOMINANT else "prepares"
        role = f" as {self.dominant}" if self.dominant and self.dominant.missing else ""
        steps = ", ".join(map(str, self.moves))
        return f"{self.chord.unicode}{role} {verb} {self.target.unicode}: {steps}"


@dataclass(frozen=True, slots=True, repr=False)
class Before(typed.Told):
    """A chord that leads to another one.

    Parameters
    ----------
    chord : Chord
    kind : str
        ``"dominant"``, ``"tritone substitution"``, ``"leading-tone diminished"`` and so on.
    """

    chord: Chord
    kind: str

    def __str__(self) -> str:
        return f"{self.chord.unicode} ({self.kind})"


def stands_for(chord: Chord) -> tuple[Dominant, ...]:
    """Return the dominants that a chord stands for, whole ones first.

    A diminished seventh stands for its four dominants, by root upward from its own root.

    Examples
    --------
    >>> [str(one.target) for one in stands_for(Chord.parse("C+"))]
    ['F', 'A', 'Db']
    >>> [str(one) for one in stands_for(Chord.parse("Bdim7"))]
    ['D♭7♭9 without 1', 'E7♭9 without 1', 'G7♭9 without 1', 'B♭7♭9 without 1']
    """
    if chord.is_diminished_seventh:
        parents = (way.parent for way in _of_diminished(chord))
        return tuple(Dominant(Chord.of(parent.root, "7b9"), (Degree(1),)) for parent in parents)
    if chord.semitones == (0, 4, 8):
        names = naming.name_chords(chord.pcs, bass=chord.root)
        whole = [one for one in names if one.chord.semitones == (0, 4, 8)]
        return tuple(Dominant(one.chord.over(None)) for one in whole)
    read = list(_read_as_dominants(chord))
    read.sort(key=lambda one: (one.chord.root != chord.root, len(one.missing)))
    first: dict[int, Dominant] = {}
    for one in read:
        first.setdefault(one.chord.root.pitch_class, one)
    return tuple(
        one if one.chord.root == chord.root else replace(one, chord=one.chord.easy())
        for one in first.values()
    )


def _read_as_dominants(chord: Chord) -> Iterator[Dominant]:
    if chord.is_dominant:
        yield Dominant(chord.over(None))
    elif chord.semitones == (0, 4, 7) and _seventh_in_bass(chord):
        yield Dominant(Chord.of(chord.root, "7"))
    for name in naming.name_chords(chord, bass=chord.bass):
        read = name.chord
        plain = read.root.pitch_class == chord.root.pitch_class
        if read.foreign_bass is None and not plain and read.is_dominant and _is_usual(read):
            yield Dominant(read.over(None), name.missing)
        elif read.root.pitch_class == chord.bass.pitch_class and _is_suspended(read):
            yield Dominant(read.over(None), name.missing)


def _seventh_in_bass(chord: Chord) -> bool:
    return (chord.bass.pitch_class - chord.root.pitch_class) % 12 == 10


def _is_usual(read: Chord) -> bool:
    """Whether a chart would write a reading: no natural eleventh beside the major third."""
    return 5 not in read.semitones and read.degrees in BY_DEGREES


def _is_suspended(read: Chord) -> bool:
    return not read.is_dominant and may_be_dominant(read) and read.degrees in BY_DEGREES


def ways_on(chord: Chord, key: Key | None = None) -> tuple[Way, ...]:
    """Return where a chord goes: as each dominant that it stands for, and as a predominant.

    Examples
    --------
    >>> [(way.kind, way.target.symbol) for way in ways_on(Chord.parse("Bm7b5"))]
    [('dominant', 'C'), ('dominant', 'Gb'), ('predominant', 'E7')]
    >>> [way.target.symbol for way in ways_on(Chord.parse("C/Bb"))]
    ['F/A', 'B']
    >>> [way.target.symbol for way in ways_on(Chord.parse("E7"), Key.parse("Am"))]
    ['Am', 'Eb']
    >>> [way.target.symbol for way in ways_on(Chord.parse("Gm6"), Key.parse("Dm"))]
    ['A7']
    >>> ways_on(Chord.parse("C6"))
    ()
    """
    if key is not None and keys.roles_in(chord, key)[0].function == PREDOMINANT:
        return (_prepared(chord, Chord.of(key.tonic.transpose("P5").at(None), "7")),)
    voices = {way.parent.root: way for way in _of_diminished(chord)}
    found = []
    for dominant in stands_for(chord):
        goal = dominant.target
        target = Chord.of(goal) if key is None else keys.triad_on(goal, key)
        if dominant.chord.root == chord.root and _seventh_in_bass(chord):
            target = target.over(target.tones[1])
        own = voices.get(dominant.chord.root)
        moves = _moved(own, target) if own else nearest_moves(chord.notes, target)
        found.append(Way(chord, target, DOMINANT, moves, dominant))
    if key is not None:
        found.sort(key=lambda way: keys.place_of(way.target, key))
    if {3, 10} <= set(chord.semitones) and chord.foreign_bass is None and 4 not in chord.semitones:
        found.append(_prepared(chord, Chord.of(chord.root.transpose("P4").at(None), "7")))
    return tuple(found)


def _of_diminished(chord: Chord) -> tuple[diminished.Resolution, ...]:
    return diminished.resolutions(chord) if chord.is_diminished_seventh else ()


def _moved(way: diminished.Resolution, target: Chord) -> tuple[diminished.Move, ...]:
    """Return the moves of a resolution to the triad that the key has on its target."""
    ends = dict(zip(Chord.of(way.target).tones, target.tones, strict=True))
    return tuple(replace(move, end=ends[move.end.at(None)]) for move in way.moves)


def _prepared(chord: Chord, after: Chord) -> Way:
    return Way(chord, after, PREDOMINANT, nearest_moves(chord.notes, after))


def led_to_by(chord: Chord) -> tuple[Before, ...]:
    """Return what leads to a chord: its dominant, the tritone substitution, three diminished.

    Examples
    --------
    >>> [str(before) for before in led_to_by(Chord.parse("C6"))][:3]
    ['G7 (dominant)', 'D♭7 (tritone substitution)', 'B°7 (leading-tone diminished)']
    """
    dominant = Chord.of(chord.root.transpose("P5").at(None).plain(), "7")
    sub = Chord.of(spelling.chart_name(chord.root.transpose("m2").at(None)), "7")
    return (
        Before(dominant, "dominant"),
        Before(sub, "tritone substitution"),
        *(Before(use.chord, _BEFORE[use.side]) for use in uses(chord)),
    )
