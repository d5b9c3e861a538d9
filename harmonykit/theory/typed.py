"""Values as they are typed: the ``repr`` of a value with settings names what was set."""

from dataclasses import MISSING, Field, fields
from typing import Any, ClassVar, Protocol


class Dataclass(Protocol):
    """An instance of a dataclass."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]


def as_typed(value: Dataclass) -> str:
    """Return the call that makes a dataclass, without the settings left at their defaults.

    Examples
    --------
    >>> from harmonykit.theory.symbols.dialect import Dialect
    >>> as_typed(Dialect(dim="triad"))
    "Dialect(dim='triad')"
    """
    given = (
        f"{part.name}={getattr(value, part.name)!r}"
        for part in fields(value)
        if part.init and part.repr and getattr(value, part.name) != _default(part)
    )
    return f"{type(value).__qualname__}({', '.join(given)})"


def _default(part: Field[Any]) -> object:
    if part.default_factory is not MISSING:
        return part.default_factory()
    return part.default
