"""Which bars of a level are printed: what comes again alike is printed once.

A *pass* is one way through a section, from its first bar, or from where a repeat goes back to.
Passes are compared bar by bar, by chords, shapes and lengths as they are played: nothing is taken
for alike because it bears the same letter.

Conventions.  Bars are numbered in playing order, from 1.  A pick-up is bar 0; a short bar that
completes the short bar before it, as where a repeat goes back to a pick-up, bears that bar's
number.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.fretboard.hands.change import Change
from harmonykit.fretboard.hands.fingering import Fingering
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.text import spans
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import PICKUP, Bar, bar_length

Fingers = tuple[Fingering | None, Change | None]
Sound = tuple[Chord | None, Voicing | None, Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class LevelBar:
    """A bar of a level as played.

    Parameters
    ----------
    index : int
        Its place among all bars played, from 0.
    number : int
    begins : bool
        Whether it is the first to bear its number; a pick-up bears none.
    bar : Bar
        As written.
    onset : Fraction
        Quarters from the start.
    steps : tuple of Step
    fingers : tuple of Fingers
        For each step its fingering, and what the fingers do on the way to it.
    """

    index: int
    number: int
    begins: bool
    bar: Bar
    onset: Fraction
    steps: tuple[Step, ...]
    fingers: tuple[Fingers, ...]

    @property
    def sound(self) -> tuple[Sound, ...]:
        """What is played, counted from the start of the bar: alike bars have alike sounds."""
        return tuple((s.chord, s.voicing, s.onset - self.onset, s.beats) for s in self.steps)

    @property
    def share(self) -> Fraction:
        """How much of a whole bar it lasts."""
        return self.bar.length / bar_length(self.bar.meter)


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
    again : tuple of LevelBar
        The bars that come later and are played alike, all of them.
    like : mapping of int to LevelBar
        For the index of a bar that is played like one that stands printed before: which that is.
    """

    section: str
    bars: tuple[LevelBar, ...]
    again: tuple[LevelBar, ...]
    like: Mapping[int, LevelBar]

    @property
    def new(self) -> tuple[LevelBar, ...]:
        """The bars that stand nowhere before."""
        return tuple(bar for bar in self.bars if bar.index not in self.like)

    def note(self, left_out: Sequence[LevelBar]) -> str:
        """Say which bars these are, where they come again, and what the ones left out are like."""
        note = _spans(self.bars)
        if self.again:
            note += f", and again {_spans(self.again)}"
        if left_out:
            note += f": {_spans(left_out)} like {_spans([self.like[b.index] for b in left_out])}"
        return note


def _spans(bars: Sequence[LevelBar]) -> str:
    return spans([bar.number for bar in bars if bar.begins] or [bar.number for bar in bars])


def printed(arrangement: Arrangement) -> tuple[Printed, ...]:
    """Return the passes that are printed, in playing order: of those played alike the first."""
    groups: dict[object, list[Pass]] = {}
    for one in passes(arrangement):
        groups.setdefault((one.section, one.sounds), []).append(one)
    shown: dict[Bar, LevelBar] = {}
    found = []
    for first, *others in groups.values():
        like = {
            bar.index: shown[bar.bar]
            for bar in first.bars
            if bar.bar in shown and shown[bar.bar].sound == bar.sound
        }
        again = tuple(bar for one in others for bar in one.bars)
        found.append(Printed(first.section, first.bars, again, like))
        shown = {bar.bar: bar for bar in first.bars} | shown
    return tuple(found)


def passes(arrangement: Arrangement) -> tuple[Pass, ...]:
    """Return the passes of a level in playing order; silence before the first bar is left out."""
    found: list[tuple[str, list[LevelBar]]] = []
    before: Bar | None = None
    sections = [place.section for place in arrangement.tune.playing]
    for section, bar in zip(sections, _level_bars(arrangement), strict=True):
        # A short bar may bear the number of the one before; what repeats is the very same bar.
        back = before is None or bar.bar.number < before.number or bar.bar is before
        if back or section != found[-1][0]:
            found.append((section, []))
        found[-1][1].append(bar)
        before = bar.bar
    if found[0][0] == PICKUP and not any(step.chord for step in found[0][1][0].steps):
        del found[0]
    return tuple(Pass(section, tuple(bars)) for section, bars in found)


def _level_bars(arrangement: Arrangement) -> Iterator[LevelBar]:
    played, steps = arrangement.tune.playing, arrangement.bars()
    fingers = iter(zip(arrangement.fingerings, arrangement.changes, strict=True))
    for index, (number, begins) in enumerate(arrangement.tune.numbers):
        place, held = played[index], tuple(islice(fingers, len(steps[index])))
        yield LevelBar(index, number, begins, place.bar, place.onset, steps[index], held)


def unsure_starts(arrangement: Arrangement) -> frozenset[int]:
    """Return the bars, by place, that the fingers reach in several ways as the bar comes again.

    What a sheet prints once stands for all times, so it does not say what stays at such a start.
    """
    bars = list(_level_bars(arrangement))
    ways: dict[object, set[object]] = {}
    for bar in bars:
        change = bar.fingers[0][1] if bar.fingers else None
        way = change and (change.kept, change.slid)
        ways.setdefault((bar.bar, bar.sound), set()).add(way)
    return frozenset(bar.index for bar in bars if len(ways[bar.bar, bar.sound]) > 1)
