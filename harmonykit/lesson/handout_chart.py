"""A level as a chart of bars: where each name, slash, box and bar line stands, in mm.

Conventions.  Four bars share a row of 174 mm.  Bars of a row are equally wide, and so are beats of
a bar, unless what stands in them needs more; four bars that would crowd take two rows of two, two
that would take a row each, and a single bar that would is cut between its chords.  Nothing is
drawn smaller.  A box stands at each change of chord or shape and at the start of a row; a chord
that lasts on has its name and its slashes.  x runs right from the bar's line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise
from math import ceil
from typing import Any

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.lesson.handout_figures import Figures, roles_of
from harmonykit.lesson.handout_passes import LevelBar, Printed, printed
from harmonykit.show.box import draw_box
from harmonykit.show.canvas import text_width
from harmonykit.show.style import NAME_PT, SEMIBOLD, SMALL_PT, Drawing
from harmonykit.show.window import window
from harmonykit.tune.bar import Meter, beat_length

ROW_MM = 174.0
BARS_A_ROW = 4
NO_CHORD = "N.C."

_PAD_MM = 3.7
_NUMBER_PAD_MM = 1.3  # between a bar line and a fret's number
_MARK_MM = 3.2
_GAP_MM = 1.6
_SLASH_MM = 3.2
_END_MM = 2.0
_WIDE_BEAT_MM = 14.0


@dataclass(frozen=True, slots=True)
class Cell:
    """A chord of a bar: its name, its box (none where the chord lasts on), its slashes."""

    step: Step
    box: Drawing | None
    slashes: int

    @property
    def name(self) -> str:
        """The printed symbol."""
        return self.step.chord.unicode if self.step.chord else NO_CHORD

    @property
    def digits(self) -> str:
        """The shape as figures; empty without a box."""
        return self.step.voicing.digits if self.box and self.step.voicing else ""

    @property
    def _box_wide(self) -> float:
        return self.box.width_mm - 2 * self.box.origin_mm[0] if self.box else 0.0

    @property
    def _digits_over(self) -> float:
        """How far the figures reach past the outer strings."""
        return max(0.0, (text_width(self.digits, SMALL_PT) - self._box_wide) / 2)

    @property
    def pad(self) -> float:
        """From the cell's left edge to its name and its first string."""
        first = self._first_fret
        number = 2.15 + text_width(str(first), SMALL_PT) + _NUMBER_PAD_MM if first > 1 else 0.0
        return max(_PAD_MM, number, self._digits_over + 1.0)

    @property
    def _first_fret(self) -> int:
        return window(self.step.voicing.frets)[0] if self.box and self.step.voicing else 1

    @property
    def name_end(self) -> float:
        """Where the name ends."""
        return self.pad + text_width(self.name, NAME_PT, SEMIBOLD)

    @property
    def need(self) -> float:
        """The least width in which nothing touches."""
        over = max(_MARK_MM / 2, self._digits_over)
        box = self.pad + self._box_wide + over + _GAP_MM if self.box else 0.0
        return max(box, self.name_end + self.slashes * _SLASH_MM + _END_MM)

    def place(self, x: float, wide: float, figures: Figures) -> dict[str, Any]:
        """Return the cell as plain data, laid into a width at ``x``."""
        left = x + self.pad
        placed: dict[str, Any] = {
            "x": left,
            "name": self.name,
            "name-wide": self.name_end - self.pad,
            "inserted": self.step.inserted and self.step.chord != self.step.written,
            "slashes": list(self._slashes(x, wide)),
        }
        if self.box and self.step.voicing:
            placed["box"] = figures.add(self.box, roles_of(self.step.voicing, None))
            placed["digits"] = self.digits
            placed["middle"] = left + self._box_wide / 2
        return placed

    def _slashes(self, x: float, wide: float) -> Iterator[float]:
        """Yield the middle of each slash: on its beat in a wide cell, else up to the cell's end."""
        if not self.slashes:
            return
        beat = wide / (self.slashes + 1)
        gap = min(beat, (wide - self.name_end - _END_MM) / self.slashes)
        end = wide - _END_MM - _SLASH_MM / 2
        if beat >= _WIDE_BEAT_MM and self.pad + beat > self.name_end + _END_MM:
            gap, end = beat, self.pad + self.slashes * beat + _SLASH_MM / 2
        yield from (x + end - gap * back for back in reversed(range(self.slashes)))


