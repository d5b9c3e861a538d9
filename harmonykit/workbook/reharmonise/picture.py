"""The picture of an arrangement: what is written over what is played, why, and how it differs.

Phrase by phrase, each chord stands below the tune's own, with what it does; the highest note goes
as a line; an added chord bears the number of its reason, which stands beside its phrase.  A second
arrangement goes below the first, bar by bar, and bars that differ are marked.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache
from types import MappingProxyType

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.functions import functions_of
from harmonykit.lesson.page.chart import BarView, Cell, needed_width
from harmonykit.theory.printed import printed_chord
from harmonykit.tune.analysis.function import find_phrases
from harmonykit.tune.analysis.numerals import Analysed, printed_numeral
from harmonykit.tune.tune import PICKUP, PlayedBar, Tune
from harmonykit.values import dataclass, replace
from harmonykit.workbook.reharmonise import decisions, plot
from harmonykit.workbook.reharmonise.charts import Charts, LinePart, PutIn, line_parts, put_in
from harmonykit.workbook.reharmonise.framing import Framing, phrases_of
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Row, Ways

CHOSEN, BESIDE = "chosen", "beside"
# Small: sections and choices of the front have capital letters.
_LETTERS = {CHOSEN: "a", BESIDE: "b"}
_WIDEST = 174


@dataclass(frozen=True, slots=True)
class CellShown:
    """A chord of the picture.

    Parameters
    ----------
    id : str
        By which it is pressed; empty in an arrangement that is only compared.
    cell : Cell
    written : str
        The tune's own chord, where it begins here or its bar does.
    numeral, does : str
        What the chord does: its numeral, and in words what it leads to.
    mark : str
        The number of its reason; empty for the tune's own.
    locked : bool
    line : LinePart
    said : str
    """

    id: str
    cell: Cell
    written: str
    numeral: str
    does: str
    mark: str
    locked: bool
    line: LinePart
    said: str


@dataclass(frozen=True, slots=True)
class LaneShown:
    """The chords of one arrangement in a bar; ``same`` where they are those of the other."""

    way: str
    letter: str
    cells: tuple[CellShown, ...]
    same: bool


@dataclass(frozen=True, slots=True)
class BarShown:
    """A bar: ``index`` counts as played from 0; ``number`` is the written one.

    One of an intro or an ending, which stands as it is written, is not ``free``.
    """

    index: int
    number: str
    part: str
    held: bool
    free: bool
    differs: bool
    lanes: tuple[LaneShown, ...]


@dataclass(frozen=True, slots=True)
class NoteShown:
    """Why an added chord stands there; ``as_in`` says where the same was said before."""

    way: str
    mark: str
    about: PutIn
    as_in: str = ""


@dataclass(frozen=True, slots=True)
class PhraseShown:
    """A phrase: its bars, its reasons, what was refused in it, and the contour that is wanted.

    Its number is counted from 0 in the tune itself; an intro and an ending have none.
    """

    number: int | None
    name: str
    contour: str
    bars: tuple[BarShown, ...]
    notes: tuple[NoteShown, ...]
    refused: tuple[tuple[int, str], ...]

    @property
    def alike(self) -> bool:
        """Whether two arrangements are shown, and are the same here."""
        return all(len(bar.lanes) > 1 and not bar.differs for bar in self.bars)


@dataclass(frozen=True, slots=True)
class Picture:
    """All of it; ``width`` is what its fullest bar takes, in CSS pixels."""

    names: tuple[tuple[str, str, str], ...]
    width: int
    phrases: tuple[PhraseShown, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Lane:
    """One arrangement as it is shown."""

    way: str
    letter: str
    arrangement: Arrangement
    views: tuple[BarView, ...]
    marks: tuple[str, ...]
    notes: tuple[NoteShown, ...]
    cells: tuple[tuple[CellShown, ...], ...]


def picture_of(ways: Ways, state: ReharmoniseState, charts: Charts) -> Picture:
    """Return the picture of the way that is shown, and of what stands beside it.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| C6 | Dm7 |", moves=(), best=1)
    >>> picture = picture_of(find_best(state, lambda done, total: None), state, Charts())
    >>> [(phrase.name, len(phrase.bars)) for phrase in picture.phrases]
    [('Phrase 1, bars 1 to 2', 2)]
    """
    row, other = ways.chosen(state.chosen), ways.get(state.beside)
    rows, decided = [(CHOSEN, row)], ways.framing.shown(state.decided)
    if other is not None and other.id != row.id:
        rows.append((BESIDE, other))
    both = len(rows) > 1
    lines = line_parts([each.arrangement for _, each in rows])
    lanes = [
        _lane(name, each, charts, parts, decided, both=both)
        for (name, each), parts in zip(rows, lines, strict=True)
    ]
    held = decisions.held_bars(row.arrangement, decided)
    free = ways.framing.bars
    bars = [_bar(n, played, lanes, held, free) for n, played in enumerate(ways.tune.playing)]
    widths = [needed_width(lane.views) for lane in lanes]
    return Picture(
        names=tuple((_LETTERS[n] if both else "", r.name, plot.numbers(r.values)) for n, r in rows),
        width=min(max(widths), _WIDEST),
        phrases=tuple(_phrases(ways.framing, decided, bars, lanes)),
        notes=tuple(dict.fromkeys(n for _, r in rows for n in r.arrangement.notes)),
    )


def _lane(
    name: str,
    row: Row,
    charts: Charts,
    lines: Sequence[LinePart],
    decided: decisions.Decisions,
    *,
    both: bool,
) -> _Lane:
    way, views, playing = row.arrangement, charts.of(row), row.arrangement.tune.playing
    letter = _LETTERS[name] if both else ""
    notes = tuple(_notes(name, letter, way))
    marks = tuple(_marks(way, notes))
    told, places = functions_of(way), decisions.places_of(way)
    wanted = {each[0][1] for each in decided.wanted} if name == CHOSEN else set()
    written = _written(way)
    cells = []
    for view in views:
        shown = []
        for cell in view.cells:
            n = cell.step
            place, step = places[n], way.steps[n]
            number = playing[step.bar].bar.number
            locked = place.slot.onset in wanted or (name == CHOSEN and number in decided.locked)
            said = _said(step, cell, told[n], number, locked=locked)
            numeral = printed_numeral(told[n].numeral)
            ident = place.id if name == CHOSEN else ""
            shown.append(
                CellShown(
                    ident, cell, written[n], numeral, told[n].words, marks[n], locked, lines[n],
                    said,
                )
            )  # fmt: skip
        cells.append(tuple(shown))
    return _Lane(name, letter, way, views, marks, notes, tuple(cells))


def _notes(name: str, letter: str, way: Arrangement) -> Iterable[NoteShown]:
    """Yield the reasons; one that was given before keeps its number and is not said again."""
    known: dict[tuple[str, str, str], NoteShown] = {}
    for each in put_in(way):
        key = (each.chord, each.reason, each.often)
        if key in known:
            first = known[key]
            yield replace(first, about=each, as_in=f"as in bar {first.about.bar}")
        else:
            known[key] = NoteShown(name, f"{letter}{len(known) + 1}", each)
            yield known[key]


def _marks(way: Arrangement, notes: Sequence[NoteShown]) -> Iterable[str]:
    """Yield the number of each step's reason; a chord that is held on has that of its start."""
    starts = {note.about.step: note.mark for note in notes}
    mark = ""
    for index, step in enumerate(way.steps):
        mark = starts.get(index, mark) if step.added else ""
        yield mark


