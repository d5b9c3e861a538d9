"""What the page tells of an arrangement: its bars, why each chord was put in, and what was refused.

Conventions.  Bars are called by their written numbers, which are the same each time that a section
comes round; a bar that is kept as written is kept each time.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import repeat

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.functions import functions_of, often_at
from harmonykit.draw.base.style import join_words
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.page.chart import BarView, Cell, needed_width, view_bars
from harmonykit.lesson.page.svg import Figures, Styles, Symbol
from harmonykit.theory.chord import Chord
from harmonykit.tune.analysis.chains import Analysed
from harmonykit.tune.analysis.numerals import printed_numeral
from harmonykit.workbook.reharmonise.plot import numbers
from harmonykit.workbook.reharmonise.ways import Row

# Put before every name that another panel on the page may have too; the browser gives it a value.
OWN = "@own@"
_WIDEST = 174
_MOST_BARS_NAMED = 12


@dataclass(frozen=True, slots=True)
class BarShown:
    """A bar of the chart; ``written`` is the number by which it is kept.

    ``does`` has what each chord does: its numeral, and in words what it leads to.
    """

    number: str
    written: int
    part: str
    cells: tuple[Cell, ...]
    does: tuple[tuple[str, str], ...]
    locked: bool
    said: str


@dataclass(frozen=True, slots=True)
class ChartShown:
    """A chart with its heading; ``width`` is what its fullest bar takes, in CSS pixels.

    A bar of more chords than four bars in a row have room for sets them one row under the other.
    """

    name: str
    numbers: str
    width: int
    bars: tuple[BarShown, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PutIn:
    """A chord that a move put in, the reason, and how often it was heard there."""

    step: int
    bar: int
    chord: str
    reason: str
    move: str
    often: str = ""


@dataclass(frozen=True, slots=True)
class KeptOut:
    """A move that a rule refused, and where."""

    move: str
    rule: str
    where: str


class Charts:
    """The charts of the ways of one search: each way and each shape is drawn once.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.state import ReharmoniseState
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| C6 | Dm7 |", prefer="leading-tone diminished", best=1)
    >>> row = find_best(state, lambda done, total: None).rows[1]
    >>> print(Charts().of(row, frozenset((2,))).bars[1].said)
    bar 2: Dm7; kept as written
    """

    def __init__(self) -> None:
        self._styles = Styles(OWN)
        # Another panel on the page may have the same ids.
        self._figures = Figures(self._styles, ids=False)
        self._views: dict[str, tuple[BarView, ...]] = {}

    def of(self, row: Row, locked: frozenset[int]) -> ChartShown:
        """Return the chart of a way."""
        way = row.arrangement
        views = self._views.get(row.id) or view_bars(way, self._figures)
        self._views[row.id] = views
        written = [played.bar.number for played in way.tune.playing]
        told = iter(functions_of(way))
        does = [tuple(next(told) for _ in view.cells) for view in views]
        bars = tuple(map(_bar, views, written, does, repeat(locked)))
        width = min(needed_width(views), _WIDEST)
        return ChartShown(row.name, numbers(row.values), width, bars, way.notes)

    @property
    def css(self) -> str:
        """The rules of all that was drawn."""
        return self._styles.css

    @property
    def symbols(self) -> Iterator[tuple[Symbol, str]]:
        """Every shape, with what is drawn in it."""
        return iter(self._figures.symbols)


def _bar(
    view: BarView, written: int, does: tuple[Analysed, ...], locked: frozenset[int]
) -> BarShown:
    chords = [
        " ".join(filter(None, (cell.name, "added" if cell.added else "", _says(each))))
        for cell, each in zip(view.cells, does, strict=True)
    ]
    kept = written in locked
    said = f"bar {written}: {join_words(chords)}; {'kept as written' if kept else 'may change'}"
    told = tuple((printed_numeral(each.numeral), each.words) for each in does)
    return BarShown(str(written), written, view.part, view.cells, told, kept, said)


def _says(does: Analysed) -> str:
    return f"({does.words})" if does.words else ""


def put_in(way: Arrangement) -> tuple[PutIn, ...]:
    """Return the chords that are added to the tune's own, each with its reason; held ones once."""
    playing, found = way.tune.playing, []
    before: Step | None = None
    for index, step in enumerate(way.steps):
        goes_on = before is not None and before.added and before.chord == step.chord
        if step.added and step.chord is not None and not (goes_on and not step.reason):
            number = playing[step.bar].bar.number
            often = often_at(way, index)
            found.append(PutIn(index, number, step.chord.unicode, step.reason, step.move, often))
        before = step
    return tuple(found)


def kept_out(way: Arrangement) -> tuple[KeptOut, ...]:
    """Return what was refused: each move and rule once, with the bars and chords it is about."""
    playing = way.tune.playing
    grouped: dict[tuple[str, str], dict[str, None]] = {}
    for refusal in way.refusals:
        number = playing[refusal.bar].bar.number
        places = grouped.setdefault((refusal.move, refusal.rule), {})
        places[f"{refusal.chord} in bar {number}"] = None
    return tuple(KeptOut(move, rule, _where(list(at))) for (move, rule), at in grouped.items())


def _where(places: list[str]) -> str:
    more = len(places) - _MOST_BARS_NAMED
    said = ", ".join(places[:_MOST_BARS_NAMED])
    return f"{said} and {more} more" if more > 0 else said


def neck_of(way: Arrangement, index: int) -> Drawing:
    """Return the shape of a step on the neck, with the way from the shape before it."""
    step = way.steps[index]
    earlier = [one for one in way.steps[:index] if one.voicing is not None]
    before = earlier[-1] if earlier else None
    old = (before.voicing, before.chord) if before is not None else (None, None)
    return _neck(step.voicing, step.chord, *old)


@lru_cache(maxsize=128)
def _neck(
    shape: Voicing, chord: Chord | None, before: Voicing | None, old: Chord | None
) -> Drawing:
    if before is None or before == shape:
        return draw_neck(shape.instrument, [(shape, chord)])
    return draw_neck(shape.instrument, [(before, old), (shape, chord)], arrows=True)


def sounding_steps(way: Arrangement) -> tuple[int, ...]:
    """Return the indices of the steps in which the hand takes a new shape or a new chord comes."""
    found: list[int] = []
    for index, step in enumerate(way.steps):
        held = index > 0 and (step.chord, step.voicing) == (
            way.steps[index - 1].chord,
            way.steps[index - 1].voicing,
        )
        if step.voicing is not None and not held:
            found.append(index)
    return tuple(found)
