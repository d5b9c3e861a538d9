"""Tunes and arrangements as they show themselves: a chart of their bars, and their shapes.

A table of a notebook as HTML: words alone, in the page's own colours.
"""

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from itertools import islice

from harmonykit.arrange.arrangement import Arrangement, Step, Tune
from harmonykit.arrange.functions import silence_of
from harmonykit.arrange.offering import way_title
from harmonykit.draw.base.canvas import NOTE_PT, SCREEN_MM, Canvas, Drawing
from harmonykit.draw.base.given import spoken_symbol
from harmonykit.draw.chart import Cell, Chart, ChartBar, chart_height, lay_chart
from harmonykit.draw.shapes.box import draw_box
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.printed import printed_chord
from harmonykit.tune.bar import OPENING_SIGNS, Bar, Meter, write_meter
from harmonykit.tune.text.changes import said_tempo
from harmonykit.words.numbers import counted

# Only what is said at length, in the last column, is broken.
_WHOLE = ";white-space:nowrap"


def html_table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table with a head and a row for each of some texts.

    Examples
    --------
    >>> html_table(["chord"], [["D♭7 & on"]]).splitlines()[1]
    '<tr><th style="text-align:left">chord</th></tr>'
    """
    lines = [_row("th", heads), *(_row("td", row) for row in rows)]
    return "\n".join(("<table>", *lines, "</table>"))


def _row(tag: str, texts: Sequence[str]) -> str:
    last = len(texts) - 1
    cells = (
        f'<{tag} style="text-align:left{"" if place == last else _WHOLE}">{escape(text)}</{tag}>'
        for place, text in enumerate(texts)
    )
    return f"<tr>{''.join(cells)}</tr>"


MOST_BARS = 48
"""How many bars of a tune are shown; of an arrangement too."""

_MOST_SHAPES, _SIDE_MM = 16, 4.0


def show_tune(tune: Tune) -> Drawing:
    """Draw a tune's chart as it is written: its bars with repeats, endings and jumps.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> print(show_tune(read_tune(find_data("tunes", "heron_landing"))).alt)
    Heron Landing, D major, 4/4, 116 quarter notes a minute, 24 bars. A: bar 1, D six; ...
    """
    bars = tuple(islice(written(tune), MOST_BARS))
    left = len(tune.bars) - len(bars)
    plain = tuple(section.name for section in tune.sections)
    foot = [f"Order: {' '.join(tune.order)}."] if tune.order != plain else []
    foot += [_cut_short(left, "write_tune writes the whole tune")] if left else []
    chart = Chart(tune.title, ", ".join(_about(tune)), bars, " ".join(foot), last=not left)
    canvas = Canvas(SCREEN_MM, chart_height(chart))
    lay_chart(canvas, chart)
    return canvas.drawing(tune.title, _alt(chart))


def _cut_short(left: int, where: str) -> str:
    return f"{left} more bar{'s are' if left > 1 else ' is'} not shown; {where}."


def _about(tune: Tune) -> Iterator[str]:
    yield tune.key.unicode
    yield write_meter(tune.meter)
    yield said_tempo(tune.tempo, tune.meter)
    yield counted(tune.bars[-1].number, "bar")
    if tune.composer:
        yield tune.composer


def written(tune: Tune) -> Iterator[ChartBar]:
    """Yield a tune's bars as they are written."""
    meter = tune.meter
    ending: tuple[int, ...] = ()
    for section in tune.sections:
        for bar in section.bars:
            cells = tuple(
                Cell(
                    float(change.at / bar.length),
                    printed_chord(change.chord),
                    silent=change.chord is None,
                )
                for change in bar.changes
            )
            new = bar.ending if bar.ending != ending else ()
            yield ChartBar(
                bar.number,
                cells,
                section.name if bar is section.bars[0] else "",
                " ".join(_above(bar, meter, new)),
                " ".join(_after(bar)),
                ending=bool(bar.ending),
                opens=bar.opens,
                closes=bool(bar.closes),
            )
            meter, ending = bar.meter, bar.ending


def _above(bar: Bar, meter: Meter, ending: Sequence[int]) -> Iterator[str]:
    if bar.meter != meter:
        yield write_meter(bar.meter)
    if ending:
        yield f"{', '.join(map(str, ending))}."
    yield from (sign for sign in bar.signs if sign in OPENING_SIGNS)


def _after(bar: Bar) -> Iterator[str]:
    if bar.closes > 2:
        yield f"{bar.closes} times"
    yield from (sign for sign in bar.signs if sign not in OPENING_SIGNS)


