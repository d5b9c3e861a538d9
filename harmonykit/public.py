"""Public names: what a package offers, written once, and loaded when it is first used.

A package says where each of its names comes from in the imports that only type checkers run; its
``__all__`` says which names there are, and ruff that neither lacks one of the other.
"""

import ast
import collections.abc
import dataclasses
import difflib
import functools
import inspect
import pkgutil
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from importlib import import_module
from types import FunctionType, MappingProxyType, UnionType
from typing import Any, Union, get_args, get_origin

from harmonykit.errors import HarmonyError, WrongKind, wrong_kind

_TOP = __name__.partition(".")[0]
_SHORT = "hk"
_NONE: Mapping[str, str] = MappingProxyType({})


def offered(
    package: str, renamed: Mapping[str, str] = _NONE
) -> tuple[Callable[[str], object], Callable[[], list[str]]]:
    """Return ``__getattr__`` and ``__dir__`` of a package that loads its names when they are used.

    Parameters
    ----------
    package : str
        Its ``__name__``.  The imports that its ``__init__.py`` makes under ``TYPE_CHECKING`` are
        read when the first name is asked for.
    renamed : mapping of str to str
        Names that are gone, each with what is said instead of it.
    """
    module = sys.modules[package]

    def get(name: str) -> object:
        if name not in module.__all__:
            raise UnknownName(module.__name__, name, module.__all__, renamed)
        home, inner = homes(package)[name]
        found = import_module(home)
        value: object = getattr(found, inner) if inner else found
        _show_short_types(value)
        if isinstance(value, FunctionType):
            value = careful(value, f"{package}.{name}")
            # Also at its home, so that another process finds the same function by its name.
            setattr(found, inner, value)
        elif isinstance(value, type) and dataclasses.is_dataclass(value):
            value.__init__ = careful(value.__init__, f"{package}.{name}", value)  # type: ignore[method-assign]
        setattr(module, name, value)
        return value

    return get, lambda: sorted(module.__all__)


def _show_short_types(value: object) -> None:
    """Have ``help`` show ``Chord | str`` and not ``harmonykit.theory.chord.Chord | str``."""
    mro = value.__mro__ if isinstance(value, type) else ()
    ours = [kind for kind in mro if kind.__module__.partition(".")[0] == _TOP]
    for kind in ours:
        # A value's methods are made when they are first looked up.
        getattr(kind, "__init__")  # noqa: B009
    parts = [getattr(part, "__func__", part) for kind in ours for part in vars(kind).values()]
    shown: list[Any] = [part for part in (value, *parts) if isinstance(part, FunctionType)]
    for each in (*ours, *shown):
        typed = inspect.get_annotations(each)
        each.__annotations__ = {name: _short(kind) for name, kind in typed.items()}


def _short(kind: object) -> str:
    return kind if isinstance(kind, str) else _HOME.sub("", inspect.formatannotation(kind))


_HOME = re.compile(r"(\w+\.)+(?=\w)")


class UnknownName(AttributeError):
    """A name that a package does not offer, with names near it.

    They are looked for when the error is shown: an import of a module raises it unseen.
    """

    def __init__(self, package: str, name: str, *known: Any) -> None:
        super().__init__(package, name, *known)
        self.name = name

    def __str__(self) -> str:
        return _unknown(*self.args)


@cache
def homes(package: str) -> dict[str, tuple[str, str]]:
    """Return the module behind each name that a package offers, and what it is called there."""
    source = pkgutil.get_data(package, "__init__.py") or b""
    return dict(_homes(ast.parse(source)))


def _homes(tree: ast.Module) -> Iterator[tuple[str, tuple[str, str]]]:
    """Give each name imported for type checkers, its module, and what it is called there."""
    for block in tree.body:
        if isinstance(block, ast.If) and ast.unparse(block.test) == "TYPE_CHECKING":
            for node in block.body:
                if isinstance(node, ast.ImportFrom) and node.module:
                    for alias in node.names:
                        yield alias.asname or alias.name, (node.module, alias.name)
                elif isinstance(node, ast.Import):
                    for alias in node.names:
                        yield alias.asname or alias.name, (alias.name, "")


