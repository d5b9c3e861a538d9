"""What is told of arrangements in a terminal: all of them by numbers, one by chart and reasons."""

import math
import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import chain, pairwise

from harmonykit.about.text import WIDTH
from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.block import harmonise, melody
from harmonykit.arrange.clashes import clashes
from harmonykit.arrange.functions import bars_said
from harmonykit.arrange.left_alone import left_as_written, said_left_alone
from harmonykit.arrange.measures import GROUPS, Measures, measure
from harmonykit.arrange.places import (
    alternatives,
    costs_said,
    places_at,
    prices_said,
    why_none,
    why_nothing,
)
from harmonykit.arrange.playability import SAID_OF_PARTS, playability
from harmonykit.arrange.revising import chosen_at
from harmonykit.arrange.told_changes import basses_left, gone_with, told_changes
from harmonykit.cli.chart import chart_lines
from harmonykit.values import dataclass, fields
from harmonykit.words.numbers import counted, join_words


def taken_lines(way: Arrangement) -> Iterator[str]:
    """Yield an arrangement's chart, why each chord was added, and what rubs with the melody."""
    yield from chart_lines(way, f"{way.name}, in {way.tune.key.unicode}", phrases=False)
    if changes := told_changes(way):
        yield ""
        yield "What was added (8@3 is bar 8, beat 3)"
    elif way.moves:
        yield ""
        why = f": {way.moves[0]} found no place. {why_none(way)}" if len(way.moves) == 1 else "."
        yield from textwrap.wrap(f"No chord was added{why}", WIDTH, break_on_hyphens=False)
    for each in changes:
        yield from textwrap.wrap(str(each), WIDTH, subsequent_indent="  ", break_on_hyphens=False)
    if way.moves and (alone := said_left_alone(left_as_written(way).values())):
        yield from textwrap.wrap(alone, WIDTH, subsequent_indent="  ")
    if basses := basses_left(way):
        yield from textwrap.wrap(basses, WIDTH, subsequent_indent="  ")
    yield from finger_lines(way)
    yield from clash_lines(way)


def clash_lines(way: Arrangement) -> Iterator[str]:
    """Yield what rubs with the melody, by bars, alike clashes once with all their bars.

    Those that the tune's own chord would not make are told apart: they are the added ones.
    """
    rubs: dict[str, dict[int, None]] = {}
    for clash in clashes(way):
        what = f"{clash.melody.plain().unicode} with {clash.tone.plain().unicode} of"
        told = f"{clash.rule}, {what} {clash.chord.unicode}"
        if clash.added:
            told += " (added clash)"
        elif clash.written and clash.chord != clash.written:
            told += f"; the tune's own {clash.written.unicode} clashes with it, too"
        rubs.setdefault(told, {})[way.tune.playing[clash.bar].bar.number] = None
    if rubs:
        yield ""
        yield "Clashes of the melody with the chords"
    for told, bars in sorted(rubs.items(), key=lambda pair: min(pair[1])):
        text = f"{bars_said(tuple(sorted(bars)))}: {told}"
        yield from textwrap.wrap(text, WIDTH, subsequent_indent="  ")


