"""What follows from a lesson's shapes: one string lowered, and the scale's shape carried up."""

from collections.abc import Iterable

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.climb import scale_of_chords
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.plan.model import Front
from harmonykit.lesson.plan.shown import Shown
from harmonykit.lesson.plan.starts import movable_shape
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Resolution, resolutions

Way = tuple[int, Resolution, Shown]
"""A string that is lowered, what comes of it, and the shape under its name."""


def lowered(shape: Voicing, chord: Chord) -> tuple[Way, ...]:
    """Return, for each string of a diminished seventh's shape, the parent that lowering it gives.

    Open strings cannot be lowered and are left out.
    """
    found = []
    for string, fret in enumerate(shape.frets):
        if fret:
            frets = (*shape.frets[:string], fret - 1, *shape.frets[string + 1 :])
            after = Voicing(shape.instrument, frets)
            way = next((r for r in resolutions(chord) if r.parent.pcs == after.pcs), None)
            if way is not None:
                found.append((string, way, Shown(after, way.parent)))
    return tuple(found)


def shapes_heard(front: Front, chords: Iterable[Chord]) -> tuple[str, ...]:
    """Return a shape in digits for each chord, all of its notes: the lesson's own where it has one.

    Of a chord that no shape plays nothing is heard.
    """
    own = [front.shape, front.scale_shape]
    if front.shape_chord.is_diminished_seventh:
        own += [way.shape for _, _, way in lowered(front.shape, front.shape_chord)]
    found = []
    for chord in chords:
        shape = next((shape for shape in own if shape.pcs == chord.pcs), None)
        found.append(shape or _found_shape(chord, front))
    return tuple(shape.digits for shape in found if shape is not None)


def walk(front: Front, chord: Chord) -> tuple[str, ...]:
    """Return a way from a diminished seventh to the next one up, in digits.

    String after string goes up a fret.  Every shape on the way is a corner of the cube between
    the two.
    """
    start = _found_shape(chord, front)
    if start is None:
        return ()
    frets, found = list(start.frets), [start.digits]
    for string, fret in enumerate(start.frets):
        if fret is not None:
            frets[string] = fret + 1
            found.append(Voicing(start.instrument, tuple(frets)).digits)
    return tuple(found)


def _found_shape(chord: Chord, front: Front) -> Voicing | None:
    try:
        found = movable_shape(chord, front.instrument)
    except HarmonyError:
        return None
    return found if found.pcs == chord.pcs else None


def climb(front: Front) -> tuple[Shown, ...]:
    """Return the shapes of the lesson's scale from its first shape up to the twelfth fret."""
    shapes: list[Shown] = []
    for steps in range(9):
        shape = _carried(front, steps)
        if shape is None or shape.highest_fret > 12:
            break
        shapes.append(Shown(shape, front.scale.diminished if steps % 2 else front.scale.chord))
    return tuple(shapes)


def _carried(front: Front, steps: int) -> Voicing | None:
    """Return the first shape carried up, or None where it leaves the neck."""
    try:
        return scale_of_chords(front.scale, front.scale_shape, steps)[-1]
    except HarmonyError:
        if not steps:
            raise
        return None
