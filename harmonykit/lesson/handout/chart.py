"""A level as a chart of bars: where each name, slash, box and bar line stands, in mm.

Conventions.  Four bars share a row of 174 mm; in large print two share a row that is laid out at
its small size and set larger.  Bars of a row are equally wide, and so are beats of a bar, unless
what stands in them needs more; bars that would crowd take two rows, two that would take a row each,
and a single bar that would is cut between its chords.  Nothing is drawn smaller.  The shape stands
at each change of chord or shape and at the start of a row, as a box with its figures below, or as
figures alone; a chord that lasts on has its name and its slashes.  x runs right from the bar's
line.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise
from math import ceil
from typing import Any

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.draw.shapes.box_look import BoxLook
from harmonykit.lesson.handout.figures import LARGE, Cell, Figures
from harmonykit.lesson.handout.passes import Fingers, LevelBar, Printed, printed, unsure_starts
from harmonykit.tune.bar import Meter, beat_length

ROW_MM = 174.0
BARS_A_ROW = 4


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
        told = any(cell.digits for part in self.parts for cell in part.cells)
        high = max(boxes, default=0.0)
        return {"bars": bars, "wide": sum(widths), "high": high, "told": told}


def chart(
    arrangement: Arrangement, figures: Figures, *, boxes: bool = True
) -> list[dict[str, Any]]:
    """Return a level as rows for the page, each with its bars, and a heading where a pass begins.

    Parameters
    ----------
    arrangement : Arrangement
    figures : Figures
        Takes in the boxes.
    boxes : bool
        Whether shapes stand there as boxes, or as figures alone, as in large print always.
    """
    rows: list[dict[str, Any]] = []
    meter: Meter | None = None
    parts = printed(arrangement)
    layout = _Layout(figures, boxes=boxes, unsure=unsure_starts(arrangement))
    for one in parts:
        lines = list(layout.lines(one.bars))
        new = [line for line in lines if not line.is_like(one)]
        left_out = [part.bar for line in lines if line.is_like(one) for part in line.parts]
        named = _name(arrangement, one)
        heading = [named, one.note(left_out)] if len(parts) > 1 or one.again else []
        for line in new:
            rows.append(line.place(meter, figures) | {"heading": heading, "close": "bar"})
            heading, meter = [], line.parts[-1].bar.bar.meter
        if heading and not new:
            rows.append(_EMPTY | {"heading": heading})
        rows[-1]["close"] = "section"
    rows[-1]["close"] = "end"
    return rows


def _name(arrangement: Arrangement, one: Printed) -> str:
    """Return the name of a pass: its section, and its manner where there are choruses."""
    manner = arrangement.manner_at(one.bars[0].index)
    return " · ".join(filter(None, (one.section, manner)))


_EMPTY: dict[str, Any] = {"bars": [], "wide": 0.0, "high": 0.0, "told": False}


class _Layout:
    """Lays bars into rows, with a box for each shape or without."""

    def __init__(self, figures: Figures, *, boxes: bool, unsure: Collection[int]) -> None:
        self.figures, self.boxes = figures, boxes and not figures.large
        self.unsure = unsure
        self.row = ROW_MM / (LARGE if figures.large else 1)
        self.most = int(BARS_A_ROW / (LARGE if figures.large else 1))

    def lines(self, bars: Sequence[LevelBar]) -> Iterator[Line]:
        # A pick-up shares the row of the bars after it.
        first = self.most + (not bars[0].begins)
        starts = [0, *range(first, len(bars), self.most)]
        for start, end in pairwise([*starts, len(bars)]):
            yield from self._fitted(bars[start:end])

    def _fitted(self, row: Sequence[LevelBar], wide: float = 0.0) -> Iterator[Line]:
        """Yield a row of bars, or halves of it, or parts of a bar, so that each line fits."""
        parts = self._parts(row)
        need = sum(part.need for part in parts)
        if need <= self.row:
            quarter = self.row / self.most
            bars = max(sum(bar.share for bar in row), need / quarter)
            yield Line(parts, max(wide, min(ceil(bars), self.most) * quarter))
        elif len(row) > 1:
            middle = (len(row) + 1) // 2
            yield from self._fitted(row[:middle], self.row)
            yield from self._fitted(row[middle:], self.row)
        else:
            yield from (Line((part,), self.row) for part in self._cut(parts[0]))

    def _cut(self, part: Part) -> Iterator[Part]:
        cells: list[Cell] = []
        opens = True
        for cell in part.cells:
            if cells and sum(c.need for c in cells) + cell.need > self.row:
                yield Part(part.bar, tuple(cells), opens)
                cells, opens = [], False
            cells.append(cell)
        yield Part(part.bar, tuple(cells), opens)

    def _parts(self, row: Sequence[LevelBar]) -> tuple[Part, ...]:
        before: tuple[object, object] | None = None
        parts = []
        for bar in row:
            cells: list[Cell] = []
            beat = beat_length(bar.bar.meter)
            for step, fingers in _joined(bar):
                changed = before != (step.chord, step.voicing)
                if not cells and bar.index in self.unsure:
                    fingers = fingers[0], None
                slashes = beats_after(bar, step, beat)
                cells.append(self._cell(step, fingers, told=changed, slashes=slashes))
                before = (step.chord, step.voicing)
            parts.append(Part(bar, tuple(cells)))
        return tuple(parts)

    def _cell(self, step: Step, fingers: Fingers, *, told: bool, slashes: int) -> Cell:
        box = None
        if self.boxes and told and step.voicing is not None:
            fingering, change = fingers
            look = BoxLook(size="chart", fingering=fingering, change=change)
            box = self.figures.box(step.voicing, look, marks="fingers")
        return Cell(step, box, slashes, told, self.figures.left_handed, bare=not self.boxes)


def _label(bar: LevelBar, meter: Meter | None) -> str:
    """Return a bar's number, with its metre where that is new."""
    label = (str(bar.number) if bar.number else "pick-up") if bar.begins or not bar.number else ""
    return label if meter in (None, bar.bar.meter) else label + " · {}/{}".format(*bar.bar.meter)


def _joined(bar: LevelBar) -> Iterator[tuple[Step, Fingers]]:
    """Yield the steps of a bar with their fingers, a chord that is written twice running as one."""
    held = zip(bar.steps, bar.fingers, strict=True)
    for _, same in groupby(held, key=lambda one: (one[0].chord, one[0].voicing, one[0].added)):
        (first, fingers), *others = same
        yield replace(first, beats=first.beats + sum(step.beats for step, _ in others)), fingers


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
