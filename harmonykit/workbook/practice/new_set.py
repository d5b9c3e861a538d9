"""A set of exercises that a teacher makes: its questions drawn by a seed, from a lesson or kinds.

Levels rise through the set, kinds take turns, and no question is asked twice where another is left.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.model import Front
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.paths import find_data
from harmonykit.workbook.practice.kinds import KINDS, ask
from harmonykit.workbook.practice.question import LEVELS, Chance, Spec
from harmonykit.workbook.practice.sets import MOST_QUESTIONS, ExerciseSet
from harmonykit.workbook.practice.theme import EVERYTHING, Theme, theme_of

_TRIES = 24
_LONGEST_SEED = 40


def make_set(
    about: Front | str | Path | Iterable[str],
    count: int = 12,
    seed: str = "quay",
    title: str = "",
    *,
    instrument: str | None = None,
) -> ExerciseSet:
    """Make a set of exercises about a lesson, or of some kinds.

    Parameters
    ----------
    about : Front, path, or iterable of str
        A lesson that was read, its path or bare name; or names of ``KINDS``.  A lesson's questions
        are about its chord, instrument, scale, tune and hands, easy ones first.
    count : int in 1..200
    seed : str
        Another seed makes another set.
    title : str, optional
        The lesson's own unless given.
    instrument : str, optional
        Another one than the lesson's own, for a mixed class.

    Returns
    -------
    ExerciseSet

    Raises
    ------
    HarmonyError
        If there is no such lesson or kind, or too many questions are asked for.

    Examples
    --------
    >>> found = hk.practice.make_set("four_dominants", 8)
    >>> found.title, len(found.specs), sorted({spec.kind for spec in found.specs})[:2]
    ('Four dominants, one diminished seventh', 8, ['distance', 'moved'])
    """
    if not 1 <= count <= MOST_QUESTIONS:
        raise HarmonyError(
            f"a set of {count} questions is out of range", rule=f"1 to {MOST_QUESTIONS}"
        )
    if len(seed) > _LONGEST_SEED or ";" in seed or not seed.isprintable():
        raise HarmonyError(
            f"{seed[:20]!r} is not a seed", rule=f"{_LONGEST_SEED} characters at most"
        )
    kinds, theme = _meant(about, instrument)
    name = title or theme.title or "Exercises"
    steps = min(LEVELS, len(theme.hands)) or LEVELS
    specs: list[Spec] = []
    texts: set[str] = set()
    for place in range(count):
        level = 1 + place * steps // count
        specs.append(_new(place + 1, level, seed, kinds, theme, texts))
    return ExerciseSet(name, theme, tuple(specs))


def _meant(
    about: Front | str | Path | Iterable[str], instrument: str | None
) -> tuple[tuple[str, ...], Theme]:
    if isinstance(about, str) and about in KINDS:
        about = [about]
    if isinstance(about, str | Path):
        about = read_lesson(find_data("lessons", about), instrument=instrument)[0]
    elif isinstance(about, Front) and instrument:
        raise HarmonyError("the lesson was read for its own instrument", mend="its path or name")
    if isinstance(about, Front):
        return tuple(KINDS), theme_of(about)
    kinds = tuple(about)
    wrong = [kind for kind in kinds if kind not in KINDS]
    if wrong or not kinds:
        raise HarmonyError(f"unknown exercise {wrong[0] if wrong else ''!r}", mend=", ".join(KINDS))
    return kinds, Theme(instrument=instrument) if instrument else EVERYTHING


def _new(
    number: int, level: int, seed: str, kinds: Sequence[str], theme: Theme, texts: set[str]
) -> Spec:
    """Return a question whose words were not asked yet; its kind is the next in turn."""
    found: Spec | None = None
    for trial in range(_TRIES):
        spec = _trial(number, level, seed, kinds, trial)
        try:
            question = ask(spec, theme)
        except HarmonyError:  # this instrument or lesson has nothing of the kind
            continue
        found = spec
        asked = f"{question.text} {question.seen.heading} {question.sounds}"
        if asked not in texts:
            texts.add(asked)
            return spec
    if found is None:
        raise HarmonyError("none of these kinds can be asked here", mend=", ".join(KINDS))
    return found


def _trial(number: int, level: int, seed: str, kinds: Sequence[str], trial: int) -> Spec:
    turn, place = divmod(number - 1, len(kinds))
    order = Chance(f"{seed}/set/{turn}").shuffled(kinds)
    # After some trials another kind has its turn.
    kind = order[(place + trial // 6) % len(kinds)]
    own = f"{seed}.{trial}" if trial else seed
    chance = Chance(f"{own}/{number}/{kind}/set")
    return Spec(own, number, kind, chance.pick(KINDS[kind].media), level)
