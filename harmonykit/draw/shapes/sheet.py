"""Many figures on one sheet: pages of drawings under headings, and the PDF of them.

Conventions.  Lengths are in mm.  Drawings flow from left to right at their own size, a row's nuts
level; a page is one drawing.  Nothing is made smaller to fit.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from harmonykit.draw.base.canvas import HEAD_PT, NAME_PT, NOTE_PT, Canvas, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD, broken, check_printable, text_width, typst_fonts
from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass, replace

WIDE_MM = 174.0
# What a page holds between its margins, in mm; both papers leave the same width.
HIGH_MM = {"a4": 268.0, "letter": 250.0}
_GAP_MM, _ROW_MM = 1.5, 2.0
_TITLE_MM, _HEAD_MM, _HEAD_UP_MM = 12.0, 9.5, 2.0
_LINE_MM = 4.0
_GOES_ON = "continued"


@dataclass(frozen=True, slots=True)
class Group:
    """Drawings under one heading, with a note behind it."""

    head: str
    drawings: tuple[Drawing, ...]
    note: str = ""


class _Line(NamedTuple):
    """A row of a group, and which of its rows it is."""

    group: Group
    place: int
    row: tuple[Drawing, ...]


@dataclass(frozen=True, slots=True)
class _Placed:
    """A row of drawings on a page, its top at ``y``, and the group that begins with it."""

    y: float
    row: tuple[Drawing, ...]
    group: Group | None = None

    @property
    def level(self) -> float:
        """From the row's top to the nuts."""
        return max((drawing.origin_mm[1] for drawing in self.row), default=0.0)

    @property
    def bottom(self) -> float:
        """Where the lowest drawing ends."""
        ends = [d.height_mm - d.origin_mm[1] for d in self.row]
        return self.y + self.level + max(ends, default=0.0)


def draw_sheet(
    groups: Sequence[Group],
    *,
    title: str = "",
    note: str = "",
    width: float = WIDE_MM,
    height: float = HIGH_MM["a4"],
    palette: str = "print",
) -> tuple[Drawing, ...]:
    """Lay groups of drawings on pages, in order.

    A heading never stands alone at a page's foot, and stands again where its group goes on.  No
    group is parted that need not be, and where the last page would be less than half full, all are
    filled evenly.

    Parameters
    ----------
    groups : sequence of Group
        One without a heading is set without a line above it.
    title, note : str
        On top of the first page.
    width, height : float
        Of a page, in mm.
    palette : str
        Of the headings.

    Raises
    ------
    HarmonyError
        If a drawing is larger than a page.

    Examples
    --------
    >>> from harmonykit.draw.base.marks import mark_drawing
    >>> marks = Group("Marks", (mark_drawing("root"), mark_drawing("third")), "two of them")
    >>> [page.alt for page in draw_sheet([marks])]
    ['Marks, two of them. the mark of a root. the mark of a third']
    """
    lines = broken(note, width, NOTE_PT)
    top = (_TITLE_MM if title else 0.0) + _LINE_MM * len(lines)
    pages = []
    for number, placed in enumerate(_paged(groups, top, width, height)):
        canvas = Canvas(width, max(item.bottom for item in placed), palette)
        if number == 0:
            _title(canvas, title, lines)
        pages.append(_page(canvas, placed, title, number))
    return tuple(pages)


def _title(canvas: Canvas, title: str, lines: Sequence[str]) -> None:
    if title:
        canvas.text(0, 6.0, title, HEAD_PT, weight=SEMIBOLD, anchor="left")
    for number, line in enumerate(lines):
        y = (7.0 if title else 0.0) + _LINE_MM * (number + 1)
        canvas.text(0, y, line, NOTE_PT, anchor="left")


def _paged(groups: Sequence[Group], top: float, width: float, height: float) -> list[list[_Placed]]:
    """Return as few pages as will do; where the last has little, all of them filled evenly."""
    lines = [
        _Line(group, place, row)
        for group in groups
        for place, row in enumerate(_rows(group, width))
    ]
    for high in (_Placed(0.0, line.row).bottom for line in lines):
        if high + _HEAD_MM > height:
            rule = f"a page is {height:g} mm high"
            raise HarmonyError(f"a drawing is {high:g} mm high", rule=rule)
    pages: list[list[_Placed]] = []
    start = 0
    while start < len(lines):
        pages.append(_fitting(lines[start:], 0.0 if start else top, height))
        start += len(pages[-1])
    parted = any(lines[start].place for start in _starts(pages))
    if len(pages) > 1 and (parted or 2 * pages[-1][-1].bottom < height):
        return _evened(lines, top, height)
    return pages


def _starts(pages: Sequence[Sequence[_Placed]]) -> Iterator[int]:
    """Yield the place of the first line of each page."""
    start = 0
    for page in pages:
        yield start
        start += len(page)


def _fitting(lines: Iterable[_Line], top: float, height: float) -> list[_Placed]:
    """Return what a page holds of some lines, one at least."""
    page: list[_Placed] = []
    y = top
    for group, place, row in lines:
        named = bool(group.head) and (place == 0 or not page)
        y += (_HEAD_MM if named else 0.0) + (_HEAD_UP_MM if page and place == 0 else 0.0)
        shown = replace(group, note=_GOES_ON) if place else group
        placed = _Placed(y, row, shown if named else None)
        if page and placed.bottom > height:
            break
        page.append(placed)
        y = placed.bottom + _ROW_MM
    return page


