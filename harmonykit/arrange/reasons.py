"""Reasons that can be given only when the shapes are known: what each string of a climb does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from harmonykit.arrange.arrangement import Step
from harmonykit.theory.note import Note
from harmonykit.theory.scale import SixthDiminished, scales_for

CLIMB = "climb"


def climb_reason(steps: Sequence[Step], index: int) -> Step:
    """Return a step of a climb with its reason: the notes that move, string by string."""
    step = steps[index]
    if step.move != CLIMB or step.voicing is None or step.chord is None or step.written is None:
        return step
    scale = scales_for(step.written)[0]
    before = steps[index - 1] if index else None
    if before is None or before.voicing is None or not _one_step_up(scale, before, step):
        return replace(step, reason=_home_reason(step, scale))
    moves = ", ".join(
        f"{scale.spell(low % 12).unicode} to {scale.spell(high % 12).unicode}"
        for low, high in zip(before.voicing.sounding, step.voicing.sounding, strict=True)
    )
    return replace(
        step,
        reason=f"{step.chord.unicode} is the next step of the {scale} scale: every string goes up "
        f"one scale note, {moves}.",
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
    return f"the note {note.unicode}"
