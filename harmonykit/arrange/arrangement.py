"""An arrangement: the chords of a tune with the shapes that play them, and why.

Time is counted in quarters from the start of the tune as played.  Steps follow one another
without a gap and none crosses a bar line; a chord that lasts on in the next bar has a step there.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction

from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune


@dataclass(frozen=True, slots=True)
class Step:
    """One chord with one shape, for a time.

    Parameters
    ----------
    chord : Chord or None
        ``None`` where no chord sounds.
    voicing : Voicing or None
    onset, beats : Fraction
        Quarters from the start of the tune, and how long.
    bar : int
        The bar in playing order, counted from 0.
    move : str
        The name of the move that put the chord there; empty for a chord as written.
    reason : str
        One sentence with the notes that move; empty for a chord as written.
    written : Chord or None
        What the tune has here.
    """

    chord: Chord | None
    voicing: Voicing | None
    onset: Fraction
    beats: Fraction
    bar: int
    move: str = ""
    reason: str = ""
    written: Chord | None = None

    @property
    def inserted(self) -> bool:
        """Whether the chord is not the tune's own."""
        return bool(self.move)

    @property
    def sounds(self) -> tuple[int, ...]:
        """The sounding pitches, sorted: what tells one arrangement from another, with the chord."""
        return () if self.voicing is None else tuple(sorted(self.voicing.sounding))

    def told(self, reason: str) -> Step:
        """Return the step with a reason."""
        return replace(self, reason=reason)


def is_foreign(chord: Chord | None, written: Chord | None) -> bool:
    """Whether a chord has other notes, or another bass, than the tune's own under any name.

    Examples
    --------
    >>> am7, c6, c = (Chord.parse(name) for name in ("Am7", "C6", "C"))
    >>> is_foreign(am7, c6), is_foreign(c6, c), is_foreign(c.over(am7.tones[2]), c)
    (False, True, True)
    """
    if chord == written:
        return False
    if chord is None or written is None or chord.pcs != written.pcs:
        return True
    inverted = chord.bass != chord.root or written.bass != written.root
    return inverted and chord.bass.pitch_class != written.bass.pitch_class


@dataclass(frozen=True, slots=True)
class Refusal:
    """A move that a rule kept out: which, where, and the rule."""

    move: str
    bar: int
    chord: str
    rule: str


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A tune on an instrument, as steps in playing order.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    steps : tuple of Step
    cost : int
        What the search paid for it, in the units of its ``Weights``; lower is better.
    tempo : float
        Quarters a minute for which it was made.
    refusals : tuple of Refusal
        Moves that were asked for and that a rule kept out.
    notes : tuple of str
        What a player should be told: a chord whose only shapes are past the limits.
    name : str
    limits : Limits
        What the hand was asked at most.
    """

    tune: Tune
    instrument: Instrument
    steps: tuple[Step, ...]
    cost: int
    tempo: float
    refusals: tuple[Refusal, ...] = ()
    notes: tuple[str, ...] = ()
    name: str = ""
    limits: Limits = field(default_factory=Limits)

    @property
    def sounding(self) -> tuple[Step, ...]:
        """The steps in which a chord sounds."""
        return tuple(step for step in self.steps if step.voicing is not None)

    @property
    def inserted(self) -> tuple[Step, ...]:
        """The steps that a move put there."""
        return tuple(step for step in self.steps if step.inserted)

    @property
    def shapes(self) -> tuple[Voicing, ...]:
        """The distinct shapes, in the order in which they come."""
        return tuple(dict.fromkeys(step.voicing for step in self.steps if step.voicing is not None))

    def bars(self) -> tuple[tuple[Step, ...], ...]:
        """Return the steps of each bar in playing order."""
        found: list[list[Step]] = [[] for _ in self.tune.playing]
        for step in self.steps:
            found[step.bar].append(step)
        return tuple(map(tuple, found))