def place_lines(way: Arrangement, at: str) -> Iterator[str]:
    """Yield what could stand at a place, the cheapest first, each with what the whole then costs.

    Parameters
    ----------
    way : Arrangement
    at : str
        As ``places_at`` reads it: ``"8"``, ``"8.2"``, ``"8@3"``.

    Raises
    ------
    HarmonyError
        If it is not a bar of the tune, or has no such chord.
    """
    bar, chord = places_at(way, at)[0]
    found = alternatives(way, bar, chord)
    inside = dict.fromkeys(str(way.tune.playing[s.bar].bar.number) for s in found[0].steps)
    held = f", in bars {join_words([*inside])}," if len(inside) > 1 else ""
    head = (
        f"What fits at {at}{held} while all other chords stay, the cheapest first. Costs are of the"
    )
    text = f"{head} whole arrangement, compared with what is played now. {prices_said(way, found)}"
    yield from textwrap.wrap(text, WIDTH)
    alike = Counter(each.bars for each in found)
    now = chosen_at(way, found[0].steps[0].onset)
    for each in found:
        chords = each.placed if alike[each.bars] > 1 else " | ".join(map(" ".join, each.bars))
        yield f"  {chords} ({'played now' if each.chosen == now else each.costs})"
        for told in filter(None, (each.reason, each.not_in_use, each.often)):
            yield from textwrap.wrap(told, WIDTH, initial_indent="    ", subsequent_indent="    ")
    if len(found) == 1:
        why = why_nothing(way, bar, chord)
        yield from textwrap.wrap(f"Nothing else fits at {at}{why and f': {why}'}.", WIDTH)
    text = f'--choose {at} "CHORDS" takes any chords that you type; what led there may go.'
    if any(step.added for each in found if each.chosen == now for step in each.steps):
        text += f" --refuse {at} searches the whole again, and others may change with it."
    yield from textwrap.wrap(text, WIDTH)


def choice_lines(ways: Sequence[Arrangement], chosen: Sequence[tuple[str, str]]) -> Iterator[str]:
    """Yield what was chosen at single places, each with what the whole then costs.

    Parameters
    ----------
    ways : sequence of Arrangement
        The last before anything was chosen, and one after each choice.
    chosen : sequence of (str, str)
        Places with what was typed for them.
    """
    head = "What was chosen. Costs are of the whole arrangement, compared with what stood there."
    yield from textwrap.wrap(f"{head} {prices_said(ways[-1])}", WIDTH)
    for (at, chords), (before, after) in zip(chosen, pairwise(ways), strict=True):
        yield f"  {at}: {chords} ({costs_said(after.cost - before.cost)})"
        if gone := gone_with(before, after):
            text = f"Gone with it: {join_words([*gone])}."
            yield from textwrap.wrap(text, WIDTH, initial_indent="    ", subsequent_indent="    ")


def finger_lines(way: Arrangement) -> Iterator[str]:
    """Yield what the fingers do at each change of shape, alike changes once with all their bars.

    A change in which no finger stays or slides is not told.
    """
    told: dict[str, dict[int, None]] = {}
    before = None
    for step, change in zip(way.steps, way.changes, strict=True):
        if change and before and step.voicing != before.voicing and (change.kept or change.slid):
            names = " to ".join(_named(one) for one in (before, step))
            told.setdefault(f"{names}: {change.words}", {})[
                way.tune.playing[step.bar].bar.number
            ] = None
        before = step
    if told:
        yield ""
        yield "Fingering (1 is the index finger), where fingers stay or slide"
    for words, bars in sorted(told.items(), key=lambda pair: min(pair[1])):
        text = f"{bars_said(tuple(sorted(bars)))}: {words}"
        yield from textwrap.wrap(text, WIDTH, subsequent_indent="  ", break_on_hyphens=False)


def _named(step: Step) -> str:
    chord = step.named.unicode if step.named else ""
    return f"{chord} {step.voicing.digits}".lstrip() if step.voicing else chord


def about_block_chords(found: melody.OnTop) -> Iterator[str]:
    """Yield where chords stand under a melody, and what was done where none could."""
    tune = found.arrangement.tune
    strings = "all strings" if len(found.arrangement.instrument.strings) <= 4 else "four strings"
    yield f"Chord melody: {counted(found.chords, 'chord')}, {counted(found.alone, 'single note')}."
    roles = harmonise.melody_roles(found.arrangement)
    total = sum(roles.played.values())
    told = f"{roles.coloured} of {counted(total, 'long note')}"
    written = roles.coloured_as_written
    yield f"  Guide tones and tensions: {told}; over the tune's own chords, {written}"
    if found.octave:
        count, way = abs(found.octave), "higher" if found.octave > 0 else "lower"
        yield f"  {'an octave' if count == 1 else f'{count} octaves'} {way} than written"
    done: dict[str, dict[str, dict[int, None]]] = {}
    for one in found.listed:
        bar = next(p for p in reversed(tune.playing) if p.onset <= one.onset).bar.number
        done.setdefault(one.done, {}).setdefault(one.note.unicode, {})[bar] = None
    for what, notes in done.items():
        said = ", ".join(f"{note} ({bars_said(tuple(bars))})" for note, bars in notes.items())
        text = f"  {what}: {said}"
        yield from textwrap.wrap(text, WIDTH, subsequent_indent="    ", drop_whitespace=True)
    if found.raised_by > 0:
        up = counted(found.raised_by, "semitone")
        yield f"  Raised by {up}, every melody note could be on top of {strings}."


