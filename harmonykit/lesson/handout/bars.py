"""The bars of a chart: how wide each is, where its beats, its chords and its words stand, in mm."""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from harmonykit.arrange.arrangement import Step
from harmonykit.arrange.written import WrittenBar
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.tune.bar import bar_length, beat_length
from harmonykit.values import dataclass

NO_CHORD = "N.C."
# From the bar line to the first beat, and from the end of the last one to the next line.
BEFORE_MM, AFTER_MM = 2.5, 2.4
GAP_MM, LATE_MM = 1.0, 5.0
# A stroke close to a symbol would read as that of a slash chord.
_SLASH_MM, _CLEAR_MM = 1.6, 2.4
# Under so many points words may begin so much before their notes.
_EARLY_PT, _EARLY_MM = 11.0, 4.0
_NUMERAL_PT = 10.0


@dataclass(frozen=True, slots=True)
class Cell:
    """A chord of a bar, from a place on, in quarters."""

    step: Step
    at: Fraction
    names: bool = True

    @property
    def name(self) -> str:
        """The printed symbol; none over a melody note alone."""
        if self.step.alone or not self.names:
            return ""
        return self.step.chord.unicode if self.step.chord else NO_CHORD


@dataclass(frozen=True, slots=True)
class ChartBar:
    """A written bar with its chords, in its row: how wide a column is, and where it begins."""

    bar: WrittenBar
    cells: tuple[Cell, ...]
    x: float
    column: float

    @property
    def whole(self) -> Fraction:
        """A bar of the metre, in quarters."""
        return bar_length(self.bar.bar.meter)

    @property
    def wide(self) -> float:
        """How wide it is: a short bar is drawn short."""
        length = self.bar.bar.length
        if length >= self.whole:
            return self.column
        after = AFTER_MM if self.bar.number else 0.0
        return BEFORE_MM + float(length / self.whole) * self._room + after

    @property
    def _room(self) -> float:
        return self.column - BEFORE_MM - AFTER_MM

    @property
    def end(self) -> float:
        """Where its last line stands."""
        return self.x + self.wide

    def at(self, place: Fraction) -> float:
        """Where a place of the bar stands, in quarters from its start."""
        return self.x + BEFORE_MM + float(place / self.whole) * self._room


Row = tuple[ChartBar, ...]
# A word: where it stands, how late against its note, where it ends, its text.
Word = tuple[float, float, float, str]


def names_in(bar: ChartBar, size: float) -> Iterator[dict[str, Any]]:
    """Yield the chords of a bar, each on its beat, or beside it where there is no room."""
    cells = [cell for cell in bar.cells if cell.name]
    wide = [name_wide(cell.name, size) for cell in cells]
    places = [bar.at(cell.at) for cell in cells]
    edge = 0.0
    for n, x in enumerate(places):
        places[n] = max(x, edge)
        edge = places[n] + wide[n] + GAP_MM
    edge = max(bar.end, bar.x + BEFORE_MM + sum(wide)) - 0.5
    for n in reversed(range(len(places) if bar.bar.number else 0)):
        places[n] = min(places[n], edge - wide[n])
        edge = places[n] - GAP_MM
    for cell, x, across in zip(cells, places, wide, strict=True):
        step = cell.step
        yield {
                "x": x, "text": cell.name, "wide": across,
                "added": step.added and step.chord != step.written,
                "silent": step.chord is None,
            }  # fmt: skip


def slashes_in(bar: ChartBar, size: float) -> Iterator[float]:
    """Yield where a beat falls on which no chord begins, unless a name covers it."""
    written = bar.bar.bar
    beat = beat_length(written.meter)
    start = -written.length % beat if not bar.bar.number else Fraction(0)
    taken = [(name["x"], name["x"] + name["wide"]) for name in names_in(bar, size)]
    begun = {cell.at for cell in bar.cells if cell.name}
    silent = [cell.at for cell in bar.cells if cell.step.chord is None]
    at = start
    while at < written.length:
        quiet = silent and at >= silent[0] and len(bar.cells) == 1
        if at not in begun and not quiet:
            ends = [end for x, end in taken if x < bar.at(at)]
            x = max([bar.at(at), *(end + _CLEAR_MM for end in ends)])
            nexts = [x2 for x2, _ in taken if x2 > bar.at(at)] + [bar.end]
            if x - bar.at(at) < LATE_MM and x + _SLASH_MM + 0.6 < min(nexts):
                yield x
        at += beat


def verses_in(row: Row, size: float, end: float) -> Iterator[list[Word]]:
    """Yield the words of each verse: x, how late against its note, where it ends, the text.

    In small type a word may begin before its note, so that those after it are not late.
    """
    early = _EARLY_MM if size < _EARLY_PT else 0.0
    numbers = sorted({verse for bar in row for verse in bar.bar.bar.verses})
    for verse in numbers:
        sung = [
            (bar.at(at), word.text + ("-" if word.goes_on else ""))
            for bar in row
            for at, word in bar.bar.bar.syllables()
            if word.verse == verse and word.text
        ]
        wide = [text_width(text, size) for _, text in sung]
        places, edge = [], 0.0
        for (at, _), across in zip(sung, wide, strict=True):
            places.append(max(at - early, edge))
            edge = places[-1] + across + GAP_MM
        edge = end + 0.5 + GAP_MM
        for n in reversed(range(len(places))):
            places[n] = max(places[n], min(sung[n][0], edge - wide[n] - GAP_MM))
            edge = places[n]
        yield [
            (x, x - at, x + across, text)
            for x, (at, text), across in zip(places, sung, wide, strict=True)
        ]


def numerals_in(row: Row, told: Mapping[Fraction, str]) -> Iterator[dict[str, Any]]:
    """Yield the numerals of a row: its first, and each where it changes."""
    before, edge = "", 0.0
    for bar in row:
        for cell in bar.cells:
            text = told.get(cell.step.onset, "") if cell.name else ""
            if text and text != before:
                x = max(bar.at(cell.at), edge)
                edge = x + text_width(text, _NUMERAL_PT) + GAP_MM
                before = text
                yield {"x": x, "text": text}


def name_wide(text: str, size: float) -> float:
    """Return how wide a chord's name is set, in mm."""
    return text_width(text, size, SEMIBOLD)
