"""A chart of bars for a terminal of 80 columns: each chord with its Roman numeral below."""

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, islice, pairwise

from harmonykit.about.text import WIDTH
from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.functions import about_phrases, functions_of, silence_of
from harmonykit.theory.printed import printed_chord
from harmonykit.tune.analysis.function import analyse_chords
from harmonykit.tune.analysis.numerals import Analysed, printed_numeral
from harmonykit.tune.text.writer import bar_words
from harmonykit.tune.tune import Bar, Tune
from harmonykit.values import dataclass, replace

_LEFT, _GAP = 5, 2
_IN_A_ROW = (4, 3, 2, 1)
Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class _Cell:
    """A bar: its number, whether a section begins with it, chords and their numerals, its signs.

    One that ``completes`` the bar before, as a pick-up after an intro, has the same number, which
    is printed once.
    """

    number: int
    starts: bool
    pairs: tuple[Pair, ...]
    before: str = ""
    after: str = ""
    completes: bool = False

    @property
    def lines(self) -> Pair:
        """The chords, and the numerals below, each under its chord."""
        widths = [max(map(len, pair)) for pair in self.pairs]
        names, numerals = zip(*self.pairs, strict=True)
        above, below = _joined(names, widths), _joined(numerals, widths)
        return f"{self.before}{above}{self.after}", f"{' ' * len(self.before)}{below}"

    @property
    def width(self) -> int:
        return max(map(len, self.lines))


def _joined(words: Sequence[str], widths: Sequence[int]) -> str:
    return " ".join(map(str.ljust, words, widths)).rstrip()


def chart_lines(way: Arrangement, heading: str, *, phrases: bool = True) -> Iterator[str]:
    """Yield a chart of the bars of an arrangement, each written bar once.

    Where a bar is played more than once, what it has the first time is shown.  With ``phrases``
    the tune's cadences and ii-V chains follow.
    """
    yield heading
    cells = _completing(_cells(way))
    count = next(n for n in _IN_A_ROW if n == 1 or _fits(cells, n))
    for row in _rows(cells, count):
        yield from _lines(row, cells, count)
    for line in about_phrases(way.tune) if phrases else ():
        yield from textwrap.wrap(line, WIDTH, subsequent_indent="  ", break_on_hyphens=False)


def tune_lines(tune: Tune) -> Iterator[str]:
    """Yield a chart of a tune as it is written, a section at a time, with its signs.

    Repeats and endings are typed as in the text form.
    """
    chords = [change.chord for bar in tune.bars for change in bar.changes]
    told = iter(analyse_chords(chords, tune.key))
    written = [[*_written(section.bars, told)] for section in tune.sections]
    cells = _completing(chain.from_iterable(written))
    left = iter(cells)
    sections = [[*islice(left, len(section))] for section in written]
    count = next(n for n in _IN_A_ROW if n == 1 or _fits(cells, n))
    for section, own in zip(tune.sections, sections, strict=True):
        if len(tune.sections) > 1:
            yield section.name
        for row in _rows(own, count):
            yield from _lines(row, cells, count)


def _written(bars: Sequence[Bar], told: Iterator[Analysed]) -> Iterator[_Cell]:
    before: Bar | None = None
    for bar in bars:
        pairs = tuple(_typed(bar, told))
        ending = bar.ending if before is None or before.ending != bar.ending else ()
        opening = "|: " if bar.opens else ""
        opening += f"[{','.join(map(str, ending))} " if ending else ""
        closing = "" if not bar.closes else " :|" if bar.closes == 2 else f" :|x{bar.closes}"
        signs = "".join(f" {sign}" for sign in bar.signs)
        yield _Cell(bar.number, bar is bars[0], pairs, opening, signs + closing)
        before = bar


def _typed(bar: Bar, told: Iterator[Analysed]) -> Iterator[Pair]:
    """Yield the words of a bar as they would be typed, each chord with its numeral."""
    changes = iter(bar.changes)
    for word in bar_words(bar).split():
        if word[0] in "/-(":
            yield word, ""
            continue
        chord, numeral = next(changes).chord, printed_numeral(next(told).numeral)
        beat = word[word.index("@") :] if "@" in word else ""
        yield printed_chord(chord) + beat, numeral


def _cells(way: Arrangement) -> Iterator[_Cell]:
    told = iter(functions_of(way))
    firsts = [section.bars[0] for section in way.tune.sections]
    seen: list[object] = []
    for played, steps in zip(way.tune.playing, way.bars(), strict=True):
        pairs = tuple(
            (
                step.named.unicode if step.named else silence_of(step),
                printed_numeral(next(told).numeral),
            )
            for step in steps
        )
        if not any(played.bar is bar for bar in seen):
            seen.append(played.bar)
            starts = any(played.bar is bar for bar in firsts)
            yield _Cell(played.bar.number, starts, _once(pairs))


def _once(pairs: tuple[Pair, ...]) -> tuple[Pair, ...]:
    """Return chords in a bar without one that is only struck again."""
    return (*pairs[:1], *(two for one, two in pairwise(pairs) if one != two))


def _completing(cells: Iterable[_Cell]) -> list[_Cell]:
    """Return bars, those marked that complete the one before."""
    found: list[_Cell] = []
    for cell in cells:
        found.append(replace(cell, completes=bool(found) and found[-1].number == cell.number))
    return found


def _fits(cells: Sequence[_Cell], count: int) -> bool:
    return _LEFT + (_widest(cells) + _GAP) * count - _GAP <= WIDTH


def _widest(cells: Sequence[_Cell]) -> int:
    return max(cell.width for cell in cells)


def _rows(cells: Sequence[_Cell], count: int) -> Iterator[list[_Cell]]:
    row: list[_Cell] = []
    for cell in cells:
        # A pick-up stands alone, so that phrases begin on the left.
        if row and (cell.starts or len(row) == count or _is_pickup(row[-1])):
            yield row
            row = []
        row.append(cell)
    yield row


def _is_pickup(cell: _Cell) -> bool:
    return cell.number == 0 or cell.starts and cell.completes


def _lines(row: Sequence[_Cell], cells: Sequence[_Cell], count: int) -> Iterator[str]:
    # Columns stand under each other in all rows where several bars fit.
    wide = _widest(cells) + _GAP if count > 1 else 0
    above, below = zip(*(cell.lines for cell in row), strict=True)
    number = " " * 3 if row[0].completes else f"{row[0].number:3}"
    yield f"{number}  " + "".join(text.ljust(wide) for text in above).rstrip()
    if any(below):
        yield (" " * _LEFT + "".join(text.ljust(wide) for text in below)).rstrip()
