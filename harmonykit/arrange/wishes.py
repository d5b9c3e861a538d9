"""What is asked of a search beside tune, instrument and moves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from harmonykit.arrange.contour import CONTOURS
from harmonykit.arrange.costs import Weights
from harmonykit.arrange.demands import Chosen, Demands
from harmonykit.arrange.idioms.idiom import Idiom
from harmonykit.arrange.styles import USUAL_STYLE, style_named
from harmonykit.errors import HarmonyError, need_flag, need_number, need_one_of, wrong_kind
from harmonykit.fretboard.hands.limits import Limits, as_limits
from harmonykit.fretboard.shapes.row_textures import ROW_TEXTURES
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.typed import as_typed

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
        Shapes with which chords of the tune are played: only those, where a hand can.
    dear : mapping of (str, Fraction) to int, optional
        What a use of a move costs beside its weight, by its onset, where it was found too often.
    idioms : tuple of Idiom
        Those of the moves that are idioms, so that one of a user's own is known by its name.

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
    dear: Mapping[tuple[str, Fraction], int] | None = field(default=None, repr=False)
    idioms: tuple[Idiom, ...] = field(default=(), repr=False)

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
                f"a tempo of {self.tempo} is out of range", rule="quarters a minute, above 0"
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
