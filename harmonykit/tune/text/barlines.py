"""Cutting the text of changes into bars: bar lines, repeats, endings, words.

What the words of a bar mean is the business of ``changes``, which describes the whole form.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

from harmonykit.errors import Place
from harmonykit.tune.bar import TuneError
from harmonykit.tune.repeats import MOST_TIMES

Where = Callable[[int], Place]

_TOKEN = re.compile(
    r"""(?P<blank>\s+) | (?P<comment>\#[^\n]*)
    | (?P<sign>:\|{1,2}:|:\|{1,2}(?:x\d{1,3})?|\|{1,2}:|\|{1,2})
    | \[(?P<ending>\d{1,2}(?:,\d{1,2}){0,9}) | \{(?P<brace>[^{}|\n]*)\}
    | (?P<word>[^\s|:\[{}](?:(?!:?\|)\S)*) | (?P<stray>.)""",
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class Word:
    """A piece of the text: its kind, what it says, and where it begins."""

    kind: str
    text: str
    at: int


@dataclass(slots=True)
class RawBar:
    """A bar as it was found: its words, and what stands around them."""

    at: int
    words: list[Word] = field(default_factory=list)
    braces: list[Word] = field(default_factory=list)
    opens: bool = False
    closes: int = 0
    ending: tuple[int, ...] = ()


def scan(text: str, where: Where) -> Iterator[Word]:
    """Yield the pieces of a text of changes."""
    for found in _TOKEN.finditer(text):
        kind = found.lastgroup or "stray"
        if kind == "stray":
            raise TuneError(
                f"{found[0]!r} cannot be used here",
                place=where(found.start()),
                mend="[1 begins an ending, {3/4} changes the metre, |: and :| repeat",
            )
        yield Word(kind, found[kind], found.start())


def gather(tokens: Iterable[Word], where: Where) -> list[RawBar]:
    """Gather the words between bar lines, and tell each bar what repeats around it."""
    bars: list[RawBar] = []
    current = RawBar(0)
    blank_after_line = False
    for token in tokens:
        if token.kind in ("comment", "blank"):
            blank_after_line = blank_after_line and "\n" not in token.text
        elif token.kind == "sign":
            if current.words or current.braces or (blank_after_line and token.text == "|"):
                bars.append(current)
                current = RawBar(token.at, ending=current.ending)
            _take_sign(token, bars, current, where)
            blank_after_line = token.text == "|"
        elif token.kind == "ending":
            current.ending = _read_ending(token, current, where)
            blank_after_line = False
        else:
            (current.braces if token.kind == "brace" else current.words).append(token)
            current.at = current.words[0].at if current.words else token.at
    if current.words or current.braces:
        bars.append(current)
    return bars


def _take_sign(token: Word, bars: list[RawBar], current: RawBar, where: Where) -> None:
    sign = token.text
    if sign.startswith(":"):
        times = int(sign.partition("x")[2] or 2)
        if not bars or bars[-1].closes:
            raise TuneError(f"{sign} has no bar to repeat", place=where(token.at))
        if not 2 <= times <= MOST_TIMES:
            raise TuneError(f"{sign}: played {times} times", place=where(token.at), mend=":|x3")
        bars[-1].closes = times
    if sign.endswith(":"):
        current.opens = True
    if sign != "|":
        current.ending = ()


def _read_ending(token: Word, current: RawBar, where: Where) -> tuple[int, ...]:
    if current.words or current.braces:
        raise TuneError("an ending begins inside a bar", place=where(token.at), mend="| [1 C :|")
    numbers = tuple(int(part) for part in token.text.split(",") if part)
    if max(numbers) > MOST_TIMES:
        raise TuneError(f"an ending for pass {max(numbers)}", place=where(token.at))
    return numbers
