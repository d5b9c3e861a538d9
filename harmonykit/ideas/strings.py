"""The source on an instrument: its shapes, what one finger changes, how its voices go on.

Conventions.  A change is played on one of the source's usual shapes, the first on which all of it
can be held; a voice is on top or in the bass by its pitch, not by its string.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

from harmonykit.fretboard.hands.change import change
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.ideas.finding import Ease, Hearing
from harmonykit.ideas.source import Source
from harmonykit.theory import diminished, naming
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.neighbours import OneNote
from harmonykit.tune.class_file import ClassFile
from harmonykit.values import dataclass, replace

SHAPES, HIGHEST = 3, 7
STEP = 2


@dataclass(frozen=True)
class Strings:
    """The source on an instrument.

    Parameters
    ----------
    source : Source
    neck : Instrument
    knows : ClassFile or None
        The class, whose grips are not new.
    """

    source: Source
    neck: Instrument
    knows: ClassFile | None = None

    @cached_property
    def shapes(self) -> tuple[Voicing, ...]:
        """The shapes on which findings are shown: the one given, or the most usual."""
        if self.source.voicing is not None:
            return (self.source.voicing,)
        if self.source.chord is None:
            return ()
        return find_voicings(self.source.chord, self.neck, HIGHEST)[:SHAPES]

    @property
    def limits(self) -> Limits:
        """A wide hand on the whole neck."""
        return Limits(max_fret=self.neck.frets)

    def moved(self, ways: Sequence[OneNote]) -> tuple[Ease, Hearing]:
        """Return how one-note changes are played and heard, all from one shape."""
        for shape in self.shapes:
            found = [(way, self._after(shape, way.move)) for way in ways]
            held = [(way, after) for way, after in found if after is not None]
            if len(held) == len(ways):
                return self._worth(shape, held)
        return Ease(), Hearing("inner")

    def _worth(self, shape: Voicing, held: list[tuple[OneNote, Voicing]]) -> tuple[Ease, Hearing]:
        after = [one for _, one in held]
        fingers = max(_fingers_moved(shape, one) for one in after)
        played = (shape, *after)
        digits = tuple(one.digits for one in played)
        ease = Ease(digits, new_grips(played, self.knows), fingers)
        heard = [hearing_of(shape, one, way.move) for way, one in held]
        return ease, min(heard, key=lambda each: -each.worth)

    def _after(self, shape: Voicing, move: diminished.Move) -> Voicing | None:
        """Return the shape with a note moved on each string that sounds it, if it can be held."""
        frets = list(shape.frets)
        for string, pitch in enumerate(shape.midi):
            fret = frets[string]
            if pitch is not None and fret is not None and pitch % 12 == move.start.pitch_class:
                if not self.neck.has_fret(string, fret + move.semitones):
                    return None
                frets[string] = fret + move.semitones
        after = replace(shape, frets=tuple(frets))
        return after if after != shape and can_hold(after.frets, self.neck, self.limits) else None

    def easiest(self, targets: Sequence[Chord]) -> Going | None:
        """Return how the source goes most easily into one of some chords, by steps alone.

        Where it can be, voices fall and rise; then the shape with fewest strings pressed.
        """
        found = [going for target in targets for going in self._going(target)]
        return min(found, key=lambda each: each.order, default=None)

    def _going(self, target: Chord) -> tuple[Going, ...]:
        known = self._known
        if target not in known:
            known[target] = tuple(
                Going(target, shape, near, steps, self.knows)
                for shape in self.shapes[:1]
                for near in find_voicings(target, self.neck, HIGHEST)
                if (steps := voices(shape, near)) and max(map(abs, steps)) <= STEP
            )
        return known[target]

    @cached_property
    def _known(self) -> dict[Chord, tuple[Going, ...]]:
        return {}


@dataclass(frozen=True)
class Going:
    """A shape that goes into a shape of another chord, each voice by a step at most.

    Parameters
    ----------
    target : Chord
    before, after : Voicing
    steps : list of int
        How far the voice of each string moves, in semitones.
    knows : ClassFile or None
    """

    target: Chord
    before: Voicing
    after: Voicing
    steps: list[int]
    knows: ClassFile | None = None

    @property
    def counts(self) -> tuple[int, int, int]:
        """How many voices fall, rise and stay."""
        down, up = sum(s < 0 for s in self.steps), sum(s > 0 for s in self.steps)
        return down, up, len(self.steps) - down - up

    @property
    def order(self) -> tuple[bool, int, int, int]:
        """What is less where voices go both ways and the shape is easy."""
        down, up, stay = self.counts
        pressed = len([fret for fret in self.after.frets if fret])
        return not (down and up), stay, pressed, sum(map(abs, self.steps))

    @property
    def ease(self) -> Ease:
        """What the hand does."""
        shapes = (self.before.digits, self.after.digits)
        learnt = new_grips((self.before, self.after), self.knows)
        return Ease(shapes, learnt, _fingers_moved(self.before, self.after))

    @property
    def hearing(self) -> Hearing:
        """Which outer voice moves by step."""
        steps = {"top": self.after.top - self.before.top,
                 "bass": self.after.lowest - self.before.lowest}  # fmt: skip
        shown = f"{self.before.digits} to {self.after.digits}"
        for name, step in steps.items():
            if 0 < abs(step) <= STEP:
                verb, size = "rises" if step > 0 else "falls", "half" if abs(step) == 1 else "whole"
                voice = "top voice" if name == "top" else name
                return Hearing(name, f"the {voice} {verb} by a {size} step ({shown})")
        return Hearing("inner", f"inner voices move by step ({shown})")


def voices(a: Voicing, b: Voicing) -> list[int]:
    """Return how far the voice of each string moves, in semitones; empty where strings differ.

    Examples
    --------
    >>> voices(Voicing.parse("1212", "ukulele"), Voicing.parse("0003", "ukulele"))
    [-1, -2, -1, 1]
    """
    pairs = list(zip(a.midi, b.midi, strict=True))
    if any((low is None) != (high is None) for low, high in pairs):
        return []
    return [high - low for low, high in pairs if low is not None and high is not None]


def hearing_of(a: Voicing, b: Voicing, move: diminished.Move) -> Hearing:
    """Return in which voice a note moves by step from a shape to a shape."""
    start = move.start.pitch_class
    voice = "top" if a.top % 12 == start else "bass" if a.lowest % 12 == start else "inner"
    where = {"top": "on top", "bass": "in the bass", "inner": "in an inner voice"}[voice]
    return Hearing(voice, f"{move} {where} ({a.digits} to {b.digits})")


_FIRST_KINDS, _FIRST_FRETS = ("", "m", "7"), 3


def new_grips(shapes: Iterable[Voicing], knows: ClassFile | None = None) -> int:
    """Return how many shapes are new to a class; one of which nothing is said knows the open ones.

    Those are major, minor and dominant seventh chords with an open string and no fret above the
    third (common practice, no source).

    Examples
    --------
    >>> new_grips(Voicing.parse(frets, "ukulele") for frets in ("1212", "0003", "0212", "2213"))
    2
    """
    if knows is not None:
        return len(knows.new(shapes))
    return sum(
        0 not in shape.frets
        or shape.highest_fret > _FIRST_FRETS
        or not any(name.quality in _FIRST_KINDS for name in naming.exact_names(shape.pcs))
        for shape in set(shapes)
    )


def _fingers_moved(a: Voicing, b: Voicing) -> int:
    return sum(move.what != "stays" for move in change(a, b).moves)
