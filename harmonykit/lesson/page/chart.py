"""A level's chart for the page: bars of chords with their shapes, and what may be set.

Conventions.  Bars are numbered from 1 in playing order, a pick-up apart; steps are counted from 0;
times are seconds from the first click.
"""

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.written import printed_numbers
from harmonykit.draw.base.canvas import NAME_PT
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.fretboard.hands.change import STAYS, Change
from harmonykit.fretboard.hands.hand import Fingering
from harmonykit.lesson.handout.tab import tab_of
from harmonykit.lesson.page.figures import PX_PER_MM, Figures, Symbol
from harmonykit.lesson.plan.model import Played
from harmonykit.lesson.plan.shown import Shown, notes_heard
from harmonykit.lesson.plan.takes import PlayAlong
from harmonykit.lesson.rehearsals import hard_span, led_of, said_bars
from harmonykit.lesson.together.rescue import hard_changes, said_tempo
from harmonykit.sound.rehearsal import LOOP_BARS, Rehearsal
from harmonykit.sound.spans import section_spans
from harmonykit.tune.bar import bar_length, beat_length
from harmonykit.tune.playing import Sung
from harmonykit.tune.tune import PICKUP, PlayedBar, Tune

NO_CHORD = "N.C."
_SLASH_PX, _GAP_PX, _LINES_PX, _HOLD_PX = 14, 8, 6, 23
_USUAL_SOUND = PlayAlong()
_COLUMN_PX, _MARGINS_PX, _LEAD_PX = 658, 80, 92


@dataclass(frozen=True, slots=True)
class Cell:
    """A chord in its bar: from a step on, until the next change."""

    step: int
    beats: Fraction
    slashes: int
    added: bool = False
    name: str = NO_CHORD
    digits: str = ""
    alt: str = ""
    symbol: Symbol | None = None
    share: str = ""
    held: bool = False

    @property
    def width(self) -> float:
        """The CSS pixels that it takes: its box, or its name and a slash."""
        head = text_width(self.name, NAME_PT, SEMIBOLD) * PX_PER_MM
        left = self.symbol.left if self.symbol else 0.0
        box = self.symbol.width if self.symbol else 0.0
        held = _HOLD_PX * self.held
        return max(box, left + head + held + (_SLASH_PX if self.slashes else _GAP_PX))


class SungView(NamedTuple):
    """A note of the melody, or a rest: its share of the bar, its string's line and fret, its word.

    Lines are counted from the top one, which is the last string; ``line`` is -1 for a rest.
    """

    share: str
    line: int
    fret: str
    word: str


@dataclass(frozen=True, slots=True)
class BarView:
    """A bar of the chart; ``part`` is the section's name where a section begins."""

    number: str
    part: str
    cells: tuple[Cell, ...]
    sung: tuple[SungView, ...] = ()
    begins_row: bool = False

    @property
    def name(self) -> str:
        """What the bar is called in a sentence."""
        return f"the {PICKUP}" if self.number == PICKUP else f"bar {self.number}"


@dataclass(frozen=True, slots=True)
class ChartView:
    """A chart: its bars, and the class that says how many of them stand in a row.

    ``rounds`` are what may be played round and round: name, first bar and last, counted from 0;
    ``parts`` what is heard, and whether it is heard at first.  ``practice`` are the lines of the
    level, ``beats`` on which the click may be heard alone, in words and as figures; ``sings`` says
    whether there are leading tones to be sung, ``intro`` how many bars an intro has.
    """

    level: int
    played: Played
    bars: tuple[BarView, ...]
    fit: str
    facts: str
    rounds: tuple[tuple[str, int, int], ...]
    strings: tuple[str, ...]
    parts: tuple[tuple[str, bool], ...]
    practice: tuple[str, ...] = ()
    beats: tuple[str, str] | None = None
    sings: bool = False
    intro: int = 0


def view_chart(
    level: int, played: Played, figures: Figures, sound: PlayAlong = _USUAL_SOUND
) -> ChartView:
    """Return what the template needs to set a level's chart."""
    tune, bars = played.arrangement.tune, view_bars(played.arrangement, figures)
    return ChartView(
        level,
        played,
        bars,
        fit=fit_class(needed_width(bars)),
        facts=_facts(played),
        rounds=(*_rounds(tune, bars), *_hard_rounds(played)),
        strings=_lines(bars, played.arrangement),
        parts=tuple(_parts_heard(played.arrangement, sound)),
        practice=tuple(how.words for how in played.level.practice),
        beats=_OFF_BEATS.get(int(bar_length(tune.meter) / beat_length(tune.meter))),
        sings=bool(led_of(played.arrangement)),
        intro=min(played.arrangement.strum.intro, len(bars)),
    )


