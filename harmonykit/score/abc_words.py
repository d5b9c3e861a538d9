"""Words in ABC: a ``w:`` field taken apart, and its syllables put to notes.

By the ABC standard 2.1, 5.1: the syllables go to the notes since those of the field before; ``-``
parts syllables, ``_`` holds one over a note more, ``*`` leaves a note out, ``~`` is a blank, ``|``
goes to the next bar.
"""

import html
import re
import unicodedata
from collections.abc import Iterator, Sequence

from harmonykit.score.signs import Json

_TOKEN = re.compile(
    r"(?P<hyphen>\\-)|\\u(?P<code>[0-9a-fA-F]{4})|\\(?P<accent>[`'^\"~=o,;])(?P<letter>[A-Za-z])"
    r"|(?P<blank>\s+)|(?P<sign>[-_*|])|(?P<tilde>~)|(?P<text>\\?.)"
)
# Accents before a letter (ABC 2.1, 8.2).
_ACCENTS = {
    "`": "\u0300", "'": "\u0301", "^": "\u0302", "~": "\u0303", '"': "\u0308", "o": "\u030a",
    ",": "\u0327", ";": "\u0328", "=": "\u0304",
}  # fmt: skip


def syllables_of(field: str) -> list[tuple[str, str]]:
    """Return what a field says, in order: a sign and a text.

    The sign is ``-`` for a syllable whose word goes on, nothing for one whose word ends; ``_``,
    ``*`` and ``|`` have no text.

    Examples
    --------
    >>> syllables_of("syll-a--ble time_")
    [('-', 'syll'), ('-', 'a'), ('_', ''), ('', 'ble'), ('', 'time'), ('_', '')]
    """
    found: list[tuple[str, str]] = []
    text = ""
    for token in _TOKEN.finditer(html.unescape(field.strip()) + " "):
        sign = token["sign"]
        if sign is None and token["blank"] is None:
            text += _printed(token)
            continue
        if text:
            found.append(("-" if sign == "-" else "", text))
        elif sign == "-":
            # A hyphen by itself: the syllable before is held, and its word goes on.
            last = next((n for n in reversed(range(len(found))) if found[n][1]), None)
            if last is not None:
                found[last] = ("-", found[last][1])
            found.append(("_", ""))
        if sign in ("_", "*", "|"):
            found.append((sign, ""))
        text = ""
    return found


def _printed(token: re.Match[str]) -> str:
    if token["hyphen"]:
        return "-"
    if token["tilde"]:
        return " "
    if token["code"]:
        return chr(int(token["code"], 16))
    if token["accent"]:
        return unicodedata.normalize("NFC", token["letter"] + _ACCENTS[token["accent"]])
    return token["text"]


class Verses:
    """Puts the words of fields to the notes of a voice, as both come along.

    A note is plain data; its ``words`` are lists of text, place and verse, where a place is
    ``"begin"`` for what goes on and ``"single"`` for what does not: what came before is not looked
    at.
    """

    def __init__(self) -> None:
        # The notes since the last field, each with its bar; then those that it was put to.
        self.waiting: list[tuple[int, Json]] = []
        self.taken: Sequence[tuple[int, Json]] = ()
        self.verse = 0

    def sing(self, bar: int, note: Json) -> None:
        """Take a note."""
        self.waiting.append((bar, note))

    def music(self) -> None:
        """Say that music came: the next field begins with the first verse again."""
        self.verse = 0

    def take(self, field: str, bar: int) -> Iterator[tuple[int, str]]:
        """Put a field's words to notes; yield what finds no note, with its bar."""
        if self.verse == 0:
            self.taken, self.waiting = tuple(self.waiting), []
        self.verse += 1
        place = 0
        here = self.taken[0][0] if self.taken else bar
        left = []
        for sign, text in syllables_of(field):
            if sign == "|":
                while place < len(self.taken) and self.taken[place][0] <= here:
                    place += 1
                here = self.taken[place][0] if place < len(self.taken) else here
            elif place == len(self.taken):
                left += [text] if text else []
            else:
                here, note = self.taken[place]
                place += 1
                if sign != "*":
                    kind = "held" if sign == "_" else "begin" if sign == "-" else "single"
                    note.setdefault("words", []).append([text, kind, self.verse])
        if left:
            yield here, f"words without a note are left out: {' '.join(left)[:60]!r}"
