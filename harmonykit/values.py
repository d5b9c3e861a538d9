"""Values: dataclasses whose methods are made when they are first used.

Five hundred classes of this package are dataclasses; a command loads half of them, and asks few of
these for all that they can do.  ``dataclass`` here does what the standard library's does, which
reads the fields: a class is defined in a tenth of the time, and its values are made faster.
"""

import dataclasses
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, Field, FrozenInstanceError, asdict, field, fields, replace
from functools import cache
from reprlib import recursive_repr
from types import FunctionType
from typing import TYPE_CHECKING, Any

__all__ = ["MISSING", "Field", "asdict", "dataclass", "field", "fields", "replace"]

_LIGHT = {"frozen", "slots", "repr", "eq"}


def _dataclass(kind: type | None = None, /, **settings: bool) -> Any:
    """Make a dataclass of a class; heirs of one, and rare settings, are left to the library."""
    if kind is None:
        return lambda kind: _dataclass(kind, **settings)
    if settings.keys() <= _LIGHT and _is_plain(kind):
        return _light(kind, {"repr": True, "eq": True, "frozen": False, "slots": False} | settings)
    return dataclasses.dataclass(**settings)(kind)


if TYPE_CHECKING:
    from dataclasses import dataclass
else:
    dataclass = _dataclass


def _is_plain(kind: type) -> bool:
    inherits = hasattr(kind, "__dataclass_fields__")
    return not (inherits or {"__slots__", "__setattr__", "__delattr__"} & vars(kind).keys())


def _light(kind: type, settings: Mapping[str, bool]) -> type:
    """Return a class as ``dataclasses.dataclass`` would, its methods still to be made."""
    documented = kind.__doc__
    # A class without a docstring would be given its signature, which takes long.
    kind.__doc__ = documented or kind.__name__
    dataclasses.dataclass(init=False, repr=False, eq=False)(kind)
    kind.__doc__ = documented
    if any("InitVar" in str(each.type) for each in _unset(kind)):
        raise TypeError(f"{kind.__name__} has an InitVar: take it from dataclasses itself")
    said = vars(kind)["__dataclass_params__"]
    said.init = True
    for name in ("repr", "eq", "frozen"):
        setattr(said, name, settings[name])
    gained = dict(_gained(vars(kind), settings))
    if settings["slots"]:
        kind = _slotted(kind, gained)
    else:
        for name, method in gained.items():
            setattr(kind, name, method)
    for method in filter(None, gained.values()):
        method.home = kind
    return kind


def _unset(kind: Any) -> "Iterator[Field[Any]]":
    """Give what is written like a field and is none."""
    every = kind.__dataclass_fields__
    if len(every) > len(fields(kind)):
        yield from set(every.values()).difference(fields(kind))


def _gained(own: Mapping[str, Any], has: Mapping[str, bool]) -> "Iterator[tuple[str, Any]]":
    """Give the methods that a class is to have and has not itself."""
    frozen, state = has["frozen"], has["frozen"] and has["slots"]
    wanted = (
        ("__init__", True, _init), ("__repr__", has["repr"], _repr), ("__eq__", has["eq"], _eq),
        ("__setattr__", frozen, _setattr), ("__delattr__", frozen, _delattr),
        ("__getstate__", state, _getstate), ("__setstate__", state, _setstate),
    )  # fmt: skip
    for name, is_wanted, make in wanted:
        if is_wanted and name not in own:
            yield name, _Later(name, make)
    # Python itself sets it to None where a class has an ``__eq__`` of its own.
    if has["eq"] and own.get("__hash__") is None and ("__hash__" not in own or "__eq__" in own):
        yield "__hash__", _Later("__hash__", _hash) if frozen else None


def _slotted(kind: type, gained: Mapping[str, Any]) -> type:
    """Return a class again, with slots for its fields."""
    names = [each.name for each in fields(kind)]
    left_out = {"__dict__", "__weakref__", *names}
    own = {name: value for name, value in vars(kind).items() if name not in left_out}
    made = type(kind)(kind.__name__, kind.__bases__, {**own, **gained, "__slots__": tuple(names)})
    made.__qualname__ = kind.__qualname__
    return made


class _Later:
    """A method that is made when it is first looked up, and stands in this one's place then."""

    __slots__ = ("home", "make", "name")

    home: type

    def __init__(self, name: str, make: Callable[[Any], Any]) -> None:
        self.name, self.make = name, make

    def __get__(self, instance: object, owner: type | None = None) -> Any:
        made = self.make(self.home)
        made.__name__ = self.name
        made.__qualname__ = f"{self.home.__qualname__}.{self.name}"
        if vars(self.home).get(self.name) is self:
            setattr(self.home, self.name, made)
        return made.__get__(instance, owner)


class _Factory:
    """What stands for a value that is made anew for each instance, as ``help`` shows it."""

    def __repr__(self) -> str:
        return "<factory>"


_FACTORY = _Factory()


@cache
def _written(parameters: str, body: str, known: str) -> Callable[..., FunctionType]:
    """Return what makes a method that is written so, of what it is to know."""
    scope: dict[str, Any] = {}
    exec(f"def made({known}):\n def method({parameters}):{body}\n return method", scope)  # noqa: S102
    return scope["made"]  # type: ignore[no-any-return]


