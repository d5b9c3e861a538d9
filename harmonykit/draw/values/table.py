"""A table of a notebook as HTML: words alone, in the page's own colours."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


def html_table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    r"""Return a table with a head and a row for each of some texts.

    Examples
    --------
    >>> html_table(["chord"], [["D♭7 & on"]])
    '<table>\n<tr><th>chord</th></tr>\n<tr><td>D♭7 &amp; on</td></tr>\n</table>'
    """
    lines = [_row("th", heads), *(_row("td", row) for row in rows)]
    return "\n".join(("<table>", *lines, "</table>"))


def _row(tag: str, texts: Sequence[str]) -> str:
    return f"<tr>{''.join(f'<{tag}>{escape(text)}</{tag}>' for text in texts)}</tr>"
