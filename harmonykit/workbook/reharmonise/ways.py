"""The ways that a search found, as rows that table and plot share.

A row is one arrangement: the tune as written, one of the k best, or a point of the front.  An
arrangement that is found twice, with the same chords and sounding notes, is one row.  Across on the
plot are the semitones that the voices move, up the millimetres that the hand travels; a third
measure is the number of chords put in.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from functools import cached_property

from harmonykit.arrange import offering, search, slots, styles
from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.arrange.choices import Front, Point, Triple
from harmonykit.arrange.front import pareto_front
from harmonykit.arrange.idioms.rule import idiom_moves
from harmonykit.arrange.measures import Measures, measure, values_of
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.strings.instrument import as_instrument
from harmonykit.score.typed import read_typed
from harmonykit.theory.key import Key
from harmonykit.values import dataclass, field, fields, replace
from harmonykit.workbook.reharmonise.framing import Framing, framing_of, phrases_of
from harmonykit.workbook.reharmonise.state import OWN_STYLE, ReharmoniseState

Progress = Callable[[int, int], None]
BEST = "best-"
FIRST = f"{BEST}1"
AS_WRITTEN, LETTERS, COST = "written", "ABCDEFG", "cost"
# More labels a layer make a front more exact and slower: so many in all keep it to some seconds.
_LABELS, _LEAST_LABELS = 80_000, 120


@dataclass(frozen=True)
class Row:
    """An arrangement with what it is called and measured by.

    Parameters
    ----------
    id : str
        ``"written"``, ``"best-1"`` to ``"best-12"``, ``"front-1"`` on.
    mark : str
        What stands in its mark: a number for one of the best, a letter for a choice of the front,
        ``0`` for the tune as written, nothing for the front's others.
    name : str
    arrangement : Arrangement
    values : tuple of int
        Semitones, millimetres, chords put in.
    cost : int or None
        What the search paid, where it was asked to.
    why : str
        Why one would take it.
    on_front : bool or None
        Whether it is on the front; ``None`` where the front is not known.
    also : str
        Another id by which it is found: of the best that it is, where that is the tune as written.
    measured : Measures or None
        All measures, where they are known already.
    """

    id: str
    mark: str
    name: str
    arrangement: Arrangement
    values: Triple
    cost: int | None = None
    why: str = ""
    on_front: bool | None = None
    also: str = ""
    measured: Measures | None = field(default=None, repr=False, compare=False)

    @cached_property
    def measures(self) -> Measures:
        """All measures; they take a moment, so that they are made when first asked for."""
        return self.measured or measure(self.arrangement)

    @property
    def kind(self) -> str:
        """``"written"``, ``"best"`` or ``"front"``."""
        return self.id.split("-")[0]

    @property
    def title(self) -> str:
        """Its name beside its mark."""
        return self.name.removeprefix(f"{self.mark}, ")

    @property
    def is_told(self) -> bool:
        """Whether it has a mark of its own, and so always a row in the table."""
        return bool(self.mark)


@dataclass(frozen=True)
class Ways:
    """All rows of one search, and the state that they answer."""

    state: ReharmoniseState
    framing: Framing
    rows: tuple[Row, ...]
    front: Front | None = None

    @property
    def tune(self) -> Tune:
        """The tune that was arranged, with its intro and its ending."""
        return self.framing.tune

    @cached_property
    def _by_id(self) -> dict[str, Row]:
        also = {row.also: row for row in self.rows if row.also}
        return also | {row.id: row for row in self.rows}

    def get(self, name: str) -> Row | None:
        """Return the row of an id, or nothing."""
        return self._by_id.get(name)

    def chosen(self, name: str) -> Row:
        """Return the row of an id, or the best there is."""
        return self._by_id.get(name) or self._by_id[FIRST]

    def listed(self, state: ReharmoniseState) -> tuple[Row, ...]:
        """Return the rows of the table: all with a mark, and what is shown; in the order asked.

        The tune as written comes first, to compare with.
        """
        shown = (self.chosen(state.chosen).id, state.beside)
        rows = [row for row in self.rows if row.is_told or row.id in shown]
        if state.order == COST:
            rows.sort(key=lambda row: (_is_other(row), row.cost is None, row.cost or 0))
        elif state.order in COLUMNS:
            rows.sort(key=lambda row: (_is_other(row), float(getattr(row.measures, state.order))))
        return tuple(rows)


def _is_other(row: Row) -> bool:
    """Whether a row is another than the tune as written."""
    return row.id != AS_WRITTEN


COLUMNS = tuple(each.name for each in fields(Measures))
"""The measures by which a table can be sorted, besides ``"cost"``."""


def find_best(state: ReharmoniseState, progress: Progress) -> Ways:
    """Return the tune as written and the k best.

    Parameters
    ----------
    state : ReharmoniseState
    progress : callable
        Told how much of how much is done; what it raises ends the search.

    Raises
    ------
    HarmonyError
        If the tune cannot be read, or nothing can be played under these limits.

    Examples
    --------
    >>> state = ReharmoniseState(text="| Dm6 | Bb7 | A7 | Dm6 |", prefer="rootless dominant")
    >>> rows = find_best(state, lambda done, total: None).rows
    >>> [(row.id, row.values[2]) for row in rows][:2]
    [('written', 0), ('best-1', 3)]
    """
    framing = framing_of(tune_of(state), state.decided)
    tune, instrument = framing.tune, as_instrument(state.instrument)
    progress(0, 1)
    wishes = _wishes(state, framing)
    as_it_is = replace(wishes, demands=None, contours=())
    written = search.reharmonise(tune, instrument, (), k=1, wishes=as_it_is)
    best = search.reharmonise(
        tune,
        instrument,
        allowed_moves(state),
        k=state.best,
        progress=progress,
        wishes=replace(wishes, prefer=state.prefer),
    )
    return Ways(state, framing, tuple(_rows(_called(state), written[0], best)))


def _rows(style: str, written: Arrangement, best: Iterable[Arrangement]) -> Iterator[Row]:
    """Yield the tune as written and the best; where that is one of them, it is one row.

    What it costs is known in that case alone: what leaves a chance costs, and without moves there
    is none to be left.
    """
    rows = [
        _row(f"{BEST}{n}", str(n), f"{style} {n}", way, way.cost) for n, way in enumerate(best, 1)
    ]
    first = _row(AS_WRITTEN, "0", "as written", written, None)
    key = _sound_key(written)
    same = [row for row in rows if _sound_key(row.arrangement) == key]
    if same:
        name = f"{first.name}, {same[0].name}"
        first = replace(first, name=name, cost=same[0].cost, also=same[0].id)
    yield first
    yield from (row for row in rows if row.id != first.also)


def _called(state: ReharmoniseState) -> str:
    """Return what the arrangements of a search are called: by the style, where it has a name."""
    return "arrangement" if state.style == OWN_STYLE else state.style


def find_front(ways: Ways, progress: Progress) -> Ways:
    """Return the ways with those of the front beside them.

    Examples
    --------
    >>> state = ReharmoniseState(
    ...     text="| Dm6 | Bb7 | A7 | Dm6 |", best=2, prefer="rootless dominant"
    ... )
    >>> ways = find_front(find_best(state, lambda *n: None), lambda *n: None)
    >>> [row.mark for row in ways.rows][:4], ways.front.bounded
    (['0', '1', '2', 'A'], False)
    """
    state, tune = ways.state, ways.tune
    front = pareto_front(
        tune,
        as_instrument(state.instrument),
        allowed_moves(state),
        most_labels=max(_LEAST_LABELS, _LABELS // len(tune.playing)),
        wishes=_wishes(state, ways.framing),
        progress=progress,
    )
    return replace(ways, rows=_with_front(ways.rows, front), front=front)


def tune_of(state: ReharmoniseState) -> Tune:
    """Return the tune that is typed, in the key that was chosen for it.

    Raises
    ------
    HarmonyError
        If it cannot be read.
    """
    tune = read_typed(state.text, state.number)
    key = state.decided.key
    return replace(tune, key=Key.parse(key)) if key else tune


def allowed_moves(state: ReharmoniseState) -> tuple[str, ...]:
    """Return the moves that may be used, idioms by their names, the user's own among them."""
    moves = [move for move in state.moves if move != offering.ALL_IDIOMS]
    if offering.ALL_IDIOMS in state.moves:
        moves += [move.name for move in idiom_moves().values()]
        moves += [idiom.name for idiom in state.own.values() if idiom.after]
    return tuple(dict.fromkeys(moves))


