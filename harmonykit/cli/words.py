"""What ``harmonykit words`` prints: the glossary, or the terms that were asked for."""

from __future__ import annotations

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


def _printed(terms: Iterable[Term]) -> Iterator[str]:
    for each in terms:
        yield from textwrap.wrap(str(each), WIDTH, subsequent_indent="    ")
