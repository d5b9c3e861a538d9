"""The arguments of a call, checked against what the call takes before it is made.

A call takes text, whole numbers, numbers, or true and false, as its signature says; ``true`` is
not a number.  What is wrong is said in the lesson's own terms, with the call as it is written, an
example of it, and the column of the argument.
"""

import inspect
import types
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, Union, get_args, get_origin

from harmonykit.errors import Place
from harmonykit.lesson.plan.model import LessonError
from harmonykit.values import dataclass

# What a type is called, one of it and several.
_WORDS = {
    str: "text in quotes",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
    list: "a list",
}

EXAMPLES = {
    "shape": 'shape("2213")',
    "scale_shape": "scale_shape()",
    "frets_aloud": 'frets_aloud("2213")',
    "notes": 'notes("Gm7")',
    "name": 'name("F#m7b5")',
    "count": 'count("strings", less=1)',
    "tune": "tune()",
    "key": "key()",
    "open_strings": "open_strings()",
    "diagram": 'diagram("2213", "F6")',
    "side_by_side": 'side_by_side("0232", "G", "0212", "G7")',
    "lowered_diagrams": "lowered_diagrams()",
    "clock": 'clock("Bb7", was="Bdim7")',
    "neck": "neck()",
    "cube": 'cube("Bdim7")',
    "staff": "staff(1, 5, 8)",
    "four_dominants": 'four_dominants("Bdim7")',
    "scale_shapes": "scale_shapes()",
    "dominants": "dominants()",
    "chart": "chart(1)",
    "changes": "changes(1)",
    "added_chords": "added_chords(1)",
    "comparison": "comparison()",
    "label": 'label("same_notes", "Bb6", "Gm7")',
    "paper": 'paper("no")',
    "proved": 'proved("same_notes", "Bb6", "Gm7")',
    "same_notes": 'same_notes("Bb6", "Gm7")',
    "set_class": 'set_class("Bb6", "4-26")',
    "resolves_to": 'resolves_to("Bdim7", "C")',
    "semitones_apart": 'semitones_apart("Bdim7", "Bb7", 1)',
    "common_notes": 'common_notes("Bb7", "E7", "D", "Ab")',
    "contains": 'contains("G9", "Bm7b5")',
    "turns_into": 'turns_into("C+", "Am")',
    "alternates": 'alternates("C6", "Bdim7")',
    "holds": 'holds("G7", "B", "F")',
    "how_many_notes": 'how_many_notes("C9", 5)',
    "lowest": 'lowest("C6 in third inversion", "A")',
    "inversion": 'inversion("Am7/C", "first")',
    "all_twelve": 'all_twelve("C6", "Bdim7", "F#6")',
    "every": 'every("dominant seventh", "contains", "diminished triad")',
    "some": 'some("added chords of level 1", "is", "dim7")',
    "none": 'none("shapes of level 1", "goes past fret", 9)',
    "most": 'most("changes of level 1", "keeps strings", 1)',
    "just": 'just(2, "dominant seventh", "holds", "B", "F")',
    "not_so": 'not_so("same_notes", "C/D", "C")',
    "because": 'because("same_notes", "Bb6", "Gm7")',
    "exactly": 'exactly("aug", 4)',
    "always": 'always("same_notes", "Bb6", "Gm7")',
    "sounds": 'sounds("0232", "G")',
    "repeats": "repeats(3)",
    "strings_move": 'strings_move("0232", "0212")',
    "bars_of": 'bars_of("Gm7")',
    "melody_over": 'melody_over("D7")',
    "chords_holding": 'chords_holding("7", "G", "Bb")',
    "added": "added(1)",
    "half_step_below": "half_step_below(1)",
    "prepared": "prepared(1)",
    "strings_stay": "strings_stay(1, 3)",
    "highest_fret": "highest_fret(1)",
    "shortest_chord": "shortest_chord(1)",
}
"""How each call is written, for those who wrote it otherwise."""


@dataclass(frozen=True, slots=True)
class Given:
    """One argument as it stands in a call.

    Parameters
    ----------
    value : str, int, float, bool or list
    key : str
        Empty for one that goes by its place.
    column : int
        Where it begins in the call's text, counted from 1.
    """

    value: Any
    key: str = ""
    column: int = 1


