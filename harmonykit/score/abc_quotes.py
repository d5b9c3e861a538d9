"""Quotation marks in a line of ABC music: each has its partner, or is found to stand alone.

A mark that stands alone costs the symbol beside it and nothing else.  Which of several it is, is
told by what the others then hold: chord symbols and annotations (ABC 2.1, 4.18 and 4.19), no bar
line.
"""

import re

ALONE = "\x00"
"""What is put around the symbol at a mark that stands alone."""

_SYMBOL = re.compile(
    r"[A-G][#b♯♭]?(?:maj|min|dim|aug|sus|add|alt|[mM°øo+\-^]|[#b♯♭]?(?:2|4|5|6|7|9|11|13)|[()])*"
    r"(?:/[A-G][#b♯♭]?)?"
)
_SILENCE = re.compile(r"N\.?C\.?")
_BEFORE = re.compile(r"(?:(?<=[\s|\]:)])|^)[A-G][^\s|\"\[\]{}!:]*$")
# A letter with a length is a note.
_NOTE = re.compile(r"[A-G][,']*\d?(?:/\d?)?")


def mend_quotes(line: str) -> str:
    """Return a line in which every mark has a partner, the symbol beside one alone marked.

    Examples
    --------
    >>> mend_quotes('"Am7 C2 "D7"D2|').replace(ALONE, "~")
    '~Am7~ C2 "D7"D2|'
    >>> mend_quotes('C2 Am7" C2 "D7"D2|').replace(ALONE, "~")
    'C2 ~Am7~ C2 "D7"D2|'
    >>> mend_quotes('"G"G2 "slowly" A2|')
    '"G"G2 "slowly" A2|'
    """
    line = line.replace(ALONE, "")
    marks = [index for index, sign in enumerate(line) if sign == '"']
    if len(marks) % 2 == 0:
        return line
    alone = max(marks, key=lambda mark: (_score(line, [m for m in marks if m != mark]), mark))
    before, after = line[:alone], line[alone + 1 :]
    found = _SYMBOL.match(after) or _SILENCE.match(after)
    if found and not _NOTE.fullmatch(found[0]):
        return f"{before}{ALONE}{found[0]}{ALONE}{after[found.end() :]}"
    left = _BEFORE.search(before)
    if left and not _NOTE.fullmatch(left[0]) and _SYMBOL.fullmatch(left[0]):
        return f"{before[: left.start()]}{ALONE}{left[0]}{ALONE}{after}"
    if found and not after[found.end() :][:1].isalnum() and after[found.end() :].strip():
        return f"{before}{ALONE}{found[0]}{ALONE}{after[found.end() :]}"
    return f"{before}{ALONE}{ALONE}{after}"


def _score(line: str, marks: list[int]) -> int:
    """Return how much of what pairs of marks hold is what is quoted."""
    pairs = zip(marks[::2], marks[1::2], strict=True)
    return sum(_worth(line[first + 1 : last]) for first, last in pairs)


def _worth(quoted: str) -> int:
    if _SYMBOL.fullmatch(quoted) or _SILENCE.fullmatch(quoted):
        return 3
    if quoted[:1] in "^_<>@" and quoted:
        return 2
    return -5 if "|" in quoted else 0