def _written(way: Arrangement) -> list[str]:
    """Return over each step the tune's chords that begin during it, and at a bar what lasts."""
    changes = way.tune.changes
    found, now, place = [], "", 0
    for index, step in enumerate(way.steps):
        begun = []
        while place < len(changes) and changes[place].onset < step.onset + step.beats:
            chord = changes[place].chord
            begun.append(printed_chord(chord))
            place += 1
        new_bar = index == 0 or way.steps[index - 1].bar != step.bar
        found.append(" ".join(begun) or (now if new_bar else ""))
        now = begun[-1] if begun else now
    return found


def _said(step: Step, cell: Cell, does: Analysed, number: int, *, locked: bool) -> str:
    own = step.written.unicode if step.written else "no chord"
    said = [
        f"bar {number}: {cell.name}" if number else f"{PICKUP}: {cell.name}",
        f"added where the tune has {own}" if step.added else "",
        does.words,
        "locked" if locked else "",
    ]
    return ", ".join(filter(None, said))


def _bar(
    index: int, played: PlayedBar, lanes: Sequence[_Lane], held: Collection[int], free: range
) -> BarShown:
    heard = [
        [(c.cell.name, c.cell.digits, c.cell.beats) for c in lane.cells[index]] for lane in lanes
    ]
    same = len(lanes) > 1 and heard[0] == heard[1]
    shown = tuple(
        LaneShown(lane.way, lane.letter, lane.cells[index], same and lane.way == BESIDE)
        for lane in lanes
    )
    view = lanes[0].views[index]
    number = str(played.bar.number or PICKUP)
    differs = len(lanes) > 1 and not same
    return BarShown(index, number, view.part, index in held, index in free, differs, shown)


@lru_cache(maxsize=8)
def _cadences(tune: Tune) -> Mapping[int, str]:
    """Return the cadence of each phrase, by its last bar."""
    return MappingProxyType({phrase.last_bar: phrase.cadence for phrase in find_phrases(tune)})


def _phrases(
    framing: Framing, decided: decisions.Decisions, bars: Sequence[BarShown], lanes: Sequence[_Lane]
) -> Iterable[PhraseShown]:
    playing, cadences = framing.tune.playing, _cadences(framing.tune)
    for place, span in enumerate(phrases_of(framing.tune)):
        inside = [bars[index] for index in span]
        differing = {bar.index for bar in inside if bar.differs or len(lanes) == 1}
        notes = tuple(
            note
            for lane in lanes
            for note in lane.notes
            if lane.arrangement.steps[note.about.step].bar in differing
            or (lane.way == CHOSEN and lane.arrangement.steps[note.about.step].bar in span)
        )
        start, last = playing[span.start].onset, playing[span.stop - 1]
        end = last.onset + last.bar.length
        refused = tuple(
            (count, chord.unicode)
            for count, (onset, chord) in enumerate(decided.refused)
            if start <= onset < end
        )
        first, until = (playing[n].bar.number for n in (span.start, span.stop - 1))
        which = f"bars {first or PICKUP} to {until}" if first < until else f"bar {until}"
        contour = decided.contours[place] if place < len(decided.contours) else ""
        number = framing.phrases[place]
        is_intro = span.start < framing.bars.start
        closes = cadences.get(span.stop - 1, "")
        kind, _, where = closes.partition(" ")
        cadence = f", {kind} cadence {where}".rstrip() if closes else ""
        frame = "Intro" if is_intro else "Ending"
        called = frame if number is None else f"Phrase {number + 1}"
        name = f"{called}, {which}{cadence}"
        yield PhraseShown(number, name, contour, tuple(inside), notes, refused)
