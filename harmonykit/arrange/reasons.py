"""Reasons that can be given only when the shapes are known: what each sounding note does."""

from __future__ import annotations

from collections.abc import Sequence

from harmonykit.arrange.arrangement import Step
from harmonykit.arrange.costs import voice_pairs
from harmonykit.theory.note import Note
from harmonykit.theory.scale import SixthDiminished, scales_for

CLIMB = "climb"


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


def climb_reason(steps: Sequence[Step], index: int) -> str:
    """Return the reason of a step of a climb: the notes that move, string by string."""
    step = steps[index]
    if step.voicing is None or step.chord is None or step.written is None:
        return step.reason
    scale = scales_for(step.written)[0]
    before = steps[index - 1] if index else None
    if before is None or before.voicing is None or not _one_step_up(scale, before, step):
        return _home_reason(step, scale)
    moves = ", ".join(
        f"{scale.spell(low % 12).plain().unicode} to {scale.spell(high % 12).plain().unicode}"
        for low, high in zip(before.voicing.sounding, step.voicing.sounding, strict=True)
    )
    return (
        f"{step.chord.unicode} is the next step of the {scale} scale: every string goes up "
        f"one scale note, {moves}."
    )


def _one_step_up(scale: SixthDiminished, before: Step, step: Step) -> bool:
    if before.voicing is None or step.voicing is None:
        return False
    low, high = before.voicing.sounding, step.voicing.sounding
    if len(low) != len(high) or not before.voicing.pcs <= scale.pcs:
        return False
    return all(scale.step(a) == b for a, b in zip(low, high, strict=True))


def _home_reason(step: Step, scale: SixthDiminished) -> str:
    """Say why a chord of the climb that no step leads to is there: it starts or holds the climb."""
    if step.chord is None or step.written is None or step.chord.pcs == step.written.pcs:
        return f"The climb on the {scale} scale stays where it is."
    added = [pc for pc in step.chord.pcs if pc not in step.written.pcs]
    names = " and ".join(_name(step.chord.spell(pc)) for pc in added)
    added_to = f"{step.chord.unicode} is {step.written.unicode} with {names}"
    return f"{added_to}, the chord of the {scale} scale."


def _name(note: Note) -> str:
    return f"the note {note.plain().unicode}"
