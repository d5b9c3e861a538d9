"""Where the bars of a part stand: rows of four behind a pick-up, a second ending under the first.

Conventions.  Lengths are in mm.  Every part has the same columns and the numbers of the sheet, so
that one finger on a bar of one part is on that bar of all; a short bar is drawn short.
"""

from fractions import Fraction

from harmonykit.arrange.written import tune_numbers
from harmonykit.draw.base import canvas, fonts
from harmonykit.tune.tune import PICKUP, Bar, Tune, bar_length
from harmonykit.values import dataclass

WIDE_MM, BARS_A_ROW = 174.0, 4
_LEFT_MM, _END_MM, _IN_MM = 12.0, 1.8, 2.5


@dataclass(frozen=True, slots=True)
class Cell:
    """A bar on the page: its row and its column, from 0; a pick-up stands in column -1."""

    bar: Bar
    row: int
    column: int


def cells_of(tune: Tune) -> tuple[Cell, ...]:
    """Return the written bars of a tune in rows of four, a second ending under the first."""
    found: list[Cell] = []
    row, column, first = 0, 0, 0
    if not tune.bars[0].number:
        column = -1
    for section in tune.sections:
        ending: tuple[int, ...] = ()
        for bar in section.bars:
            new = bool(bar.ending) and bar.ending != ending
            begins = bar is section.bars[0] and bool(found) and found[-1].bar.number > 0
            later = new and bool(ending)
            if begins or later or column == BARS_A_ROW:
                row, column = row + 1, first if later else 0
            if new and not later:
                first = column
            found.append(Cell(bar, row, column))
            ending, column = bar.ending, column + 1
    return tuple(found)


class Bars:
    """The bars of a tune as all its parts have them."""

    def __init__(self, tune: Tune) -> None:
        self.tune = tune
        self._numbers: dict[int, dict[int, None]] = {}
        for turn, (number, _) in zip(tune.form.turns, tune_numbers(tune), strict=True):
            self._numbers.setdefault(turn.bar, {})[number] = None
        # A pick-up has a column of its own, as wide as it lasts.
        first = tune.bars[0]
        lead = 0.0 if first.number else float(first.length / bar_length(first.meter))
        self.column = (WIDE_MM - _LEFT_MM - _END_MM) / (BARS_A_ROW + lead)
        self.left = _LEFT_MM + lead * self.column

    def wide(self, cell: Cell) -> float:
        """Return how wide a bar is: a short one is drawn short."""
        return self.column * min(1.0, float(cell.bar.length / bar_length(cell.bar.meter)))

    def start(self, cell: Cell) -> float:
        """Return where a bar begins."""
        if cell.column < 0:
            return self.left - self.wide(cell)
        return self.left + cell.column * self.column

    def at(self, cell: Cell, at: Fraction) -> float:
        """Return where a place of a bar stands, in quarters from its start."""
        room = self.wide(cell) - _IN_MM - 1.0
        return self.start(cell) + _IN_MM + float(at / cell.bar.length) * room

    def numbers(self, bar: Bar) -> str:
        """Return the numbers of a bar: those of each time that it is played, as on the sheet."""
        place = next(n for n, each in enumerate(self.tune.bars) if each is bar)
        return " \N{MIDDLE DOT} ".join(map(str, self._numbers.get(place, {bar.number: None})))

    def shift(self, cell: Cell) -> float:
        """Return how far behind its beat stands what shares a line with the bar's numbers."""
        numbers = fonts.text_width(self.numbers(cell.bar), canvas.SMALL_PT) + 2.2 - _IN_MM
        return max(5.0, numbers) if cell.bar.number else 0.0

    def begun(self, bar: Bar) -> str:
        """Return the section that a bar begins, where there are several: a name that has room."""
        sections = [one for one in self.tune.sections if one.name != PICKUP]
        names = [one.name for one in sections if any(each is bar for each in one.bars[:1])]
        name = names[0] if names and len(sections) > 1 else ""
        wide = fonts.text_width(name, canvas.SMALL_PT, fonts.SEMIBOLD)
        return name if wide <= _LEFT_MM else ""
