"""The bars of a chart: how wide each is, where its beats, its chords and its words stand, in mm."""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cached_property, lru_cache
from types import MappingProxyType
from typing import Any

from harmonykit.arrange.arrangement import Step
from harmonykit.arrange.written import WrittenBar
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.theory.printed import printed_chord
from harmonykit.tune.bar import Meter, bar_length, beat_length
from harmonykit.values import dataclass

# From the bar line to the first beat, and from the end of the last one to the next line.
BEFORE_MM, AFTER_MM = 2.5, 2.4
GAP_MM, LATE_MM = 1.0, 5.0
# Between two symbols, and between a symbol and what closes its bar.
_APART_MM, _END_MM = 1.5, 1.0
# A stroke close to a symbol would read as that of a slash chord, one late as another rhythm.
_SLASH_MM, _CLEAR_MM, _SLASH_LATE_MM = 1.7, 1.4, 2.4
# Under so many points words may begin so much before their notes.
_EARLY_PT, _EARLY_MM = 11.0, 4.0
# From the number of a verse to the first bar line: words may begin before that line.
_NUMBER_MM = 3.0
_NUMERAL_PT = 10.0


@dataclass(frozen=True)
class Cell:
    """A chord of a bar, from a place on, in quarters."""

    step: Step
    at: Fraction
    names: bool = True

    @cached_property
    def name(self) -> str:
        """The printed symbol; none over a melody note alone."""
        if self.step.alone or not self.names:
            return ""
        return printed_chord(self.step.chord)


@dataclass(frozen=True)
class ChartBar:
    """A written bar with its chords, in its row: how wide a column is, and where it begins.

    What is asked of it again for each size of type is found once.
    """

    bar: WrittenBar
    cells: tuple[Cell, ...]
    x: float
    column: float
    tail: float = 0.0
    """How far what closes it reaches in before its last line: a second line, dots."""

    @cached_property
    def whole(self) -> Fraction:
        """A bar of the metre, in quarters."""
        return bar_length(self.bar.bar.meter)

    @cached_property
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

    @property
    def clear(self) -> float:
        """How far a symbol may reach, so that it keeps clear of what closes the bar."""
        return self.end - self.tail - _END_MM

    def at(self, place: Fraction) -> float:
        """Where a place of the bar stands, in quarters from its start."""
        whole = self.whole
        up, down = place.numerator * whole.denominator, place.denominator * whole.numerator
        return self.x + BEFORE_MM + up / down * self._room

    @cached_property
    def named(self) -> tuple[tuple[Cell, float], ...]:
        """The chords that are named, each with where it begins."""
        return tuple((cell, self.at(cell.at)) for cell in self.cells if cell.name)

    @cached_property
    def bare(self) -> tuple[float, ...]:
        """Where a beat falls on which no chord begins, and on which chords are played."""
        written = self.bar.bar
        begun = [cell.at for cell, _ in self.named]
        beats = _beats(written.length, written.meter, before=not self.bar.number)
        if len(self.cells) == 1 and self.cells[0].step.chord is None:
            beats = tuple(at for at in beats if at < self.cells[0].at)
        return tuple([self.at(at) for at in beats if at not in begun])


@lru_cache(maxsize=64)
def _beats(length: Fraction, meter: Meter, *, before: bool) -> tuple[Fraction, ...]:
    """Return the beats of a bar, or of a pick-up before the first."""
    beat = beat_length(meter)
    at, found = -length % beat if before else Fraction(0), list[Fraction]()
    while at < length:
        found.append(at)
        at += beat
    return tuple(found)


Row = tuple[ChartBar, ...]
# A word: where it stands, how late against its note, where it ends, its text.
Word = tuple[float, float, float, str]


def names_in(bar: ChartBar, size: float) -> Iterator[dict[str, Any]]:
    """Yield the chords of a bar, each on its beat, or beside it where there is no room."""
    wide = [name_wide(cell.name, size) for cell, _ in bar.named]
    places = [x for _, x in bar.named]
    edge = 0.0
    for n, x in enumerate(places):
        places[n] = max(x, edge)
        edge = places[n] + wide[n] + _APART_MM
    edge = max(bar.clear, bar.x + BEFORE_MM + sum(wide) + _APART_MM * (len(wide) - 1))
    for n in reversed(range(len(places) if bar.bar.number else 0)):
        places[n] = min(places[n], edge - wide[n])
        edge = places[n] - _APART_MM
    for (cell, _), x, across in zip(bar.named, places, wide, strict=True):
        step = cell.step
        yield {
                "x": x, "text": cell.name, "wide": across,
                "added": step.new,
                "silent": step.chord is None,
            }  # fmt: skip


def names_fit(bar: ChartBar, size: float) -> bool:
    """Whether each symbol stands on its beat, and none touches the next or what closes the bar."""
    spans = [(x, name_wide(cell.name, size)) for cell, x in bar.named]
    edges = [*(x - _APART_MM for x, _ in spans[1:]), bar.clear][: len(spans)]
    return all(x + wide <= edge for (x, wide), edge in zip(spans, edges, strict=True))


def slashes_in(bar: ChartBar, size: float) -> tuple[list[float], list[float]]:
    """Return where a beat falls on which no chord begins: each has its stroke.

    The first stand in the line of the names, on their beats or a little late; the others under
    the name that covers their beat.
    """
    taken = [(name["x"], name["x"] + name["wide"]) for name in names_in(bar, size)]
    beside, under = list[float](), list[float]()
    for here in bar.bare:
        x = max([here, *(end + _CLEAR_MM for start, end in taken if start < here)])
        limit = min([start - 0.6 for start, _ in taken if start > here] + [bar.clear + 0.4])
        fits = x - here <= _SLASH_LATE_MM and x + _SLASH_MM <= limit
        (beside if fits else under).append(x if fits else here)
    return beside, under


def verses_in(
    row: Row, size: float, end: float, verses: Mapping[int, Sequence[int]] = MappingProxyType({})
) -> Iterator[list[Word]]:
    """Yield the words of each line: x, how late against its note, where it ends, the text.

    In small type a word may begin before its note, so that those after it are not late.  Where a
    bar has numbers of verses, each line begins with its own, before the first bar.
    """
    early = _EARLY_MM if size < _EARLY_PT else 0.0
    own = max((verses.get(bar.bar.index, ()) for bar in row), key=len)
    told = [f"{number}." for number in own]
    wide_most = max((text_width(text, size) for text in told), default=0.0)
    left = max(0.0, row[0].x - _NUMBER_MM - wide_most)
    for verse in sorted({verse for bar in row for verse in bar.bar.bar.verses}):
        sung = [
            (bar.at(at), word.text + ("-" if word.goes_on else ""))
            for bar in row
            for at, word in bar.bar.bar.syllables()
            if word.verse == verse and word.text
        ]
        wide = [text_width(text, size) for _, text in sung]
        number = told[verse - 1] if verse <= len(told) and sung else ""
        places, edge = [], left + wide_most + GAP_MM if told else 0.0
        for (at, _), across in zip(sung, wide, strict=True):
            places.append(max(at - early, edge))
            edge = places[-1] + across + GAP_MM
        edge = end + 0.5 + GAP_MM
        for n in reversed(range(len(places))):
            places[n] = max(places[n], min(sung[n][0], edge - wide[n] - GAP_MM))
            edge = places[n]
        before = [(left, 0.0, left + text_width(number, size), number)] if number else []
        yield before + [
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
