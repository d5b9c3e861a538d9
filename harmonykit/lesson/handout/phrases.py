"""Which bars of a chart share a row: phrases of four at most, and what begins one."""

from collections.abc import Iterator, Sequence

from harmonykit.arrange.written import WrittenBar
from harmonykit.tune.tune import Tune

_PHRASE = 4
Plan = list[tuple[WrittenBar, int]]
"""A row of bars, each with its column; -1 for a pick-up that begins it."""


def row_plans(tune: Tune, bars: Sequence[WrittenBar], columns: int) -> Iterator[Plan]:
    """Yield the rows of a chart; a second ending stands under the first."""
    row: Plan = []
    column, under = 0, 0
    for bar, starts in zip(bars, _phrase_starts(tune, bars), strict=True):
        before = row[-1][0].bar if row else None
        ending = bar.bar.ending
        if row and (starts or column >= columns):
            yield row
            row, column = [], 0
        if ending and before is not None and not before.ending:
            under = column
        elif ending and before is not None and before.ending != ending:
            if row:
                yield row
            row, column = [], under
        if not row and not (bar.number and bar.begins):
            row.append((bar, -1))
            continue
        half = not bar.begins and row and bar.number == row[-1][0].number
        row.append((bar, column - 1 if half else column))
        column += not half
    if row:
        yield row


def parts_of_row(plan: Plan, count: int) -> Iterator[Plan]:
    """Yield a row in parts of so many columns; a pick-up stays with the first."""
    part: Plan = []
    for bar, column in plan:
        taken = len({c for _, c in part if c >= 0})
        if taken == count and column not in {c for _, c in part}:
            yield part
            part = []
        part.append((bar, column))
    yield part


def _phrase_starts(tune: Tune, bars: Sequence[WrittenBar]) -> Iterator[bool]:
    """Yield for each bar whether a row begins with it: a section, a repeat, a phrase."""
    lengths = {section.name: section.phrases for section in tune.sections}
    left: list[int] = []
    opened = False
    for bar in bars:
        starts = bar.opens or (bar.bar.opens and not opened) or "coda" in bar.bar.signs
        if bar.opens:
            left = list(_rows_of(lengths.get(bar.section.split(" · ")[0], ())))
        elif left and not left[0]:
            starts, left = True, left[1:]
        if left and bar.begins:
            left[0] -= 1
        # A pick-up shares the row of the bar after it.
        yield starts and not opened
        opened = not bar.number


def _rows_of(phrases: Sequence[int]) -> Iterator[int]:
    """Yield how many bars each row has: phrases in rows of four at most, as equal as can be."""
    for phrase in phrases:
        rows = -(-phrase // _PHRASE)
        yield from (phrase // rows + (n < phrase % rows) for n in range(rows))
