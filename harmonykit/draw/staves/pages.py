"""An arrangement as pages to print: its bars on staves, chord symbols above, shapes below."""

from collections.abc import Iterator

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import folded_score, shape_score
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.sheet import HIGH_MM, Group, draw_sheet, sheet_pdf
from harmonykit.draw.staves.staff import draw_measures
from harmonykit.tune.bar import beat_length

_BARS_A_LINE = 4


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
    pace = float(arrangement.tempo / beat_length(tune.meter))
    note = f"{arrangement.instrument.name}, {strings}; {pace:g} beats a minute"
    if tune.composer:
        note = f"{tune.composer}; {note}"
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
