"""Walks: how a shape goes on from one, and what is said of it: one sentence for all of it.

A diminished seventh that leads to a chord is left in one of three ways, told by what the strings
do (common practice, no source):

- *parallel from below*: every string rises by a step of the chord's scale; the leading tone
  resolves, and the seventh rises with the block;
- *parallel from above*: every string falls by a step; seventh and flat ninth resolve, and the
  leading tone falls to the sixth;
- *resolved*: the leading tone rises (or stays, as a major seventh), seventh and flat ninth fall,
  and the fifth goes to a neighbour.

Conventions.  Arrays are (shapes before, shapes after); the seventh, the ninth and so on are those
of the dominant whose root is left out: over the leading tone they lie 6 and 9 semitones up.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.arrangement import Step
from harmonykit.arrange.costs import Shapes
from harmonykit.arrange.moves import Part
from harmonykit.arrange.moves.inside import chord_inside
from harmonykit.arrange.moves.walk import ASCENDING, DESCENDING
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.scale import SixthDiminished

BELOW, ABOVE, RESOLVED = "parallel from below", "parallel from above", "resolved"
ENDINGS = (BELOW, ABOVE, RESOLVED)

Mask = NDArray[np.bool_]

_PITCHES, _THREE = 128, 3
# What a voice may do, in semitones, by how far it lies above the leading tone.
_GOALS = {0: (1, 0), 3: (-2, -1, 0, 1, 2), 6: (-1, -2), 9: (-1,)}


@lru_cache(maxsize=1024)
def steps(before: Shapes, after: Shapes, scale: SixthDiminished, way: int) -> Mask:
    """Return which shapes lie a scale step above (1) or below (-1) which, on every string.

    Examples
    --------
    >>> from harmonykit.arrange.weights import Weights
    >>> from harmonykit.fretboard.hands.hand import Limits
    >>> texts = ("2222",), ("3434", "1212")
    >>> rows = [tuple(Voicing.parse(text, "ukulele") for text in row) for row in texts]
    >>> low, high = (Shapes(row, Weights(), Limits()) for row in rows)
    >>> steps(low, high, SixthDiminished("D", "major"), 1).tolist()
    [[True, False]]
    """
    table = _table(scale, way)
    # Muted strings stay so; a pitch outside the scale goes nowhere.
    muted = before.pitches < 0
    moved = np.where(muted, -1, table[before.pitches])
    lost = (~muted & (moved < 0)).any(axis=1)
    same: Mask = (moved[:, None, :] == after.pitches[None, :, :]).all(axis=2)
    found: Mask = np.logical_and(same, ~np.asarray(lost)[:, None])
    return found


@lru_cache(maxsize=512)
def _table(scale: SixthDiminished, way: int) -> NDArray[np.int64]:
    """Return where a step of a scale leads from each pitch; -1 from what is outside."""
    table = np.full(_PITCHES + 1, -1, dtype=np.int64)
    for lowest in scale.pcs:
        octaves = np.arange(lowest, _PITCHES, 12)
        table[octaves] = octaves + scale.step(lowest, way) - lowest
    return table


@lru_cache(maxsize=1024)
def resolved(before: Shapes, after: Shapes, leading: int) -> Mask:
    """Return which shapes resolve to which: each voice on its string to where its note tends.

    Parameters
    ----------
    before, after : Shapes
    leading : int
        The pitch class of the leading tone.

    Examples
    --------
    >>> from harmonykit.arrange.weights import Weights
    >>> from harmonykit.fretboard.hands.hand import Limits
    >>> texts = ("1212",), ("0003", "0000")
    >>> rows = [tuple(Voicing.parse(text, "ukulele") for text in row) for row in texts]
    >>> low, high = (Shapes(row, Weights(), Limits()) for row in rows)
    >>> resolved(low, high, 11).tolist()
    [[True, False]]
    """
    sounds = (before.pitches >= 0)[:, None, :]
    same = sounds == (after.pitches >= 0)[None, :, :]
    gaps = after.pitches[None, :, :] - before.pitches[:, None, :]
    roles = ((before.pitches - leading) % 12)[:, None, :]
    lawful = np.zeros(gaps.shape, dtype=bool)
    for role, goals in _GOALS.items():
        lawful |= (roles == role) & np.isin(gaps, goals)
    moves = ((gaps != 0) & sounds).any(axis=2)
    found: Mask = ((lawful | ~sounds) & same).all(axis=2) & moves
    return found


def all_one_way(before: Shapes, after: Shapes, ways: Iterable[int]) -> Mask:
    """Return which shapes go to which by every string up (1) or down (-1), three frets at most.

    Examples
    --------
    >>> from harmonykit.arrange.weights import Weights
    >>> from harmonykit.fretboard.hands.hand import Limits
    >>> texts = ("2435",), ("3546", "3434")
    >>> rows = [tuple(Voicing.parse(text, "ukulele") for text in row) for row in texts]
    >>> low, high = (Shapes(row, Weights(), Limits()) for row in rows)
    >>> all_one_way(low, high, (1, -1)).tolist()
    [[True, False]]
    """
    sounds = (before.pitches >= 0)[:, None, :]
    same = (sounds == (after.pitches >= 0)[None, :, :]).all(axis=2)
    gaps = after.pitches[None, :, :] - before.pitches[:, None, :]
    found = np.zeros(same.shape, dtype=bool)
    for way in ways:
        near = (way * gaps > 0) & (way * gaps <= _THREE)
        found |= same & (near | ~sounds).all(axis=2)
    return found


def ending_of(before: Voicing, after: Voicing, scale: SixthDiminished, leading: int) -> str:
    """Return the ending by which a shape goes on to another, or nothing where it is none.

    Examples
    --------
    >>> shapes = [Voicing.parse(digits, "ukulele") for digits in ("1212", "0000", "0003", "2433")]
    >>> [ending_of(shapes[0], shape, SixthDiminished("C", "major"), 11) for shape in shapes[1:]]
    ['parallel from above', 'resolved', 'parallel from below']
    """
    if [a is None for a in before.frets] != [b is None for b in after.frets]:
        return ""
    pairs = list(zip(before.sounding, after.sounding, strict=True))
    for name, way in ((BELOW, 1), (ABOVE, -1)):
        if all(low % 12 in scale.pcs and scale.step(low, way) == high for low, high in pairs):
            return name
    moves = any(low != high for low, high in pairs)
    goes = all(high - low in _GOALS.get((low - leading) % 12, ()) for low, high in pairs)
    return RESOLVED if moves and goes else ""


_FOUR = 4
_MOVES = {1: ASCENDING, -1: DESCENDING}
_STRINGS = {
    BELOW: ", every string moving up",
    ABOVE: ", every string moving down",
    RESOLVED: ", which resolves: its leading tone rises, its seventh falls",
}


def told_walks(parts: Sequence[Part], steps: list[Step]) -> Iterator[Step]:
    """Yield the steps, those of a walk with its reason and named by the way it goes."""
    for first, last in walks(parts, steps):
        steps[first : last + 1] = _told(parts, steps, first, last)
    for index, step in enumerate(steps):
        scale = parts[index].scale
        if step.move and not step.reason and scale is not None:
            steps[index] = step.told(_stays(steps[index - 1] if index else None, step, scale))
    yield from steps


def _stays(before: Step | None, step: Step, scale: SixthDiminished) -> str:
    """Say why a chord of a walk is there that no step leads to: it holds it, or starts another."""
    if before is not None and before.move == step.move and before.chord == step.chord:
        return before.reason
    if step.chord is None or step.written is None or step.chord.pcs == step.written.pcs:
        return f"The walk in the {scale} scale stays where it is."
    added = [step.chord.spell(pc) for pc in step.chord.pcs if pc not in step.written.pcs]
    lost = [step.written.spell(pc) for pc in step.written.pcs if pc not in step.chord.pcs]
    says = [f"with {' and '.join(map(_name, added))}"] if added else []
    says += [f"without {' and '.join(map(_name, lost))}"] if lost else []
    changed = f"{step.chord.unicode} is {step.written.unicode} {' and '.join(says)}"
    return f"{changed}, the chord of the {scale} scale."


def _name(note: Note) -> str:
    return f"the note {note.plain().unicode}"


def walks(parts: Sequence[Part], steps: Sequence[Step]) -> Iterator[tuple[int, int]]:
    """Yield the first and the last step of each walk, from the chord that it leaves to its rest."""
    index = 0
    while index < len(steps):
        last = index
        while last + 1 < len(steps) and _is_own(parts, last) and way_between(parts, steps, last):
            last += 1
        if last > index:
            yield index, last
        index = max(last, index + 1)


def _is_own(parts: Sequence[Part], index: int) -> bool:
    """Whether a part and the next are of one walk, not of a chord that leads to another."""
    return parts[index].scale is not None


def way_between(parts: Sequence[Part], steps: Sequence[Step], index: int) -> int:
    """Return 1 or -1 where the next step goes a scale step up or down on every string, else 0."""
    scale = _scale_of(parts, index)
    before, after = steps[index].voicing, steps[index + 1].voicing
    if scale is None or before is None or after is None:
        return 0
    return _way_of(before, after, None if _has_another(parts, index, scale) else scale)


@lru_cache(maxsize=4096)
def _way_of(before: Voicing, after: Voicing, scale: SixthDiminished | None) -> int:
    """Return which way a shape goes to another in a scale, or in another that is not asked for."""
    muted = [[fret is None for fret in one.frets] for one in (before, after)]
    if muted[0] != muted[1]:
        return 0
    pairs = list(zip(before.sounding, after.sounding, strict=True))
    if scale is None:
        return 1 if sum(b - a for a, b in pairs) > 0 else -1
    if not before.pcs <= scale.pcs:
        return 0
    ways = (way for way in (1, -1) if all(scale.step(a, way) == b for a, b in pairs))
    return next(ways, 0)


def _has_another(parts: Sequence[Part], index: int, scale: SixthDiminished) -> bool:
    """Whether a part or the next is a chord for which the one inside it walks."""
    chords = [part.chord for part in parts[index : index + 2] if part.scale and not part.away]
    return any(chord is not None and chord.pcs != scale.chord.pcs for chord in chords)


def _scale_of(parts: Sequence[Part], index: int) -> SixthDiminished | None:
    """Return the scale on which two parts follow one another, if they do."""
    before, after = parts[index], parts[index + 1]
    if before.into is not None:
        return before.into
    same = before.scale is not None and before.scale == after.scale and before.delayed is None
    return before.scale if same and before.away != after.away else None


def _told(parts: Sequence[Part], steps: list[Step], first: int, last: int) -> Iterator[Step]:
    reason = walk_reason(parts, steps, first, last)
    for index in range(first, last + 1):
        step = steps[index]
        if step.move not in _MOVES.values():
            yield step
            continue
        way = way_between(parts, steps, index - 1 if index > first else index)
        yield replace(step, move=_MOVES[way], reason=reason)


def walk_reason(parts: Sequence[Part], steps: Sequence[Step], first: int, last: int) -> str:
    """Return what a walk does, in one sentence: where it goes, and how it enters what follows.

    Parameters
    ----------
    parts, steps : sequence
        Of the whole arrangement.
    first, last : int
        The first step of the walk and its last.
    """
    home, end = steps[first].written, steps[last]
    if home is None or end.voicing is None or end.chord is None:
        return ""
    ways = [way_between(parts, steps, index) for index in range(first, last)]
    turns = sum(a != b for a, b in pairwise(ways))
    up = "up" if ways[0] > 0 else "down"
    turned = ("", " and back,", " with changes of direction,")[min(turns, 2)]
    walked = f"Walks {up} the scale of {_scale_said(parts[first : last + 1], home, turned)}"
    if end.written != home and end.written is not None:
        return f"{walked} on into {end.chord.unicode} at {_fret_said(end.voicing.frets)}."
    leads = last + 2 < len(steps) and parts[last + 1].into is not None
    led, target = (steps[last + 1], steps[last + 2]) if leads else (None, end)
    if led is None or led.chord is None or target.voicing is None or target.chord is None:
        return f"{walked} to {_fret_said(end.voicing.frets)}."
    at = _fret_said(target.voicing.frets)
    enters = f"enters {target.chord.unicode} at {at} by its own {led.chord.unicode}"
    scale, leading = parts[last + 1].into, (target.chord.root.pitch_class - 1) % 12
    how = ending_of(led.voicing, target.voicing, scale, leading) if led.voicing and scale else ""
    return f"{walked} and {enters}{_STRINGS.get(how, '')}."


def _scale_said(parts: Sequence[Part], home: Chord, turned: str) -> str:
    """Name the chord that walks, the one as written or the one inside it, and how it turns."""
    walking = next((part.scale.chord for part in parts if part.scale is not None), home)
    if walking.pcs == home.pcs or len(home.pcs) < _FOUR:
        return f"{home.unicode}{turned}"
    inner = chord_inside(home)
    inner = inner if inner.pcs == walking.pcs else walking
    return f"{inner.unicode}, which stands in for {home.unicode} in the walk,{turned}"


def _fret_said(frets: Sequence[int | None]) -> str:
    lowest = min((fret for fret in frets if fret is not None), default=0)
    return f"fret {lowest}" if lowest else "the open strings"