def _method(kind: type, parameters: str, lines: list[str], known: Mapping[str, Any]) -> Any:
    """Return a method of a class, in whose code a field is ``f`` and its place: ``f0``, ``f1``.

    Many classes share it so, and what is compiled once is given each class's own names.
    """
    body = "".join(f"\n  {line}" for line in lines or ["pass"])
    made = _written(parameters, body, ", ".join(known))(*known.values())
    names = {f"f{n}": each.name for n, each in enumerate(fields(kind))}
    code = made.__code__.replace(
        co_varnames=tuple(names.get(name, name) for name in made.__code__.co_varnames),
        co_names=tuple(names.get(name, name) for name in made.__code__.co_names),
    )
    module = vars(sys.modules[kind.__module__])
    method = FunctionType(code, module, None, made.__defaults__, made.__closure__)
    if made.__kwdefaults__:
        method.__kwdefaults__ = {names[name]: v for name, v in made.__kwdefaults__.items()}
    return method


def _init(kind: Any) -> Any:
    """Make ``__init__``; a slot is set by itself, which is faster than by its name."""
    known: dict[str, Any] = {"factory": _FACTORY}
    lines, by_place, by_name = [], ["self"], ["*"]
    slots = "__slots__" in vars(kind)
    for n, each in enumerate(fields(kind)):
        value = _given(n, each, known, slots=slots)
        if value and slots:
            known[f"set{n}"] = getattr(kind, each.name).__set__
            lines.append(f"set{n}(self, {value})")
        elif value:
            known |= {"put": object.__setattr__, f"name{n}": each.name}
            lines.append(f"put(self, name{n}, {value})")
        if each.init:
            (by_name if each.kw_only else by_place).append(_parameter(n, each))
    if hasattr(kind, "__post_init__"):
        lines.append("self.__post_init__()")
    parameters = [*by_place, *(by_name if len(by_name) > 1 else ())]
    made = _method(kind, ", ".join(parameters), lines, known)
    typed = {each.name: each.type for each in fields(kind) if each.init}
    made.__annotations__ = typed | {"return": None}
    return made


def _given(n: int, each: "Field[Any]", known: dict[str, Any], *, slots: bool) -> str:
    """Return what a field is set to, as code; nothing where it is not."""
    if each.default_factory is not MISSING:
        known[f"new{n}"] = each.default_factory
        return f"new{n}()" + (f" if f{n} is factory else f{n}" if each.init else "")
    if each.default is not MISSING:
        known[f"default{n}"] = each.default
        return f"f{n}" if each.init else f"default{n}" if slots else ""
    return f"f{n}" if each.init else ""


def _parameter(n: int, each: "Field[Any]") -> str:
    if each.default is not MISSING:
        return f"f{n}=default{n}"
    return f"f{n}" if each.default_factory is MISSING else f"f{n}=factory"


def _repr(kind: Any) -> Any:
    names = [each.name for each in fields(kind) if each.repr]

    @recursive_repr()
    def method(self: Any) -> str:
        told = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
        return f"{type(self).__qualname__}({told})"

    return method


def _compared(kind: Any, of: str, *, hashed: bool = False) -> str:
    """Return a tuple of the fields that count, as code."""

    def counts(each: "Field[Any]") -> bool:
        return each.compare if each.hash is None or not hashed else each.hash

    used = [n for n, each in enumerate(fields(kind)) if counts(each)]
    return f"({''.join(f'{of}.f{n}, ' for n in used)})"


def _eq(kind: Any) -> Any:
    same = f"{_compared(kind, 'self')} == {_compared(kind, 'other')}"
    lines = [
        "if self is other: return True",
        f"return {same} if other.__class__ is self.__class__ else NotImplemented",
    ]
    return _method(kind, "self, other", lines, {})


def _hash(kind: Any) -> Any:
    return _method(kind, "self", [f"return hash({_compared(kind, 'self', hashed=True)})"], {})


def _setattr(kind: Any) -> Any:
    names = frozenset(each.name for each in fields(kind))

    def method(self: Any, name: str, value: object) -> None:
        if type(self) is kind or name in names:
            raise FrozenInstanceError(f"cannot assign to field {name!r}")
        super(kind, self).__setattr__(name, value)

    return method


def _delattr(kind: Any) -> Any:
    names = frozenset(each.name for each in fields(kind))

    def method(self: Any, name: str) -> None:
        if type(self) is kind or name in names:
            raise FrozenInstanceError(f"cannot delete field {name!r}")
        super(kind, self).__delattr__(name)

    return method


def _getstate(kind: Any) -> Any:
    names = [each.name for each in fields(kind)]

    def method(self: Any) -> list[Any]:
        return [getattr(self, name) for name in names]

    return method


def _setstate(kind: Any) -> Any:
    names = [each.name for each in fields(kind)]

    def method(self: Any, state: list[Any]) -> None:
        for name, value in zip(names, state, strict=False):
            object.__setattr__(self, name, value)

    return method
