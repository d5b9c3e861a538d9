"""The changes of a level that matter: the hardest, as pairs, with what each finger does.

Conventions.  A change is harder the more its fingers must leave the strings, and the farther they
go.  A finger that crosses to another string counts three, one that lands two, one that slides or
rolls one, one that lifts a half; a centimetre of the hand's way counts one (common practice, no
source).  Of changes equally hard the one that comes more often stands first.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.written import printed_numbers
from harmonykit.draw.base.style import join_words
from harmonykit.draw.base.words import string_names
from harmonykit.fretboard.hands.change import (
    CROSSES,
    LANDS,
    LIFTS,
    ROLLS,
    SLIDES,
    STAYS,
    Change,
    FingerMove,
)

_WEIGHTS = {STAYS: 0.0, LIFTS: 0.5, ROLLS: 1.0, SLIDES: 1.0, LANDS: 2.0, CROSSES: 3.0}
_CM = 10.0


@dataclass(frozen=True, slots=True)
class HardChange:
    """A change of shape, and the bars in which it comes.

    Parameters
    ----------
    before, after : Step
        As it is played first.
    change : Change
    bars : tuple of int
        The printed number of each bar in which the new shape begins.
    """

    before: Step
    after: Step
    change: Change
    bars: tuple[int, ...]

    @property
    def hardness(self) -> float:
        """How hard it is; see the module."""
        return sum(_WEIGHTS[move.what] for move in self.change.moves) + self.change.mm / _CM

    @property
    def over_a_bar_line(self) -> bool:
        """Whether the new shape begins another bar."""
        return self.before.bar != self.after.bar


def hard_changes(way: Arrangement) -> tuple[HardChange, ...]:
    """Return the changes of an arrangement, the hardest first, each pair of shapes once.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> way = reharmonise("| C6 | F6 | C6 | Bb7 |", "ukulele", (), k=1)[0]
    >>> hardest = hard_changes(way)[0]
    >>> hardest.before.chord.symbol, hardest.after.chord.symbol, hardest.bars
    ('C6', 'F6', (2,))
    """
    numbers = printed_numbers(way)
    found: dict[object, HardChange] = {}
    for before, after, change in zip(way.steps, way.steps[1:], way.changes[1:], strict=False):
        if change is None or before.voicing in (None, after.voicing) or after.alone:
            continue
        if before.alone or before.chord is None or after.chord is None:
            continue
        key = before.voicing, after.voicing, before.chord, after.chord
        bar = numbers[after.bar][0]
        one = found.get(key)
        bars = (*one.bars, bar) if one else (bar,)
        first = one or HardChange(before, after, change, bars)
        found[key] = HardChange(first.before, first.after, first.change, tuple(dict.fromkeys(bars)))
    return tuple(sorted(found.values(), key=lambda one: (-one.hardness, -len(one.bars))))


def finger_lines(one: HardChange) -> Iterator[tuple[str, str]]:
    """Yield what the fingers do in a change, a verb and the rest; a silent verb is left out."""
    yield "bars" if len(one.bars) > 1 else "bar", ", ".join(map(str, one.bars))
    held = one.before.voicing, one.after.voicing
    if held[0] is None or held[1] is None:
        return
    names = string_names(held[1].instrument)
    pairs = zip(*(shape.frets for shape in held if shape), strict=True)
    open_ = [names[s] for s, (a, b) in enumerate(pairs) if a == b == 0]
    moves = one.change.moves
    stay = [move for move in moves if move.what == STAYS]
    if stay:
        yield "stays" if len(stay) == 1 else "stay", _fingers(stay)
    elif open_:
        yield "stays" if len(open_) == 1 else "stay", f"the open {join_words(open_)}"
    for what, verbs in _VERBS.items():
        here = [move for move in moves if move.what == what]
        if here:
            yield verbs[len(here) > 1], "; ".join(_said(move, names) for move in here)
    gone = [move for move in moves if move.what == LIFTS]
    if gone:
        yield "lifts" if len(gone) == 1 else "lift", _fingers(gone)


_VERBS = {
    ROLLS: ("rolls", "roll"),
    SLIDES: ("slides", "slide"),
    CROSSES: ("crosses", "cross"),
    LANDS: ("lands", "land"),
}


def _fingers(moves: list[FingerMove]) -> str:
    return join_words([str(move.finger) for move in moves])


def _said(move: FingerMove, names: tuple[str, ...] | list[str]) -> str:
    start, end = move.start, move.end
    if end is None:
        return str(move.finger)
    where = names[end.first]
    if end.width > 1:
        where = f"{end.width} strings"
    if move.what == SLIDES and start is not None:
        return f"{move.finger} from fret {start.fret} to {end.fret}"
    if move.what == ROLLS:
        return f"{move.finger} {'flat' if end.width > 1 else 'up'} at fret {end.fret}"
    return f"{move.finger} to fret {end.fret}, {where}"
