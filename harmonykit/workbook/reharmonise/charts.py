"""What the page tells of an arrangement: bars, staff, line of the top notes, reasons and refusals.

Conventions.  Bars are called by their written numbers, which are the same each time that a section
comes round; a bar that is kept as written is kept each time.

The line: heights are in CSS pixels from the top of the strip in which it goes; several arrangements
share one scale, so that their lines can be compared.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.functions import often_at
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.draw.staves.engraving import engrave
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.page import chart, figures
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.score.score import Score
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass
from harmonykit.workbook.reharmonise.framing import phrases_of
from harmonykit.workbook.reharmonise.ways import Row

# Put before every name that another panel on the page may have too; the browser gives it a value.
OWN = "@own@"
_WIDEST = 174
_MOST_BARS_NAMED = 12


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
    >>> state = ReharmoniseState(text="| C6 | Dm7 |", moves=(), best=1)
    >>> row = find_best(state, lambda done, total: None).rows[0]
    >>> [cell.name for bar in Charts().of(row) for cell in bar.cells]
    ['C6', 'Dm7']
    """

    def __init__(self) -> None:
        self._styles = figures.Styles(OWN)
        # Another panel on the page may have the same ids.
        self._figures = figures.Figures(self._styles, ids=False)
        self._views: dict[int, tuple[Arrangement, tuple[chart.BarView, ...]]] = {}

    def of(self, row: Row) -> tuple[chart.BarView, ...]:
        """Return the bars of a way, with their chords and shapes."""
        way = row.arrangement
        _, views = self._views.get(id(way), (None, None))
        if views is None:
            views = chart.view_bars(way, self._figures)
            # The arrangement stays with its bars, so that its id is no other's.
            self._views[id(way)] = way, views
        return views

    @property
    def css(self) -> str:
        """The rules of all that was drawn."""
        return self._styles.css

    @property
    def symbols(self) -> Iterator[tuple[figures.Symbol, str]]:
        """Every shape, with what is drawn in it."""
        return iter(self._figures.symbols)


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


HIGH_PX, ABOVE_PX, BELOW_PX = 52, 18, 6


@dataclass(frozen=True, slots=True)
class LinePart:
    """The line from one chord to the next.

    Parameters
    ----------
    start, end : float or None
        Heights here and at the next chord; ``None`` where nothing sounds.
    name : str
        The note, where it is the highest of its phrase for the first time.
    """

    start: float | None = None
    end: float | None = None
    name: str = ""


def line_parts(ways: Sequence[Arrangement]) -> list[list[LinePart]]:
    """Return the line of each arrangement, a part for each of its steps.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("| C6 | Dm7 |", "ukulele", (), 1)
    >>> [[step.voicing.top for step in way.steps], [part.name for part in line_parts([way])[0]]]
    [[69, 72], ['', 'C5']]
    """
    tops = [step.voicing.top for way in ways for step in way.steps if step.voicing]
    low, high = min(tops, default=0), max(tops, default=1)
    room = HIGH_PX - ABOVE_PX - BELOW_PX

    def height(step: Step) -> float | None:
        if step.voicing is None:
            return None
        share = (high - step.voicing.top) / max(high - low, 1)
        return round(ABOVE_PX + share * room, 1)

    found = []
    for way in ways:
        heights = [height(step) for step in way.steps]
        after = [*heights[1:], None]
        names = _names(way)
        parts = zip(heights, after, names, strict=True)
        found.append([LinePart(start, end, name) for start, end, name in parts])
    return found


def _names(way: Arrangement) -> list[str]:
    """Return the name of the highest note of each phrase, at the step where it first sounds."""
    names = [""] * len(way.steps)
    for span in phrases_of(way.tune):
        inside = [
            (step.voicing.top, -index)
            for index, step in enumerate(way.steps)
            if step.bar in span and step.voicing
        ]
        if inside:
            index = -max(inside)[1]
            names[index] = _top_name(way.steps[index])
    return names


def _top_name(step: Step) -> str:
    shape, chord = step.voicing, step.chord
    if shape is None or chord is None:
        return ""
    note = shape.spelled(chord)[shape.midi.index(shape.top)]
    return "" if note is None else f"{note.plain().unicode}{note.octave}"


BARS = 16
WIDE_MM = 174.0


def staff_of(score: Score, first: int, wide_mm: float = WIDE_MM) -> str:
    """Return so many bars of a score for a page, from a place counted from 0 in playing order."""
    cut = score.cut(range(first, min(first + BARS, len(score.measures))))
    return engrave(write_musicxml(cut), wide_mm, shapes=True).for_page()
