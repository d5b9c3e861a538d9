"""Where someone who is asked begins, and goes on: what follows from the answers that were given."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from harmonykit.errors import HarmonyError
from harmonykit.practice.answered import Answered
from harmonykit.practice.day import NOTEBOOKS, daily
from harmonykit.practice.memory import confusions
from harmonykit.practice.progress import Progress, now
from harmonykit.practice.sitting import Sitting
from harmonykit.practice.theme import Theme
from harmonykit.workbook.base.control import Control
from harmonykit.workbook.base.keep import read_state
from harmonykit.workbook.practice import asking
from harmonykit.workbook.practice.asking import Asked
from harmonykit.workbook.practice.state import TODAY, ExerciseState

KIND = "exercise"
"""What a line of text that holds such a state begins with."""


def begun(progress: Progress, seed: str, only: str, theme: Theme) -> ExerciseState:
    """Return the state that follows from the answers given so far."""
    numbers = [each.number for each in progress.answers if each.seed == seed]
    standings = progress.standings()
    state = ExerciseState(
        seed=seed,
        number=max(numbers, default=0) + 1,
        only=only,
        instrument=theme.instrument,
        standings=tuple(sorted(f"{kind}:{each}" for kind, each in standings.items())),
    )
    return planned(state, progress, theme) if only == TODAY else state


def planned(state: ExerciseState, progress: Progress, theme: Theme) -> ExerciseState:
    """Return the state in which the ten of today are due."""
    today, answers = date.fromisoformat(now()[:10]), progress.answers
    items = daily(answers, today, () if theme.kinds else NOTEBOOKS, theme)
    sitting = Sitting.of(items, state.number)
    pairs = {each.item: (each.wanted, each.given) for each in reversed(confusions(answers))}
    due = [replace(each, pair=pairs.get(each.item, ())) for each in sitting.due]
    return replace(state, due=Sitting(tuple(due)).texts)


def resumed(
    kept: str,
    state: ExerciseState,
    progress: Progress,
    about: Callable[[ExerciseState], Theme],
) -> ExerciseState:
    """Return the state in which the user left, where it is known and of this seed."""
    try:
        found = read_state(KIND, ExerciseState(), kept) if kept else state
        asking.compute(replace(found, checked=False), about(found))
    except HarmonyError:
        return state
    if found.seed != state.seed or found.student != state.student:
        return state
    found = replace(found, standings=state.standings)
    given = any(is_of(each, found) for each in progress.answers)
    return replace(found, counted=given, checked=found.checked and given)


def is_of(each: Answered, state: ExerciseState) -> bool:
    """Whether an answer is one to the question of a state."""
    spec = state.spec
    return (each.seed, each.number, each.kind, each.medium) == (
        spec.seed,
        spec.number,
        spec.kind,
        spec.medium,
    )


def answered(asked: Asked) -> Answered:
    """Return the answer that was just checked, as it is kept."""
    state, verdict = asked.state, asked.verdict
    assert verdict is not None  # it was just checked
    return Answered(
        now(),
        state.seed,
        state.number,
        state.kind,
        state.medium,
        state.level,
        verdict.score,
        state.hints,
        state.answer,
        asked.question.item,
        asked.question.answer if asked.missed else "",
        ", ".join(verdict.instead),
    )


def answering(asked: Asked) -> tuple[Control, ...]:
    """Return the controls with which a question is answered; once it is checked, Enter goes on."""
    state = asked.state
    both = (Control("yours", "button", "Yours"), Control("right", "button", "The right one"))
    enter = "next" if state.checked else "check"
    return (
        Control("answer", "text", "your answer", state.answer, enter=enter),
        Control("check", "button", "Check"),
        Control("hint", "button", "Hint"),
        *(both if asked.missed else ()),
        Control("next", "button", "Next question"),
    )