def _unknown(package: str, name: str, names: list[str], renamed: Mapping[str, str]) -> str:
    said = f"module {package!r} has no attribute {name!r}"
    if name in renamed:
        return f"{said}: it is now called {renamed[name]}"
    stem = name.lower().removesuffix("s")
    within = [each for each in names if len(stem) > _LEAST_STEM and stem in each.lower()]
    near = dict.fromkeys([*within, *difflib.get_close_matches(name, names, n=3)])
    if found := [*_elsewhere(name), *_methods(name), *near]:
        return f"{said}; similar: {', '.join(found[:_MOST_NEAR])}"
    return said


_MOST_NEAR, _LEAST_STEM = 4, 3


def _elsewhere(name: str) -> Iterator[str]:
    """Give the public name of another package that is called so: ``hk.draw.clock``."""
    top = homes(_TOP)
    if name in top:
        yield f"{_SHORT}.{name}"
    for floor, (module, inner) in top.items():
        if not inner and name in homes(module):
            yield f"{_SHORT}.{floor}.{name}"


def _methods(name: str) -> Iterator[str]:
    """Give the methods of this name that public classes have: ``Chord.transpose``."""
    top = sys.modules[_TOP]
    for each in homes(_TOP):
        kind = getattr(top, each)
        if name[0] != "_" and isinstance(kind, type) and callable(getattr(kind, name, None)):
            yield f"{each}.{name}"


def careful(
    function: Callable[..., Any], name: str, kind: type | None = None
) -> Callable[..., Any]:
    """Return a function whose call with wrong parameters is told with what to type.

    Parameters
    ----------
    function : callable
        A function, or what makes the values of a class.
    name : str
        As it is imported: ``harmonykit.find_voicings``.
    kind : type, optional
        The class.
    """
    if hasattr(function, _CAREFUL):
        return function

    @functools.wraps(function)
    def call(*given: Any, **named: Any) -> Any:
        try:
            return function(*given, **named)
        except HarmonyError:
            raise
        except (TypeError, AttributeError, ValueError) as error:
            wrong = misfit(given, named) if isinstance(error, TypeError) else None
            if wrong is None:
                wrong = _wrong_value(function, given, named)
            if wrong is None:
                raise
            raise wrong from None

    def misfit(given: tuple[Any, ...], named: Mapping[str, Any]) -> WrongKind | None:
        """Return what is wrong with the parameters of a call; nothing where all fit."""
        signature = inspect.signature(function)
        try:
            signature.bind(*given, **named)
        except TypeError as error:
            said = name.replace(_TOP, _SHORT, 1)
            parameters = [*signature.parameters.values()][1 if kind else 0 :]
            what = _WRONG.sub(lambda found: f"{_SAID[found[1]]}{found[2]}", f"{said} {error}")
            if unknown := [each for each in named if each not in signature.parameters]:
                what = f"{said} has no parameter {unknown[0]!r}"
            rule = f"{said}({', '.join(_as_called(parameters))})"
            mend = _read(kind, said, given[1:], named) if kind else _mend(parameters, named)
            return WrongKind(what, rule=rule, mend=mend)
        return None

    setattr(call, _CAREFUL, True)
    return call


def _wrong_value(
    function: Callable[..., Any], given: tuple[Any, ...], named: Mapping[str, Any]
) -> WrongKind | None:
    """Return that a value is of another kind than its parameter has, if one is."""
    signature = inspect.signature(function)
    for name, value in signature.bind(*given, **named).arguments.items():
        typed = signature.parameters[name].annotation
        said = getattr(typed, "__name__", str(typed))
        kind = _kind(said, inspect.unwrap(function)) if isinstance(typed, str) else typed
        outside = re.fullmatch(r"\w+\.(\w+)", said) if kind is Any else None
        if not (_is_called(value, outside[1]) if outside else _fits(value, kind)):
            return wrong_kind(value, f"{name} is {said}", _example(function))
    return None


def _example(function: Callable[..., Any]) -> str:
    """Return how the examples of a function's docstring come to its call."""
    lines = re.findall(r"^ *(?:>>>|\.\.\.) (.*)", function.__doc__ or "", re.MULTILINE)
    name = function.__name__.removeprefix("draw_")
    call = next((n for n, line in enumerate(lines) if f".{name}(" in line), -1)
    return "; ".join(lines[max(call - 1, 0) : call + 1])


