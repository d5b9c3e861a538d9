"""The form that a message gives, by letters or names, and the sections that it means."""

import re
from collections.abc import Sequence
from itertools import groupby, takewhile

from harmonykit.tune.form import Section

# Of the words after "form" those that are letters of sections: AABA, aaba, A1, B', a.
_LETTERS = re.compile(r"(?:(?:[A-Z]\d?['’]?)+|(?:[a-e]\d?['’]?)+|[a-z])$")
_LETTER = re.compile(r"[A-Z]\d?['’]?")
_PART = re.compile(r"^(?:part|section|teil)\b\W*|\W*\b(?:part|section|teil)$")


def letters_of(text: str) -> tuple[str, ...]:
    """Return the letters that a text begins with; none where they are a word.

    Examples
    --------
    >>> letters_of("AABB, last time slow down"), letters_of("the ballad")
    (('A', 'A', 'B', 'B'), ())
    """
    found = "".join(takewhile(_LETTERS.match, re.split(r"[\s,–-]+", text)))
    letters = tuple(_LETTER.findall(found.upper()))
    return letters if len(letters) > 1 else ()


def order_meant(given: Sequence[str], sections: Sequence[Section]) -> tuple[tuple[str, ...], str]:
    """Return the names of the sections in the order given, and what is given but no section.

    ``A`` is the section ``A part``, too.  A form may say again what the repeats say: AABB, where
    each part has its repeat.

    Examples
    --------
    >>> from harmonykit.tune.bar import Bar
    >>> bar = Bar.of((4, 4), [])
    >>> sections = [Section("A part", (bar,)), Section("part B", (bar,))]
    >>> order_meant("ABA", sections), order_meant("ABC", sections)
    ((('A part', 'part B', 'A part'), ''), ((), 'C'))
    """
    whole = {section.name.casefold(): section.name for section in sections}
    own = {_PART.sub("", name): found for name, found in whole.items()} | whole
    missing = next((name for name in given if not own.get(name.casefold())), "")
    if missing or not given:
        return (), missing
    order = tuple(own[name.casefold()] for name in given)
    runs = [(name, len(list(run))) for name, run in groupby(order)]
    said = {(section.name, _times(section)) for section in sections}
    again = said.issuperset(runs) and any(times > 1 for _, times in runs)
    return (tuple(name for name, _ in runs) if again else order), ""


def _times(section: Section) -> int:
    """Return how often all of a section is played by its own repeat; 1 where it has none."""
    bars = section.bars
    inside = any(bar.closes or bar.ending for bar in bars[:-1]) or any(b.opens for b in bars[1:])
    return 1 if inside else max(bars[-1].closes, 1)
