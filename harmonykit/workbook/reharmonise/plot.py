"""The ways of a search as a scatter, each mark something to press.

Conventions.  Marks are those of ``harmonykit.draw.plots.scatter``.  What is shown has a ring about
it, what stands beside it a dashed ring: nothing is told by colour.
"""

from harmonykit.arrange.choices import Triple
from harmonykit.draw.base.canvas import SCREEN_MM, Canvas, Drawing
from harmonykit.draw.plots import front, scatter
from harmonykit.draw.plots.scatter import Kind, Mark
from harmonykit.draw.svg import ROOT, VARIABLES, Attributes, Pen, opened, points, write_parts
from harmonykit.draw.tree import Group, Part
from harmonykit.draw.tree import Mark as LetterMark
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import AS_WRITTEN, BEST, Row, Ways

# As wide as a telephone shows it in full.
WIDE_MM = 90.0
_ROW = "row-"


def draw_ways(ways: Ways, state: ReharmoniseState, width_mm: float = SCREEN_MM) -> Drawing:
    """Draw the scatter as a still picture, with the numbers that a table says beside a live one."""
    told = () if ways.front is None else (front.how_complete(ways.front),)
    marks = _marks(ways, state)
    return scatter.draw_marks(
        marks, "all arrangements", describe(ways), told=told, width_mm=width_mm
    )


def live_ways(ways: Ways, state: ReharmoniseState) -> str:
    """Return the scatter with parts that can be pressed: ``row-best-1`` and so on."""
    chosen, high = ways.chosen(state.chosen).id, scatter.scatter_high()
    head = {
        "xmlns": "http://www.w3.org/2000/svg",
        "width": f"{WIDE_MM:.3f}mm",
        "height": f"{high:.3f}mm",
        "viewBox": f"0 0 {points(WIDE_MM)} {points(high)}",
        "role": "group",
        "aria-label": "all arrangements",
    }
    canvas = Canvas(WIDE_MM, high)
    scatter.draw_scatter(canvas, _marks(ways, state), WIDE_MM)
    written = write_parts(canvas.parts, _Pressed(colours=VARIABLES, chosen=chosen))
    return f"{opened('svg', [*head.items(), *ROOT])}\n{written}</svg>"


@dataclass(frozen=True, slots=True)
class _Pressed(Pen):
    """Writes each row as something to press."""

    chosen: str = ""

    def named(self, part: Part) -> Attributes:
        """Yield the attributes that say which part it is."""
        if isinstance(part, Group) and part.id.startswith(_ROW):
            yield "data-press", part.id
            yield "role", "button"
            yield "tabindex", "-1"
            yield "aria-pressed", str(part.id == _ROW + self.chosen).lower()
            yield "aria-label", part.alt
        elif part.role and not isinstance(part, LetterMark):
            yield "class", part.role


def describe(ways: Ways) -> str:
    """Return the scatter in words.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| Dm6 | Bb7 | A7 | Dm6 |", prefer="ascending walk", best=1)
    >>> print(describe(find_best(state, lambda done, total: None)).split(";")[0])
    2 arrangements: as written, 12 semitones, 11 mm, no added chords
    """
    told = [f"{row.name}, {numbers(row.values)}" for row in ways.rows if row.is_told]
    more = len(ways.rows) - len(told)
    ending = f"; and {more} more on the Pareto front" if more else ""
    return f"{len(ways.rows)} arrangements: {'; '.join(told)}{ending}"


def numbers(values: Triple) -> str:
    """Return the three measures of the plot in words."""
    semitones, travel, added = values
    chords = counted(added, "added chord", none="no")
    return f"{counted(semitones, 'semitone')}, {travel} mm, {chords}"


def summary(ways: Ways) -> str:
    """Return in a line what was found.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| Dm6 | Bb7 | A7 | Dm6 |", best=2)
    >>> print(summary(find_best(state, lambda done, total: None)))
    Untitled in D minor on the ukulele, 4 bars: the tune as written and the 2 best arrangements
    >>> state = ReharmoniseState(text="| {1 quarter} - | Dm6 | A7 | Dm6 |", best=1)
    >>> summary(find_best(state, lambda done, total: None)).split(": ")[0]
    'Untitled in D minor on the ukulele, 3 bars'
    """
    tune = ways.tune
    best = sum(row.id.startswith(BEST) or row.also.startswith(BEST) for row in ways.rows)
    bars = counted(tune.bar_count, "bar")
    head = f"{tune.title} in {tune.key.unicode} on the {ways.state.instrument}, {bars}"
    some = "the best arrangement" if best == 1 else f"the {best} best arrangements"
    found = f"{head}: the tune as written and {some}"
    if ways.front is None:
        return found
    return f"{found}, and {len(ways.front.points)} on the Pareto front"


def _marks(ways: Ways, state: ReharmoniseState) -> list[Mark]:
    chosen, beside = ways.chosen(state.chosen).id, state.beside
    return [
        Mark(
            row.values,
            row.mark,
            row.title,
            _kind(row),
            "solid" if row.id == chosen else "dashed" if row.id == beside else "",
            _ROW + row.id,
            f"{row.name}: {numbers(row.values)}",
        )
        for row in ways.rows
    ]


def _kind(row: Row) -> Kind:
    if not row.is_told:
        return "dot"
    if row.id == AS_WRITTEN:
        return "open"
    return "square" if row.id.startswith(BEST) else "disc"
