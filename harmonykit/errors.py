"""What goes wrong, said so that it can be mended.

Every message has up to four parts, in this order: *what* was wrong, *where* (file, line, column,
and the line itself with a caret under the first character that does not fit), the *rule* that it
breaks, and the *mend*: what would work.  Lines and columns count from 1.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable
from math import inf
from operator import index
from pathlib import Path
from typing import Any, TypeVar

from harmonykit.values import dataclass

# What was received is shown up to here.
_LONGEST = 60
# A line of a message, of what to type and of what was read: what was typed may be a whole book.
_LONGEST_LINE, _LONGEST_ADVICE, _LONGEST_READ = 400, 1_500, 160


T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Place:
    """A place in something that was read.

    Parameters
    ----------
    source : str
        The file's name, or a word for what was read (``"chord symbol"``); may be empty.
    line, column : int or None
        Counted from 1; ``None`` where unknown.
    text : str
        The line itself, for the caret; may be empty.

    Examples
    --------
    >>> print(Place("tune.toml", 3, 5, "| C Hx7 |").show())
    tune.toml, line 3, column 5
        | C Hx7 |
            ^
    """

    source: str = ""
    line: int | None = None
    column: int | None = None
    text: str = ""

    def show(self) -> str:
        """Return the place in words, with a caret under the column where the text is known."""
        words = [self.source] if self.source else []
        if self.line is not None:
            words.append(f"line {self.line}")
        if self.column is not None:
            words.append(f"column {self.column}")
        head = _cut(", ".join(words), _LONGEST_LINE)
        return f"{head}\n{self._caret()}" if self.text else head

    def _caret(self) -> str:
        shown = "".join(c if c.isprintable() else " " for c in self.text)
        if self.column is None:
            return f"    {_cut(shown, _LONGEST_READ)}"
        before = 0
        if len(shown) > _LONGEST_READ:
            # As much on either side of the caret.
            half = _LONGEST_READ // 2
            before = max(0, min(self.column - half, len(shown) - _LONGEST_READ))
            after = before + _LONGEST_READ
            start, end = "…" * (before > 0), "…" * (after < len(shown))
            shown = start + shown[before + len(start) : after - len(end)] + end
        return f"    {shown}\n    {' ' * (self.column - 1 - before)}^"

    def within(self, outer: Place) -> Place:
        """Return this place with what it does not know filled in from ``outer``."""
        return Place(
            outer.source or self.source,
            self.line if outer.line is None else outer.line,
            self.column if outer.column is None else outer.column,
            outer.text or self.text,
        )


def _cut(text: str, longest: int) -> str:
    """Return a text whose longest lines have lost their middle."""
    if len(text) <= longest:
        return text
    half = longest // 2
    lines = text.split("\n")
    return "\n".join(
        line if len(line) <= longest else f"{line[: half - 1]}…{line[-half:]}" for line in lines
    )


class HarmonyError(Exception):
    """Base class of all errors of this package.

    Parameters
    ----------
    what : str
        One sentence: the thing's name and the value received; the middle of what is very long is
        left out.
    place : Place, optional
        Where it stood.
    rule : str, optional
        The rule that was broken.
    mend : str, optional
        The nearest thing that would work.

    Examples
    --------
    >>> print(hk.HarmonyError("fret 31 is beyond the neck", rule="this neck has 15 frets"))
    fret 31 is beyond the neck
      rule: this neck has 15 frets
    """

    def __init__(
        self, what: str, *, place: Place | None = None, rule: str = "", mend: str = ""
    ) -> None:
        self.what = _cut(what, _LONGEST_LINE)
        super().__init__(self.what)
        self.place = place
        self.rule = _cut(rule, _LONGEST_ADVICE)
        self.mend = _cut(mend, _LONGEST_ADVICE)

    @property
    def column(self) -> int:
        """The column at which it stood in its text; 1 where that is not known."""
        return (self.place and self.place.column) or 1

    def __str__(self) -> str:
        parts = [self.what]
        if self.place is not None:
            parts.append("  where: " + self.place.show().replace("\n", "\n  "))
        if self.rule:
            parts.append(f"  rule: {self.rule}")
        if self.mend:
            parts.append(f"  try: {self.mend}")
        return "\n".join(parts)

    def at(self, place: Place) -> HarmonyError:
        """Return the same error, placed within ``place`` (a file around a line, say).

        Parameters
        ----------
        place : Place
            A file, a line, a column, or some of them; what is known of the error's own goes before.

        Returns
        -------
        HarmonyError
            Of the same kind.

        Examples
        --------
        >>> from harmonykit.errors import Place
        >>> error = hk.HarmonyError("unknown style 'slow'")
        >>> print(error.at(Place("tide.md", line=3)))
        unknown style 'slow'
          where: tide.md, line 3
        """
        inner = place if self.place is None else self.place.within(place)
        return type(self)(self.what, place=inner, rule=self.rule, mend=self.mend)


class WrongKind(HarmonyError, TypeError):
    """Something of another kind than is wanted: also a ``TypeError``.

    Examples
    --------
    >>> print(wrong_kind(7, "a chord, or its symbol as text", '"Adim7"'))
    7 was given
      rule: a chord, or its symbol as text
      try: "Adim7"
    """


def wrong_kind(given: object, wanted: str, mend: str) -> WrongKind:
    """Return the error for something of another kind than is wanted.

    Parameters
    ----------
    given : object
        What was received.
    wanted : str
        What is wanted, in words.
    mend : str
        What to type.
    """
    return WrongKind(f"{_shown(given)} was given", rule=wanted, mend=mend)


def _shown(given: object) -> str:
    """Return what was received, short; the type alone where it shows itself by an address."""
    shown = repr(given)
    if " at 0x" in shown or "\n" in shown:
        return f"something of the type {type(given).__name__}"
    return shown if len(shown) <= _LONGEST else shown[: _LONGEST - 1] + "…"


def need_text(given: object, wanted: str, mend: str) -> str:
    """Return what is text, or say what is wanted.

    Examples
    --------
    >>> need_text("C7", "a chord symbol", '"C7"')
    'C7'
    """
    if isinstance(given, str):
        return given
    raise wrong_kind(given, f"{wanted}, as text", mend)


def need_several(given: object, wanted: str, mend: str) -> Iterable[Any]:
    """Return what can be gone through one by one, or say what is wanted; bytes cannot.

    Examples
    --------
    >>> need_several(["C7", "F6"], "a list of chords", '["C7", "F6"]')
    ['C7', 'F6']
    """
    if isinstance(given, Iterable) and not isinstance(given, bytes):
        return given
    raise wrong_kind(given, wanted, mend)


def need_whole(given: object, name: str, least: int | None = None, most: int | None = None) -> int:
    """Return a whole number within its limits, or say what is wanted; a truth value is none.

    Examples
    --------
    >>> need_whole(5, "max_fret", 0)
    5
    """
    span = "" if least is None else f", {least} or more" if most is None else f", {least} to {most}"
    wanted, mend = f"{name} is a whole number{span}", f"{name}={least or 1}"
    if isinstance(given, bool) or not hasattr(given, "__index__"):
        raise wrong_kind(given, wanted, mend)
    number = index(given)
    if (least is not None and number < least) or (most is not None and number > most):
        raise HarmonyError(f"{name} is {_shown(number)}", rule=wanted, mend=mend)
    return number


def need_number(given: object, name: str, least: float = -inf, most: float = inf) -> float:
    """Return a number within its limits, as it was given; a truth value is none.

    Examples
    --------
    >>> need_number(67.5, "stretch_mm", 0)
    67.5
    """
    span = f", {least:g} or more" if most == inf else f", {least:g} to {most:g}"
    wanted, mend = f"{name} is a number{'' if least == -inf else span}", f"{name}={max(least, 1):g}"
    if isinstance(given, bool) or not isinstance(given, int | float):
        raise wrong_kind(given, wanted, mend)
    if not least <= given <= most:
        raise HarmonyError(f"{name} is {_shown(given)}", rule=wanted, mend=mend)
    return given


def need_path(given: object, what: str) -> Path:
    """Return a path that was handed in as such or as text.

    Examples
    --------
    >>> need_path("tune.toml", "a tune").name
    'tune.toml'
    """
    if isinstance(given, str | Path):
        return Path(given)
    raise wrong_kind(given, f"the path of {what}, as text or as a Path", '"FOLDER/FILE"')


def missing_file(
    path: Path, kind: type[HarmonyError] = HarmonyError, *, rule: str = "", near: str = ""
) -> HarmonyError:
    """Return the error for a file that is not there; it offers the nearest name that is.

    Parameters
    ----------
    path : Path
    kind : type of HarmonyError
    rule : str, optional
        What else may be given.
    near : str, optional
        What to type; else the file in the same folder whose name is nearest.

    Examples
    --------
    >>> print(missing_file(Path("nowhere.toml")))
    missing file 'nowhere.toml'
      try: the path of an existing file
    """
    mend = near or _beside(path) or ("" if rule else "the path of an existing file")
    return kind(f"missing file {str(path)!r}", rule=rule, mend=mend)


def _beside(path: Path) -> str:
    """Return the file in the same folder whose name is nearest to a mistyped one.

    One of the same kind goes before the others; a page or a picture is offered for no other kind.
    """
    try:
        files = sorted(each for each in path.parent.iterdir() if each.is_file())
    except (OSError, ValueError):
        return ""
    kind = path.suffix.lower()
    alike = [each for each in files if each.suffix.lower() == kind]
    others = [each for each in files if each.suffix.lower() not in (kind, *_LOOKED_AT)]
    for some in (alike, others):
        own = {each.stem: each for each in some}
        if near := difflib.get_close_matches(path.stem, own, n=1):
            return str(own[near[0]])
    return ""


# What is looked at or heard, and not read.
_LOOKED_AT = (".pdf", ".png", ".jpg", ".jpeg", ".svg", ".html", ".mp3")


def need_flag(given: object, name: str) -> bool:
    """Return what is true or false, or say what is wanted.

    Examples
    --------
    >>> need_flag(True, "playable")
    True
    """
    if isinstance(given, bool):
        return given
    raise wrong_kind(given, f"{name} is True or False", f"{name}=True")


def need_one_of(given: object, name: str, words: Iterable[str]) -> str:
    """Return one of some words, or list them.

    Examples
    --------
    >>> need_one_of("below", "side", ["below", "above"])
    'below'
    """
    listed = tuple(words)
    if isinstance(given, str) and given in listed:
        return given
    near = difflib.get_close_matches(str(given), listed, 3, 0.5) or listed[:3]
    mend = " or ".join(f'"{word}"' for word in near)
    if not isinstance(given, str):
        raise wrong_kind(given, f"{name} is one of {', '.join(listed)}", mend)
    raise HarmonyError(
        f"{given!r} is not a known {name}", rule=f"it is one of {', '.join(listed)}", mend=mend
    )


def attempt(call: Callable[..., T], *given: Any) -> T | None:
    """Return what a call gives, or None where it refuses what is given.

    Examples
    --------
    >>> def half(number: int) -> int:
    ...     if number % 2:
    ...         raise HarmonyError(f"{number} is odd")
    ...     return number // 2
    >>> attempt(half, 4), attempt(half, 3)
    (2, None)
    """
    try:
        return call(*given)
    except HarmonyError:
        return None