# Where a click that leaves the first beat to the class is heard (common practice, no source).
_OFF_BEATS = {2: ("two", "2"), 3: ("two and three", "2 3"), 4: ("two and four", "2 4")}


def _hard_rounds(played: Played) -> Iterator[tuple[str, int, int]]:
    """Yield two bars and four from the chord before the hardest change."""
    way, tempo = played.arrangement, played.level.tempo
    if not hard_changes(way, tempo, 1):
        return
    for bars in LOOP_BARS:
        span = hard_span(way, Rehearsal(hard=1, loop=bars), tempo)
        if span[1] - span[0] + 1 == bars:
            yield f"hard change, {said_bars(way, span)}", *span


def _lines(bars: tuple[BarView, ...], way: Arrangement) -> tuple[str, ...]:
    """Return the strings on which the melody stands as frets; none where it has words alone."""
    has_frets = any(note.fret for bar in bars for note in bar.sung)
    return tuple(way.instrument.labels) if has_frets else ()


def _parts_heard(way: Arrangement, sound: PlayAlong) -> Iterator[tuple[str, bool]]:
    yield "strum", True
    yield "click", sound.click
    yield "bass", False
    if way.strum.beat:
        yield "percussion", sound.percussion
    if way.tune.melody:
        yield "melody", sound.melody


def _rounds(tune: Tune, bars: tuple[BarView, ...]) -> Iterator[tuple[str, int, int]]:
    """Yield the whole tune, and each way through a section where there are several."""
    whole = 1 if bars[0].number == PICKUP and len(bars) > 1 else 0
    yield "the whole tune", whole, len(bars) - 1
    for name, span in section_spans(tune):
        first, last = max(span.start, whole), span.stop - 1
        if name != PICKUP and (first, last) != (whole, len(bars) - 1):
            more = f"s {bars[first].number} to" if first < last else ""
            yield f"{name}, bar{more} {bars[last].number}", first, last


def view_bars(arrangement: Arrangement, figures: Figures) -> tuple[BarView, ...]:
    """Return the bars of an arrangement in playing order, with their chords and shapes."""
    playing = arrangement.tune.playing
    fingers = zip(arrangement.fingerings, arrangement.changes, strict=True)
    held = [_Held(index, *pair) for index, pair in enumerate(fingers)]
    steps = zip(held, arrangement.steps, strict=True)
    cells = iter([_cell(at, step, playing[step.bar], figures) for at, step in steps])
    sung, starts = _sung_views(arrangement, figures), _row_starts(arrangement)
    rows = zip(printed_numbers(arrangement), _parts(arrangement), arrangement.bars(), strict=True)
    return tuple(
        BarView(
            str(number or PICKUP), part, tuple(next(cells) for _ in bar), sung[index], starts[index]
        )
        for index, ((number, _), part, bar) in enumerate(rows)
    )


def _row_starts(arrangement: Arrangement) -> list[bool]:
    """Return which bars played begin a row: a section, a repeat, and each fifth bar of either."""
    numbers = [number for number, _ in printed_numbers(arrangement)]
    parts = _sections(arrangement.tune)
    found, count = [], 0
    for index, number in enumerate(numbers):
        before = numbers[index - 1] if index else -1
        after_pickup = not before
        begins = number > 0 and (
            after_pickup or not index or bool(parts[index]) or number <= before or count == _A_ROW
        )
        count = 1 if begins else count + 1
        found.append(begins)
    return found


_A_ROW = 4


def sung_by_bar(tune: Tune) -> list[list[Sung]]:
    """Return the notes of the melody that begin in each bar played."""
    starts = [played.onset for played in tune.playing]
    found: list[list[Sung]] = [[] for _ in starts]
    for one in tune.melody:
        found[bisect_right(starts, one.onset) - 1].append(one)
    return found


def _sung_views(arrangement: Arrangement, figures: Figures) -> list[tuple[SungView, ...]]:
    """Return melody and words of each bar, on the strings where the instrument has their notes."""
    tune, last = arrangement.tune, len(arrangement.instrument.strings) - 1
    frets = {} if arrangement.is_melody else tab_of(arrangement)
    views = []
    for index, notes in enumerate(sung_by_bar(tune)):
        played = tune.playing[index]
        places = {at: (last - string, str(fret)) for at, string, fret in frets.get(index, ())}
        row, reached = [], Fraction(0)
        for one in notes:
            at = one.onset - played.onset
            if at > reached:
                row.append(SungView(_share(at - reached, figures), -1, "", ""))
            line, fret = places.get(at, (0, ""))
            word = next((w for w in one.words if w.text), None)
            text = word.text + ("-" if word.goes_on else "") if word else ""
            row.append(SungView(_share(one.beats, figures), line, fret, text))
            reached = at + one.beats
        if played.lyric:
            row.append(SungView(_share(played.bar.length, figures), 0, "", played.lyric[0]))
        elif row and reached < played.bar.length:
            row.append(SungView(_share(played.bar.length - reached, figures), -1, "", ""))
        views.append(tuple(row))
    return views


