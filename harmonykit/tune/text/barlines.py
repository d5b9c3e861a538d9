"""The text of changes cut into bars: bar lines, repeats, signs, and where chords of a bar start.

Signs are ``{segno}``, ``{D.C. al fine}``, ``{fermata}`` and their like.  Chords start at equal
shares of a bar, at beats by slashes, or at named beats.  ``changes`` describes the whole form.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction

from harmonykit.errors import HarmonyError, Place
from harmonykit.theory.chord import Chord, read_symbol
from harmonykit.tune.bar import (
    OPENING_SIGNS,
    SIGNS,
    Bar,
    Meter,
    TuneError,
    bar_length,
    beat_length,
    write_meter,
)
from harmonykit.tune.order import MOST_TIMES
from harmonykit.values import dataclass, field, replace
from harmonykit.words.numbers import counted

Where = Callable[[int], Place]

_TOKEN = re.compile(
    r"""(?P<blank>\s+) | (?P<comment>\#[^\n]*)
    | (?P<sign>:\|{1,2}:|:\|{1,2}(?:x\d{1,3})?|\|{1,2}:|\|{1,2})
    | \[(?P<ending>\d{1,2}(?:,\d{1,2}){0,9}) | \{(?P<brace>[^{}|\n]*)\}
    | (?P<word>[^\s|:\[{}](?:(?!:?\|)[^\s{])*) | (?P<stray>.)""",
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


BEAT = re.compile(r"\d{1,6}(?:\.\d{1,6}|/\d{1,6})?")

_FERMATA = re.compile(r"fermata(?:@(.*))?", re.IGNORECASE)
_BY_PLAIN_NAME = {re.sub(r"[\s.]", "", sign).lower(): sign for sign in SIGNS}


def sign_of(text: str) -> str:
    """Return the sign that a brace names, however its dots and blanks are typed, or nothing.

    Examples
    --------
    >>> sign_of("DC al Fine"), sign_of("To Coda"), sign_of("3/4")
    ('D.C. al fine', 'to coda', '')
    """
    return _BY_PLAIN_NAME.get(re.sub(r"[\s.]", "", text).lower(), "")


def is_fermata(text: str) -> bool:
    """Return whether a brace is a fermata, with or without a beat."""
    return _FERMATA.fullmatch(text.strip()) is not None


def fermata_beat(text: str) -> str | None:
    """Return the beat that a fermata names, as it was typed."""
    found = _FERMATA.fullmatch(text.strip())
    return None if found is None or found[1] is None else found[1].strip()


def beat_of(text: str) -> Fraction | None:
    """Return a beat counted from 1, such as ``"3.5"`` or ``"7/3"``; None if it is none."""
    if not BEAT.fullmatch(text) or re.search(r"/0+$", text):
        return None
    return Fraction(text)


def held_by(brace: Word, starts: Sequence[tuple[Word, Fraction]]) -> Fraction:
    """Return where the chord starts that stands before a brace; 0 where none does."""
    before = [at for word, at in starts if word.at < brace.at]
    return max(before[-1], Fraction(0)) if before else Fraction(0)


def alternates_of(words: Sequence[Word]) -> tuple[list[Word], dict[int, list[Word]]]:
    """Part words in brackets from the others; they are listed by the place of the one before."""
    kept: list[Word] = []
    found: dict[int, list[Word]] = {}
    for word in words:
        if word.text.startswith("("):
            found.setdefault(kept[-1].at if kept else -1, []).append(word)
        else:
            kept.append(word)
    return kept, found


def write_signs(bar: Bar) -> tuple[str, str]:
    """Return a bar's signs as text, those before its chords and those after them."""
    opening = [f"{{{sign}}} " for sign in bar.signs if sign in OPENING_SIGNS]
    closing = [f"{{{sign}}} " for sign in bar.signs if sign not in OPENING_SIGNS]
    return "".join(opening), "".join(closing)


# A chord's word, the chord, and where it starts.
Start = tuple[Word, Chord | None, Fraction]

_SLASH_RULE = "where a bar has a /, each chord and each / is one beat"


class BarReader:
    """Reads what stands in one bar after another, under the metre that holds there."""

    def __init__(self, meter: Meter, where: Where) -> None:
        self.meter = meter
        self.where = where
        self.bars: list[Bar] = []
        self.doubts: list[str] = []

    def starts(self, raw: RawBar, length: Fraction) -> list[Start]:
        """Return each chord's word, the chord, and where it starts in the bar."""
        if any("@" in word.text for word in raw.words):
            return list(self._on_beats(raw, length))
        if any(set(word.text) == {"/"} for word in raw.words):
            return self._by_slashes(raw, length)
        return self._equal(raw, length)

    def _equal(self, raw: RawBar, length: Fraction) -> list[Start]:
        share = length / len(raw.words)
        if len(raw.words) > 1 and (share * self.meter[1] / 2).denominator != 1:
            raise self.error(
                raw.words[-1],
                f"{len(raw.words)} chords cannot share {self._size(length)} equally",
                rule="a chord lasts whole or half beats (a beat is the metre's lower note)",
                mend="one / for each further beat of a chord, as in | C / G7 C |",
            )
        return [(word, self.chord(word), share * n) for n, word in enumerate(raw.words)]

    def _by_slashes(self, raw: RawBar, length: Fraction) -> list[Start]:
        counts = [len(word.text) if set(word.text) == {"/"} else 1 for word in raw.words]
        total = sum(counts)
        beat = self._slash_length(length, total)
        found: list[Start] = []
        at = Fraction(0)
        for word, count in zip(raw.words, counts, strict=True):
            if at + count * beat > length:
                what = f"too many beats: {total} in {self._size(length)}"
                raise self.error(word, what, rule=_SLASH_RULE)
            if set(word.text) != {"/"}:
                found.append((word, self.chord(word), at))
            at += count * beat
        if at < length:
            what = f"too few beats: {total} in {self._size(length)}"
            raise self.error(raw.words[-1], what, rule=_SLASH_RULE)
        return found

    def _slash_length(self, length: Fraction, total: int) -> Fraction:
        """Return what a slash lasts: a beat, or the lower note if so many of them are the bar."""
        lower = Fraction(4, self.meter[1])
        return lower if total * lower == length else beat_length(self.meter)

    def _on_beats(self, raw: RawBar, length: Fraction) -> Iterator[Start]:
        reached = Fraction(-1)
        for word in raw.words:
            symbol, sign, text = word.text.rpartition("@")
            if not sign and word is raw.words[0]:
                symbol, text = word.text, "1"
            beat = beat_of(text)
            if not symbol or beat is None:
                raise self.error(
                    word,
                    f"{word.text!r} does not name a beat",
                    rule="if one chord in a bar has @, every chord after the first needs one",
                    mend="G7@3 or G7@2.5",
                )
            at = (beat - 1) * beat_length(self.meter)
            if at < 0 or at <= reached or at >= length:
                raise self.error(
                    word,
                    f"beat {text} cannot be used here in {self._size(length)}",
                    rule="beats count from 1, and each chord is later than the one before",
                )
            reached = at
            yield word, self.chord(replace(word, text=symbol)), at

    def chord(self, word: Word) -> Chord | None:
        """Read a chord symbol, or silence; the sign of a push is left out."""
        if word.text.startswith("<"):
            word = replace(word, text=word.text[1:], at=word.at + 1)
        if word.text in ("%", "-"):
            raise self.error(word, f"{word.text} must be alone in its bar")
        try:
            reading = read_symbol(word.text)
        except HarmonyError as error:
            shift = min(error.column, len(word.text)) - 1
            raise error.at(self.where(word.at + shift)) from None
        self.doubts += [f"{word.text}: {doubt}" for doubt in reading.doubts]
        return reading.chord

    def _size(self, length: Fraction) -> str:
        """Return a bar's length in words."""
        if length == bar_length(self.meter):
            return f"a bar of {write_meter(self.meter)}"
        return f"a bar of {counted(length, 'quarter note')}"

    def error(self, word: Word, what: str, rule: str = "", mend: str = "") -> TuneError:
        """Return an error about a word, with its bar and place."""
        said = f"bar {len(self.bars) + 1} of the section: {what}"
        return TuneError(said, place=self.where(word.at), rule=rule, mend=mend)
