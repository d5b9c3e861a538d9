"""TOML files, read in one place: whatever is wrong is one of our errors, with its place.

Depth, numbers and size are limited, so that what is read can be compared, shown and walked without
care: tables nest ``MOST_DEPTH`` deep at most, and whole numbers have 64 bits.

References
----------
TOML v1.0.0 (2021), "Integer": from -2^63 to 2^63 - 1; others are an error.
"""

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator
from decimal import InvalidOperation
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError, Place
from harmonykit.files.file import read_text
from harmonykit.files.toml_places import Address, TomlPlaces

MOST_BYTES = 1_000_000
MOST_DEPTH = 30
_LARGEST = 2**63
# Unicode's Cc without tab and new line, and its line and paragraph separators.
# What turns the direction of writing would turn all that stands behind it on a page.
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")
# A line of words without quotes: ``class = Thursday ukes``.
_BARE = re.compile(r"\s*([\w-]+)\s*=\s*([^\W\d_][^\"'\[\]{}=#]*?)\s*(?:#.*)?")
_PLACE = re.compile(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", re.DOTALL)
# Keys with more dots than a table may nest; tomllib takes its time over them.
_KEY = r"""(?:[\w\-]+|"[^"\n]*"|'[^'\n]*')"""
_MANY_DOTS = re.compile(rf"(?m)(?:^|[\[{{,])[ \t]*{_KEY}(?:[ \t]*\.[ \t]*{_KEY}){{{MOST_DEPTH}}}")


def read_toml_file(
    path: Path, what: str, error: type[HarmonyError] = HarmonyError, most: int = MOST_BYTES
) -> tuple[dict[str, Any], TomlPlaces]:
    """Return the values of a TOML file, and the places of its keys; see ``read_toml``."""
    return read_toml(read_text(path, most, error), path.name, what, error)


def read_toml(
    source: str,
    name: str,
    what: str,
    error: type[HarmonyError] = HarmonyError,
    *,
    parse_float: Callable[[str], Any] = float,
) -> tuple[dict[str, Any], TomlPlaces]:
    """Return the values of a TOML text, and the places of its keys.

    Parameters
    ----------
    source : str
        Its lines end in ``\\n``.
    name : str
        The file's name, for errors.
    what : str
        What was read, for errors: ``"the course"``.
    error : type of HarmonyError
        What is raised.
    parse_float : callable
        As for ``tomllib.loads``; a ``ValueError`` of its own is an error of the file.

    Raises
    ------
    HarmonyError
        With file, line and column, as far as they are known.

    Examples
    --------
    >>> values, places = read_toml("level = 2\\n", "answer.toml", "the answer")
    >>> values, places.key(("", 0, "level")).line
    ({'level': 2}, 1)
    """
    try:
        if _MANY_DOTS.search(source):
            raise RecursionError
        values = tomllib.loads(source, parse_float=parse_float)
        _check(values)
    except RecursionError:
        rule = f"{MOST_DEPTH} nested tables or lists at most"
        raise error(f"{what} nests too deeply", place=Place(name), rule=rule) from None
    except (ValueError, InvalidOperation) as trouble:
        message, place = _placed(str(trouble), source, name)
        mend = _in_quotes(source, place.line)
        raise error(f"{what} is not TOML: {message}", place=place, mend=mend) from None
    places = TomlPlaces.of(name, source)
    for address, text in _texts(values):
        if index := _control(text):
            raise error(
                f"{address[2]} has a control character (U+{ord(text[index - 1]):04X})",
                place=places.within(address, index - 1),
                rule="text may contain letters, digits, symbols, spaces and line breaks",
                mend="the same line without it",
            )
    return values, places


def _in_quotes(source: str, line: int | None) -> str:
    """Return a line whose value has no quotes as it should be typed; nothing for any other."""
    lines = source.splitlines()
    found = _BARE.fullmatch(lines[line - 1]) if line and line <= len(lines) else None
    return f"{found[1]} = {toml_string(found[2])}" if found else ""


def check_line(
    text: str, key: str, place: Place, error: type[HarmonyError], *, needed: bool = False
) -> None:
    """Refuse a value of several lines where one is printed, and an empty one that is ``needed``.

    Raises
    ------
    HarmonyError
        At the place, with a line to type.

    Examples
    --------
    >>> check_line("Two\\nlines", "title", Place("a.toml", 2), HarmonyError)
    Traceback (most recent call last):
    harmonykit.errors.HarmonyError: title has more than one line
      where: a.toml, line 2
      rule: it is printed on one line
      try: title = "Two lines"
    """
    if needed and not text.strip():
        raise error(
            f"{key} is empty",
            place=place,
            rule=f"{key} must have some text, because it is printed",
            mend=f'{key} = "My own words"',
        )
    if len(text.splitlines()) > 1 or text.endswith("\n"):
        raise error(
            f"{key} has more than one line",
            place=place,
            rule="it is printed on one line",
            mend=f"{key} = {toml_string(' '.join(text.split()))}",
        )


def toml_string(text: str) -> str:
    """Return a text as a TOML basic string: what cannot be seen is named by its code point.

    References
    ----------
    TOML v1.0.0 (2021), "String": a basic string, and its escapes.

    Examples
    --------
    >>> print(toml_string('a "mute"'))
    "a \\"mute\\""
    """
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08X}" for c in plain) + '"'


def toml_strings(texts: Iterable[str]) -> str:
    """Return texts as a TOML array of strings.

    Examples
    --------
    >>> toml_strings(["slide", "walk"])
    '["slide", "walk"]'
    """
    return f"[{', '.join(map(toml_string, texts))}]"


def _texts(values: dict[str, Any]) -> Iterator[tuple[Address, str]]:
    """Yield every text of a file with the nearest address that places know."""
    waiting: list[tuple[Address, Any]] = [(("", 0, key), value) for key, value in values.items()]
    while waiting:
        address, value = waiting.pop(0)
        if isinstance(value, str):
            yield address, value
        elif isinstance(value, dict):
            waiting += [((address[2], 0, key), each) for key, each in value.items()]
        elif isinstance(value, list):
            for index, each in enumerate(value):
                if isinstance(each, dict):
                    waiting += [((address[2], index, key), inner) for key, inner in each.items()]
                else:
                    waiting.append((address, each))


def _control(text: str) -> int:
    """Return where the first control character stands, counted from 1; 0 where there is none."""
    found = _CONTROL.search(text)
    return found.end() if found else 0


def _check(values: dict[str, Any]) -> None:
    """Make sure that no value is too deep or too large; without recursion."""
    level: list[Any] = [values]
    for _ in range(MOST_DEPTH + 1):
        inner: list[Any] = []
        for each in level:
            found = each.values() if isinstance(each, dict) else each
            for value in found:
                if isinstance(value, int) and not -_LARGEST <= value < _LARGEST:
                    raise ValueError(f"{str(value)[:20]}... is too large for a 64-bit number")
                if isinstance(value, dict | list):
                    inner.append(value)
        if not inner:
            return
        level = inner
    raise RecursionError


def _placed(message: str, source: str, name: str) -> tuple[str, Place]:
    """Return what tomllib says without its place, and the place."""
    found = _PLACE.fullmatch(message)
    if found is None:
        if "integer string conversion" in message:
            message = "a number of more than 4,300 digits"
        return message.rstrip("."), Place(name)
    lines = source.split("\n")
    line = int(found[2]) if found[2] else len(lines)
    column = int(found[3]) if found[3] else len(lines[-1]) + 1
    return found[1].rstrip("."), Place(name, line, column, lines[line - 1])
