"""ABC text (standard 2.1) made ready for music21: tunes told apart, and its notation made plain.

music21 reads note lengths, tuplets, broken rhythms, keys and pitches well.  It loses endings other
than 1 and 2, fields inside a line (``[K:D]``), multi-bar rests, and some quoted words; so those are
taken out here, and what music21 must carry for us becomes a remark field ``N:`` of our own.

A quotation mark that stands alone costs the symbol beside it and nothing else.  Which of several it
is, is told by what the others then hold: chord symbols and annotations (ABC 2.1, 4.18 and 4.19).
Each bar is mended by itself.
"""

import re
from collections.abc import Iterable, Iterator

from harmonykit.files import plain_ends
from harmonykit.score.signs import sign_in_words
from harmonykit.values import dataclass

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


MARK = "harmonykit"

_FIELD = re.compile(r"([A-Za-z]):(?![|:])(.*)")
_REFERENCE = re.compile(r"^X:\s*(\d{1,9})", re.MULTILINE)
_TITLE = re.compile(r"^T:(.*)$", re.MULTILINE)
_MUSIC = re.compile(
    r"""(?P<quoted>"[^"\n]*"?) | \x00(?P<alone>[^\x00]*)\x00
    | \x01(?P<early>[^\x01]*)\x01
    | \[(?P<inline>[A-Za-z]:[^\]\n]*)\]
    | (?P<grace>\{[^}\n]*\}) | (?P<decoration>![^!\n]{1,40}!|\+[a-z]{1,20}\+)
    | (?P<overlay>&[^|\n]*)
    | (?P<line>:*\|[|\]:]*|\[\|\]?|::+)[ ]?(?P<after>\[?\d{1,2}(?:[,\-]\d{1,2})*)?
    | \[(?P<ending>\d{1,2}(?:[,\-]\d{1,2})*)
    | (?P<rests>[ZX])(?P<count>\d{0,3})
    | (?P<invisible>x) | (?P<spacer>y\d*) | (?P<sign>[H-WYh-w~.\\$*`])
    | (?P<rest>.)""",
    re.VERBOSE,
)
# The fields that say something about time, pitch or parts; all others are words.
_KEPT = "KLMQPV"
_LOST = {"s": "symbol lines (s:)", "m": "macros (m:)", "U": "redefined symbols (U:)"}
_LETTERS = {
    ".": "staccato", "~": "roll", "L": "accent", "M": "mordent", "P": "turn", "T": "trill",
    "u": "up-bow", "v": "down-bow",
}  # fmt: skip
_LETTER_SIGNS = {"O": "coda", "S": "segno"}


@dataclass(frozen=True, slots=True)
class AbcTune:
    """One tune of an ABC file: its reference number, title and text with the file's header."""

    number: int | None
    title: str
    text: str


def split_tunes(text: str) -> tuple[AbcTune, ...]:
    """Return the tunes of a file; a text without ``X:`` fields is one tune.

    Examples
    --------
    >>> text = "X:1\\nT:One\\nK:C\\nC|\\n\\nX:7\\nT:Two\\nK:C\\nD|\\n"
    >>> [(tune.number, tune.title) for tune in split_tunes(text)]
    [(1, 'One'), (7, 'Two')]
    """
    text = plain_ends(text)
    starts = [(found.start(), int(found[1])) for found in _REFERENCE.finditer(text)]
    if not starts:
        return (AbcTune(None, _title(text), text),)
    header = text[: starts[0][0]]
    ends = [start for start, _ in starts[1:]] + [len(text)]
    tunes = []
    for (start, number), end in zip(starts, ends, strict=True):
        body = text[start:end]
        tunes.append(AbcTune(number, _title(body), f"{header}\n{body}"))
    return tuple(tunes)


def _title(text: str) -> str:
    found = _TITLE.search(text)
    return found[1].strip() if found else ""


def fields(text: str, letter: str) -> list[str]:
    """Return the values of all fields of a letter that stand on lines of their own."""
    found = (_FIELD.fullmatch(line.partition("%")[0].strip()) for line in text.split("\n"))
    return [field[2].strip() for field in found if field and field[1] == letter]


