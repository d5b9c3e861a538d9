"""A pasted text made plain, each character with its place in what was pasted.

Messages carry blanks that do not break, quotes that curl, dashes of five lengths, bar lines drawn
as boxes and digits set high.  All of them become the plain signs that a keyboard has.
"""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from harmonykit.errors import Place

_BLANKS = "\t\u00a0\u1680\u202f\u205f\u3000" + "".join(map(chr, range(0x2000, 0x200B)))
_NOTHING = "\u200b\u200c\u200d\u200e\u200f\u2060\ufe0e\ufe0f\ufeff\u00ad"
_SIGNS = {
    **dict.fromkeys(_BLANKS, " "),
    **dict.fromkeys(_NOTHING, ""),
    **dict.fromkeys("\r\x0b\x0c\u0085\u2028\u2029", "\n"),
    **dict.fromkeys("│┃❘❙∣ǀ｜¦▏𝄀", "|"),
    **dict.fromkeys("‖∥║𝄁𝄂", "||"),
    "𝄆": "|:",
    "𝄇": ":|",
    "𝄎": "%",
    "𝄏": "%%",
    "𝄋": " segno ",
    "𝄌": " coda ",
    **dict.fromkeys("“”„‟«»″", '"'),
    **dict.fromkeys("‘’‚‛‹›′", "'"),
    **dict.fromkeys("−–‐‑‒", "-"),
    **dict.fromkeys("×✕✖", "x"),
    **dict.fromkeys("→➔➜⇒", ">"),
}
_LINE_END = re.compile(r"\r\n|\r|\n")
# A mark of a mail's quotation, and what some programs set round words to make them heavy.
_QUOTED = re.compile(r"^(?:[ ]*>)+[ ]?|^[ ]*```.*$|\*\*|__|`", re.M)


@dataclass(frozen=True, slots=True)
class Plain:
    """A text made plain.

    Parameters
    ----------
    text : str
    origins : tuple of int
        For each character its index in what was pasted.
    pasted : str
    name : str
        What was pasted, in words, for places.
    """

    text: str
    origins: tuple[int, ...]
    pasted: str
    name: str

    @classmethod
    def of(cls, pasted: str, name: str) -> Plain:
        """Make a text plain.

        Examples
        --------
        >>> Plain.of("│ F\\u00a0\\u00a0D⁷ ‖", "a message").text
        '| F  D7 ||'
        """
        signs = [(sign, at) for at, char in enumerate(pasted) for sign in _plain(pasted, at, char)]
        text = "".join(sign for sign, _ in signs)
        gone = {n for found in _QUOTED.finditer(text) for n in range(*found.span())}
        kept = [pair for n, pair in enumerate(signs) if n not in gone]
        origins = tuple(at for _, at in kept)
        return cls("".join(sign for sign, _ in kept), origins, pasted, name)

    def place(self, index: int) -> Place:
        """Return the place in what was pasted of a character of the plain text."""
        origin = self.origins[min(index, len(self.origins) - 1)] if self.origins else 0
        starts, rows = _rows(self.pasted)
        line = bisect_right(starts, origin)
        return Place(self.name, line, origin - starts[line - 1] + 1, rows[line - 1])

    def lines(self) -> Iterator[tuple[int, str]]:
        """Yield each line with the index at which it begins."""
        at = 0
        for line in self.text.split("\n"):
            yield at, line
            at += len(line) + 1


@lru_cache(maxsize=4)
def _rows(pasted: str) -> tuple[list[int], list[str]]:
    """Return where each line of a text begins, and the lines."""
    starts = [0, *(found.end() for found in _LINE_END.finditer(pasted))]
    return starts, _LINE_END.split(pasted)


def _plain(pasted: str, at: int, char: str) -> str:
    if char == "\r" and pasted[at : at + 2] == "\r\n":
        return ""
    if char in _SIGNS:
        return _SIGNS[char]
    if "！" <= char <= "～" or unicodedata.category(char) == "No":
        return unicodedata.normalize("NFKC", char)
    return char
