"""Which bars of a level are printed: what comes again alike is printed once.

A *pass* is one way through a section, from its first bar, or from where a repeat goes back to.
Passes are compared bar by bar, by chords, shapes and lengths as they are played: nothing is taken
for alike because it bears the same letter.  Bars are numbered in playing order, from 1; a pick-up
is bar 0.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.fretboard.voicing import Voicing
from harmonykit.lesson.handout_text import spans
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import PICKUP, Bar

Sound = tuple[Chord | None, Voicing | None, Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class LevelBar:
    """A bar of a level as played: its number, where it starts in quarters, and its steps."""

    number: int
    bar: Bar
    onset: Fraction
    steps: tuple[Step, ...]

    @property
    def sound(self) -> tuple[Sound, ...]:
        """What is played, counted from the start of the bar: alike bars have alike sounds."""
        return tuple((s.chord, s.voicing, s.onset - self.onset, s.beats) for s in self.steps)


@dataclass(frozen=True, slots=True)
class Pass:
    """One way through a section."""

    section: str
    bars: tuple[LevelBar, ...]

    @property
    def sounds(self) -> tuple[tuple[Sound, ...], ...]:
        """What is played in each bar."""
        return tuple(bar.sound for bar in self.bars)


@dataclass(frozen=True, slots=True)
class Printed:
    """A pass that is printed, whole or in part.

    Parameters
    ----------
    section : str
    bars : tuple of LevelBar
    again : tuple of int
        The bars that come later and are played alike, all of them.
    like : mapping of int to int
        Bars that are played like one that stands printed before, and which that is.
    """

    section: str
    bars: tuple[LevelBar, ...]
    again: tuple[int, ...]
    like: Mapping[int, int]

    @property
    def new(self) -> tuple[LevelBar, ...]:
        """The bars that stand nowhere before."""
        return tuple(bar for bar in self.bars if bar.number not in self.like)

    def note(self, left_out: Sequence[LevelBar]) -> str:
        """Say which bars these are, where they come again, and what the ones left out are like."""
        note = spans([bar.number for bar in self.bars])
        if self.again:
            note += f", and again {spans(self.again)}"
        if left_out:
            numbers = [bar.number for bar in left_out]
            note += f": {spans(numbers)} like {spans([self.like[n] for n in numbers])}"
        return note


def printed(arrangement: Arrangement) -> tuple[Printed, ...]:
    """Return the passes that are printed, in playing order: of those played alike the first."""
    groups: dict[object, list[Pass]] = {}
    for one in passes(arrangement):
        groups.setdefault((one.section, one.sounds), []).append(one)
    shown: dict[Bar, LevelBar] = {}
    found = []
    for first, *others in groups.values():
        like = {
            bar.number: shown[bar.bar].number
            for bar in first.bars
            if bar.bar in shown and shown[bar.bar].sound == bar.sound
        }
        again = tuple(bar.number for one in others for bar in one.bars)
        found.append(Printed(first.section, first.bars, again, like))
        shown = {bar.bar: bar for bar in first.bars} | shown
    return tuple(found)


def passes(arrangement: Arrangement) -> tuple[Pass, ...]:
    """Return the passes of a level in playing order; silence before the first bar is left out."""
    played = arrangement.tune.playing
    shift = 0 if arrangement.tune.pickup else 1
    found: list[tuple[str, list[LevelBar]]] = []
    before: Bar | None = None
    for index, (place, steps) in enumerate(zip(played, arrangement.bars(), strict=True)):
        # A bar that completes a short one bears its number again; one that repeats is the same bar.
        back = before is None or place.bar.number < before.number or place.bar is before
        if back or place.section != found[-1][0]:
            found.append((place.section, []))
        found[-1][1].append(LevelBar(index + shift, place.bar, place.onset, steps))
        before = place.bar
    if len(found) > 1 and found[0][0] == PICKUP and not any(s.chord for s in found[0][1][0].steps):
        del found[0]
    return tuple(Pass(section, tuple(bars)) for section, bars in found)