def plain(text: str) -> tuple[str, tuple[str, ...]]:
    """Return a tune's text made plain, and the words in it that are signs of some kind.

    Bar lines, endings and multi-bar rests become ``N:harmonykit ...`` fields, after a single bar
    line that lets accidentals end.

    Examples
    --------
    >>> text, signs = plain("K:C\\n\\"C\\"C2|1 [K:G]D:|")
    >>> [line for line in text.split("\\n") if line.strip()][:4]
    ['K:C', '"C"C2 |', 'N:harmonykit line |', 'N:harmonykit ending 1']
    """
    lines: list[str] = []
    signs: list[str] = []
    for line in _continued(_one_tune(text.split("\n"))):
        field = _FIELD.fullmatch(line)
        if field and field[1] in _KEPT:
            lines.append(f"{field[1]}:{field[2].strip()}")
        elif field and field[1] == "w":
            lines.append(_mark("words", field[2].strip()).strip())
        elif field and field[1] in _LOST:
            signs.append(_LOST[field[1]])
        elif not field:
            lines.append(
                "".join(_plain(found, signs) for found in _MUSIC.finditer(mend_quotes(line)))
            )
    return "\n".join(lines), tuple(signs)


def _continued(lines: Iterable[str]) -> Iterator[str]:
    """Yield lines, each field with what is added to it by ``+:`` (ABC 2.1, 3.3)."""
    held: str | None = None
    for line in lines:
        if line.startswith("+:"):
            if held is not None and _FIELD.fullmatch(held):
                held = f"{held.rstrip()} {line[2:].strip()}"
            continue
        if held is not None:
            yield held
        held = line
    if held is not None:
        yield held


def _one_tune(lines: list[str]) -> Iterator[str]:
    """Yield the lines of a tune without comments: an empty line ends one that has a number."""
    begun = False
    for line in lines:
        begun = begun or line.startswith("X:")
        if begun and not line.strip():
            return
        yield _without_comment(line)


def _without_comment(line: str) -> str:
    if line.count('"') % 2 and line.partition("%")[0].count('"') % 2:
        # A mark stands alone: what looks like a comment is one.
        return line.partition("%")[0]
    quoted = False
    for index, sign in enumerate(line):
        quoted ^= sign == '"'
        if sign == "%" and not quoted:
            return line[:index]
    return line


def _plain(found: re.Match[str], signs: list[str]) -> str:
    """Return what music21 is to read for one piece of music text."""
    if found["line"]:
        ending = _mark("ending", found["after"].strip("[")) if found["after"] else ""
        return f" |{_mark('line', found['line'])}{ending}"
    if found["ending"]:
        return _mark("ending", found["ending"])
    if found["rests"]:
        return _mark("rests", found["count"] or "1")
    if found["inline"]:
        return f"\n{found['inline']}\n" if found["inline"][0] in _KEPT else ""
    if found["decoration"]:
        return _decoration(found["decoration"].strip("!+"), signs)
    if found.lastgroup in ("quoted", "alone", "early"):
        return _quoted(found, signs)
    if found["sign"]:
        return _letter(found["sign"], signs)
    if found["overlay"]:
        signs.append("&")
    if found["grace"]:
        signs.append("grace notes")
    return "z" if found["invisible"] else found["rest"] or ""


def _quoted(found: re.Match[str], signs: list[str]) -> str:
    """Return a chord symbol as it is, or the sign that words stand for."""
    if found.lastgroup in ("alone", "early"):
        return _mark(found.lastgroup, found[found.lastgroup])
    text = found[0]
    if not re.fullmatch(r'"[^"]*"', text):
        signs.append(text)
        return ""
    sign = sign_in_words(text.strip('"').lstrip("^_<>@"))
    return _mark("sign", sign) if sign else text


def _letter(letter: str, signs: list[str]) -> str:
    """Return what a letter stands for unless a tune says otherwise (ABC 2.1, 4.14)."""
    if letter in _LETTERS:
        signs.append(_LETTERS[letter])
    if letter == "H":
        return _mark("fermata", "")
    return _mark("sign", _LETTER_SIGNS[letter]) if letter in _LETTER_SIGNS else ""


def _decoration(name: str, signs: list[str]) -> str:
    if name == "fermata":
        return _mark("fermata", "")
    if sign := sign_in_words(name):
        return _mark("sign", sign)
    signs.append(name)
    return ""


def _mark(word: str, value: str) -> str:
    return f"\nN:{MARK} {word} {value}\n"
