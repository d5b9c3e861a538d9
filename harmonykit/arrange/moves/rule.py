"""What every move is made of: parts, variants, refusals, and what a move may know.

A move looks at one slot (one chord for a time, with its neighbours) and answers with variants of
it, or with the rule that keeps it out.  Total length never changes, and the chord that a move leads
to is kept.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Protocol

from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.tune import Sung


@dataclass(frozen=True, slots=True)
class Part:
    """A chord inside a variant, for a time.

    Parameters
    ----------
    chord : Chord or None
    onset, beats : Fraction
        Quarters from the start of the tune, and how long.
    bar : int
        In playing order from 0.
    move : str
        The move that put it there; empty for a chord as written.
    reason : str
        One sentence without its full stop; the search, which knows the shapes, ends it.
    leads : bool
        Whether the reason is to end with what each note does on its way to the next chord.
    steps : int
        In a walk: scale steps from the first shape of the chain, down if negative.
    scale : SixthDiminished or None
        The scale by whose steps the shape follows from the first of its chain.
    delayed : int or None
        The pitch class that the scale's next note above delays, while the others stay.
    """

    chord: Chord | None
    onset: Fraction
    beats: Fraction
    bar: int
    move: str = ""
    reason: str = ""
    leads: bool = False
    steps: int = 0
    scale: SixthDiminished | None = None
    delayed: int | None = None


@dataclass(frozen=True, slots=True)
class Variant:
    """One way to fill a slot.

    Parameters
    ----------
    parts : tuple of Part
        Without a gap, none across a bar line.
    scale : SixthDiminished or None
        The scale that makes a chain of the shapes: the string that moves does so by its steps.
    slots : int
        How many slots it covers, its own and those after it.
    keeps_first : bool
        Whether it starts with what the tune has, so that a chord before may lead to it.
    needs_next : bool
        Whether it leads to the next slot's written chord, which must then be there.
    free : bool
        Whether it costs no more than the slot as written: a new name for the same notes.
    """

    parts: tuple[Part, ...]
    scale: SixthDiminished | None = None
    keeps_first: bool = True
    needs_next: bool = False
    free: bool = False
    slots: int = 1


@dataclass(frozen=True, slots=True)
class Refused:
    """A rule that keeps a move out of a slot."""

    rule: str


@dataclass(frozen=True, slots=True)
class Setting:
    """What a move may know beside its slot.

    Parameters
    ----------
    key : Key
    melody : tuple of Sung
        In playing order.
    tempo : float
        Quarters a minute.
    least_seconds : float
        The least time that a chord lasts.
    across_sections : bool
        Whether a chord may lead from the end of one section into the next.
    bass_player : bool
        Whether somebody else sounds the roots, so that the shapes may leave them out.
    """

    key: Key
    melody: tuple[Sung, ...] = field(default=(), repr=False)
    tempo: float = 120.0
    least_seconds: float = 0.5
    across_sections: bool = True
    bass_player: bool = False

    def lasts(self, beats: Fraction) -> bool:
        """Whether a number of quarters lasts as long as a chord must."""
        return float(beats) * 60.0 / self.tempo >= self.least_seconds - 1e-9


class MoveRule(Protocol):
    """What every move has."""

    @property
    def name(self) -> str:
        """The name by which it is asked for."""

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the variants of a slot, or the rule that keeps the move out."""


def as_written(slot: Slot) -> Variant:
    """Return a slot as the tune has it, one part a bar."""
    parts = (Part(slot.chord, piece.onset, piece.beats, piece.bar) for piece in slot.pieces)
    return Variant(tuple(parts))
