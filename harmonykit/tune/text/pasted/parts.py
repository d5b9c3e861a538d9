"""The sections of a message: which numbers in them are endings, and what is played again."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from harmonykit.tune.bar import Bar
from harmonykit.tune.form import Section
from harmonykit.tune.text.pasted.cells import Cell

Doubts = list[tuple[str, int]]


@dataclass(slots=True)
class Part:
    """A section while it is gathered."""

    name: str
    cells: list[Cell] = field(default_factory=list)
    times: int = 1


def settle_numbers(parts: Sequence[Part], doubts: Doubts) -> None:
    """Tell numbers of bars and of rows from numbers of endings, and give each cell its ending.

    A number that counts the bars, of all or of the section, is a bar's; ``1`` after the first bar,
    and what follows it in order, is an ending's.
    """
    rows = [cell for part in parts for cell in part.cells if cell.begins_row]
    if len(rows) > 1 and [cell.mark for cell in rows] == [(n + 1,) for n in range(len(rows))]:
        for cell in rows:  # The rows are counted, not the bars.
            cell.mark = ()
    count = 0
    for part in parts:
        ending: tuple[int, ...] = ()
        for index, cell in enumerate(part.cells):
            count += 1
            before = part.cells[index - 1] if index else None
            if cell.mark and _is_ending(cell, before, ending):
                if before and before.ending and not before.closes:
                    before.closes = 2
                    what = "the ending before this one has no repeat sign: taken as :|"
                    doubts.append((what, cell.marked_at))
                ending = cell.mark
            elif cell.mark and cell.mark[0] not in (count, index + 1):
                what = f"the bar numbered {cell.mark[0]} is bar {count} of those in the text"
                doubts.append((what, cell.marked_at))
            elif cell.opens or (before and (before.double or (before.closes and ending))):
                ending = ()
            cell.ending = ending


def _is_ending(cell: Cell, before: Cell | None, ending: tuple[int, ...]) -> bool:
    number = cell.mark[0]
    if cell.bracketed or len(cell.mark) > 1:
        return True
    follows = bool(ending) and number == ending[-1] + 1
    return before is not None and (number == 1 or follows)


def name_sections(
    read: Sequence[tuple[str, tuple[Bar, ...]]], names: Sequence[str]
) -> tuple[tuple[Section, ...], tuple[str, ...]]:
    """Return the sections, and their names in playing order.

    Parameters
    ----------
    read : sequence of (str, tuple of Bar)
        Each part that has bars, with its name; one that comes again with the same bars is played
        again, and one with other bars has a number added.
    names : sequence of str
        All names in the order in which they stand, those without bars of their own too.
    """
    taken: dict[str, tuple[Bar, ...]] = {}
    free = next(letter for letter in "ABCDEFGHIJK" if all(letter != name for name, _ in read))
    labels: dict[str, list[str]] = {}
    for name, bars in read:
        plain = name or free
        label, count = plain, 2
        while label in taken and taken[label] != bars:
            label, count = f"{plain} {count}", count + 1
        taken[label] = bars
        labels.setdefault(name, []).append(label)
    sections = tuple(Section(label, bars) for label, bars in taken.items())
    return sections, (*labels.get("", ()), *_in_order(labels, names))


def _in_order(labels: dict[str, list[str]], names: Sequence[str]) -> Iterator[str]:
    """Yield the label of each name; where one has no more bars, that of its last ones."""
    left = {name: list(found) for name, found in labels.items()}
    for name in names:
        if found := left.get(name):
            yield found.pop(0) if len(found) > 1 else found[0]
