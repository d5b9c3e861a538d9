"""The kinds of exercise, each with what it is called, how it can be put, and who asks it."""

from collections.abc import Callable
from functools import lru_cache

from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.practice import listening, parents, shapes
from harmonykit.practice.moved import ask_distance, ask_moved
from harmonykit.practice.of_ideas import ask_becomes, ask_hear, result_names
from harmonykit.practice.question import LEVELS, Question, Spec
from harmonykit.practice.smoother import ask_smoother
from harmonykit.practice.spelling import ask_scale, ask_spelling, scale_names, spelled_names
from harmonykit.practice.targets import ask_targets
from harmonykit.practice.theme import EVERYTHING, Theme, change_name
from harmonykit.values import dataclass


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
    pool : callable
        From a theme and a level to what it can ask about.
    taught : str
        The notebook that teaches it, by its number.
    """

    name: str
    title: str
    media: tuple[str, ...]
    ask: Callable[[Spec, Theme], Question]
    pool: Callable[[Theme, int], tuple[str, ...]]
    taught: str


def _diminished(theme: Theme, level: int) -> tuple[str, ...]:
    return tuple(chord.symbol for chord in theme.diminished_sevenths(level))


def _changes(theme: Theme, level: int) -> tuple[str, ...]:
    return tuple(change_name(change) for change in theme.changes(level))


def _held(theme: Theme, level: int) -> tuple[str, ...]:
    return tuple(dict.fromkeys(c.over(None).symbol for c in theme.any_chords(level)))


def _moving(theme: Theme, level: int) -> tuple[str, ...]:
    pool = theme.diminished_sevenths(1) if level == 1 else theme.four_notes(level)
    return tuple(dict.fromkeys(chord.over(None).symbol for chord in pool))


def _of_drones(_theme: Theme, _level: int) -> tuple[str, ...]:
    return listening.DRONES


def _of_kinds(_theme: Theme, level: int) -> tuple[str, ...]:
    return tuple(map(listening.kind_name, listening.qualities(level)))


def _of_keys(_theme: Theme, level: int) -> tuple[str, ...]:
    return tuple(map(listening.numeral_of, listening.places(level)))


_EVERY, _NO_NECK = ("words", "clock", "neck", "ear"), ("words", "clock", "ear")
_ALL = (
    Kind("parents", "name the four dominants", _EVERY, parents.ask_parents, _diminished, "02"),
    Kind("targets", "find where it resolves", _NO_NECK, ask_targets, _diminished, "02"),
    Kind("spelling", "spell it", ("words", "neck"), ask_spelling, spelled_names, "01"),
    Kind("shape", "find the shape", ("neck", "words"), shapes.ask_shape, _held, "00"),
    Kind("moved", "hear which note moved", ("ear",), ask_moved, _moving, "01"),
    Kind("distance", "give the distance", ("clock", "words"), ask_distance, _changes, "04"),
    Kind("smoother", "choose the smoother path", ("neck", "ear"), ask_smoother, _changes, "04"),
    Kind("scale", "complete the scale", ("clock", "words"), ask_scale, scale_names, "03"),
    Kind(
        "quality",
        "hear which kind of chord it is",
        ("ear",),
        listening.ask_quality,
        _of_kinds,
        "00",
    ),
    Kind(
        "drone", "tell diminished sevenths apart", ("ear",), listening.ask_drone, _of_drones, "01"
    ),
    Kind(
        "function", "hear what it does in its key", ("ear",), listening.ask_function, _of_keys, "00"
    ),
)
_OF_IDEAS = (
    Kind("becomes", "say what it becomes", ("words", "clock"), ask_becomes, result_names, "10"),
    Kind("hear", "hear which chord follows", ("ear",), ask_hear, result_names, "10"),
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
