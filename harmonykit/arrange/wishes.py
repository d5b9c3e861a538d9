"""What is asked of a search beside tune, instrument and moves: what must be kept, and wishes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from harmonykit.arrange.idioms.idiom import Idiom
from harmonykit.arrange.learning import Learning
from harmonykit.arrange.styles import CONTOURS, USUAL_STYLE, style_named
from harmonykit.arrange.weights import Weights
from harmonykit.errors import HarmonyError, need_flag, need_number, need_one_of, wrong_kind
from harmonykit.fretboard.hands.hand import Limits, as_limits
from harmonykit.fretboard.shapes.row_textures import ROW_TEXTURES
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import as_chord
from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass, field

Chosen = tuple[tuple[Chord | None, Fraction, Fraction], ...]
"""What stands in a slot: chords, each with its onset and its length in quarters."""

Harmony = tuple[tuple[int, Chosen], ...]
"""What stands in the slots of a tune, counted from 0."""

_FRACTION = re.compile(r"Fraction\((-?\d+), (\d+)\)")


@dataclass(frozen=True, slots=True)
class Demands:
    """What an arrangement must keep, whatever it costs, beside the limits of the hand.

    Parameters
    ----------
    changes_a_bar : int, optional
        The most chords in a bar to which a move adds one; a bar as written may have more.
    first, last : Voicing, optional
        The shape of the first and of the last chord that sounds.
    locked : frozenset of int
        Bars that stay as they are, by their written numbers.
    by_section : tuple of (str, tuple of str)
        Which of the moves may be used in a section; all of them in one that is not named.
    no_added_clashes : bool
        Whether added chords that clash with the melody are refused where the tune's own do not.
    refused : tuple of (Fraction, Chord)
        A moment of the tune as played, in quarters, and a chord that may not be added in the slot
        that sounds then: the chord of the tune that lasts there, at most two bars of it.  Names do
        not count, notes do.
    wanted : tuple of tuple of (Chord, Fraction, Fraction)
        What is played in a slot: chords that fill it, each with its onset and its length.  There
        all moves may be used, and what none offers stands as your choice.
        ``hk.arrange.alternatives`` finds what moves offer.

    Examples
    --------
    >>> hk.Demands(by_section=(("B", ("ascending walk",)),)).allows("B", "leading-tone diminished")
    False
    >>> from fractions import Fraction
    >>> hk.Demands(refused=((Fraction(6), hk.Chord.parse("Bdim7")),))
    Demands(refused=((6, Chord.parse('Bdim7')),))
    """

    changes_a_bar: int | None = None
    first: Voicing | None = None
    last: Voicing | None = None
    locked: frozenset[int] = frozenset()
    by_section: tuple[tuple[str, tuple[str, ...]], ...] = ()
    no_added_clashes: bool = False
    refused: tuple[tuple[Fraction, Chord], ...] = ()
    wanted: tuple[Chosen, ...] = ()

    def __post_init__(self) -> None:
        if self.changes_a_bar is not None and self.changes_a_bar < 1:
            raise HarmonyError(
                f"{self.changes_a_bar} changes a bar", rule="at least 1 change a bar"
            )
        refused = (_row(row, 2, "refused") for row in _rows(self.refused, "refused"))
        told = tuple((as_moment(at), as_chord(chord)) for at, chord in refused)
        object.__setattr__(self, "refused", told)
        rows = (_rows(row, "wanted") for row in _rows(self.wanted, "wanted"))
        object.__setattr__(self, "wanted", tuple(map(_filled, rows)))

    def allows(self, section: str, move: str) -> bool:
        """Whether a move may be used in a section.

        Parameters
        ----------
        section : str
        move : str

        Returns
        -------
        bool

        Examples
        --------
        >>> demands = hk.Demands(by_section=(("A", ("tritone substitution",)),))
        >>> demands.allows("A", "pedal point"), demands.allows("B", "pedal point")
        (False, True)
        """
        return move in dict(self.by_section).get(section, (move,))

    def __repr__(self) -> str:
        return _FRACTION.sub(_said, as_typed(self))


_EXAMPLES = {"refused": '((6, "Bdim7"),)', "wanted": '((("G7", 4, 2), ("Bdim7", 6, 2)),)'}


def _rows(given: object, what: str) -> tuple[object, ...]:
    if isinstance(given, Iterable) and not isinstance(given, str):
        return tuple(given)
    raise wrong_kind(given, f"a tuple of {what} chords", _EXAMPLES[what])


def _row(given: object, size: int, what: str) -> tuple[Any, ...]:
    row = _rows(given, what)
    if len(row) != size:
        raise wrong_kind(given, f"a tuple of {what} chords", _EXAMPLES[what])
    return row


def _filled(row: tuple[object, ...]) -> Chosen:
    """Return what is to stand in a slot, without a gap."""
    found = [_row(each, 3, "wanted") for each in row]
    chords = tuple(
        (None if c is None else as_chord(c), as_moment(at), as_moment(beats))
        for c, at, beats in found
    )
    ends = [at + beats for _, at, beats in chords]
    if not chords or [at for _, at, _ in chords[1:]] != ends[:-1]:
        raise HarmonyError(
            "the wanted chords leave a gap",
            rule="each starts where the one before it ends",
            mend=_EXAMPLES["wanted"],
        )
    return chords


def as_moment(given: object) -> Fraction:
    """Return quarters given as a number, or as text where no whole number says it: ``"88/3"``."""
    try:
        if isinstance(given, (int, float, str, Fraction)):
            return Fraction(given)
    except (ValueError, OverflowError, ZeroDivisionError):
        pass
    raise wrong_kind(given, "a moment or a length in quarter notes", "6")


def _said(match: re.Match[str]) -> str:
    whole = match[2] == "1"
    return match[1] if whole else f"'{match[1]}/{match[2]}'"


USUAL_DENSITY, FULL = "usual", "full"
DENSITIES = (USUAL_DENSITY, FULL)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What an arrangement should be like, beside its tune, its instrument and its moves.

    Parameters
    ----------
    style : str
        A style of ``hk.arrange.STYLES``; weights and a move to prefer that are given go
        before its own.
    density : {"usual", "full"}
        Whether a chord is added where it is worth it, more toward cadences, or wherever one fits.
    texture : str
        Which shapes are taken, as ``hk.fretboard.texture_shapes`` has them: ``"shells"``,
        ``"two strings"``, ``"drop 2"``; any where empty.
    contours : tuple of str
        Where the highest pitch is wanted, by turns, one a phrase: ``"rise"``, ``"fall"``,
        ``"arch"``, ``"valley"``, or ``""`` for any; the style's own where not given.
    prefer : str
        A move to use wherever it fits: other moves there count as a chance not taken.
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    demands : Demands, optional
        What must be kept, whatever it costs.
    weights : Weights, optional
        What costs what; the style's own where not given.
    tempo : float, optional
        Quarters a minute; the tune's own where not given.
    least_seconds : float
        How long an added chord, and the chord that it shortens, must last, in seconds.
    across_sections : bool
        Whether a move may cross the end of a section.
    bass_player : bool
        Whether somebody else plays the roots.
    name : str
        What the arrangements are called.
    chosen : mapping of int to tuple, optional
        What is played in some slots of the tune, counted from 0: each chord with its onset and its
        length in quarters.  The other slots are free.
    beside : tuple of tuple
        What others play at the same time, as ``chosen`` has it: nothing that clashes with it is
        added.
    heard : bool
        Whether the theme was heard before, so that something may be added from the first bar.
    known : tuple of (Chord, tuple of Voicing)
        Shapes with which chords of the tune are played: only those, where a hand can; with
        ``learning`` others, too.
    learning : Learning, optional
        What grips cost beside their price, as where a class has yet to learn them.
    dear : mapping of (str, Fraction) to int, optional
        What a use of a move costs beside its weight, by its onset, where it was found too often.
    idioms : tuple of Idiom
        Those of the moves that are idioms, and a user's own, which are known by their names.

    Raises
    ------
    HarmonyError
        If a style, density, texture or contour is unknown, or a number is out of range.

    Examples
    --------
    >>> hk.Wishes(style="walking", density="full")
    Wishes(style='walking', density='full')
    """

    style: str = USUAL_STYLE
    density: str = USUAL_DENSITY
    texture: str = ""
    contours: tuple[str, ...] = ()
    prefer: str = ""
    limits: Limits | None = None
    demands: Demands | None = None
    weights: Weights | None = None
    tempo: float | None = None
    least_seconds: float = 0.5
    across_sections: bool = True
    bass_player: bool = False
    name: str = ""
    chosen: Mapping[int, Chosen] | None = field(default=None, repr=False)
    beside: tuple[Chosen, ...] = field(default=(), repr=False)
    heard: bool = False
    known: tuple[tuple[Chord, tuple[Voicing, ...]], ...] = field(default=(), repr=False)
    learning: Learning | None = field(default=None, repr=False)
    dear: Mapping[tuple[str, Fraction], int] | None = field(default=None, repr=False)
    idioms: tuple[Idiom, ...] = field(default=(), repr=False)

    @property
    def own(self) -> Mapping[str, Idiom]:
        """The idioms that add chords, by name."""
        return {idiom.name: idiom for idiom in self.idioms if idiom.after}

    def __post_init__(self) -> None:
        object.__setattr__(self, "style", style_named(self.style))
        need_one_of(self.density, "density", DENSITIES)
        if self.texture:
            need_one_of(self.texture, "texture", ROW_TEXTURES)
        as_limits(self.limits, Limits())
        for name, kind in (("demands", Demands), ("weights", Weights)):
            given = getattr(self, name)
            if given is not None and not isinstance(given, kind):
                raise wrong_kind(given, name, f"{kind.__name__}()")
        if isinstance(self.contours, str) or not isinstance(self.contours, Iterable):
            raise wrong_kind(self.contours, "contours", '("rise", "fall")')
        object.__setattr__(self, "contours", tuple(self.contours))
        for each in (one for one in self.contours if one != ""):
            need_one_of(each, "contour", CONTOURS)
        need_flag(self.across_sections, "across_sections")
        need_flag(self.bass_player, "bass_player")
        need_flag(self.heard, "heard")
        if self.tempo is not None and not need_number(self.tempo, "tempo") > 0:
            raise HarmonyError(
                f"a tempo of {self.tempo} is out of range", rule="quarter notes a minute, above 0"
            )
        if not need_number(self.least_seconds, "least_seconds") >= 0:
            raise HarmonyError(f"least_seconds is {self.least_seconds}", rule="seconds, 0 or more")

    def __repr__(self) -> str:
        return as_typed(self)


def as_wishes(given: Wishes | None) -> Wishes:
    """Return wishes that were handed in, or the usual ones.

    Raises
    ------
    WrongKind
        If they are of another kind.

    Examples
    --------
    >>> as_wishes(None)
    Wishes()
    """
    if given is None:
        return Wishes()
    if isinstance(given, Wishes):
        return given
    raise wrong_kind(given, "wishes", 'Wishes(style="walking")')
