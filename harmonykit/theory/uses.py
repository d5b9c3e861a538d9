"""What a diminished seventh does before a chord: the notes that move, and why.

Before a root R, major or minor, each of the three diminished sevenths has its use: the one on the
semitone below is the leading-tone chord, a dominant with a flat ninth and without its root; the one
on R itself is the common-tone chord; the one on the semitone above falls into it.  Only the first
is a dominant, and only of it is it said that it resolves to four roots: in all a diminished seventh
can precede all twelve roots.  In a key the leading-tone chords of the other degrees are the
*secondary* ones (♯i°7 before ii, ♯iv°7 before V).

Notebook: 02_four_parents
"""

from __future__ import annotations

from collections.abc import Iterable

from harmonykit.theory import interval, spelling, typed
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.diminished import Move, approach
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_key
from harmonykit.theory.spelling import Policy
from harmonykit.values import dataclass

_THIRD_DOWN = interval.Interval.parse("-M3")
# Degrees of a key that have a leading-tone chord: their numeral, and the quality of the triad.
_TARGETS = {
    "major": (("I", 0, ""), ("ii", 1, "m"), ("iii", 2, "m"), ("IV", 3, ""), ("V", 4, ""),
              ("vi", 5, "m")),
    "minor": (("i", 0, "m"), ("III", 2, ""), ("iv", 3, "m"), ("V", 4, ""), ("VI", 5, ""),
              ("VII", 6, "")),
}  # fmt: skip


@dataclass(frozen=True, slots=True, repr=False)
class Use(typed.Told):
    """A diminished seventh before a chord.

    Parameters
    ----------
    chord : Chord
        The diminished seventh, named by its use.
    target : Chord
    side : {"below", "above", "same"}

    Examples
    --------
    >>> use = hk.uses("Dm7")[0]
    >>> use.chord.symbol, use.kind, use.parent
    ('C#dim7', 'leading-tone', Chord.parse('A7'))
    >>> print(use.reason)
    C♯°7, a semitone below D, is A7♭9 without its root: C♯ rises to D, E rises to F, G falls to F, B♭ falls to A.
    """  # noqa: E501

    chord: Chord
    target: Chord
    side: str

    def __str__(self) -> str:
        return self.reason.rstrip(".")

    @property
    def kind(self) -> str:
        """``"leading-tone"``, ``"falling"`` or ``"common-tone"``."""
        return {"below": "leading-tone", "above": "falling"}.get(self.side, "common-tone")

    @property
    def is_dominant(self) -> bool:
        """Whether it acts as a dominant: from below alone."""
        return self.side == "below"

    @property
    def parent(self) -> Chord | None:
        """The dominant seventh whose rootless flat ninth it is, in the dominant use."""
        if not self.is_dominant:
            return None
        return Chord.of(self.chord.root.transpose(_THIRD_DOWN), "7")

    @property
    def moves(self) -> tuple[Move, ...]:
        """How the notes move: to the nearest tone, falling where two are as near.

        A root beside the target goes to it.
        """
        first, *others = self.chord.tones
        if self.side == "same":
            return nearest_moves(self.chord.tones, self.target)
        return (Move(first, self._goal()), *nearest_moves(others, self.target))

    @property
    def reason(self) -> str:
        """One sentence with the notes that move."""
        return self.say()

    def say(self, policy: Policy = "use") -> str:
        """Return the reason with notes named by use or for easy reading.

        Parameters
        ----------
        policy : Policy
            By use, or easy to read.

        Returns
        -------
        str

        Examples
        --------
        >>> (first, *others) = hk.uses("Gb7")
        >>> print(first.say("easy"))
        F°7, a semitone below G♭, is D♭7♭9 without its root: ... C♭ falls to B♭, D falls to D♭.
        """
        chord = self.chord if policy == "use" else self.chord.easy()
        moves = self.moves
        if policy == "easy":
            moves = tuple(Move(move.start.plain(), move.end.plain()) for move in moves)
        return f"{chord.unicode}{self._why()}: {', '.join(map(str, moves))}."

    def _goal(self) -> Note:
        """Return the note that the root moves to: the bass, or the root over a bass elsewhere."""
        step = {"below": 1, "above": -1}[self.side]
        bass = self.target.bass
        beside = (self.chord.root.pitch_class + step) % 12 == bass.pitch_class
        return bass if beside else self.target.root

    def _why(self) -> str:
        if self.parent is not None:
            return (
                f", a semitone below {self._goal().unicode}, "
                f"is {self.parent.unicode}♭9 without its root"
            )
        if self.side == "above":
            return f" passes down to {self.target.unicode} by half steps, and is not a dominant"
        return f" embellishes {self.target.unicode} and keeps its root, and is not a dominant"


def nearest_moves(notes: Iterable[Note], target: Chord) -> tuple[Move, ...]:
    """Return the move of each note to the nearest tone of a chord, falling where two are as near.

    Examples
    --------
    >>> [str(move) for move in nearest_moves(Chord.parse("G7").tones, Chord.parse("C"))]
    ['G stays', 'B rises to C', 'D falls to C', 'F falls to E']
    """
    return tuple(_nearest(note, target) for note in notes)


