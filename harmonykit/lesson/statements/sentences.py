"""The sentences of a lesson's text: which of them are proved, and which its author answers for.

A sentence is proved where it is what a statement gave, word for word.  One that a statement stands
inside of is not, since the words around it may say otherwise ("It is not so that ..."), nor one
that a short sentence beside it takes back ("That is wrong."): such a sentence is ``turned``, and
its author is told.  Headings, tables, code and pictures are not sentences.  Lines count from 1 in
the lesson's file.
"""

import re
from collections.abc import Container, Iterable, Iterator

from harmonykit.lesson.plan.model import Fact, Lesson, Text
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import number

MARK, SAID_MARK = "†", "‡"

# What may stand before a sentence: space, list signs, quotation, the signs of strong and italic.
_BEFORE = re.compile(r"(?:\s|[-+*](?=\s)|\d+[.)](?=\s)|>(?=\s)|[*_]+)*")
_END = re.compile(r"[.!?…][\"”’')*_\]]*(?=\s|$)")
_ENDED = re.compile(r"[.!?…][\"”’')\]]*$")
_CLOSING = re.compile(r"[*_]*")
# What goes on with the sentence before it: a small letter, or a sign that no sentence begins with.
# A shape may begin one, though its first string is muted: x-x-1-2.
_GOES_ON = re.compile(r"[*_]*\s*(?:(?!x-[x\d])[a-zß-öø-ÿ]|[,;:?!)\]”’–—~]|-\s)|[\"'](?=\s|$)")
_FENCE = re.compile(r"\s*(```|~~~)")
_APART = re.compile(r"\s*(#|\||$)")
# A picture on a line of its own, with no words beside it.
_PICTURE = re.compile(r"[ \t]*!\[[^\]\n]*\]\([^\n]*\)[ \t]*$", re.MULTILINE)
_ITEM = re.compile(r"\s*([-+*]|\d+[.)])\s")
_LETTER = re.compile(r"\w")

INSIDE = "a statement is inside the author's own words"
TITLE = "its heading denies it or asks whether it is so"
BESIDE = "the words beside it take it back or ask whether it is so"
_MEND = "the call as a sentence of its own, with nothing around it that says otherwise"

# A short sentence that takes back the one beside it (English alone).
_TAKES_BACK = re.compile(
    r"""["“‘(]*(?:
      (?:oh,?\ )?(?:no|wrong|false|untrue|nonsense|never|hardly|really)
    | not\ (?:so|true|quite|at\ all)
    | or\ (?:not|is\ it|are\ they|do\ they)
    | (?:true\ or\ false|right\ or\ wrong|so\ they\ say)
    | (?:is|are)\ (?:this|that|it|these)\ (?:so|true|right|really\ so)
    | (?:this|that|it|which|all\ this|so\ it)\ (?:is|was)(?:\ \w+)?\ (?:wrong|false|untrue|nonsense
        |an?\ (?:mistake|error|myth|lie))
    | (?:this|that|it)\ (?:(?:is|was)\ (?:not|never|hardly)|(?:is|was)n['’]t)(?:\ \w+)?
        \ (?:so|true|right|the\ case)
    | (?:find|spot|mend)\ the\ (?:mistake|error)
    | (?:the\ following|what\ follows|the\ next\ \w+|all\ of\ this|none\ of\ this)
        \ is(?:\ not)?\ (?:so|true|wrong|false|untrue|nonsense)
    | (?:do\ not|don['’]t|nobody\ (?:should\ )?|never)\ ?believes?\ (?:it|this|that)
    )[.!?…]*["”’)]*""",
    re.IGNORECASE | re.VERBOSE,
)
# Words of a line before a list, or before a paragraph, that deny what follows or ask about it.
_DENIES = re.compile(
    r"\b(?:not|none|no|never|neither|nobody|nothing|hardly|unless|if|whether|which"
    r"|wrong|false|untrue|nonsense|mistakes?|errors?|myths?)\b|n['’]t\b",
    re.IGNORECASE,
)