def _evened(lines: Sequence[_Line], top: float, height: float) -> list[list[_Placed]]:
    """Return the fewest pages that part the fewest groups, and have least free, as squares."""
    # From each line on: how many pages, groups parted, free heights squared, the next page.
    best = [(0, 0, 0.0, len(lines))] * (len(lines) + 1)
    for start in reversed(range(len(lines))):
        above = 0.0 if start else top
        page = _fitting(lines[start:], above, height)
        best[start] = min(
            (
                1 + best[end][0],
                best[end][1] + (end < len(lines) and lines[end].place > 0),
                best[end][2] + (height - page[end - start - 1].bottom) ** 2,
                end,
            )
            for end in range(start + 1, start + len(page) + 1)
        )
    pages, start = [], 0
    while start < len(lines):
        end = best[start][3]
        pages.append(_fitting(lines[start:end], 0.0 if start else top, height))
        start = end
    return pages


def _rows(group: Group, width: float) -> list[tuple[Drawing, ...]]:
    """Return a group's drawings in as few rows as will do, none much shorter than the others."""
    rows = _filled(group, width)
    most = max(len(row) for row in rows)
    even = -(-len(group.drawings) // len(rows))
    while even < most:
        # Fewer a row may take a row more where drawings differ in width.
        found = _filled(group, width, even)
        if len(found) == len(rows):
            return found
        even += 1
    return rows


def _filled(group: Group, width: float, most: int | None = None) -> list[tuple[Drawing, ...]]:
    """Return a group's drawings row by row, as many as fit; an empty row where it has none."""
    rows: list[tuple[Drawing, ...]] = [()]
    left = 0.0
    for drawing in group.drawings:
        if drawing.width_mm > width:
            raise HarmonyError(
                f"a drawing is {drawing.width_mm:g} mm wide", rule=f"a page is {width:g} mm wide"
            )
        if rows[-1] and (left + drawing.width_mm > width or len(rows[-1]) == most):
            rows.append(())
            left = 0.0
        rows[-1] += (drawing,)
        left += drawing.width_mm + _GAP_MM
    return rows


def _page(canvas: Canvas, placed: Sequence[_Placed], title: str, number: int) -> Drawing:
    for place, item in enumerate(placed):
        if item.group is not None:
            _head(canvas, item.y - _HEAD_MM, item.group)
        _lay(canvas, item, f"p{number}-{place}")
    said = [f"{item.group.head}, {item.group.note}" for item in placed if item.group is not None]
    alts = [drawing.alt for item in placed for drawing in item.row]
    return canvas.drawing(title or "sheet", ". ".join([*said, *alts]))


def _head(canvas: Canvas, y: float, group: Group) -> None:
    canvas.lines([[(0, y), (canvas.width, y)]], 0.2)
    canvas.text(0, y + 6.0, group.head, NAME_PT, weight=SEMIBOLD, anchor="left")
    left = text_width(group.head, NAME_PT, SEMIBOLD) + 4.0
    canvas.text(left, y + 6.0, group.note, NOTE_PT, colour="soft", anchor="left")


def _lay(canvas: Canvas, item: _Placed, prefix: str) -> None:
    """Set a row of drawings, their nuts level."""
    x = 0.0
    for index, drawing in enumerate(item.row):
        y = item.y + item.level - drawing.origin_mm[1]
        canvas.place(drawing, x, y, f"{prefix}-{index}-")
        x += drawing.width_mm + _GAP_MM


def sheet_pdf(pages: Sequence[Drawing], *, title: str = "", paper: str = "a4") -> bytes:
    """Return pages as a PDF, tagged, each with its alt text; the same pages give the same bytes.

    Raises
    ------
    HarmonyError
        If there is no page, or the paper is unknown.

    Examples
    --------
    >>> from harmonykit.draw.base.marks import mark_drawing
    >>> sheet_pdf(draw_sheet([Group("Marks", (mark_drawing("root"),))]))[:5]
    b'%PDF-'
    """
    import json

    import typst

    if not pages:
        raise HarmonyError("a sheet needs at least one page")
    if paper not in HIGH_MM:
        raise HarmonyError(f"unknown paper {paper!r}", mend=", ".join(map(repr, HIGH_MM)))
    check_printable(title, "the title")
    for page in pages:
        for text in page.sheet.texts:
            check_printable(text, "the sheet")
    data = {
        "title": title,
        "paper": paper,
        "pages": [{"svg": p.svg, "alt": p.alt, "wide": p.width_mm} for p in pages],
    }
    compiler = typst.Compiler(
        _PAGES.encode(),
        font_paths=typst_fonts(),
        ignore_system_fonts=True,
        sys_inputs={"sheet": json.dumps(data, ensure_ascii=False)},
    )
    pdf = compiler.compile(format="pdf")
    if not isinstance(pdf, bytes):
        raise HarmonyError("the sheet could not be typeset")
    return pdf


_PAGES = """\
#let sheet = json(bytes(sys.inputs.sheet))
#set document(title: sheet.title, date: none)
#let letter = sheet.paper == "letter"
#set page(
  paper: if letter { "us-letter" } else { "a4" },
  margin: (x: if letter { 20.95mm } else { 18mm }, top: 15mm, bottom: 12mm),
)
#set text(lang: "en", font: ("Source Sans 3", "Quay Signs"))
#for (number, page) in sheet.pages.enumerate() {
  if number > 0 { pagebreak() }
  image(bytes(page.svg), format: "svg", width: page.wide * 1mm, alt: page.alt)
}
"""