def contours_of(state: ReharmoniseState, framing: Framing) -> tuple[str, ...]:
    """Return the contour of each phrase: as it was chosen, else as the style has it."""
    if not any(state.decided.contours):
        return ()
    chosen = framing.shown(state.decided).contours
    own = styles.STYLES[state.style].contours if state.style in styles.STYLES else ()
    count = len(phrases_of(framing.tune))
    usual = [own[place % len(own)] if own else "" for place in range(count)]
    return tuple((chosen[n] if n < len(chosen) else "") or usual[n] for n in range(count))


def _wishes(state: ReharmoniseState, framing: Framing) -> Wishes:
    named = state.style in styles.STYLES and state.weights == styles.STYLES[state.style].weights
    return Wishes(
        style=state.style if named else styles.USUAL_STYLE,
        density=state.density,
        texture=state.texture,
        contours=contours_of(state, framing),
        weights=None if named else state.weights,
        limits=state.limits,
        tempo=state.tempo or None,
        bass_player=state.bass_player,
        idioms=tuple(state.own.values()),
        demands=state.demands(slots.slots_of(framing.tune), framing.shown(state.decided)),
    )


def _with_front(rows: Iterable[Row], front: Front) -> tuple[Row, ...]:
    """Return the rows with those of the front; what exists already is told to be on it."""
    choices = {offering.heard(p.arrangement.steps): p for p in front.choices(len(LETTERS))}
    points = {offering.heard(p.arrangement.steps): p for p in front.points}
    letters = dict(zip(choices, LETTERS, strict=False))
    found = []
    for row in rows:
        key = offering.heard(row.arrangement.steps)
        on_front = key in points
        why = choices[key].why if key in choices else ""
        found.append(replace(row, on_front=on_front, why=why))
        points.pop(key, None)
    # The choices come first: they are told apart by letters.
    ordered = [*(k for k in choices if k in points), *(k for k in points if k not in choices)]
    used = iter(LETTERS)
    for place, key in enumerate(ordered, 1):
        found.append(_front_row(place, points[key], next(used) if key in letters else "", choices))
    return tuple(found)


