"""Tables as CSV that a spreadsheet shows and never runs.

A cell of text that begins with ``=``, ``+``, ``-``, ``@``, a tab or a carriage return may be taken
for a formula: it gets an apostrophe in front, the spreadsheets' own mark for plain text.  A cell
that begins with such apostrophes gets one more, so that ``plain`` gives every text back.
Numbers, also those written as text (``-0.25``), stay as they are.  Lines end in a line feed.

References
----------
OWASP, "CSV Injection": the characters that begin a formula.
RFC 4180 (2005): quotation marks around cells with commas, quotes or line ends.
"""

import re
from collections.abc import Iterable, Sequence
from typing import Any

_RISKY = re.compile(r"'*[=+\-@\t\r]")
_MARKED = re.compile(r"'+[=+\-@\t\r]")
_QUOTED = re.compile(r'[",\r\n]')
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")


def csv_text(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Return a table as CSV.

    Parameters
    ----------
    header : sequence of str
    rows : iterable of sequences
        Text, numbers, or ``None`` for an empty cell.

    Examples
    --------
    >>> print(csv_text(["title", "gain"], [["=1+1", -0.5], ["-0.5", None]]), end="")
    title,gain
    '=1+1,-0.5
    -0.5,
    """
    lines = [",".join(map(_cell, row)) or '""' for row in (header, *rows)]
    # A file's name may hold bytes that are not text.
    return "".join(f"{line}\n" for line in lines).encode("utf-8", "replace").decode("utf-8")


def frame_text(frame: Any, *, index: bool = True) -> str:
    """Return a pandas table as CSV, its index as the first column.

    Parameters
    ----------
    frame : DataFrame
        This floor knows no pandas: the table brings along what is asked of it.
    index : bool
        Whether the index is written.
    """
    header = [str(name) for name in frame.columns]
    rows: Iterable[Sequence[object]] = frame.astype(object).where(frame.notna(), None).values
    if not index:
        return csv_text(header, rows)
    named = ((name, *row) for name, row in zip(frame.index, rows, strict=True))
    return csv_text([str(frame.index.name or ""), *header], named)


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        # Also of numpy, whose own repr is not a number; what is not a number is missing.
        return "" if value != value else repr(float(value))
    text = str(value)
    if isinstance(value, str) and _RISKY.match(text) and not _NUMBER.fullmatch(text):
        text = f"'{text}"
    # The csv module leaves a lone carriage return without quotation marks.
    return '"{}"'.format(text.replace('"', '""')) if _QUOTED.search(text) else text


def plain(cell: str) -> str:
    """Return the text that a cell of ``csv_text`` stands for.

    Examples
    --------
    >>> plain("'=1+1"), plain("'tis"), plain("-0.5")
    ('=1+1', "'tis", '-0.5')
    """
    return cell[1:] if _MARKED.match(cell) else cell
