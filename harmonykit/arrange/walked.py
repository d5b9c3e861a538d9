"""What is said of a walk: one sentence for all of it, from the shapes that were chosen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from harmonykit.arrange.arrangement import Step
from harmonykit.arrange.endings import ABOVE, BELOW, RESOLVED, ending_of
from harmonykit.arrange.moves import Part
from harmonykit.arrange.moves.inside import chord_inside
from harmonykit.arrange.moves.walk import ASCENDING, DESCENDING
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.theory.scale import SixthDiminished

_FOUR = 4
_MOVES = {1: ASCENDING, -1: DESCENDING}
_STRINGS = {
    BELOW: ", every string up",
    ABOVE: ", every string down",
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
    muted = [[fret is None for fret in one.frets] for one in (before, after)]
    if muted[0] != muted[1]:
        return 0
    pairs = list(zip(before.sounding, after.sounding, strict=True))
    if _has_another(parts, index, scale):
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
    how = ("up" if ways[0] > 0 else "down") + ("", " and back", " and turns")[min(turns, 2)]
    walked = f"Walks {how} the scale of {_scale_said(parts[first : last + 1], home)}"
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


def _scale_said(parts: Sequence[Part], home: Chord) -> str:
    """Name the chord that walks: the one as written, or the one inside it."""
    walking = next((part.scale.chord for part in parts if part.scale is not None), home)
    if walking.pcs == home.pcs or len(home.pcs) < _FOUR:
        return home.unicode
    inner = chord_inside(home)
    inner = inner if inner.pcs == walking.pcs else walking
    return f"{inner.unicode}, which walks for {home.unicode},"


def _fret_said(frets: Sequence[int | None]) -> str:
    lowest = min((fret for fret in frets if fret is not None), default=0)
    return f"fret {lowest}" if lowest else "the open strings"
