"""What each finger does in a change that matters, as the lines of a table."""

from collections.abc import Iterator

from harmonykit.draw.base.given import string_names
from harmonykit.fretboard.hands.change import (
    CROSSES,
    LANDS,
    LIFTS,
    ROLLS,
    SLIDES,
    STAYS,
    FingerMove,
)
from harmonykit.lesson.together.rescue import Hard
from harmonykit.words.numbers import join_words


def finger_lines(one: Hard) -> Iterator[tuple[str, str]]:
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