def _kind(said: str, function: Callable[..., Any]) -> Any:
    """Return the type that an annotation names; ``Any`` where it cannot be told."""
    known = {word: _value_of(word) for word in re.findall(r"\w+", said) if _path_of(word)}
    try:
        return eval(said, {**vars(collections.abc), **known, **function.__globals__})  # noqa: S307
    except (NameError, TypeError, SyntaxError, AttributeError):
        return Any


def _is_called(value: object, name: str) -> bool:
    """Whether a value's type, of a library that is not loaded here, has a name: ``DataFrame``."""
    return any(each.__name__ == name for each in type(value).__mro__)


def _fits(value: object, kind: Any) -> bool:
    """Whether a value is of a type, as far as that can be told."""
    # A name for a type, as numpy has them from Python 3.12 on, stands for what it names.
    kind = getattr(get_origin(kind) or kind, "__value__", kind)
    if kind is Any:
        return True
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        return any(_fits(value, each) for each in inner)
    if origin is not None:
        if not isinstance(origin, type):
            return True
        several = not isinstance(value, str) or str in inner
        parts = value if isinstance(value, (list, tuple)) and len(inner) == 1 else ()
        return isinstance(value, origin) and several and all(_fits(p, inner[0]) for p in parts)
    if kind is None or kind is type(None):
        return value is None
    if kind is float:
        return isinstance(value, (int, float))
    if not isinstance(kind, type) or getattr(kind, "_is_protocol", False):
        return True
    return isinstance(value, kind)


_WRONG = re.compile(r"(got an unexpected|missing a required|too many)[a-z -]* arguments?:?(.*)")
_SAID = {
    "got an unexpected": "has no parameter",
    "missing a required": "needs",
    "too many": "takes fewer positional arguments",
}
_CAREFUL = "__careful__"


def _as_called(parameters: list[inspect.Parameter]) -> Iterator[str]:
    """Give parameters as they are typed: those that may be left out with ``=``."""
    for each in parameters:
        yield each.name if each.default is each.empty else f"{each.name}=..."


def _read(kind: type, said: str, given: tuple[Any, ...], named: Mapping[str, Any]) -> str:
    """Return the call that reads what a class was given as text."""
    ways = [way for way in ("named", "parse") if hasattr(kind, way)]
    for way in ways:
        try:
            getattr(kind, way)(*given, **named)
        except (HarmonyError, TypeError):
            continue
        return f"{said}.{way}({', '.join(map(repr, given))})"
    return f"{said}.{ways[-1]}(...)" if ways else ""


def _mend(parameters: list[inspect.Parameter], named: Mapping[str, Any]) -> str:
    """Return how unknown parameters are handed in: within a setting that has them, or by name."""
    known = {each.name: each for each in parameters}
    for name in named.keys() - known.keys():
        for each in parameters:
            for word in re.findall(r"\w+", str(each.annotation)) if each.default is None else ():
                if name in _fields_of(word):
                    return f"{each.name}={_path_of(word)}({name}={named[name]!r})"
        return ", ".join(difflib.get_close_matches(name, known, n=3))
    return ""


def _fields_of(word: str) -> set[str]:
    """Return the fields of the public class of this name; none where it is not one."""
    value = _value_of(word) if _path_of(word) else None
    if not (isinstance(value, type) and dataclasses.is_dataclass(value)):
        return set()
    return {each.name for each in dataclasses.fields(value)}


def _value_of(word: str) -> Any:
    value: Any = sys.modules[_TOP]
    for part in _path_of(word).split(".")[1:]:
        value = getattr(value, part)
    return value


@cache
def _path_of(word: str) -> str:
    """Return the public name of a class as it is typed: ``hk.fretboard.Wanted``."""
    top = homes(_TOP)
    if word in top:
        return f"{_SHORT}.{word}"
    for floor, (module, inner) in top.items():
        if not inner and word in homes(module):
            return f"{_SHORT}.{floor}.{word}"
    return ""
