"""Arrangements by numbers for a terminal: a line a measure, the tune as written in each block."""

import math
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from itertools import chain

from harmonykit.about.text import WIDTH
from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.measures import GROUPS, Measures, measure
from harmonykit.arrange.playability import SAID_OF_PARTS, playability

_COLUMNS, _WIDE = 6, 6
_EASIER_OR_HARDER = "harder"


@dataclass(frozen=True, slots=True)
class Line:
    """A measure of some arrangements: its name and unit, the values as printed, what more is."""

    name: str
    values: tuple[str, ...]
    more: str

    @property
    def differs(self) -> bool:
        """Whether arrangements differ in it."""
        return len(set(self.values)) > 1


def number_lines(ways: Sequence[Arrangement]) -> Iterator[str]:
    """Yield the numbers of arrangements, the first of which stands in every block.

    What is the same in all is told in a sentence.
    """
    lines = [*lines_of(ways)]
    shown = [line for line in lines if line.differs or len(ways) == 1]
    wide = max((len(line.name) for line in shown), default=0)
    rest = range(1, max(len(ways), 2))
    for start in range(0, len(rest), _COLUMNS - 1):
        columns = [0, *(n for n in rest[start : start + _COLUMNS - 1] if n < len(ways))]
        yield ""
        yield " " * wide + "".join(f"{n + 1:{_WIDE}}" for n in columns) + "  more is"
        for line in shown:
            row = "".join(f"{line.values[n]:>{_WIDE}}" for n in columns)
            yield f"{line.name:{wide}}{row}  {line.more}"
    if same := [f"{line.name.strip()} {line.values[0]}" for line in lines if line not in shown]:
        yield from textwrap.wrap(
            f"The same in all: {'; '.join(same)}.", WIDTH, subsequent_indent="  "
        )


def lines_of(ways: Sequence[Arrangement]) -> Iterator[Line]:
    """Yield each measure that is shown, and below the difficulty the points of its parts."""
    told = {each.name: each.metadata for each in fields(Measures)}
    found = [measure(way) for way in ways]
    rows = [dict(zip(told, each.row, strict=True)) for each in found]
    for name in chain.from_iterable(GROUPS.values()):
        about = told[name]
        values = numbers([row[name] for row in rows])
        yield Line(f"{about['name']}, {about['unit']}", values, about["more"])
        if name == "playability":
            yield from _parts(ways)


def _parts(ways: Sequence[Arrangement]) -> Iterator[Line]:
    rated = [playability(way) if way.sounding else None for way in ways]
    for name, words in SAID_OF_PARTS.items():
        values = numbers([None if one is None else float(one[name].points) for one in rated])
        yield Line(f"  points {words}", values, _EASIER_OR_HARDER)


def numbers(values: Sequence[float | None]) -> tuple[str, ...]:
    """Return numbers of a line as they are printed, as fine as the largest allows.

    Examples
    --------
    >>> numbers([3, 12]), numbers([0.25, 0.5]), numbers([2.345, 11.0]), numbers([0.5, 227.8])
    (('3', '12'), ('0.25', '0.50'), ('2.3', '11.0'), ('0', '228'))
    >>> numbers([float("inf"), None])
    ('∞', '–')
    """
    finite = [value for value in values if value is not None and math.isfinite(value)]
    fine = all(isinstance(value, int) for value in finite)
    most = max(map(abs, finite), default=0)
    digits = 0 if fine or most >= _LARGE else 2 if most < 1 else 1
    return tuple(
        _NONE
        if value is None
        else "∞"
        if math.isinf(value)
        else f"{round(value, digits) + 0.0:.{digits}f}"
        for value in values
    )


_LARGE, _NONE = 100, "–"
