"""What questions are about: everything, level by level, or the music of one lesson.

A theme is chords, changes, scales and hands to draw from.  Where it has none of a kind, the usual
ones of the level are taken.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, TypeVar

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits, limits_at
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.spelling import usual_root
from harmonykit.values import dataclass

if TYPE_CHECKING:
    pass

T = TypeVar("T")
HANDS = 3
# Roots of diminished sevenths from those met most to those met least (common practice, no source).
DIMINISHED = ("B C# D F# G# E A", "C Eb F G Bb D#", "Ab Db A#")
ROOTS = ("C D F G A", "E Bb Eb Ab B", "Db F#")
_QUALITIES = ("7", "m7 6", "m6 m7b5 maj7", "7b5 mmaj7")
_TRIADS = ("", "m")
# Suffixes of two chords and the semitones between their roots.
_CHANGES = (("6", "7", 7), ("m7", "7", 5), ("7", "6", 5), ("6", "m7", 2), ("m7", "6", 10))


@dataclass(frozen=True, slots=True)
class Theme:
    """What questions draw from; all of it as text, so that it can be handed on.

    Parameters
    ----------
    title : str
        Of the lesson; empty for everything.
    instrument : str
        A name, or strings such as ``"G4 C4 E4 A4"``.
    diminished, chords : tuple of str
        Chord symbols.
    pairs : tuple of str
        Chords that follow one another: ``"C6>G7"``.
    scales : tuple of str
        ``"C major"``: tonic and kind.
    shapes : tuple of str
        Shapes preferred to others where they sound the chord: ``"2-3-2-3"``.
    hands : tuple of str
        Of each level of the lesson: top fret, stretch in mm and barre, ``"5 67 none"``.
    ideas : tuple of str
        What an idea does: ``"Bdim7>lower one note>7"``, source, change and target.
    kinds : tuple of str
        The kinds of exercise that take turns; the usual ones where none are named.
    about : str
        The one chord, change or scale that is asked about; any of the others where empty.

    Examples
    --------
    >>> [chord.symbol for chord in hk.practice.Theme(diminished=("Adim7",)).diminished_sevenths(4)]
    ['Adim7']
    >>> [len(hk.practice.Theme().diminished_sevenths(grade)) for grade in (1, 4)]
    [7, 16]
    """

    title: str = ""
    instrument: str = "ukulele"
    diminished: tuple[str, ...] = ()
    chords: tuple[str, ...] = ()
    pairs: tuple[str, ...] = ()
    scales: tuple[str, ...] = ()
    shapes: tuple[str, ...] = ()
    hands: tuple[str, ...] = ()
    ideas: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    about: str = ""

    def wanted(self, pool: Sequence[T], name: Callable[[T], str]) -> Sequence[T]:
        """Return what of a pool may be asked about: all of it, or what the theme is narrowed to.

        Parameters
        ----------
        pool : sequence
        name : callable
            What one of them is called in ``about``.

        Returns
        -------
        sequence

        Raises
        ------
        HarmonyError
            If the one that is asked about is not there.

        Examples
        --------
        >>> hk.practice.Theme(about="G7").wanted(["C7", "G7"], str)
        ['G7']
        """
        found = [each for each in pool if not self.about or name(each) == self.about]
        if not found:
            raise HarmonyError(f"{self.about} is not asked about here")
        return found

    @property
    def neck(self) -> Instrument:
        """The instrument."""
        return instrument_of(self.instrument)

    def diminished_sevenths(self, level: int) -> tuple[Chord, ...]:
        """Return the diminished sevenths of a level.

        Parameters
        ----------
        level : int
            1 to 4, from easy to hard.

        Returns
        -------
        tuple of Chord

        Examples
        --------
        >>> [chord.symbol for chord in hk.practice.Theme().diminished_sevenths(1)]
        ['Bdim7', 'C#dim7', 'Ddim7', 'F#dim7', 'G#dim7', 'Edim7', 'Adim7']
        """
        named = self.diminished or [f"{root}dim7" for root in up_to(DIMINISHED, level)]
        return tuple(Chord.parse(name) for name in named)

    def four_notes(self, level: int) -> tuple[Chord, ...]:
        """Return the chords of four notes, diminished sevenths left out.

        Parameters
        ----------
        level : int
            1 to 4, from easy to hard.

        Returns
        -------
        tuple of Chord

        Examples
        --------
        >>> [chord.symbol for chord in hk.practice.Theme().four_notes(1)]
        ['C7', 'D7', 'F7', 'G7', 'A7']
        """
        own = [chord for chord in map(Chord.parse, self.chords) if len(chord.pcs) == 4]
        plain = [chord for chord in own if not chord.is_diminished_seventh]
        return tuple(plain) or tuple(
            Chord.of(root, suffix)
            for root in up_to(ROOTS, level)
            for suffix in up_to(_QUALITIES, level)
        )

    def any_chords(self, level: int) -> tuple[Chord, ...]:
        """Return the chords whose shapes are asked for, triads among them.

        Parameters
        ----------
        level : int
            1 to 4, from easy to hard.

        Returns
        -------
        tuple of Chord

        Examples
        --------
        >>> [chord.symbol for chord in hk.practice.Theme().any_chords(1)][:6]
        ['C', 'Cm', 'D', 'Dm', 'F', 'Fm']
        """
        triads = [Chord.of(root, third) for root in up_to(ROOTS, level) for third in _TRIADS]
        own = tuple(chord for chord in map(Chord.parse, self.chords) if len(chord.pcs) <= 4)
        return own or (*triads, *self.four_notes(level))

    def changes(self, level: int) -> tuple[tuple[Chord, Chord], ...]:
        """Return chords that follow one another, none twice the same notes.

        Parameters
        ----------
        level : int
            1 to 4, from easy to hard.

        Returns
        -------
        tuple of tuple of Chord and Chord

        Examples
        --------
        >>> [f"{first} {second}" for first, second in hk.practice.Theme().changes(1)][:3]
        ['C6 G7', 'Cm7 F7', 'C7 F6']
        """
        if self.pairs:
            named = (pair.split(">") for pair in self.pairs)
            return tuple((Chord.parse(a), Chord.parse(b)) for a, b in named)
        return _usual_changes(min(level, len(ROOTS)))

    def own_shapes(self, chord: Chord) -> tuple[Voicing, ...]:
        """Return the theme's shapes of a chord, if they have no open string.

        Parameters
        ----------
        chord : Chord

        Returns
        -------
        tuple of Voicing

        Examples
        --------
        >>> theme = hk.practice.Theme(shapes=("2-3-2-3",))
        >>> [shape.digits for shape in theme.own_shapes(hk.Chord.parse("Adim7"))]
        ['2-3-2-3']
        """
        own = (Voicing.parse(digits, self.neck) for digits in self.shapes)
        return tuple(s for s in own if s.pcs == chord.pcs and 0 not in s.frets)

    def limits(self, level: int) -> Limits:
        """Return the hand of a level: the lesson's own, or the customary one.

        Parameters
        ----------
        level : int
            1 to 4, from easy to hard.

        Returns
        -------
        Limits

        Examples
        --------
        >>> [hk.practice.Theme().limits(level).max_fret for level in (1, 2, 3)]
        [5, 7, 12]
        """
        if not self.hands:
            return limits_at(min(level, HANDS), self.neck)
        top, stretch, barre = self.hands[min(level, len(self.hands)) - 1].split()
        return Limits(int(top), float(stretch), barre)


EVERYTHING = Theme()


def change_name(change: tuple[Chord, Chord]) -> str:
    """Return what a change is called, basses left out.

    Examples
    --------
    >>> change_name((Chord.parse("C6"), Chord.parse("G7/B")))
    'C6>G7'
    """
    return ">".join(each.over(None).symbol for each in change)


@lru_cache(maxsize=16)
def instrument_of(name: str) -> Instrument:
    """Return an instrument by name, or by its strings."""
    try:
        return Instrument.named(name)
    except HarmonyError:
        return Instrument.parse(name)


def up_to(rows: Sequence[str], level: int) -> list[str]:
    """Return the words of the first rows, as many as the level says.

    Examples
    --------
    >>> up_to(("a b", "c", "d"), 2)
    ['a', 'b', 'c']
    """
    return [word for row in rows[:level] for word in row.split()]


@lru_cache(maxsize=8)
def _usual_changes(level: int) -> tuple[tuple[Chord, Chord], ...]:
    """Return changes by fifth, step and third (common practice, no source)."""
    roots = [Chord.parse(root).root for root in up_to(ROOTS, level)]
    return tuple(
        (Chord.of(root, before), Chord.of(usual_root(root.pitch_class + rise), after))
        for root in roots
        for before, after, rise in _CHANGES
    )