@dataclass(frozen=True, slots=True)
class Part:
    """A bar, or a part of one that is too wide for a row."""

    bar: LevelBar
    cells: tuple[Cell, ...]
    opens: bool = True

    @property
    def need(self) -> float:
        """The least width in which nothing touches."""
        return sum(cell.need for cell in self.cells)

    def place(self, x: float, wide: float, label: str, figures: Figures) -> dict[str, Any]:
        """Return the bar as plain data, laid into a width at ``x``."""
        beats = [float(cell.step.beats) for cell in self.cells]
        widths = allot(wide, beats, [cell.need for cell in self.cells])
        starts = [x + start for start in _starts(widths)]
        cells = [
            cell.place(at, width, figures)
            for cell, at, width in zip(self.cells, starts, widths, strict=True)
        ]
        return {"x": x, "label": label if self.opens else "", "opens": self.opens, "cells": cells}


@dataclass(frozen=True, slots=True)
class Line:
    """The bars that stand side by side, and the width that they share."""

    parts: tuple[Part, ...]
    wide: float

    def is_like(self, one: Printed) -> bool:
        """Whether all its bars are played like bars that stand printed before."""
        return all(part.bar.index in one.like for part in self.parts)

    def place(self, meter: Meter | None, figures: Figures) -> dict[str, Any]:
        """Return the line as plain data; ``meter`` is that of the bar before it."""
        shares = [float(part.bar.share) for part in self.parts]
        widths = allot(self.wide, shares, [part.need for part in self.parts])
        bars = []
        for part, x, wide in zip(self.parts, _starts(widths), widths, strict=True):
            bars.append(part.place(x, wide, _label(part.bar, meter), figures))
            meter = part.bar.bar.meter
        boxes = [cell.box.height_mm for part in self.parts for cell in part.cells if cell.box]
        return {"bars": bars, "wide": sum(widths), "high": max(boxes, default=0.0)}


def chart(arrangement: Arrangement, figures: Figures) -> list[dict[str, Any]]:
    """Return a level as rows for the page, each with its bars, and a heading where a pass begins.

    Parameters
    ----------
    arrangement : Arrangement
    figures : Figures
        Takes in the boxes.
    """
    rows: list[dict[str, Any]] = []
    meter: Meter | None = None
    parts = printed(arrangement)
    for one in parts:
        lines = list(_all_lines(one.bars, figures.palette))
        new = [line for line in lines if not line.is_like(one)]
        left_out = [part.bar for line in lines if line.is_like(one) for part in line.parts]
        heading = [one.section, one.note(left_out)] if len(parts) > 1 or one.again else []
        for line in new:
            rows.append(line.place(meter, figures) | {"heading": heading, "close": "bar"})
            heading, meter = [], line.parts[-1].bar.bar.meter
        if heading and not new:
            rows.append({"bars": [], "wide": 0.0, "high": 0.0, "heading": heading})
        rows[-1]["close"] = "section"
    rows[-1]["close"] = "end"
    return rows


def _all_lines(bars: Sequence[LevelBar], palette: str) -> Iterator[Line]:
    # A pick-up shares the row of the four bars after it.
    first = BARS_A_ROW + (not bars[0].begins)
    starts = [0, *range(first, len(bars), BARS_A_ROW)]
    for start, end in pairwise([*starts, len(bars)]):
        yield from _lines(bars[start:end], palette)