def check_arguments(name: str, function: Callable[..., Any], given: Sequence[Given]) -> None:
    """Check the arguments of a call.

    Raises
    ------
    LessonError
        For one too many, one missing, an unknown key, or a value of another kind.  Its place has
        the column of the argument within the call.

    Examples
    --------
    >>> def chart(level: int) -> str:
    ...     return "chart"
    >>> check_arguments("chart", chart, [Given("two")])
    Traceback (most recent call last):
        ...
    harmonykit.lesson.plan.model.LessonError: level of chart is 'two', not a whole number
      where: column 1
      rule: it is written chart(level)
      try: chart(1)
    """
    parameters = _parameters(function)
    told = _Told(name, parameters)
    by_place = [p for p in parameters if p.kind in (p.POSITIONAL_ONLY, p.POSITIONAL_OR_KEYWORD)]
    rest = next((p for p in parameters if p.kind is p.VAR_POSITIONAL), None)
    known = {p.name: p for p in parameters if p.kind in (p.POSITIONAL_OR_KEYWORD, p.KEYWORD_ONLY)}
    any_key = any(p.kind is p.VAR_KEYWORD for p in parameters)
    taken: set[str] = set()
    place = 0
    for one in given:
        if one.key:
            parameter = known.get(one.key)
            if parameter is None and not any_key:
                raise told.error(f"{name} has no argument {one.key!r}", one)
            if one.key in taken:
                raise told.error(f"{one.key} of {name} is given twice", one)
        elif place < len(by_place):
            parameter, place = by_place[place], place + 1
        elif rest is not None:
            parameter = rest
        else:
            raise told.error(f"{name} takes {_number(len(by_place))}, not {_count(given)}", one)
        if parameter is not None:
            taken.add(parameter.name)
            _check_type(told, parameter, one)
    for parameter in (*by_place, *known.values()):
        if parameter.default is parameter.empty and parameter.name not in taken:
            raise told.error(f"{name} needs {parameter.name}", Given(None))


def usage(name: str, function: Callable[..., Any]) -> str:
    """Return how a call is written, what may be left out in brackets.

    Examples
    --------
    >>> def staff(level: int, *bars: int) -> str: ...
    >>> usage("staff", staff)
    'staff(level, bars, ...)'
    """
    return f"{name}({', '.join(map(_shown, _parameters(function)))})"


@dataclass(frozen=True, slots=True)
class _Told:
    """Says what is wrong with a call's argument."""

    name: str
    parameters: tuple[inspect.Parameter, ...]

    def error(self, what: str, at: Given) -> LessonError:
        written = f"{self.name}({', '.join(map(_shown, self.parameters))})"
        return LessonError(
            what,
            place=Place(column=at.column),
            rule=f"it is written {written}",
            mend=EXAMPLES.get(self.name, ""),
        )


@lru_cache(maxsize=256)
def _parameters(function: Callable[..., Any]) -> tuple[inspect.Parameter, ...]:
    found = inspect.signature(function, eval_str=True).parameters.values()
    return tuple(parameter for parameter in found if parameter.name != "self")


def _shown(parameter: inspect.Parameter) -> str:
    if parameter.kind is parameter.VAR_POSITIONAL:
        return f"{parameter.name}, ..."
    if parameter.default in (parameter.empty, ""):
        return parameter.name if parameter.default is parameter.empty else f"[{parameter.name}]"
    return f"{parameter.name}={parameter.default!r}"


def _check_type(told: _Told, parameter: inspect.Parameter, given: Given) -> None:
    if isinstance(given.value, str) and not given.value.strip():
        raise told.error(f"{parameter.name} of {told.name} is empty", given)
    wanted = _types(parameter.annotation)
    if wanted and not any(_is(given.value, kind) for kind in wanted):
        words = " or ".join(_WORDS[kind] for kind in wanted)
        what = f"{parameter.name} of {told.name} is {_said(given.value)}, not {words}"
        raise told.error(what, given)


def _types(annotation: Any) -> tuple[type, ...]:
    """Return the literal types that an annotation names; none where it names anything else."""
    union = get_origin(annotation) in (Union, types.UnionType)
    found = get_args(annotation) if union else (annotation,)
    return found if all(kind in _WORDS for kind in found) else ()


def _is(value: Any, kind: type) -> bool:
    if isinstance(value, bool):
        return kind is bool
    return isinstance(value, (int, float) if kind is float else kind)


def _said(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:39]}…"


def _number(most: int) -> str:
    if most < 2:
        return "one argument" if most else "no arguments"
    return f"at most {most} arguments"


def _count(given: Sequence[Given]) -> str:
    return str(sum(not one.key for one in given))
