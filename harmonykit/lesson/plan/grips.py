"""The shapes of a level: their chords, how they are held, and which are new beside known ones.

A shape is new that neither the class file nor a level before has; a movable one at another fret is
not new.
"""

from collections.abc import Sequence

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.written import printed_numbers
from harmonykit.fretboard.hands.hand import Fingering
from harmonykit.fretboard.shapes import frettings, grips
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.plan.shown import Shown
from harmonykit.theory.chord import Chord
from harmonykit.tune.class_file import ClassFile
from harmonykit.values import dataclass

MOST_NEW = (5, 5, 8)
"""Grips that a class can learn at each level; at later ones as many as at the last (common
practice, no source)."""

Names = dict[Voicing, tuple[Chord, ...]]


def most_new(level: int) -> int:
    """Return how many new grips a class can learn at a level, counted from 0.

    Examples
    --------
    >>> [most_new(level) for level in range(5)]
    [5, 5, 8, 8, 8]
    """
    return MOST_NEW[min(level, len(MOST_NEW) - 1)]


def names_of(arrangement: Arrangement) -> Names:
    """Return the shapes of a level as they first come, each with the chords that it stands for."""
    found: dict[Voicing, dict[Chord, None]] = {}
    for step in arrangement.sounding:
        if step.chord and step.voicing and not step.alone:
            found.setdefault(step.voicing, {})[step.chord] = None
    return {shape: tuple(chords) for shape, chords in found.items()}


def first_bars(arrangement: Arrangement) -> dict[Voicing, int]:
    """Return for each shape the printed number of the bar in which it comes first."""
    numbers = printed_numbers(arrangement)
    found: dict[Voicing, int] = {}
    for step in arrangement.sounding:
        if step.voicing is not None:
            found.setdefault(step.voicing, numbers[step.bar][0])
    return found


def fingerings_of(arrangement: Arrangement) -> dict[Voicing, tuple[Fingering, ...]]:
    """Return the shapes of a level, each with its fingerings in the order in which they come."""
    found: dict[Voicing, dict[Fingering, None]] = {}
    for step, fingering in zip(arrangement.steps, arrangement.fingerings, strict=True):
        if step.voicing is not None:
            kinds = found.setdefault(step.voicing, {})
            kinds |= {fingering: None} if fingering is not None else {}
    return {shape: tuple(fingerings) for shape, fingerings in found.items()}


@dataclass(frozen=True, slots=True)
class NewGrip:
    """A shape that is new at a level.

    Parameters
    ----------
    shown : Shown
    held : Fingering or None
        How the level holds it.
    kin : Kin or None
        The known grip from which it differs by the fewest fingers; None where nothing is known.
    """

    shown: Shown
    held: Fingering | None
    kin: grips.Kin | None


def new_grips(
    ways: Sequence[Arrangement], knows: ClassFile | None = None
) -> tuple[tuple[NewGrip, ...], ...]:
    """Return for each level the grips that are new at it, in order of playing, each form once.

    Parameters
    ----------
    ways : sequence of Arrangement
        The levels, in order.
    knows : ClassFile, optional
        What the class knew before.
    """
    found = []
    known: list[grips.Grip] = []
    if ways and knows is not None:
        known += knows.grips_on(ways[0].instrument)
    for way in ways:
        named, held = names_of(way), fingerings_of(way)
        forms = {grips.grip_form(grip.shape) for grip in known}
        fresh: dict[frettings.Fretting, Voicing] = {}
        for shape in named:
            if grips.grip_form(shape) not in forms:
                fresh.setdefault(grips.grip_form(shape), shape)
        new = []
        for shape in fresh.values():
            fingers = held[shape][0] if held[shape] else None
            kin = grips.nearest_grip(shape, known, fingers)
            new.append(NewGrip(Shown(shape, named[shape][0]), fingers, kin))
        found.append(tuple(new))
        known += [grips.Grip(one.shown.chord, one.shown.shape, one.held) for one in new]
    return tuple(found)
