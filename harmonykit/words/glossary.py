"""The glossary: each word of the trade that the program uses, with its meaning in one line.

``glossary.toml`` beside this file is the table.  Labels, helps and legends take the names of moves
and of measures from it, so that one thing has one word.
"""

import difflib
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from harmonykit.errors import HarmonyError, need_text
from harmonykit.files.toml import read_toml_file
from harmonykit.values import dataclass
from harmonykit.words.former import current, plain

COMMON = "common practice"
_TABLE = Path(__file__).with_name("glossary.toml")
_NEAREST = 5


@dataclass(frozen=True, slots=True)
class Term:
    """A word of the trade.

    Parameters
    ----------
    name : str
        As it is typed.
    means : str
        One line.
    symbol : str
        How it is written, or an example; may be empty.
    source : str
        A publication, or "common practice".
    label : str
        As it is printed.
    also : tuple of str
        Other names by which it is found.

    Examples
    --------
    >>> found = hk.term("tritone")
    >>> found.name, found.symbol, found.source
    ('tritone', 'C – F♯', 'common practice')
    """

    name: str
    means: str
    symbol: str = ""
    source: str = COMMON
    label: str = ""
    also: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.label:
            object.__setattr__(self, "label", self.name)

    def __str__(self) -> str:
        symbol = f" ({self.symbol})" if self.symbol else ""
        source = "" if self.source == COMMON else f" [{self.source}]"
        return f"{self.label}{symbol}: {self.means}{source}"


@cache
def glossary() -> tuple[Term, ...]:
    """Return all terms, by subject: notes and chords, dominants, voices, strings, tunes, basics.

    Returns
    -------
    tuple of Term

    Examples
    --------
    >>> [term.name for term in hk.glossary() if "scale of" in term.name]
    ['scale of chords']
    """
    table, _ = read_toml_file(_TABLE, "the glossary")
    rows = ({**row, "also": tuple(row.get("also", ()))} for row in table["term"])
    return tuple(Term(**row) for row in rows)


def term(name: str) -> Term:
    """Return a term by its name, its label, or a name that a move or a style had before.

    Singular or plural, dashes of any kind, and a scale without that word are read too.

    Parameters
    ----------
    name : str
        The term, as it is said or written.

    Returns
    -------
    Term

    Raises
    ------
    HarmonyError
        If it is unknown; with the nearest terms.

    Examples
    --------
    >>> print(hk.term("tritone partner"))
    tritone substitution (subV7: D♭7 for G7): The dominant a tritone away replaces a dominant. ...
    """
    need_text(name, "a term", '"pedal point"')
    terms = _by_name()
    one = re.sub("[–—‑−]", "-", name)
    forms = (one, one.removesuffix("s"), f"{one}s", f"{one} scale")
    for typed in (*forms, current("move", name), current("style", name)):
        if plain(typed) in terms:
            return terms[plain(typed)]
    close = difflib.get_close_matches(plain(name), terms, _NEAREST, 0.5)
    near = dict.fromkeys(terms[each].name for each in close)
    raise HarmonyError(
        f"unknown term {name!r}",
        rule="a term of the glossary",
        mend=" or ".join(map(repr, near)) or "harmonykit words",
    )


def label(name: str) -> str:
    """Return how a term is printed; a name that the glossary lacks is printed as it is.

    Examples
    --------
    >>> label("rootless dominant"), label("as written")
    ('rootless dominant ♭9', 'as written')
    """
    found = _by_name().get(plain(name))
    return found.label if found else name


def holding(word: str) -> Iterator[Term]:
    """Yield the terms whose name, symbol or meaning has a word in it."""
    for each in glossary():
        if word.casefold() in f"{each.label} {each.name} {each.symbol} {each.means}".casefold():
            yield each


@cache
def _by_name() -> dict[str, Term]:
    return {
        plain(name): each for each in glossary() for name in (*each.also, each.label, each.name)
    }
