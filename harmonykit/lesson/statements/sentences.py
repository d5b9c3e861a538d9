"""The sentences of a lesson's text: which of them are proved, and which its author answers for.

A sentence is proved where it is what a statement gave, word for word; one that a statement stands
inside of is not, since the words around it may say otherwise.  Headings, tables and code are not
sentences.  Lines count from 1 in the lesson's file.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from harmonykit.lesson.plan.model import Fact, Lesson, Text

MARK = "†"

# What may stand before a sentence: space, list signs, quotation, the signs of strong and italic.
_BEFORE = re.compile(r"(?:\s|[-+*](?=\s)|\d+[.)](?=\s)|>(?=\s)|[*_]+)*")
_END = re.compile(r"[.!?…][\"”’')*_\]]*(?=\s|$)")
_CLOSING = re.compile(r"[*_]*")
_FENCE = re.compile(r"\s*(```|~~~)")
_APART = re.compile(r"\s*(#|\||$)")
_ITEM = re.compile(r"\s*([-+*]|\d+[.)])\s")
_LETTER = re.compile(r"\w")


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence of the text, the line on which it begins, and the statement that gave it."""

    text: str
    line: int
    fact: Fact | None = None


@dataclass(frozen=True, slots=True)
class _Span:
    start: int
    end: int
    sentence: str


def sentences_of(lesson: Lesson) -> tuple[Sentence, ...]:
    """Return the sentences of a lesson's text in order."""
    facts = {fact.sentence: fact for fact in lesson.facts}
    return tuple(
        Sentence(span.sentence, _line(block, span.start), facts.get(span.sentence))
        for section in lesson.sections
        for block in section.blocks
        if isinstance(block, Text) and not block.computed
        for span in _spans(block.markdown, facts)
    )


def proved_of(lesson: Lesson) -> str:
    """Say how many sentences are proved: ``"24 of 56 sentences are proved"``."""
    found = sentences_of(lesson)
    proved = sum(sentence.fact is not None for sentence in found)
    return f"{proved} of {len(found)} sentences {'is' if proved == 1 else 'are'} proved"


def marked(markdown: str, facts: Iterable[Fact]) -> str:
    """Return a text with a mark behind each sentence that is proved.

    Examples
    --------
    >>> marked("Listen. C6 is Am7. So C6 is Am7.", [Fact("C6 is Am7.", "")])
    'Listen. C6 is Am7. † So C6 is Am7.'
    """
    known = {fact.sentence for fact in facts}
    parts, end = [], 0
    for span in _spans(markdown, known):
        if span.sentence in known:
            after = _CLOSING.match(markdown, span.end)
            stop = after.end() if after else span.end
            parts += [markdown[end:stop], f" {MARK}"]
            end = stop
    return "".join([*parts, markdown[end:]])


def _line(text: Text, offset: int) -> int:
    index = text.markdown.count("\n", 0, offset)
    return text.lines[index] if index < len(text.lines) else 0


def _spans(markdown: str, known: Iterable[str]) -> Iterator[_Span]:
    """Yield the sentences with where they stand in the text."""
    sentences = sorted(known, key=len, reverse=True)
    for start, end in _paragraphs(markdown):
        place = start
        while place < end:
            before = _BEFORE.match(markdown, place, end)
            place = before.end() if before else place
            if place >= end:
                break
            stop = _stop(markdown, place, end, sentences)
            said = " ".join(markdown[place:stop].replace("*", "").split())
            if _LETTER.search(said):
                yield _Span(place, stop, said)
            place = stop


def _stop(markdown: str, place: int, end: int, sentences: list[str]) -> int:
    """Return where the sentence ends that begins at a place."""
    for sentence in sentences:
        if sentence and markdown.startswith(sentence, place):
            return place + len(sentence)
    found = _END.search(markdown, place, end)
    return found.end() if found else end


def _paragraphs(markdown: str) -> Iterator[tuple[int, int]]:
    """Yield where each paragraph or list item of running text begins and ends."""
    start: int | None = None
    offset, in_code = 0, False
    for line in markdown.splitlines(keepends=True):
        fence = _FENCE.match(line) is not None
        apart = in_code or fence or _APART.match(line) is not None
        if start is not None and (apart or _ITEM.match(line)):
            yield start, offset
            start = None
        if not apart and start is None:
            start = offset
        in_code = in_code != fence
        offset += len(line)
    if start is not None:
        yield start, len(markdown)