def _label(bar: LevelBar, meter: Meter | None) -> str:
    """Return a bar's number, with its metre where that is new."""
    label = (str(bar.number) if bar.number else "pick-up") if bar.begins or not bar.number else ""
    return label if meter in (None, bar.bar.meter) else label + " · {}/{}".format(*bar.bar.meter)


def _lines(row: Sequence[LevelBar], palette: str, wide: float = 0.0) -> Iterator[Line]:
    """Yield a row of bars, or halves of it, or parts of a bar, so that each line fits."""
    parts = _parts(row, palette)
    need = sum(part.need for part in parts)
    if need <= ROW_MM:
        quarter = ROW_MM / BARS_A_ROW
        bars = max(sum(bar.share for bar in row), need / quarter)
        yield Line(parts, max(wide, min(ceil(bars), BARS_A_ROW) * quarter))
    elif len(row) > 1:
        middle = (len(row) + 1) // 2
        yield from _lines(row[:middle], palette, ROW_MM)
        yield from _lines(row[middle:], palette, ROW_MM)
    else:
        yield from (Line((part,), ROW_MM) for part in _cut(parts[0]))


def _cut(part: Part) -> Iterator[Part]:
    cells: list[Cell] = []
    opens = True
    for cell in part.cells:
        if cells and sum(c.need for c in cells) + cell.need > ROW_MM:
            yield Part(part.bar, tuple(cells), opens)
            cells, opens = [], False
        cells.append(cell)
    yield Part(part.bar, tuple(cells), opens)


def _parts(row: Sequence[LevelBar], palette: str) -> tuple[Part, ...]:
    before: tuple[object, object] | None = None
    parts = []
    for bar in row:
        cells = []
        beat = beat_length(bar.bar.meter)
        for step in _joined(bar.steps):
            same = before == (step.chord, step.voicing)
            box = draw_box(step.voicing, size="chart", palette=palette) if step.voicing else None
            cells.append(Cell(step, None if same else box, beats_after(bar, step, beat)))
            before = (step.chord, step.voicing)
        parts.append(Part(bar, tuple(cells)))
    return tuple(parts)


def _joined(steps: Sequence[Step]) -> Iterator[Step]:
    """Yield the steps of a bar, a chord that is written twice running as one."""
    for _, same in groupby(steps, key=lambda step: (step.chord, step.voicing, step.inserted)):
        first, *others = same
        yield replace(first, beats=first.beats + sum(step.beats for step in others))


def beats_after(bar: LevelBar, step: Step, beat: Fraction) -> int:
    """Return how many beats fall while a chord lasts, its first moment left out."""
    start = step.onset - bar.onset
    end = start + step.beats
    # In a pick-up the beats are counted back from the bar line that it leads to.
    shift = -bar.bar.length % beat if not bar.number else Fraction(0)
    first = (start + shift) // beat + 1
    return max(0, -(-(end + shift) // beat) - first)


def allot(total: float, weights: Sequence[float], needs: Sequence[float]) -> list[float]:
    """Share a width by weight, but give each part at least what it needs.

    Where the needs come to more than there is, each part has its need.

    Examples
    --------
    >>> allot(40, [1, 1], [10, 10]), allot(40, [3, 1], [10, 14])
    ([20.0, 20.0], [26.0, 14])
    """
    widths: dict[int, float] = {}
    while True:
        free = [i for i in range(len(needs)) if i not in widths]
        left = total - sum(widths.values())
        weight = sum(weights[i] for i in free)
        short = [i for i in free if left * weights[i] / weight < needs[i]]
        if not short:
            break
        widths |= {i: needs[i] for i in short}
    share = {i: left * weights[i] / weight for i in free}
    return [(widths | share)[i] for i in range(len(needs))]


def _starts(widths: Sequence[float]) -> list[float]:
    return [sum(widths[:i]) for i in range(len(widths))]
