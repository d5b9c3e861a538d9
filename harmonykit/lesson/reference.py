"""What may stand in a lesson file, told from the code that reads it."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from typing import Any

from harmonykit.lesson import facts, source
from harmonykit.lesson.functions import Functions
from harmonykit.lesson.laws import COUNTS, LAWS


def reference() -> Iterator[str]:
    """Yield the lines of a page on the front matter, the calls and the statements."""
    yield from inspect.cleandoc(source.__doc__ or "").splitlines()
    yield from ("", "Calls that put something in:", "")
    for name in Functions.PUT_IN:
        yield from _entry(name, getattr(Functions, name))
    yield from ("", "Statements, which are proved or stop the build:", "")
    for name, prove in _STATEMENTS.items():
        yield from _entry(name, prove)
    yield from ("", f'exactly counts {_listed(COUNTS)}, or a quality such as "aug".')
    yield f"always knows the laws {_listed(LAWS)},"
    yield f"and proves from every root what {_listed(facts.ABOUT_CHORDS)} say of chords."


_STATEMENTS: dict[str, Callable[..., Any]] = {
    **facts.ABOUT_CHORDS,
    "exactly": facts.exactly,
    "always": facts.always,
    "sounds": Functions._sounds,
    "repeats": Functions._repeats,
}


def _entry(name: str, function: Callable[..., Any]) -> Iterator[str]:
    """Yield how a call is written and the first line of what is said of it."""
    parameters = inspect.signature(function).parameters.values()
    said = [_parameter(each) for each in parameters if each.name != "self"]
    first = inspect.cleandoc(function.__doc__ or "").splitlines()[0]
    yield f"  {{{{ {name}({', '.join(said)}) }}}}"
    yield f"      {first}"


def _parameter(parameter: inspect.Parameter) -> str:
    if parameter.kind is parameter.VAR_POSITIONAL:
        return f"{parameter.name}, ..."
    if parameter.default in (parameter.empty, ""):
        return parameter.name if parameter.default is parameter.empty else f"[{parameter.name}]"
    return f"{parameter.name}={parameter.default!r}"


def _listed(names: dict[str, Any]) -> str:
    return ", ".join(map(repr, names))
