"""How values show themselves: as they are typed, or, where they are not typed, by what they say."""

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


class Told:
    """A value whose ``repr`` is what it says, in angle brackets: one short line in a list.

    Examples
    --------
    >>> from harmonykit.theory.diminished import resolutions
    >>> resolutions("Bdim7")[2].moves[:2]
    (<B rises to C>, <D falls to C>)
    """

    __slots__ = ()

    def __repr__(self) -> str:
        return f"<{self}>"