def _nearest(note: Note, target: Chord) -> Move:
    moves = [Move(note, tone) for tone in target.tones]
    return min(moves, key=lambda move: (abs(move.semitones), move.semitones))


def uses(target: ChordLike) -> tuple[Use, ...]:
    """Return the three diminished sevenths that approach a chord: from below, above, its own root.

    Parameters
    ----------
    target : Chord or str
        The chord that is prepared.

    Returns
    -------
    tuple of Use

    Examples
    --------
    >>> [use.chord.symbol for use in hk.uses("G")]
    ['F#dim7', 'Abdim7', 'Gdim7']
    >>> print(hk.uses("Dm7")[1].reason)
    E♭°7 passes down to Dm7 by half steps, and is not a dominant: E♭ falls to D, G♭ falls to F, B𝄫 stays as A, D𝄫 stays as C.
    >>> print(hk.uses("C")[2].reason)
    C°7 embellishes C and keeps its root, and is not a dominant: C stays, E♭ rises to E, G♭ rises to G, B𝄫 falls to G.
    """  # noqa: E501
    chord = as_chord(target)
    return tuple(Use(approach(chord, side), chord, side) for side in spelling.SIDES)


def use_before(chord: Chord, target: Chord) -> Use:
    """Return the use of a diminished seventh, however it is named, before a chord.

    Raises
    ------
    HarmonyError
        If the chord is no diminished seventh.

    Examples
    --------
    >>> use = use_before(Chord.parse("Cdim7"), Chord.parse("G/B"))
    >>> use.chord.symbol, use.kind
    ('Cdim7', 'falling')
    """
    return Use(spelling.name_by_use(chord, target), target, spelling.side_of(chord, target))


def before_all(chord: ChordLike, quality: str = "") -> tuple[Use, ...]:
    """Return the use of a diminished seventh before each of the twelve roots, upward from C.

    Parameters
    ----------
    chord : Chord
    quality : str
        A plain suffix of the table of qualities for the targets.

    Returns
    -------
    tuple of Use

    Examples
    --------
    >>> found = hk.theory.before_all(hk.Chord.parse("Bdim7"))
    >>> [use.target.symbol for use in found if use.is_dominant]
    ['C', 'Eb', 'F#', 'A']
    """
    chord = spelling.need_diminished(chord)
    return tuple(use_before(chord, Chord.of(spelling.usual_root(pc), quality)) for pc in range(12))


@dataclass(frozen=True, slots=True, repr=False)
class Function(typed.Told):
    """A diminished seventh in a key.

    Parameters
    ----------
    roman : str
        In ASCII, with a small o for the degree sign: ``"viio7/ii"``, ``"#iio7"``, ``"biiio7"``.
    role : str
        In words: what it is the chord of.
    use : Use

    Examples
    --------
    >>> function = functions("C")[4]
    >>> function.roman, function.role, function.use.chord.symbol
    ('viio7/V', 'leading-tone of V', 'F#dim7')
    """

    roman: str
    role: str
    use: Use

    def __str__(self) -> str:
        return f"{self.roman}, {self.use.chord.unicode}: {self.role}"


def functions(key: KeyLike) -> tuple[Function, ...]:
    """Return the diminished sevenths of a key with their numerals: secondary ones and the others.

    A major key has the leading-tone chords of I, ii, iii, IV, V and vi, the common-tone chords of I
    and V, spelled so that raised notes rise, and the falling ♭iii°7 before ii; a minor key has the
    leading-tone chords of i, III, iv, V, VI and VII.

    Parameters
    ----------
    key : Key or str
        A key or its name.

    Returns
    -------
    tuple of Function

    References
    ----------
    *Open Music Theory*, "Applied chords"; Integrated Music Theory, ch. 18b (common-tone chords).

    Examples
    --------
    >>> [(f.roman, f.use.chord.symbol) for f in hk.theory.functions("C")][1:3]
    [('viio7/ii', 'C#dim7'), ('viio7/iii', 'D#dim7')]
    """
    key = as_key(key)
    triads = {
        numeral: Chord.of(key.scale[place], suffix) for numeral, place, suffix in _TARGETS[key.mode]
    }
    found = [_leading(numeral, triad) for numeral, triad in triads.items()]
    if key.mode == "major":
        for roman, numeral in (("#iio7", "I"), ("#vio7", "V")):
            triad = triads[numeral]
            use = Use(spelling.common_tone(triad, rising=True), triad, "same")
            found.append(Function(roman, f"common-tone of {numeral}", use))
        falling = Use(approach(triads["ii"], "above"), triads["ii"], "above")
        found.append(Function("biiio7", "descending passing to ii", falling))
    return tuple(found)


def _leading(numeral: str, triad: Chord) -> Function:
    roman = "viio7" if numeral in ("I", "i") else f"viio7/{numeral}"
    return Function(roman, f"leading-tone of {numeral}", Use(approach(triad), triad, "below"))