def _share(beats: Fraction, figures: Figures) -> str:
    return figures.styles.named(f"flex:{float(beats):g} 0 auto")


def _parts(arrangement: Arrangement) -> list[str]:
    """Return for each played bar the section, or the chorus, that begins with it."""
    choruses = enumerate(arrangement.choruses, 1)
    starts = {one.first: f"Chorus {number}, {one.manner}" for number, one in choruses}
    parts = enumerate(_sections(arrangement.tune))
    return [" · ".join(filter(None, (starts.get(bar, ""), part))) for bar, part in parts]


def _sections(tune: Tune) -> list[str]:
    """Return for each played bar the section that begins with it; nothing if there is but one."""
    first = {section.name: section.bars[0] for section in tune.sections}
    parts = [bar.section if bar.bar == first[bar.section] else "" for bar in tune.playing]
    return parts if sum(map(bool, parts)) > 1 else [""] * len(parts)


def _facts(played: Played) -> str:
    tune = played.arrangement.tune
    meter = f"{tune.meter[0]}/{tune.meter[1]}"
    pace = said_tempo(float(played.performance.tempo), tune.meter)
    return f"{tune.key.unicode} · {meter} · {pace}"


class _Held(NamedTuple):
    """A step's place among all, its fingering, and what the fingers do on the way to it."""

    step: int
    fingering: Fingering | None
    change: Change | None

    @property
    def words(self) -> str:
        """What the fingers do, as a clause behind the shape; empty where the shape is held on."""
        held = self.change is None or all(move.what == STAYS for move in self.change.moves)
        return f"; fingers: {self.change.words}" if self.change and not held else ""


def _cell(at: _Held, step: Step, played: PlayedBar, figures: Figures) -> Cell:
    start = step.onset - played.onset
    beat = beat_length(played.bar.meter)
    slashes = math.ceil((start + step.beats) / beat) - math.floor(start / beat) - 1
    held = any(start <= place < start + step.beats for place in played.bar.fermatas)
    cell = Cell(at.step, step.beats, slashes, step.added, held=held)
    chord, shape = step.chord, step.voicing
    if chord is not None and shape is not None:
        shown = None if step.alone else Shown(shape, chord)
        what, without = ("the shape", _without(shown)) if shown else ("the note alone", "")
        cell = replace(
            cell,
            name=chord.unicode if shown else "",
            digits=shape.digits,
            alt=f"{what} {shape.digits}: {notes_heard(shape, chord)}{without}{at.words}",
            symbol=figures.symbol(shown or shape, at.fingering, at.change),
        )
    # Its part of the bar is by its beats, and never less than it takes.
    flex = f"flex:{float(cell.beats):g} 0 {cell.width:.1f}px"
    return replace(cell, share=figures.styles.named(flex))


def _without(shown: Shown) -> str:
    return f", {shown.lacking}" if shown.lacking else ""


def needed_width(bars: tuple[BarView, ...]) -> int:
    """Return the width in CSS pixels that the fullest bar takes with its boxes side by side."""
    widths = [sum(cell.width for cell in bar.cells) for bar in bars]
    return math.ceil(max(widths, default=0) + _LINES_PX)


def fit_class(width: int) -> str:
    """Return the class of charts whose fullest bar takes a width."""
    return f"fit-{width}"


def fit_css(width: int) -> str:
    """Return the rules that set four, two or one bar in a row, as many as there is room for.

    On a big screen a chart that needs it goes beyond the column, so that four stand in a row.
    """
    name = fit_class(width)
    needed = {columns: columns * width + 1 for columns in (2, 4)}
    rows = "".join(
        f"@container (min-width:{least}px)"
        f"{{.{name} .chart{{grid-template-columns:repeat({columns},minmax(0,1fr))}}}}"
        for columns, least in needed.items()
    )
    # A pick-up stands in a narrow column before the first row.
    led = f"grid-template-columns:{_LEAD_PX}px repeat(4,minmax(0,1fr))"
    rows += (
        f"@container (min-width:{needed[4]}px)"
        f"{{.{name} .led{{{led}}}.{name} .led .row{{grid-column-start:2}}}}"
    )
    four = needed[4]
    if four <= _COLUMN_PX:
        return rows
    return rows + (
        f"@media screen and (min-width:{four + _MARGINS_PX}px)"
        f"{{.{name}{{width:{four}px;margin-left:calc((100% - {four}px) / 2)}}}}"
    )
