"""A level's chart for the page: bars of chords with their shapes, and what may be set.

Conventions.  Bars bear the sheet's numbers, a pick-up apart; steps are counted from 0 in playing
order; times are seconds from the first click.
"""

import math
from collections.abc import Collection, Iterator
from fractions import Fraction
from typing import NamedTuple

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.written import printed_numbers
from harmonykit.draw.base import canvas, fonts
from harmonykit.fretboard.hands.change import STAYS, Change
from harmonykit.fretboard.hands.hand import Fingering
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.page.figures import PX_PER_MM, Figures, Styles, Symbol
from harmonykit.lesson.page.pairs import BarsFirst, PairView, view_bars_first, view_pairs
from harmonykit.lesson.page.printed import Printed, PrintedBar, times_said
from harmonykit.lesson.page.rows import COLUMN_PX, beside_classes, fit_class
from harmonykit.lesson.plan.model import Played
from harmonykit.lesson.plan.shown import Shown, notes_heard
from harmonykit.lesson.plan.takes import PlayAlong
from harmonykit.lesson.rehearsals import hard_span, led_of, said_bars
from harmonykit.lesson.together.rescue import hard_changes, said_tempo
from harmonykit.sound.performance import section_spans
from harmonykit.sound.rehearsal import LOOP_BARS, Rehearsal
from harmonykit.sound.rehearsal_said import said_rehearsal
from harmonykit.theory.printed import NO_CHORD
from harmonykit.tune.bar import write_meter
from harmonykit.tune.tune import PICKUP, PlayedBar, Tune, bar_length, beat_length
from harmonykit.values import dataclass, replace

_SLASH_PX, _GAP_PX, _LINES_PX, _HOLD_PX, _REPEAT_PX = 14, 8, 6, 23, 11
_USUAL_SOUND, _REST = PlayAlong(), "–"
_PAPER_LEAD_PX, _DIGITS_PT, _DIGITS_LEFT_PX = 56, 10.5, 19


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
    again: bool = False

    @property
    def width(self) -> float:
        """The CSS pixels that it takes: its box, or its name and a slash."""
        return max(self.symbol.width if self.symbol else 0.0, self._head)

    @property
    def printed(self) -> float:
        """The CSS pixels that it takes on paper, where a box stands over its first bar alone."""
        return self._head if self.again else self.width

    @property
    def small(self) -> float:
        """The CSS pixels that it takes where a box that came before leaves its frets alone."""
        if not self.again:
            return self.width
        frets = fonts.text_width(self.digits, _DIGITS_PT, fonts.REGULAR) * PX_PER_MM
        return max(self._head, _DIGITS_LEFT_PX + frets + _GAP_PX)

    @property
    def stroked(self) -> float:
        """The CSS pixels that it takes with a stroke for each beat behind its name."""
        return self._head + _SLASH_PX * max(0, self.slashes - 1)

    @property
    def _head(self) -> float:
        head = fonts.text_width(self.name, canvas.NAME_PT, fonts.SEMIBOLD) * PX_PER_MM
        left = self.symbol.left if self.symbol else 0.0
        return left + head + _HOLD_PX * self.held + (_SLASH_PX if self.slashes else _GAP_PX)


@dataclass(frozen=True, slots=True)
class BarView:
    """A bar as it is played; ``part`` is the section's name where a section begins."""

    number: str
    part: str
    cells: tuple[Cell, ...]

    @property
    def name(self) -> str:
        """What the bar is called in a sentence."""
        return f"the {PICKUP}" if self.number == PICKUP else f"bar {self.number}"


@dataclass(frozen=True, slots=True)
class ChartView:
    """A chart: its bars, and the class that says how many of them stand in a row.

    ``beside`` are classes of the bars on the page, which stand two by two where rows are narrow.
    ``bars`` are those played, of which those have chords that stand for others too; ``printed``
    are the bars on the page, and ``choices`` how each bar played is named in a list.  ``order`` are
    the sections in playing order.  ``rounds`` are what may be played round and round: name, first
    bar and last, counted from 0; ``parts`` what is heard, and whether it is heard at first.
    ``practice`` are the lines of the level, ``beats`` on which the click may be heard alone, in
    words and as figures; ``sings`` says whether there are leading tones to be sung, ``intro`` how
    many bars an intro has; ``pairs`` are the changes that matter, ``two_bars`` those to practise.
    """

    level: int
    played: Played
    bars: tuple[BarView, ...]
    printed: tuple[PrintedBar, ...]
    choices: tuple[str, ...]
    order: tuple[str, ...]
    fit: str
    width: int
    beside: tuple[str, ...]
    facts: str
    rounds: tuple[tuple[str, int, int], ...]
    strings: tuple[str, ...]
    words: bool
    parts: tuple[tuple[str, bool], ...]
    practice: tuple[str, ...] = ()
    beats: tuple[str, str] | None = None
    sings: bool = False
    intro: int = 0
    pairs: tuple[PairView, ...] = ()
    two_bars: BarsFirst | None = None


