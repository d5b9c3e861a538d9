"""What may follow what: variants in time, and shapes where a move says how the strings go.

Masks are arrays (shapes before, shapes after).
"""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange import demanded, shapes, slots
from harmonykit.arrange.costs import Shapes, unlike
from harmonykit.arrange.moves import Part, Variant, Web, inside, ornaments, two_names, walk_beats
from harmonykit.arrange.part_prices import End, Layer, size_of
from harmonykit.arrange.walks import all_one_way, resolved, steps
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.bar import beat_length

_PLANED = 2
_SAME = {two_names.Synonym().name, demanded.CHOICE}


def may_follow(end: End, variant: Variant, slot: slots.Slot) -> bool:
    """Whether a variant may come after another: a target is kept, no diminished seventh doubled."""
    if end.needs_next and not variant.keeps_first:
        return False
    if variant.rested and not rests(end):
        return False
    return may_come(end.layer.part, variant.parts[0], slot, needs_next=end.needs_next)


def may_come(last: Part, first: Part, slot: slots.Slot, *, needs_next: bool) -> bool:
    """Whether a part may come after one of the slot before."""
    if needs_next and first.chord != slot.chord:
        home = last.into is not None and first.scale == last.into and not first.away
        if not home:
            return False
    if last.into is not None and last.scale is not None:
        # A walk that goes on into the next chord does so on its scale.
        return first.chord is not None and first.chord.pcs == last.into.chord.pcs
    if last.chord is None or first.chord is None or not (last.move or first.move):
        return True
    return not (last.chord.is_diminished_seventh and first.chord.is_diminished_seventh)


def must_sound(first: Part, then: Part) -> bool:
    """Whether a move is between two parts, so that something must be heard to change.

    A chord synonym is another name for what goes on, and what a player chose stays.

    Examples
    --------
    >>> from harmonykit.theory.chord import Chord
    >>> from harmonykit.values import replace
    >>> g7, b = (Part(Chord.parse(name), 0, 2, 0) for name in ("G7b9", "Bdim7"))
    >>> must_sound(g7, b), must_sound(g7, replace(b, move="rootless dominant"))
    (False, True)
    """
    moves = {first.move, then.move}
    return first.chord != then.chord and moves != {""} and not moves & _SAME


def slid(before: Shapes, after: Shapes, frets: int) -> NDArray[np.bool_]:
    """Return which shapes lie so many frets from which on every string, none of them open."""
    muted = before.frets < 0
    moved = np.where(muted, -1, before.frets + frets)
    open_strings = (before.frets == 0).any(axis=1) | (moved == 0).any(axis=1)
    found: NDArray[np.bool_] = (moved[:, None, :] == after.frets[None, :, :]).all(axis=2)
    allowed: NDArray[np.bool_] = np.logical_and(found, ~open_strings[:, None])
    return allowed


def prepared(layer: Layer) -> int | None:
    """Return the pitch class that a layer's shapes hold over from those before, if they must."""
    part = layer.part
    if part.move != ornaments.SUSPENSION or part.delayed is None or part.scale is None:
        return None
    return part.scale.step(part.delayed) % 12


def one_voice(parent: Layer, layer: Layer) -> NDArray[np.bool_]:
    """Return between which shapes one string goes a fret; where the chord goes on, none does."""
    before, after = parent.shapes, layer.shapes
    if before is None or after is None:
        return np.zeros((size_of(before), size_of(after)), dtype=bool)
    frets = np.abs(before.frets[:, None, :] - after.frets[None, :, :]).sum(axis=2)
    same_strings = unlike(before.frets < 0, after.frets < 0) == 0
    same = parent.part.chord == layer.part.chord
    found: NDArray[np.bool_] = same_strings & (frets == (0 if same else 1))
    return found


def planed(before: Shapes, after: Shapes) -> NDArray[np.bool_]:
    """Return which shapes are others as they stand, or carried a fret or two along every string."""
    moved = after.frets[None, :, :] - before.frets[:, None, :]
    sounds = (before.frets >= 0)[:, None, :]
    least = np.min(moved, axis=2, where=sounds, initial=_PLANED + 1)
    most = np.max(moved, axis=2, where=sounds, initial=-_PLANED - 1)
    same_strings = unlike(before.frets < 0, after.frets < 0) == 0
    found: NDArray[np.bool_] = same_strings & (least == most) & (np.abs(most) <= _PLANED)
    return found


def holds(before: Shapes, after: Shapes, held: int) -> NDArray[np.bool_]:
    """Return between which shapes a pitch of a pitch class is held."""
    same = before.pitches[:, None, :, None] == after.pitches[None, :, None, :]
    sounds = (after.pitches >= 0) & (after.pitches % 12 == held)
    found: NDArray[np.bool_] = (same & sounds[None, :, None, :]).any(axis=(2, 3))
    return found


def link(before: Part, after: Part) -> tuple[SixthDiminished, tuple[int, ...]] | None:
    """Return the scale by whose steps, and which way, a part follows another; None for freely.

    What leads into the next chord does so by that chord's scale; whether by a step or by another
    ending is told by the part before.
    """
    if before.into is not None:
        return before.into, before.ways or (1, -1)
    scale = after.scale
    if scale is not None and after.delayed is None and before.scale == scale:
        return (scale, after.ways) if before.away != after.away else None
    return None


def stepped(
    before: tuple[Part, Shapes],
    after: tuple[Part, Shapes],
    scale: SixthDiminished,
    ways: Iterable[int],
) -> NDArray[np.bool_]:
    """Return which shapes follow which in a walk: by a step on every string.

    Where a major seventh is held before it, or comes on arrival, that seventh is the leading tone
    of the diminished seventh, and stays.  From another tension each string goes one way, to the
    next note of the diminished seventh.
    """
    (first, low), (then, high) = before, after
    chord = first.chord if then.away else then.chord
    if chord is not None and chord.pcs != scale.chord.pcs and first.scale == then.scale:
        leading = scale.diminished.root.pitch_class
        if not inside.has_major_seventh(chord):
            return all_one_way(low, high, ways)
        return resolved(high, low, leading).T if then.away else resolved(low, high, leading)
    found = np.zeros((len(low), len(high)), dtype=bool)
    for way in ways:
        found |= steps(low, high, scale, way)
    return found


def rests(end: End) -> bool:
    """Whether what sounds last is held for two beats, or nothing sounds."""
    part, slot = end.layer.part, end.layer.slot
    piece = slot.piece_in(part.bar)
    return part.chord is None or part.beats >= walk_beats.HELD * beat_length(piece.meter)


def is_cadence(layer: Layer) -> bool:
    """Whether a layer's chord comes to rest: nothing comes after it, or a section ends with it."""
    return layer.slot.final or layer.slot.at_edge or layer.slot.ends_sound


def can_walk(web: Web, rows: list[shapes.Row]) -> bool:
    """Whether some shapes go through a web from end to end by steps of its scale."""
    reached: list[NDArray[np.bool_]] = []
    for place, (part, row) in enumerate(zip(web.parts, rows, strict=True)):
        if row is None or not web.before[place]:
            reached.append(np.ones(size_of(row), dtype=bool))
            continue
        found = np.zeros(len(row), dtype=bool)
        for before in web.before[place]:
            told, low = link(web.parts[before], part), rows[before]
            if told is None or low is None:
                found |= reached[before].any()
                continue
            allowed = stepped((web.parts[before], low), (part, row), *told)
            found |= allowed[reached[before]].any(axis=0)
        reached.append(found)
    return any(reached[place].any() for place in web.exits)
