"""The kinds of exercise, each with what it is called, how it can be put, and who asks it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.practice.moved import ask_distance, ask_moved
from harmonykit.practice.of_ideas import ask_becomes, ask_hear
from harmonykit.practice.parents import ask_parents
from harmonykit.practice.question import LEVELS, Question, Spec
from harmonykit.practice.shapes import ask_shape
from harmonykit.practice.smoother import ask_smoother
from harmonykit.practice.spelling import ask_scale, ask_spelling
from harmonykit.practice.targets import ask_targets
from harmonykit.practice.theme import EVERYTHING, Theme


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of exercise.

    Parameters
    ----------
    name : str
    title : str
        What one does.
    media : tuple of str
        How it can be put.
    ask : callable
    """

    name: str
    title: str
    media: tuple[str, ...]
    ask: Callable[[Spec, Theme], Question]


_ALL = (
    Kind("parents", "name the four dominants", ("words", "clock", "neck", "ear"), ask_parents),
    Kind("targets", "find where it resolves", ("words", "clock", "ear"), ask_targets),
    Kind("spelling", "spell it", ("words", "neck"), ask_spelling),
    Kind("shape", "find the shape", ("neck", "words"), ask_shape),
    Kind("moved", "hear which note moved", ("ear",), ask_moved),
    Kind("distance", "give the distance", ("clock", "words"), ask_distance),
    Kind("smoother", "choose the smoother path", ("neck", "ear"), ask_smoother),
    Kind("scale", "complete the scale", ("clock", "words"), ask_scale),
)
_OF_IDEAS = (
    Kind("becomes", "say what it becomes", ("words", "clock"), ask_becomes),
    Kind("hear", "hear which chord follows", ("ear",), ask_hear),
)
USUAL = tuple(kind.name for kind in _ALL)
"""The kinds that take turns where no idea names others."""
KINDS = {kind.name: kind for kind in (*_ALL, *_OF_IDEAS)}
"""Every kind, by name."""


def ask(spec: Spec, theme: Theme = EVERYTHING) -> Question:
    """Return the question that a spec describes.

    Parameters
    ----------
    spec : Spec
        Seed, number, kind, medium and level.
    theme : Theme, optional
        What it is about; all chords on a ukulele where not given.

    Returns
    -------
    Question

    Raises
    ------
    HarmonyError
        If there is no such kind or level, or the kind is not put in this way.

    Examples
    --------
    >>> question = hk.practice.ask(hk.practice.Spec("harbour", 1, "scale"))
    >>> print(question.text)
    Complete G major sixth-diminished: G A B C D E♭ ? F♯. Write the note that is missing.
    >>> print(question.judge("F").said)
    Not yet. F is not in G major sixth-diminished; it has F♯. E is missing.
    """
    if not isinstance(spec, Spec):
        raise wrong_kind(spec, "what to ask, as a Spec", 'Spec("harbour", 1, "scale")')
    return _ask(spec, theme)


@lru_cache(maxsize=256)
def _ask(spec: Spec, theme: Theme) -> Question:
    if spec.kind not in KINDS:
        raise HarmonyError(f"unknown exercise {spec.kind!r}", mend=", ".join(KINDS))
    kind = KINDS[spec.kind]
    if spec.medium not in kind.media:
        raise HarmonyError(
            f"{kind.title!r} cannot be asked by {spec.medium!r}", mend=", ".join(kind.media)
        )
    if not 1 <= spec.level <= LEVELS:
        raise HarmonyError(f"unknown level {spec.level}", rule=f"levels are 1 to {LEVELS}")
    return kind.ask(spec, theme)