def show_arrangement(way: Arrangement) -> Drawing:
    """Draw an arrangement as it is played: chords with their frets, then the shapes as boxes."""
    bars = tuple(islice(_played(way), MOST_BARS))
    left = len(way.tune.playing) - len(bars)
    foot = ["Underlined chords are added."] if way.added else []
    foot += [_cut_short(left, "the steps of the arrangement list them all")] if left else []
    about = (
        f"for {way.instrument.name}, {way.tune.key.unicode}, {'{}/{}'.format(*way.tune.meter)}, "
        f"{way.tempo:g} quarter notes a minute, {counted(len(way.sounding), 'chord')}, "
        f"{len(way.added)} added, {counted(len(way.shapes), 'shape')}"
    )
    title = way_title(way.tune.title, way.name)
    chart = Chart(title, about, bars, " ".join(foot), last=not left)
    top, boxes = chart_height(chart), list(_boxes(way))
    rows = list(_rows(boxes))
    high = sum(map(_row_high, rows))
    more = len(way.shapes) - len(boxes)
    canvas = Canvas(SCREEN_MM, top + high + (6.0 if more else 0.0))
    lay_chart(canvas, chart)
    _lay_boxes(canvas, rows, top + 2.0)
    if more:
        said = f"{more} more shape{'s are' if more > 1 else ' is'} not shown."
        canvas.text(_SIDE_MM, top + high + 3.0, said, NOTE_PT, colour="soft", anchor="left")
    return canvas.drawing(title, _alt(chart))


def _played(way: Arrangement) -> Iterator[ChartBar]:
    starts = {section.name: section.bars[0] for section in way.tune.sections}
    before: Step | None = None
    for played, steps in zip(way.tune.playing, way.bars(), strict=True):
        cells = []
        for step in steps:
            if before is None or _seen(step) != _seen(before):
                at = (step.onset - played.onset) / played.bar.length
                cells.append(_cell(step, float(at)))
            before = step
        section = played.section if starts[played.section] is played.bar else ""
        yield ChartBar(played.bar.number, tuple(cells), section)


def _seen(step: Step) -> tuple[str, str]:
    name = step.chord.unicode if step.chord else silence_of(step)
    return name, step.voicing.digits if step.voicing else ""


def _cell(step: Step, at: float) -> Cell:
    name, digits = _seen(step)
    return Cell(at, name, digits, step.added)


def _boxes(way: Arrangement) -> Iterator[Drawing]:
    """Yield the first shapes as boxes, each under the chord for which it comes first."""
    firsts: dict[Voicing, Chord] = {}
    for step in way.sounding:
        if step.voicing and step.chord:
            firsts.setdefault(step.voicing, step.chord)
    for voicing, chord in islice(firsts.items(), _MOST_SHAPES):
        yield draw_box(voicing, chord, name=chord.unicode, marks="roles")


def _rows(boxes: Sequence[Drawing]) -> Iterator[list[Drawing]]:
    """Yield the boxes row by row, their columns equally wide."""
    wide = max((box.width_mm for box in boxes), default=1.0)
    count = int((SCREEN_MM - 2 * _SIDE_MM) / wide)
    for start in range(0, len(boxes), count):
        yield list(boxes[start : start + count])


def _lay_boxes(canvas: Canvas, rows: Sequence[Sequence[Drawing]], top: float) -> None:
    number = 0
    for row in rows:
        level = max(box.origin_mm[1] for box in row)
        x = _SIDE_MM
        for box in row:
            number += 1
            canvas.place(box, x, top + level - box.origin_mm[1], f"shape-{number}-")
            x += max(one.width_mm for one in row)
        top += _row_high(row)


def _row_high(row: Sequence[Drawing]) -> float:
    level = max(box.origin_mm[1] for box in row)
    return level + max(box.height_mm - box.origin_mm[1] for box in row) + 4.0


def _alt(chart: Chart) -> str:
    """Say the chart in words: each section, each bar by its number with its chords."""
    said = f"{chart.title}, {chart.below}."
    for bar in chart.bars:
        if bar.section:
            said += f" {bar.section}:"
        chords = [spoken_symbol(cell.text) + (", added" * cell.added) for cell in bar.cells]
        said += f" bar {bar.number}, {' then '.join(chords) or 'the same'};"
    return said.rstrip(";")


def table_of_added(way: Arrangement) -> str:
    """Return the added chords of an arrangement as an HTML table; nothing where none is added."""
    if not way.added:
        return ""
    playing = way.tune.playing
    rows = [
        (
            str(playing[step.bar].bar.number),
            step.chord.unicode if step.chord else "",
            step.voicing.digits if step.voicing else "",
            step.move,
            step.reason,
        )
        for step in way.added
    ]
    return html_table(("bar", "chord", "frets", "move", "reason"), rows)