def view_chart(
    level: int, played: Played, figures: Figures, sound: PlayAlong = _USUAL_SOUND
) -> ChartView:
    """Return what the template needs to set a level's chart."""
    tune, printed = played.arrangement.tune, Printed(played.arrangement, figures.styles)
    bars, shown = view_bars(played.arrangement, figures, printed.firsts), printed.bars()
    strokes = max(sum(cell.stroked for cell in bar.cells) for bar in bars)
    width = max(needed_width(bars), *(math.ceil(max(one.sung_px, strokes)) for one in shown))
    sung = max((one.sung_px for one in shown), default=0)
    return ChartView(
        level,
        played,
        bars,
        shown,
        choices=tuple(times_said([bar.number for bar in bars])),
        order=printed.order,
        fit=f"{fit_class(width)} {paper_class(bars, sung)}",
        width=width,
        beside=_beside(bars, shown, figures.styles),
        facts=_facts(played),
        rounds=(*_rounds(tune, bars), *_hard_rounds(played)),
        strings=tuple(played.arrangement.instrument.labels) if printed.has_frets else (),
        words=printed.has_words,
        parts=tuple(_parts_heard(played.arrangement, sound)),
        practice=tuple(map(said_rehearsal, played.level.practice)),
        beats=_OFF_BEATS.get(int(bar_length(tune.meter) / beat_length(tune.meter))),
        sings=bool(led_of(played.arrangement)),
        intro=min(played.arrangement.strum.intro, len(bars)),
        pairs=view_pairs(played, figures),
        two_bars=view_bars_first(played),
    )


def _beside(
    bars: tuple[BarView, ...], shown: tuple[PrintedBar, ...], styles: Styles
) -> tuple[str, ...]:
    cells = [bars[one.first].cells for one in shown]
    widths = [_small_px(*each) for each in zip(shown, cells, strict=True)]
    return beside_classes(widths, [one.column for one in shown], styles)


def _small_px(bar: PrintedBar, cells: tuple[Cell, ...]) -> float:
    """Return the CSS pixels that a bar takes where rows are narrow, its repeat signs with it."""
    boxes = sum(cell.small for cell in cells)
    strokes = sum(cell.stroked for cell in cells)
    signs = int(bool(bar.signs["opens"])) + int(bar.signs["close"] == "repeat")
    return max(boxes + _LINES_PX, strokes, bar.sung_small_px) + _REPEAT_PX * signs


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
            between = "and" if last == first + 1 else "to"
            more = f"s {bars[first].number} {between}" if first < last else ""
            yield f"{name}, bar{more} {bars[last].number}", first, last


def view_bars(
    arrangement: Arrangement, figures: Figures, drawn: Collection[int] | None = None
) -> tuple[BarView, ...]:
    """Return the bars of an arrangement in playing order, with their chords and shapes.

    Where ``drawn`` names bars, only they have chords, and it is marked which shapes came before.
    """
    playing = arrangement.tune.playing
    fingers = zip(arrangement.fingerings, arrangement.changes, strict=True)
    held = [_Held(index, *pair) for index, pair in enumerate(fingers)]
    cells: list[list[Cell]] = [[] for _ in playing]
    seen: set[Voicing | None] = set()
    for at, step in zip(held, arrangement.steps, strict=True):
        if drawn is None or step.bar in drawn:
            cell = _cell(at, step, playing[step.bar], figures)
            if step.chord is None and not playing[step.bar].bar.number:
                # A rest of a pick-up is no silence of the chords, on the sheet as here.
                cell = replace(cell, name=_REST, slashes=0)
            again = drawn is not None and step.voicing in seen
            cells[step.bar].append(replace(cell, again=again) if again else cell)
            seen.add(step.voicing)
    rows = zip(printed_numbers(arrangement), _parts(arrangement), cells, strict=True)
    return tuple(
        BarView(str(number or PICKUP), part, tuple(bar)) for (number, _), part, bar in rows
    )


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
    meter = write_meter(tune.meter)
    pace = said_tempo(float(played.level.tempo), tune.meter)
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
    cell = Cell(at.step, step.beats, slashes, step.new, held=held)
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


def paper_class(bars: tuple[BarView, ...], sung: float = 0) -> str:
    """Return the class of charts of which so many bars stand in a row on paper.

    ``sung`` are the CSS pixels that the words of the fullest bar take.
    """
    chords = max((sum(cell.printed for cell in bar.cells) for bar in bars), default=0)
    width = max(chords, sung) + _LINES_PX
    fits = (count for count in (4, 2) if count * width < COLUMN_PX - _PAPER_LEAD_PX)
    return f"paper-{next(fits, 1)}"
