"""What ``harmonykit words`` prints: the glossary, or the terms that were asked for."""

import textwrap
from collections.abc import Iterable, Iterator

from harmonykit.about.text import WIDTH
from harmonykit.errors import HarmonyError
from harmonykit.words.glossary import Term, glossary, holding, term


def lines_of(asked: str | None) -> Iterator[str]:
    """Yield the glossary, the one term of that name, or those that have the word in them.

    Raises
    ------
    HarmonyError
        If no term has it; with the nearest terms.
    """
    if asked is None:
        return _printed(glossary())
    try:
        return _printed([term(asked)])
    except HarmonyError:
        found = [*holding(asked)]
        if not found:
            raise
        return _printed(found)


def moves_and_styles() -> Iterator[str]:
    """Yield every move and every style, each with what it is, as lines of a command's help."""
    from harmonykit.arrange.moves import MOVES
    from harmonykit.arrange.styles import STYLES

    yield "Moves:"
    for move in MOVES:
        found = term(move)
        yield from _listed(f"{move} ({found.symbol})" if found.symbol else move, found.means)
    yield ""
    yield "Styles:"
    for style in STYLES.values():
        yield from _listed(style.name, style.about)


def _listed(name: str, said: str) -> Iterator[str]:
    first, indent = f"  {name}: ", " " * 6
    yield from textwrap.wrap(said, WIDTH - 2, initial_indent=first, subsequent_indent=indent)


def _printed(terms: Iterable[Term]) -> Iterator[str]:
    for each in terms:
        yield from textwrap.wrap(str(each), WIDTH, subsequent_indent="    ")