_COLUMNS, _WIDE = 6, 6
_EASIER_OR_HARDER = "harder"


@dataclass(frozen=True, slots=True)
class Line:
    """A measure of some arrangements: its name and unit, the values as printed, what more is."""

    name: str
    values: tuple[str, ...]
    more: str

    @property
    def differs(self) -> bool:
        """Whether arrangements differ in it."""
        return len(set(self.values)) > 1


def number_lines(ways: Sequence[Arrangement]) -> Iterator[str]:
    """Yield the numbers of arrangements, the first of which stands in every block.

    What is the same in all is told in a sentence.
    """
    lines = [*lines_of(ways)]
    shown = [line for line in lines if line.differs or len(ways) == 1]
    wide = max((len(line.name) for line in shown), default=0)
    rest = range(1, max(len(ways), 2))
    for start in range(0, len(rest), _COLUMNS - 1):
        columns = [0, *(n for n in rest[start : start + _COLUMNS - 1] if n < len(ways))]
        yield ""
        yield " " * wide + "".join(f"{n + 1:{_WIDE}}" for n in columns) + "  more is"
        for line in shown:
            row = "".join(f"{line.values[n]:>{_WIDE}}" for n in columns)
            yield f"{line.name:{wide}}{row}  {line.more}"
    if same := [f"{line.name.strip()} {line.values[0]}" for line in lines if line not in shown]:
        yield from textwrap.wrap(
            f"The same in all: {'; '.join(same)}.", WIDTH, subsequent_indent="  "
        )


def lines_of(ways: Sequence[Arrangement]) -> Iterator[Line]:
    """Yield each measure that is shown, and below the difficulty the points of its parts."""
    told = {each.name: each.metadata for each in fields(Measures)}
    found = [measure(way) for way in ways]
    rows = [dict(zip(told, each.row, strict=True)) for each in found]
    for name in chain.from_iterable(GROUPS.values()):
        about = told[name]
        values = numbers([row[name] for row in rows])
        yield Line(f"{about['name']}, {about['unit']}", values, about["more"])
        if name == "playability":
            yield from _parts(ways)


def _parts(ways: Sequence[Arrangement]) -> Iterator[Line]:
    rated = [playability(way) if way.sounding else None for way in ways]
    for name, words in SAID_OF_PARTS.items():
        values = numbers([None if one is None else float(one[name].points) for one in rated])
        yield Line(f"  points {words}", values, _EASIER_OR_HARDER)


def numbers(values: Sequence[float | None]) -> tuple[str, ...]:
    """Return numbers of a line as they are printed, as fine as the largest allows.

    Examples
    --------
    >>> numbers([3, 12]), numbers([0.25, 0.5]), numbers([2.345, 11.0]), numbers([0.5, 227.8])
    (('3', '12'), ('0.25', '0.50'), ('2.3', '11.0'), ('0', '228'))
    >>> numbers([float("inf"), None])
    ('∞', '–')
    """
    finite = [value for value in values if value is not None and math.isfinite(value)]
    fine = all(isinstance(value, int) for value in finite)
    most = max(map(abs, finite), default=0)
    digits = 0 if fine or most >= _LARGE else 2 if most < 1 else 1
    return tuple(
        _NONE
        if value is None
        else "∞"
        if math.isinf(value)
        else f"{round(value, digits) + 0.0:.{digits}f}"
        for value in values
    )


_LARGE, _NONE = 100, "–"
