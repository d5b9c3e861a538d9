"""A table of a notebook as HTML: words alone, in the page's own colours."""

from collections.abc import Iterable, Sequence
from html import escape

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
