"""How many bars of a chart stand in a row: four or two, on a telephone two where the two fit.

Conventions.  Widths are CSS pixels.  Where a telephone has no room for two of the fullest bar, bars
go two by two: side by side if the two fit, in halves if each fits a half.  A shape that came before
is not drawn again there, as on paper, and words are set smaller.
"""

import math
from collections.abc import Iterable, Iterator, Sequence

from harmonykit.lesson.page.figures import Styles

# A chart narrower than this is a telephone's, as the style sheet has it.
NARROW_PX = 568
COLUMN_PX, _MARGINS_PX, _LEAD_PX = 658, 80, 92


def beside_classes(
    widths: Sequence[float], columns: Sequence[int], styles: Styles
) -> tuple[str, ...]:
    """Return the classes of each bar, by their widths and where rows begin (column -1: within).

    Examples
    --------
    >>> styles = Styles()
    >>> beside_classes([100, 150.2, 90], [0, -1, 0], styles)
    ('k0 sum-251 half-301', 'k1 sum-251 half-301', '')
    >>> styles.css
    '.k0{--at:40.0%}.k1{--at:60.0%}'
    """
    return tuple(name for row in _rows(widths, columns) for name in _row_classes(row, styles))


def _rows(widths: Sequence[float], columns: Sequence[int]) -> Iterator[list[float]]:
    row: list[float] = []
    for width, column in zip(widths, columns, strict=True):
        if column >= 0 and row:
            yield row
            row = []
        row.append(width)
    if row:
        yield row


def _row_classes(row: Sequence[float], styles: Styles) -> Iterator[str]:
    for n in range(0, len(row) - 1, 2):
        pair = row[n : n + 2]
        least, half = math.ceil(sum(pair)), math.ceil(2 * max(pair))
        share = round(100 * pair[0] / sum(pair), 1)
        for at in (share, 100 - share):
            own = f"{styles.named(f'--at:{at:.1f}%')} sum-{least} " if least < half else ""
            yield f"{own}half-{half}"
    if len(row) % 2:
        yield ""


def beside_css(classes: Iterable[str]) -> Iterator[str]:
    """Yield a rule for each class of bars: what part of a row they take, and from which width.

    Examples
    --------
    >>> print(*beside_css(["k0 sum-251 half-301", ""]), sep="\\n")
    @container (251px<=width<568px){.fit .chart>.bar.sum-251{flex-basis:calc(var(--at) + 1px)}}
    @container (301px<=width<568px){.fit .chart>.bar.bar.half-301{flex-basis:calc(50% + 1px)}}
    """
    for name in dict.fromkeys(name for each in classes for name in each.split()):
        kind, _, least = name.partition("-")
        if least:
            where, part = _RULES[kind]
            rule = f"{where}.{name}{{flex-basis:calc({part} + 1px)}}"
            yield f"@container ({least}px<=width<{NARROW_PX}px){{{rule}}}"


# A class said twice weighs more: halves are taken where both fit.
_RULES = {"sum": (".fit .chart>.bar", "var(--at)"), "half": (".fit .chart>.bar.bar", "50%")}


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
        f"{{.{name} .chart{{display:grid;grid-template-columns:repeat({columns},minmax(0,1fr))}}}}"
        for columns, least in needed.items()
    )
    # A pick-up stands in a narrow column before the first row.
    led = f"grid-template-columns:{_LEAD_PX}px repeat(4,minmax(0,1fr))"
    # A second ending stands under the first.
    under = "".join(
        f".{name} .row.under-{n}{{grid-column-start:{n + 1}}}"
        f".{name} .led .row.under-{n}{{grid-column-start:{n + 2}}}"
        for n in range(1, 4)
    )
    rows += (
        f"@container (min-width:{needed[4]}px)"
        f"{{.{name} .led{{{led}}}.{name} .led .row{{grid-column-start:2}}{under}}}"
    )
    four = needed[4]
    if four <= COLUMN_PX:
        return rows
    return rows + (
        f"@media screen and (min-width:{four + _MARGINS_PX}px)"
        f"{{.{name}{{width:{four}px;margin-left:calc((100% - {four}px) / 2)}}}}"
    )
