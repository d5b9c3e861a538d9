"""What is asked of a search beside tune, instrument and moves."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.arrange.costs import Weights
from harmonykit.arrange.demands import Demands
from harmonykit.arrange.styles import USUAL_STYLE
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.theory.chord import Chord

USUAL_DENSITY, FULL = "usual", "full"
DENSITIES = (USUAL_DENSITY, FULL)

Chosen = tuple[tuple[Chord | None, Fraction, Fraction], ...]
"""What stands in a slot: chords, each with its onset and its length in quarters."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What is asked of a search beside tune, instrument and moves; see ``reharmonise``.

    ``chosen`` holds what stands in some slots, by their places: only that; the others are free.
    """

    limits: Limits | None = None
    weights: Weights | None = None
    tempo: float | None = None
    least_seconds: float = 0.5
    across_sections: bool = True
    bass_player: bool = False
    prefer: str = ""
    demands: Demands | None = None
    style: str = USUAL_STYLE
    density: str = USUAL_DENSITY
    texture: str = ""
    contours: tuple[str, ...] = ()
    chosen: Mapping[int, Chosen] | None = None
