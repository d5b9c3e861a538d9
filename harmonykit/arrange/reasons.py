"""Reasons that can be given only when the shapes are known: what each sounding note does."""

from __future__ import annotations

from collections.abc import Sequence

from harmonykit.arrange.arrangement import Step
from harmonykit.theory.leading.staircase import voice_pairs
from harmonykit.theory.note import Note
from harmonykit.theory.scale import SixthDiminished

_WAYS = {"climb": (1,), "descent": (-1,)}


def leading_reason(head: str, step: Step, after: Step) -> str:
    """Return a reason that ends with what each note does on its way to the next chord.

    It is what the chosen shapes do, not what a choir would: on four strings a leading note may
    well fall.  Voices are paired from the lowest up, as the search counts them; the root is first.
    """
    if step.chord is None or after.chord is None or step.voicing is None or after.voicing is None:
        return f"{head}."
    root = step.chord.root.pitch_class
    pairs = voice_pairs(step.sounds, after.sounds)
    pairs.sort(key=lambda pair: pair[0] % 12 != root)
    said = [
        _said(step.chord.spell(low % 12), after.chord.spell(high % 12), high - low)
        for low, high in pairs
    ]
    return f"{head}; in these shapes {', '.join(dict.fromkeys(said))}."


def _said(start: Note, end: Note, semitones: int) -> str:
    if semitones == 0:
        return f"{start.plain().unicode} stays"
    verb = "rises" if semitones > 0 else "falls"
    return f"{start.plain().unicode} {verb} to {end.plain().unicode}"


def climb_reason(steps: Sequence[Step], index: int, scale: SixthDiminished) -> str:
    """Return the reason of a step of a climb or a descent: the notes that move, by string."""
    step = steps[index]
    if step.voicing is None or step.chord is None or step.written is None:
        return step.reason
    before = steps[index - 1] if index else None
    way = 0 if before is None else _one_step(scale, before, step)
    if before is None or before.voicing is None or not way:
        return _home_reason(step, scale)
    moves = ", ".join(
        f"{scale.spell(low % 12).plain().unicode} to {scale.spell(high % 12).plain().unicode}"
        for low, high in zip(before.voicing.sounding, step.voicing.sounding, strict=True)
    )
    return (
        f"{step.chord.unicode} is the next step of the {scale} scale: every string goes "
        f"{'up' if way > 0 else 'down'} one scale note, {moves}."
    )


def _one_step(scale: SixthDiminished, before: Step, step: Step) -> int:
    """Return 1 or -1 where every string goes a scale step the move's way, up or down, else 0."""
    if before.voicing is None or step.voicing is None:
        return 0
    start, end = before.voicing.sounding, step.voicing.sounding
    if len(start) != len(end) or not before.voicing.pcs <= scale.pcs:
        return 0
    ways = [
        way
        for way in _WAYS.get(step.move, (1, -1))
        if all(scale.step(a, way) == b for a, b in zip(start, end, strict=True))
    ]
    return ways[0] if ways else 0


def _home_reason(step: Step, scale: SixthDiminished) -> str:
    """Say why a chord of the climb that no step leads to is there: it starts or holds the climb."""
    if step.chord is None or step.written is None or step.chord.pcs == step.written.pcs:
        return f"The {step.move or 'climb'} on the {scale} scale stays where it is."
    added = [step.chord.spell(pc) for pc in step.chord.pcs if pc not in step.written.pcs]
    lost = [step.written.spell(pc) for pc in step.written.pcs if pc not in step.chord.pcs]
    says = [f"with {' and '.join(map(_name, added))}"] if added else []
    says += [f"without {' and '.join(map(_name, lost))}"] if lost else []
    changed = f"{step.chord.unicode} is {step.written.unicode} {' and '.join(says)}"
    return f"{changed}, the chord of the {scale} scale."


def _name(note: Note) -> str:
    return f"the note {note.plain().unicode}"