_DENIED = re.compile(
    r"\b(?:wrong|false|untrue|nonsense|mistakes?|errors?|myths?|not (?:so|true))\b", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence of the text, the line on which it begins, and what is proved of it.

    Parameters
    ----------
    text : str
    line : int
    fact : Fact or None
        The statement that gave it, word for word; it is proved then.
    turned : Fact or None
        A statement that stands inside it, or that the words beside it take back.
    why : str
        Why it does not count as proved: ``INSIDE`` or ``BESIDE``.
    at : int
        The line on which the statement itself begins, which other words may stand before.
    put_in : tuple of str
        The words in it that calls gave.
    """

    text: str
    line: int
    fact: Fact | None = None
    turned: Fact | None = None
    why: str = ""
    at: int = 0
    put_in: tuple[str, ...] = ()

    @property
    def note(self) -> str:
        """What its author should be told; empty where there is nothing to tell."""
        return f"not counted as proved: {self.why}; try {_MEND}" if self.turned else ""


@dataclass(frozen=True, slots=True)
class _Span:
    """A sentence, where it stands, and the statement in it; ``why`` it is turned, if it is."""

    start: int
    end: int
    sentence: str
    stated: str = ""
    why: str = ""

    @property
    def proved(self) -> bool:
        return bool(self.stated) and not self.why


def sentences_of(lesson: Lesson) -> tuple[Sentence, ...]:
    """Return the sentences of a lesson's text in order."""
    facts = {fact.sentence: fact for fact in lesson.facts}
    return tuple(
        Sentence(
            span.sentence,
            _line(block, span.start),
            facts[span.stated] if span.proved and not turned_title else None,
            facts[span.stated] if span.stated and (turned_title or not span.proved) else None,
            TITLE if turned_title and span.stated else span.why,
            _line(block, block.markdown.find(span.stated, span.start)) if span.stated else 0,
            tuple(block.markdown[a:b] for a, b in block.put_in if span.start <= a < span.end),
        )
        for section in lesson.sections
        for turned_title in (denies(section.title),)
        for block in section.blocks
        if isinstance(block, Text) and not block.computed
        for span in _spans(block.markdown, facts)
    )


def denies(title: str) -> bool:
    """Whether a heading says or asks that what follows is wrong.

    Examples
    --------
    >>> denies("True or false?"), denies("Three mistakes"), denies("Which dominant is it?")
    (True, True, False)
    """
    return _DENIED.search(title) is not None


def proved_of(lesson: Lesson) -> str:
    """Say how many sentences are proved: ``"Of 56 sentences 24 are proved"``."""
    found = sentences_of(lesson)
    proved = sum(sentence.fact is not None for sentence in found)
    said = number(proved) if proved else "none"
    many = f"{number(len(found))} sentence{'s' if found[1:] else ''}"
    return f"Of {many} {said} {'are' if proved > 1 else 'is'} proved"


def turned_of(lesson: Lesson) -> Iterator[str]:
    """Yield what an author should be told of sentences that turn a statement, line by line."""
    for one in sentences_of(lesson):
        if one.turned is not None:
            yield f"line {one.at}: “{one.text}” is {one.note}"


def marked(markdown: str, facts: Iterable[Fact], said: Container[str] = ()) -> str:
    """Return a text with a mark behind each sentence that is proved, a light one behind others.

    The others are sentences that claim something which is ``said`` and not proved.

    Examples
    --------
    >>> marked("Listen. C6 is Am7. So C6 is Am7.", [Fact("C6 is Am7.", "")])
    'Listen. C6 is Am7. † So C6 is Am7.'
    >>> marked("It is not so that C6 is Am7.", [Fact("C6 is Am7.", "")])
    'It is not so that C6 is Am7.'
    """
    parts, end = [], 0
    for span in _spans(markdown, {fact.sentence for fact in facts}):
        if span.proved or span.sentence in said:
            after = _CLOSING.match(markdown, span.end)
            stop = after.end() if after else span.end
            parts += [markdown[end:stop], f" {MARK if span.proved else SAID_MARK}"]
            end = stop
    return "".join([*parts, markdown[end:]])


def _line(text: Text, offset: int) -> int:
    index = text.markdown.count("\n", 0, offset)
    return text.lines[index] if index < len(text.lines) else 0


def _spans(markdown: str, known: Iterable[str]) -> Iterator[_Span]:
    """Yield the sentences with where they stand in the text."""
    yield from _turned_beside(list(_led(markdown, known)))


def _led(markdown: str, known: Iterable[str]) -> Iterator[_Span]:
    """Yield the sentences, those turned that a line before their paragraph or list denies."""
    sentences = sorted(filter(None, known), key=len, reverse=True)
    led, in_list, last = False, False, 0
    for start, end in _paragraphs(markdown):
        item = _ITEM.match(markdown, start) is not None
        if _PICTURE.sub("", markdown[last:start]).strip() or (in_list and not item):
            led = False
        spans = list(_sentences(markdown, start, end, sentences))
        for index, span in enumerate(spans):
            turned = led and span.proved and (item or index == 0)
            yield replace(span, why=BESIDE) if turned else span
        if not item:
            led = bool(spans) and _leads(spans[-1].sentence)
        in_list, last = item, end


def _leads(sentence: str) -> bool:
    """Whether a paragraph's last sentence goes on in what follows, and may say otherwise."""
    return not _ENDED.search(sentence) and (
        not sentence.endswith(":") or _DENIES.search(sentence) is not None
    )


def _turned_beside(spans: list[_Span]) -> list[_Span]:
    """Return sentences, those turned that one beside them takes back."""
    back = [_TAKES_BACK.fullmatch(span.sentence) is not None for span in spans]
    return [
        replace(span, why=BESIDE) if span.proved and any(back[max(i - 1, 0) : i + 2]) else span
        for i, span in enumerate(spans)
    ]


def _sentences(markdown: str, start: int, end: int, sentences: list[str]) -> Iterator[_Span]:
    """Yield the sentences of one paragraph."""
    place = start
    while place < end:
        before = _BEFORE.match(markdown, place, end)
        place = before.end() if before else place
        if place >= end:
            break
        stop = _stop(markdown, place, end, sentences)
        said = " ".join(markdown[place:stop].replace("*", "").split())
        if _LETTER.search(said):
            stated = next((each for each in sentences if each in said), "")
            yield _Span(place, stop, said, stated, INSIDE if stated and stated != said else "")
        place = stop


def _stop(markdown: str, place: int, end: int, sentences: list[str]) -> int:
    """Return where the sentence ends that begins at a place."""
    search = place
    while True:
        found = _END.search(markdown, search, end)
        stop = found.end() if found else end
        inside = _first(markdown, search, stop, sentences)
        if inside is None:
            return stop
        # The statement's own full stop ends the sentence only where nothing goes on behind it.
        if not _GOES_ON.match(markdown, inside, end):
            return inside
        search = inside


def _first(markdown: str, start: int, stop: int, sentences: list[str]) -> int | None:
    """Return where the first statement ends that begins before a place."""
    begun = [(at, -len(s)) for s in sentences if 0 <= (at := markdown.find(s, start)) < stop]
    return None if not begun else min(begun)[0] - min(begun)[1]


def _paragraphs(markdown: str) -> Iterator[tuple[int, int]]:
    """Yield where each paragraph or list item of running text begins and ends."""
    start: int | None = None
    offset, in_code = 0, False
    for line in markdown.splitlines(keepends=True):
        fence = _FENCE.match(line) is not None
        apart = in_code or fence or any(sign.match(line) for sign in (_APART, _PICTURE))
        if start is not None and (apart or _ITEM.match(line)):
            yield start, offset
            start = None
        if not apart and start is None:
            start = offset
        in_code = in_code != fence
        offset += len(line)
    if start is not None:
        yield start, len(markdown)
