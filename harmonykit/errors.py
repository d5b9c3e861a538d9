"""What goes wrong, said so that it can be mended.

Every message has up to four parts, in this order: *what* was wrong, *where* (file, line, column,
and the line itself with a caret under the first character that does not fit), the *rule* that it
breaks, and the *mend*: what would work.  Lines and columns count from 1.
"""

from __future__ import annotations

from dataclasses import dataclass


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
        head = ", ".join(words)
        return f"{head}\n{self._caret()}" if self.text else head

    def _caret(self) -> str:
        shown = "".join(c if c.isprintable() else " " for c in self.text)
        if self.column is None:
            return f"    {shown}"
        return f"    {shown}\n    {' ' * (self.column - 1)}^"

    def within(self, outer: Place) -> Place:
        """Return this place with what it does not know filled in from ``outer``."""
        return Place(
            outer.source or self.source,
            self.line if outer.line is None else outer.line,
            self.column if outer.column is None else outer.column,
            outer.text or self.text,
        )


class HarmonyError(Exception):
    """The one root of all errors that this package raises on purpose.

    Parameters
    ----------
    what : str
        One sentence: the thing's name and the value received.
    place : Place, optional
        Where it stood.
    rule : str, optional
        The rule that was broken.
    mend : str, optional
        The nearest thing that would work.

    Examples
    --------
    >>> print(HarmonyError("fret 31 is beyond the neck", rule="this neck has 15 frets"))
    fret 31 is beyond the neck
      rule: this neck has 15 frets
    """

    def __init__(
        self, what: str, *, place: Place | None = None, rule: str = "", mend: str = ""
    ) -> None:
        super().__init__(what)
        self.what = what
        self.place = place
        self.rule = rule
        self.mend = mend

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
        """Return the same error, placed within ``place`` (a file around a line, say)."""
        inner = place if self.place is None else self.place.within(place)
        return type(self)(self.what, place=inner, rule=self.rule, mend=self.mend)
