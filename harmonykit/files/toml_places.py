"""Where the keys and the text of a TOML file stand, so that an error can point at them.

``tomllib`` reads the values; this module only finds their places.  It sees keys that stand at the
start of a line, under ``[table]`` and ``[[table]]`` headers: the way that people write such files.
What it does not see is placed at the file.  Offsets count characters from 0, lines and columns
from 1.
"""

from __future__ import annotations

import re

from harmonykit.errors import Place
from harmonykit.values import dataclass

_HEADER = re.compile(r"\s*\[{1,2}\s*([\w.\-]+)\s*\]{1,2}")
_KEY = re.compile(r"""\s*(?:([\w\-]+)|"([^"\\\n]*)"|'([^'\n]*)')\s*=\s*""")
_QUOTES = ('"""', "'''", '"', "'")
_ESCAPE = re.compile(r"\\(?:u.{4}|U.{8}|[ \t]*\n\s*|.)", re.DOTALL)
# TOML allows up to two quotation marks of its own before the closing three.
_STRING_END = {
    '"""': re.compile(r'(?:[^"\\]|\\.|"{1,2}(?!"))*("{3,5})', re.DOTALL),
    "'''": re.compile(r"(?:[^']|'{1,2}(?!'))*('{3,5})", re.DOTALL),
    '"': re.compile(r'(?:[^"\\\n]|\\.)*(")'),
    "'": re.compile(r"[^'\n]*(')"),
}

# A table's name and its count from 0, then a key: ("sections", 1, "changes").
Address = tuple[str, int, str]


@dataclass(frozen=True, slots=True)
class TomlPlaces:
    """The places of one file's keys and values.

    Examples
    --------
    >>> source = 'title = "x"\\n[[sections]]\\nchanges = "| Hx |"\\n'
    >>> places = TomlPlaces.of("tune.toml", source)
    >>> print(places.within(("sections", 0, "changes"), 2).show())
    tune.toml, line 3, column 14
        changes = "| Hx |"
                     ^
    """

    name: str
    source: str
    keys: dict[Address, int]
    values: dict[Address, int]

    @classmethod
    def of(cls, name: str, source: str) -> TomlPlaces:
        """Find the keys of a file; its line ends are ``\\n``."""
        keys: dict[Address, int] = {}
        values: dict[Address, int] = {}
        counts: dict[str, int] = {}
        table, index = "", 0
        while index < len(source):
            if header := _HEADER.match(source, index):
                table = header[1]
                counts[table] = counts.get(table, -1) + 1
                keys[table, counts[table], ""] = header.start(1)
                index = header.end()
            elif key := _KEY.match(source, index):
                address = (table, counts.get(table, 0), key[1] or key[2] or key[3] or "")
                keys[address] = key.start(key.lastindex or 0)
                values[address] = index = key.end()
            index = _after_statement(source, index)
        return cls(name, source, keys, values)

    def at(self, offset: int) -> Place:
        """Return the place of a character of the file."""
        line = self.source.count("\n", 0, offset) + 1
        start = self.source.rfind("\n", 0, offset) + 1
        end = self.source.find("\n", offset)
        text = self.source[start : end if end >= 0 else len(self.source)]
        return Place(self.name, line, offset - start + 1, text)

    def key(self, address: Address) -> Place:
        """Return the place of a key, or of its table's header, or of the file."""
        found = self.keys.get(address, self.keys.get((address[0], address[1], "")))
        return Place(self.name) if found is None else self.at(found)

    def value(self, address: Address) -> Place:
        """Return the place of a value, or of what stands around it."""
        return self.at(self.values[address]) if address in self.values else self.key(address)

    def within(self, address: Address, index: int, item: int = 0) -> Place:
        """Return the place of the character ``index`` of a string, or of a list's string."""
        if address not in self.values:
            return self.key(address)
        start = self.values[address]
        if self.source.startswith("[", start):
            start = _item_start(self.source, start + 1, item)
        offsets = _string_offsets(self.source, start)
        return self.at(offsets[index]) if index < len(offsets) else self.value(address)


def _after_statement(source: str, index: int) -> int:
    """Return the offset of the line after the statement at ``index``: strings are skipped whole."""
    depth = 0
    while index < len(source):
        sign = source[index]
        if sign == "#":
            end = source.find("\n", index)
            index = len(source) if end < 0 else end
            continue
        if sign == "\n" and depth <= 0:
            return index + 1
        depth += (sign in "[{") - (sign in "]}")
        index = _after_string(source, index) if sign in "\"'" else index + 1
    return index


def _item_start(source: str, index: int, item: int) -> int:
    """Return the offset of a string of a list of strings."""
    while index < len(source) and source[index] != "]":
        if source[index] == "#":
            index = source.find("\n", index) % (len(source) + 1)
        elif source[index] not in "\"'":
            index += 1
        elif item:
            item, index = item - 1, _after_string(source, index)
        else:
            break
    return index


def _opening(source: str, start: int) -> str:
    return next((quote for quote in _QUOTES if source.startswith(quote, start)), "")


def _after_string(source: str, start: int) -> int:
    quote = _opening(source, start)
    end = _STRING_END[quote].match(source, start + len(quote))
    return end.end() if end else len(source)


def _string_offsets(source: str, start: int) -> list[int]:
    """Return where in the file each character of a string value stands."""
    quote = _opening(source, start)
    if not quote:
        return []
    index, end = start + len(quote), _after_string(source, start) - len(quote)
    if len(quote) == 3 and source.startswith("\n", index):
        index += 1
    offsets = []
    while index < end:
        escape = _ESCAPE.match(source, index) if quote[0] == '"' else None
        if escape is None or "\n" not in escape[0]:
            offsets.append(index)
        index = escape.end() if escape else index + 1
    return offsets
