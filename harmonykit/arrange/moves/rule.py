"""What every move is made of: parts, variants, refusals, and what a move may know.

A move looks at one slot (one chord for a time, with its neighbours) and answers with variants of
it, or with the rule that keeps it out.  Total length never changes, and the chord that a move leads
to is kept.
"""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Protocol

from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.tune import Sung
from harmonykit.values import dataclass, field, replace


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
    scale : SixthDiminished or None
        In a walk the scale that the part belongs to: its chord or its diminished seventh.
    ways : tuple of int
        In a walk: whether the strings may go up (1), down (-1), or either way by its steps.
    away : bool
        Whether it is its scale's diminished seventh, not its chord.
    into : SixthDiminished or None
        The scale, that of the chord that follows, whose diminished seventh this is: it is left by
        one of the three endings (``walks``).
    fourths : bool
        Whether it is played in stacked fourths.
    one_voice : bool
        Whether one string alone goes a fret on from the part before, while the others stay.
    slides : int
        By how many frets every string goes on its way to what follows, where it slides.
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
    scale: SixthDiminished | None = None
    ways: tuple[int, ...] = ()
    away: bool = False
    into: SixthDiminished | None = None
    delayed: int | None = None
    slides: int = 0
    one_voice: bool = False
    fourths: bool = False

    def __hash__(self) -> int:
        # Parts are looked up all the time: moments tell most of them apart, and soonest as ints.
        onset, beats = self.onset, self.beats
        return hash((onset.numerator, onset.denominator, beats.numerator, self.move, self.away))


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
    rested : bool
        Whether a chord is held before it, since its own first one is short.
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
    rested: bool = False


@dataclass(frozen=True, slots=True)
class Web:
    """Many ways to fill a slot that share their parts.

    Parameters
    ----------
    parts : tuple of Part
        Each after those that may come before it.
    before : tuple of tuple of int
        For each part the places of those that it may follow; none for one that starts the slot.
    exits : tuple of int
        The places of the parts that may end it; one with ``into`` leads to the next slot's written
        chord, which must then be there.
    rested : frozenset of int
        The places of parts before which a chord is held, since they are short.
    """

    parts: tuple[Part, ...]
    before: tuple[tuple[int, ...], ...]
    exits: tuple[int, ...]
    rested: frozenset[int] = frozenset()

    def rows(self) -> Iterator[Variant]:
        """Yield each way through it."""
        ways: list[list[tuple[int, ...]]] = []
        for place, before in enumerate(self.before):
            ways.append([(*way, place) for one in before for way in ways[one]] or [(place,)])
        for place in self.exits:
            for way in ways[place]:
                parts = tuple(self.parts[one] for one in way)
                rested = way[0] in self.rested
                yield Variant(parts, needs_next=parts[-1].into is not None, rested=rested)


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
        Whether a move may cross the end of a section.
    bass_player : bool
        Whether somebody else sounds the roots, so that the shapes may leave them out.
    moves : frozenset of str
        The names of all moves that may be used at the place.
    rests : frozenset of int
        The bars, in playing order from 0, in which a phrase ends.
    seconds : frozenset of int
        The bars that are the second of a pair.
    places : mapping of int to int
        Where each bar stands in its phrase, from 0.
    low : bool
        Whether the instrument has a bass of its own, so that a bass line can be played on it.
    stays : frozenset of int
        The bars of chords that last two bars or more and lead nowhere.
    """

    key: Key
    melody: tuple[Sung, ...] = field(default=(), repr=False, hash=False)
    tempo: float = 120.0
    least_seconds: float = 0.5
    across_sections: bool = True
    bass_player: bool = False
    moves: frozenset[str] = frozenset()
    rests: frozenset[int] = frozenset()
    seconds: frozenset[int] = frozenset()
    places: Mapping[int, int] = field(default_factory=dict, hash=False)
    low: bool = False
    stays: frozenset[int] = frozenset()

    def lasts(self, beats: Fraction) -> bool:
        """Whether a number of quarters lasts as long as a chord must."""
        return float(beats) * 60.0 / self.tempo >= self.least_seconds - 1e-9


Offered = Variant | Web | Refused
"""What a move answers with."""


class MoveRule(Protocol):
    """What every move has.

    A frozen dataclass is asked once in each place and setting; any other move each time.
    """

    @property
    def name(self) -> str:
        """The name by which it is asked for."""

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Offered]:
        """Yield the variants of a slot, or the rule that keeps the move out."""


def as_written(slot: Slot) -> Variant:
    """Return a slot as the tune has it, one part a bar."""
    parts = (Part(slot.chord, piece.onset, piece.beats, piece.bar) for piece in slot.pieces)
    return Variant(tuple(parts))


def cut_short(slot: Slot, beats: Fraction) -> tuple[Part, ...]:
    """Return the parts of a slot as the tune has it, without its last beats."""
    *rest, last = as_written(slot).parts
    return *rest, replace(last, beats=last.beats - beats)
