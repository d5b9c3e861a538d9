"""Whether a level does what it says: it adds what it names, and its top line keeps its contour.

A level with ``moves = []`` plays the tune as written and is meant so.

In a phrase of a level that climbs no note of the top line is lower than the one before it, and the
last is higher than the first; a level that falls is the mirror image.  An arch climbs, then falls;
a valley falls, then climbs (common practice, no source).

A level that climbs or falls does so in every phrase, or it is refused; a close of two bars on one
grip may stay.  Of an arch or a valley,
which few chords allow, the level says in which phrases it stands.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from harmonykit.arrange import slots, top_line, written
from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.arrange.moves import Refused, Setting, move_named
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.text import spans
from harmonykit.lesson.plan.keys import CONTOUR_OF
from harmonykit.lesson.plan.model import Chart, Front, Lesson, LessonError, Level
from harmonykit.tune.analysis.function import find_phrases
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted, join_words

_TIME = "must last at least"


def misplaced(lesson: Lesson) -> Iterator[str]:
    """Yield a line for each section that shows another level, and each level without a chart.

    A level that is added among others takes the number of the next: calls name levels by number.
    """
    names = [played.level.name for played in lesson.played]
    own = {name.casefold(): index for index, name in enumerate(names)}
    found = [
        (section.title, [block.level for block in section.blocks if isinstance(block, Chart)])
        for section in lesson.sections
    ]
    shown = {level for _, charts in found for level in charts}
    for title, charts in found:
        index = own.get(title.casefold())
        if index is not None and charts and index not in charts:
            shown.add(index)
            yield (
                f'section "{title}" shows level {charts[0] + 1}, "{names[charts[0]]}": its own is '
                f"level {index + 1}, so type {index + 1} in its calls, as in "
                f"{{{{ chart({index + 1}) }}}}"
            )
    for index, name in enumerate(names):
        if shown and index not in shown:
            yield (
                f'level {index + 1}, "{name}", has no chart in the text: write a section with '
                f"{{{{ chart({index + 1}) }}}}"
            )


def check_level(front: Front, index: int, arrangement: Arrangement) -> None:
    """Check that a level adds what it says, where it has moves.

    Raises
    ------
    LessonError
        With the rule that refused each move most often.
    """
    level = front.levels[index]
    if not level.moves or arrangement.added:
        return
    reasons = [_reason(move, front, level, arrangement) for move in level.moves]
    where = f" on the {front.instrument.name}" if front.also else ""
    raise LessonError(
        f"level {index + 1}, {level.name!r}, adds nothing to {front.tune.title}{where}",
        rule="; ".join(reasons),
        mend=" or ".join(_mends(level, reasons)),
    )


def _reason(move: str, front: Front, level: Level, arrangement: Arrangement) -> str:
    rules = Counter(each.rule for each in arrangement.refusals if each.move == move and each.rule)
    tune = front.tune
    setting = Setting(tune.key, tune.melody, level.tempo, level.least_seconds)
    if is_offered(move, tune, setting):
        return f"{move}: no shape within the level's limits is worth the change"
    if rules:
        ((rule, count),) = rules.most_common(1)
        return f"{move}: {rule} ({counted(count, 'place')})"
    return f"{move}: the tune has no chord for it"


def is_offered(move: str, tune: Tune, setting: Setting) -> bool:
    """Whether a move finds a place in the tune, before shapes are looked for."""
    rule = move_named(move)
    return any(
        not isinstance(one, Refused)
        for slot in slots.slots_of(tune)
        for one in rule.offer(slot, setting)
    )


def _mends(level: Level, reasons: list[str]) -> Iterator[str]:
    if any(_TIME in reason for reason in reasons):
        yield f"a tempo below {level.tempo:g} or a shortest chord below {level.least_seconds:g} s"
    if any("limits" in reason for reason in reasons):
        yield "a higher fret or a wider reach, or the move as prefer_move"
    yield "other moves"
    yield "moves = [] for the tune as written"


_WAYS = {"rise": (1,), "fall": (-1,), "arch": (1, -1), "valley": (-1, 1)}
ONE_WAY = ("rise", "fall")
"""The contours that a level keeps in every phrase."""

_VERBS = {1: "rises", -1: "falls"}


@dataclass(frozen=True, slots=True)
class Against:
    """A place where the top line goes against the wording of its level.

    Parameters
    ----------
    bar : int
        In playing order from 0.
    what : str
        What it does there, in words.
    """

    bar: int
    what: str


def against(way: Arrangement, contour: str) -> tuple[Against, ...]:
    """Return where the top line of an arrangement does not follow a contour, phrase by phrase.

    Parameters
    ----------
    way : Arrangement
    contour : str
        ``"rise"``, ``"fall"``, ``"arch"`` or ``"valley"``.
    """
    stops = top_line.stops_of(way)
    found: list[Against] = []
    for phrase in find_phrases(way.tune):
        inside = [stop for stop in stops if stop.end > phrase.onset and stop.onset < phrase.end]
        line = [next(same) for _, same in groupby(inside, key=lambda stop: stop.top)]
        line = [stop for stop in line if stop.top is not None]
        grips = {stop.voicing for stop in inside if stop.voicing}
        if len(grips) == 1 and phrase.last_bar - phrase.first_bar <= 1:
            continue
        found += _against(line, _WAYS[contour], phrase.first_bar)
    return tuple(found)


def _against(line: Sequence[top_line.Stop], ways: Sequence[int], bar: int) -> Iterator[Against]:
    """Yield what is wrong with one phrase: a move that is not due, or one that never comes."""
    due, taken = 0, set[int]()
    for before, after in pairwise(line):
        step = 1 if (after.top or 0) > (before.top or 0) else -1
        if step != ways[due] and due + 1 < len(ways) and due in taken:
            due += 1
        if step == ways[due]:
            taken.add(due)
        else:
            yield Against(after.bar, f"{_VERBS[step]} from {_top(before)} to {_top(after)}")
    if line and len(taken) < len(ways):
        missed = next(way for place, way in enumerate(ways) if place not in taken)
        if not taken and len(line) == 1:
            yield Against(bar, f"begins a phrase and stays on {_top(line[0])} throughout")
        else:
            yield Against(bar, f"begins a phrase in which it never {_VERBS[missed]}")


def _top(stop: top_line.Stop) -> str:
    shape: Voicing | None = stop.voicing
    if shape is None:
        return ""
    pairs = zip(shape.midi, shape.notes, strict=True)
    return next(note.unicode for midi, note in pairs if note is not None and midi == shape.top)


def said_of_contour(way: Arrangement, contour: str) -> str:
    """Return in which phrases an arch or a valley stands, in words; nothing for other contours.

    Parameters
    ----------
    way : Arrangement
    contour : str
    """
    if contour in ONE_WAY or contour not in _WAYS:
        return ""
    wrong = {one.bar for one in against(way, contour)}
    numbers = written.printed_numbers(way)
    found = [
        number
        for phrase in find_phrases(way.tune)
        if not wrong.intersection(range(phrase.first_bar, phrase.last_bar + 1))
        for number in {numbers[n][0] for n in range(phrase.first_bar, phrase.last_bar + 1)}
    ]
    name = f"{'an' if contour == 'arch' else 'a'} {contour}"
    if not found:
        return f"The top line never makes {name}: the chords do not allow it."
    return f"The top line makes {name} in {spans(sorted(found))}."


def check_wording(front: Front, index: int, way: Arrangement) -> None:
    """Check that a level follows the contour that it names.

    Raises
    ------
    LessonError
        With the first bars in which it does not, and what to type.
    """
    level = front.levels[index]
    wrong = against(way, level.contour) if level.contour in ONE_WAY else ()
    if not wrong:
        return
    said = next(word for word, contour in CONTOUR_OF.items() if contour == level.contour)
    numbers = written.printed_numbers(way)
    places = [f"in bar {numbers[one.bar][0]} it {one.what}" for one in wrong[:2]]
    more = f", and {len(wrong) - 2} more" if len(wrong) > 2 else ""
    where = f" on the {front.instrument.name}" if front.also else ""
    higher = min(level.limits.max_fret + 3, front.instrument.frets)
    raise LessonError(
        f"level {index + 1}, {level.name!r}, says contour = {said!r}{where}; "
        f"the top line: {join_words(places)}{more}",
        rule="the top line of every phrase follows the contour of the level",
        mend=f'highest_fret = {higher}, walks in its moves, or contour = "any"',
    )