def _front_row(
    place: int, point: Point, letter: str, choices: Mapping[offering.Heard, Point]
) -> Row:
    way = point.arrangement
    told = choices.get(offering.heard(way.steps), point)
    name = f"{letter}, {told.aim}" if letter else f"Pareto front {place}"
    return Row(
        f"front-{place}", letter, name, replace(way, name=name), point.values, None, told.why,
        on_front=True, measured=measure(way),
    )  # fmt: skip


def with_first(ways: Ways, way: Arrangement) -> Ways:
    """Return the ways with another one as the best, until all are found anew."""
    title = f"{_called(ways.state)} 1"
    first = Row(FIRST, "1", title, replace(way, name=title), values_of(way), way.cost)
    rows = [replace(row, also="") for row in ways.rows if row.id != FIRST]
    place = next((n for n, row in enumerate(rows) if row.id != AS_WRITTEN), len(rows))
    return replace(ways, rows=(*rows[:place], first, *rows[place:]))


def _row(name: str, mark: str, title: str, way: Arrangement, cost: int | None) -> Row:
    named, values = replace(way, name=title), values_of(way)
    return Row(name, mark, title, named, values, cost, measured=measure(way))


def _sound_key(way: Arrangement) -> Hashable:
    """What tells one arrangement from another: chords and sounding notes, moment by moment."""
    return tuple((step.onset, step.chord, step.sounds) for step in way.steps)
