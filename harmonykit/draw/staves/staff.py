"""Bars of an arrangement on a staff: as a figure, and all of them as pages to print.

The score is that of the arrangement (``arrange.score``), cut to the bars that are asked for and
engraved (``engraving``).  What the engraver leaves to a style sheet is put on the elements, so that
the figure is the same wherever it is shown, and what nothing refers to is left out.
"""

import re
from collections.abc import Iterator
from dataclasses import replace

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.score import folded_score, shape_score
from harmonykit.arrange.written import counted_otherwise
from harmonykit.draw.base.given import spoken_symbol
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.sheet import HIGH_MM, Group, draw_sheet, sheet_pdf
from harmonykit.draw.staves.engraving import engrave
from harmonykit.errors import HarmonyError
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.score.score import Score
from harmonykit.tune.bar import beats_a_minute
from harmonykit.tune.tune import PICKUP

_BARS_A_LINE = 4
_FIRST_METER = re.compile(r"(<part id=.*?)<time>", re.DOTALL)
# What the engraver leaves free below the lowest thing.
_FOOT_MM = 6.5


def draw_staff(
    arrangement: Arrangement,
    first: int | None = None,
    last: int | None = None,
    *,
    palette: str = "colour",
    width_mm: float = 174.0,
) -> Drawing:
    """Draw bars of an arrangement as notes, with chord symbols above and shapes below.

    The notes are those that the shapes sound; where the tune has a melody, it stands above them.

    Parameters
    ----------
    arrangement : Arrangement
    first, last : int, optional
        Numbers of bars in playing order, counted from 1, a pick-up being 0; all bars unless given.
    palette : str
        The name of a palette.
    width_mm : float

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If there are no such bars.

    Examples
    --------
    >>> tune = hk.read_tune("heron_landing")
    >>> plain = hk.reharmonise(tune, "ukulele", [], k=1)[0]
    >>> print(hk.draw.staff(plain, 25, 26).alt.split(":")[0])
    Heron Landing, bars 25 to 26 on a staff
    """
    bars = bars_between(arrangement, first, last)
    drawn = draw_measures(shape_score(arrangement), bars, palette, width_mm)
    return replace(drawn, sheet=replace(drawn.sheet, alt=_alt(arrangement, bars)))


def draw_measures(
    score: Score,
    measures: range,
    palette: str = "colour",
    width_mm: float = 174.0,
    *,
    a_line: int = _BARS_A_LINE,
    goes_on: bool = False,
) -> Drawing:
    """Return measures of a score of shapes, by their places from 0, so many a line.

    Where they go on from the line before, the metre is written only if it changes.
    """
    musicxml = write_musicxml(_cut(score, measures, a_line))
    start = measures.start
    if goes_on and score.measures[start - 1].meter == score.measures[start].meter:
        musicxml = _FIRST_METER.sub(r'\1<time print-object="no">', musicxml)
    engraved = engrave(musicxml, width_mm, palette, shapes=True, own_lines=True)
    sheet = engraved.sheet
    return replace(engraved, sheet=replace(sheet, height=sheet.height - _FOOT_MM))


def bars_between(
    arrangement: Arrangement, first: int | None = None, last: int | None = None
) -> range:
    """Return the places of bars, counted from 0 in playing order, by their numbers.

    Raises
    ------
    HarmonyError
        If there are no such bars.
    """
    numbers = [number for number, _ in arrangement.tune.numbers]
    low, high = numbers[0] if first is None else first, numbers[-1] if last is None else last
    found = [index for index, number in enumerate(numbers) if low <= number <= high]
    if not found or low not in numbers or high not in numbers:
        raise HarmonyError(
            f"bars {low} to {high} are not in the tune", rule=f"bars {numbers[0]} to {numbers[-1]}"
        )
    return range(found[0], found[-1] + 1)


def _alt(arrangement: Arrangement, bars: range) -> str:
    numbers = [number for number, _ in arrangement.tune.numbers]
    low, high = numbers[bars.start], numbers[bars.stop - 1]
    named = f"bars {low} to {high}" if low else f"the {PICKUP} to bar {high}"
    if low == high:
        named = f"bar {low}" if low else f"the {PICKUP}"
    played = arrangement.bars()[bars.start : bars.stop]
    said = "; ".join(", ".join(_said(step) for step in steps) for steps in played)
    return f"{arrangement.tune.title}, {named} on a staff: {said}"


def _said(step: Step) -> str:
    if step.chord is None or step.voicing is None:
        return "no chord"
    return f"{spoken_symbol(step.chord.unicode)} as {step.voicing.digits}"


def _cut(score: Score, bars: range, a_line: int) -> Score:
    """Return a score of some of its bars, so many a line, without the name of its only part."""
    cut = score.cut(bars)
    measures = tuple(
        replace(measure, new_line=place > 0 and place % a_line == 0)
        for place, measure in enumerate(cut.measures)
    )
    # Whose the only part is the sheet says.
    parts = cut.parts if len(cut.parts) > 1 else (replace(cut.parts[0], name=""),)
    return replace(cut, measures=measures, parts=parts)


def staff_pages(
    arrangement: Arrangement, *, title: str = "", paper: str = "a4", palette: str = "print"
) -> tuple[Drawing, ...]:
    """Return an arrangement as pages, four bars a line.

    Parameters
    ----------
    arrangement : Arrangement
    title : str
        On top of the first page; the tune's own where empty.
    paper : {"a4", "letter"}
    palette : str
        The name of a palette.
    """
    groups = [Group("", (line,)) for line in _lines(arrangement, palette)]
    tune, strings = arrangement.tune, arrangement.instrument.tuning
    pace = beats_a_minute(float(arrangement.tempo), tune.meter)
    note = f"{arrangement.instrument.name}, {strings}; {pace:g} beats a minute"
    if tune.composer:
        note = f"{tune.composer}; {note}"
    if count := counted_otherwise(arrangement):
        note = f"{note}; {count.partition(': ')[2].replace(' there', ' here')}"
    named = title or tune.title
    return draw_sheet(groups, title=named, note=note, height=HIGH_MM[paper], palette=palette)


def staff_pdf(arrangement: Arrangement, *, title: str = "", paper: str = "a4") -> bytes:
    """Return the pages of an arrangement as a PDF."""
    pages = staff_pages(arrangement, title=title, paper=paper)
    return sheet_pdf(pages, title=title or arrangement.tune.title, paper=paper)


def _lines(arrangement: Arrangement, palette: str) -> Iterator[Drawing]:
    """Yield four bars at a time; a pick-up stands before the first four."""
    score = folded_score(arrangement) or shape_score(arrangement)
    count, start = len(score.measures), 0
    stop = _BARS_A_LINE + (score.measures[0].number == 0)
    while start < count:
        bars = range(start, min(stop, count))
        yield draw_measures(score, bars, palette, a_line=len(bars), goes_on=start > 0)
        start, stop = stop, stop + _BARS_A_LINE
