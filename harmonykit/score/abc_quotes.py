"""Quotation marks in a line of ABC music: each has its partner, or is found to stand alone.

A mark that stands alone costs the symbol beside it and nothing else.  Which of several it is, is
told by what the others then hold: chord symbols and annotations (ABC 2.1, 4.18 and 4.19).  Each bar
is mended by itself.
"""

import re

ALONE = "\x00"
"""What is put around the symbol at a mark that stands alone."""

EARLY = "\x01"
"""What is put around a symbol that stands before a bar line and has no note of its own."""

_SYMBOL = re.compile(
    r"[A-G][#b♯♭]?(?:maj|min|dim|aug|sus|add|alt|[mM°øo+\-^]|[#b♯♭]?(?:2|4|5|6|7|9|11|13)|[()])*"
    r"(?:/[A-G][#b♯♭]?)?"
)
_EARLY = re.compile(r'"([^"|]*)"(\s*:*\|[|\]:]*\s*)(?="([^"|]*)")')
_PLACES = "^_<>@"
_SILENCE = re.compile(r"N\.?C\.?")
_BEFORE = re.compile(r"(?:(?<=[\s|\]:)])|^)[A-G][^\s|\"\[\]{}!:]*$")
# A letter with such a length is a note, one alone or with another digit may be a chord.
_NOTE = re.compile(r"[A-G][,']*(?:[2348]|\d?/\d?)")
_LETTER = re.compile(r"[A-G][,']*\d?")
# After a chord whose mark is missing comes its note.
_FIGURES = "5679"
_SUNG = re.compile(r"\s+\S")
_SUNG_AT_ONCE = re.compile(r"\s+\S|[=^_]*[a-gz]|[=^_]+[A-G]|[A-G][,']*[\d/ |]")


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
    line = line.replace(ALONE, "").replace(EARLY, "")
    _, *quoted = line.split('"')
    if len(quoted) % 2 == 0 and not any(map(_over_a_bar_line, quoted[::2])):
        return _EARLY.sub(_early, line)
    return _EARLY.sub(_early, "|".join(map(_mend_bar, line.split("|"))))


def _early(found: re.Match[str]) -> str:
    """Mark a symbol before a bar line whose next note has one: no note is left for it."""
    symbol, following = found[1].strip(), found[3].strip()
    if not _SYMBOL.fullmatch(symbol) or not _SYMBOL.fullmatch(following):
        return found[0]
    return f"{EARLY}{symbol}{EARLY}{found[2]}"


def _over_a_bar_line(quoted: str) -> bool:
    """Return whether what is quoted is a chord and what comes after it, over a bar line."""
    return "|" in quoted and bool(_symbol_at(quoted))


def _mend_bar(line: str) -> str:
    marks = [index for index, sign in enumerate(line) if sign == '"']
    if len(marks) % 2 == 0:
        return line
    alone = max(marks, key=lambda mark: (_score(line, marks, mark), mark))
    before, after = line[:alone], line[alone + 1 :]
    place = marks.index(alone)
    if place % 2 and place + 1 < len(marks):
        start, end = marks[place - 1] + 1, marks[place + 1]
        if _worth(line[start:alone] + line[alone + 1 : end]) > 1:  # inside what is quoted
            return f"{before}{line[alone + 1 : end + 1]}{ALONE}{ALONE}{line[end + 1 :]}"
    if symbol := _symbol_at(after):
        return f"{before}{ALONE}{symbol}{ALONE}{after[len(symbol) :]}"
    left = _BEFORE.search(before)
    if left and not _LETTER.fullmatch(left[0]) and _SYMBOL.fullmatch(left[0]):
        return f"{before[: left.start()]}{ALONE}{left[0]}{ALONE}{after}"
    return f"{before}{ALONE}{ALONE}{after}"


def _symbol_at(after: str) -> str:
    """Return the chord with which a text begins, if it is one and no note."""
    found = _SYMBOL.match(after) or _SILENCE.match(after)
    if found is None or _NOTE.fullmatch(found[0]):
        return ""
    rest = after[found.end() :]
    follows = _SUNG if len(found[0]) == 1 else _SUNG_AT_ONCE
    if not _LETTER.fullmatch(found[0]) or follows.match(rest):
        return found[0]
    # At the end of a bar a figure that is hardly a length tells a chord.
    return found[0] if not rest.strip() and found[0][-1] in _FIGURES else ""


def _score(line: str, marks: list[int], alone: int) -> float:
    """Return how much of what pairs of marks hold is what is quoted, without one of them."""
    left = [mark for mark in marks if mark != alone]
    pairs = zip(left[::2], left[1::2], strict=True)
    return sum(_worth(line[first + 1 : last].replace('"', "")) for first, last in pairs)


def _worth(quoted: str) -> float:
    if _NOTE.fullmatch(quoted):
        return 1
    if _SYMBOL.fullmatch(quoted) or _SILENCE.fullmatch(quoted):
        return 3 + len(quoted) / 100  # a whole symbol before a part of it
    return 2 if quoted and quoted[0] in _PLACES else 0
