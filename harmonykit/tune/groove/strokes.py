"""What a hand strums, a bass and small percussion play: as values, as typed, as told in words.

Conventions.  Places are quarters from the start of a whole bar, written straight: where swing moves
them is for who plays them.  The signs of a strum, on even places (``places``)::

    D  U      a stroke down, up            D! U!   a louder one       (D) (U)   a soft one
    X         a stroke on muted strings    R       a roll, string after string
    D~ U~     pushed ahead: the chord of the next beat already
    -         the strings ring on          .       the strings are stopped

and of a bass line::

    R   the root (the chord's bass)   5   its fifth   3   its third   W   a note that walks
    A   a note that leads to the next chord   R~   the next chord's root, ahead   -   .   as above

and of small percussion::

    S   a shaker            S!   louder
    B   a brush             (S)  soft
    T   a tap of a stick    S+T  both at once       -   nothing

In words, beats stand between commas, bars between semicolons.  A beat's halves are counted
"one-and", its thirds "one-and-a", its quarters "one-e-and-a"; the number of a beat without a stroke
stands in brackets: it is thought (common practice, no source).
"""

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction

from harmonykit.errors import HarmonyError, Place, need_text
from harmonykit.theory.typed import as_typed
from harmonykit.tune.bar import Meter, bar_length, beat_length
from harmonykit.tune.groove.places import Sign, cut
from harmonykit.values import dataclass
from harmonykit.words.numbers import number as in_letters

STRUM_LEGEND = (
    "D down, U up, D! louder, (D) soft, X muted, R a roll, D~ ahead of the next beat, "
    "- the strings ring on, . the strings stop"
)
BASS_LEGEND = (
    "R root, 5 fifth, 3 third, W walks, A leads to the next chord, R~ the next root ahead, "
    "- the note lasts, . it stops"
)
_STRUM = re.compile(r"\([DUXRduxr]\)|[DUXRduxr](!|~)?|[-.]")
_BASS = re.compile(r"[Rr]~?|[53WwAa]|[-.]")

STRUMMED, MUTED, ROLLED, STOPPED = "strummed", "muted", "rolled", "stopped"
_HOW = {"D": STRUMMED, "U": STRUMMED, "X": MUTED, "R": ROLLED, ".": STOPPED}
ROOT, FIFTH, THIRD, WALK, LEAD, STOP = "root", "fifth", "third", "walk", "lead", "stop"
_LOW = {"R": ROOT, "5": FIFTH, "3": THIRD, "W": WALK, "A": LEAD, ".": STOP}


@dataclass(frozen=True, slots=True)
class Stroke:
    """One stroke of the hand.

    Parameters
    ----------
    at : Fraction
        Quarters from the start of a whole bar.
    down : bool
        Down crosses the strings in their order, up the other way.
    accent, ghost : bool
        Louder, or softer, than the others.
    how : {"strummed", "muted", "rolled", "stopped"}
        ``"stopped"`` is no stroke: the hand lies down on the strings.
    push : bool
        Whether it takes the chord of the next beat already.

    Examples
    --------
    >>> hk.tune.Groove.parse("D - D! U").bars[0][1]
    Stroke(at=Fraction(2, 1), accent=True)
    """

    at: Fraction
    down: bool = True
    accent: bool = False
    ghost: bool = False
    how: str = STRUMMED
    push: bool = False

    @property
    def sign(self) -> str:
        """As it is typed."""
        named = {MUTED: "X", ROLLED: "R", STOPPED: "."}
        letter = named.get(self.how, "D" if self.down else "U")
        if self.ghost:
            return f"({letter})"
        return letter + "!" * self.accent + "~" * self.push

    def __repr__(self) -> str:
        return as_typed(self)


@dataclass(frozen=True, slots=True)
class Low:
    """A note of a bass line, by what it is to the harmony.

    Parameters
    ----------
    at : Fraction
        Quarters from the start of a whole bar.
    part : {"root", "fifth", "third", "walk", "lead", "stop"}
    push : bool
        Whether it is the root of the next chord, ahead.
    """

    at: Fraction
    part: str = ROOT
    push: bool = False

    @property
    def sign(self) -> str:
        """As it is typed."""
        return next(s for s, part in _LOW.items() if part == self.part) + "~" * self.push

    def __repr__(self) -> str:
        return as_typed(self)


def strokes_of(text: str, meter: Meter) -> tuple[tuple[Stroke, ...], ...]:
    """Return the strokes of each bar of a line of text.

    Raises
    ------
    HarmonyError
        With the column of what cannot be read.
    """
    need_text(text, "a strum", '"D - D U - U D U"')
    bars = cut(text, meter, _STRUM, STRUM_LEGEND)
    if not any(sign.text not in "-." for bar in bars for sign in bar):
        raise HarmonyError("a strum without a stroke", mend='"D - D U - U D U"')
    return tuple(tuple(_stroke(sign) for sign in bar if sign.text != "-") for bar in bars)


def ending_of(text: str, meter: Meter) -> tuple[Stroke, ...]:
    """Return the strokes of the one bar of a line of text.

    Raises
    ------
    HarmonyError
        With the column of what cannot be read, or of a second bar.
    """
    bars = strokes_of(text, meter)
    if len(bars) > 1:
        place = Place("", 1, text.index("|") + 1, text)
        raise HarmonyError(f"an ending of {len(bars)} bars", place=place, rule="one bar")
    return bars[0]


def lows_of(text: str, meter: Meter) -> tuple[tuple[Low, ...], ...]:
    """Return the bass line of each bar of a line of text.

    Raises
    ------
    HarmonyError
        With the column of what cannot be read.
    """
    bars = cut(text, meter, _BASS, BASS_LEGEND)
    return tuple(tuple(_low(sign) for sign in bar if sign.text != "-") for bar in bars)


def _stroke(sign: Sign) -> Stroke:
    text = sign.text.upper()
    letter = text.strip("()!~")
    return Stroke(
        sign.at,
        down=letter != "U",
        accent="!" in text,
        ghost="(" in text,
        how=_HOW[letter],
        push="~" in text,
    )


def _low(sign: Sign) -> Low:
    text = sign.text.upper()
    return Low(sign.at, _LOW[text[0]], "~" in text)


PERCUSSION_LEGEND = (
    "S a shaker, B a brush, T a tap of a stick, S! louder, (S) soft, S+T both at once, - nothing"
)
SHAKER, BRUSH, STICK = "shaker", "brush", "stick"
_ONE = r"(?:\([SBTsbt]\)|[SBTsbt]!?)"
_PERCUSSION_SIGNS = re.compile(rf"{_ONE}(?:\+{_ONE})*|-")
_WHAT = {"S": SHAKER, "B": BRUSH, "T": STICK}


@dataclass(frozen=True, slots=True)
class Hit:
    """One sound of small percussion.

    Parameters
    ----------
    at : Fraction
        Quarters from the start of a whole bar.
    what : {"shaker", "brush", "stick"}
    accent, ghost : bool
        Louder, or softer, than the others.
    """

    at: Fraction
    what: str = SHAKER
    accent: bool = False
    ghost: bool = False

    @property
    def sign(self) -> str:
        """As it is typed."""
        letter = next(sign for sign, what in _WHAT.items() if what == self.what)
        return f"({letter})" if self.ghost else letter + "!" * self.accent

    def __repr__(self) -> str:
        return as_typed(self)


def hits_of(text: str, meter: Meter) -> tuple[tuple[Hit, ...], ...]:
    """Return the percussion of each bar of a line of text.

    Raises
    ------
    HarmonyError
        With the column of what cannot be read.

    Examples
    --------
    >>> [[hit.sign for hit in bar] for bar in hits_of("S (S) S+T! (S)", (4, 4))]
    [['S', '(S)', 'S', 'T!', '(S)']]
    """
    bars = cut(text, meter, _PERCUSSION_SIGNS, PERCUSSION_LEGEND)
    return tuple(
        tuple(
            _hit(sign.at, one) for sign in bar if sign.text != "-" for one in sign.text.split("+")
        )
        for bar in bars
    )


def _hit(at: Fraction, text: str) -> Hit:
    return Hit(at, _WHAT[text.strip("()!").upper()], "!" in text, "(" in text)


_THIRDS = {Fraction(1, 3): "and", Fraction(2, 3): "a"}
_QUARTERS = {Fraction(1, 4): "e", Fraction(1, 2): "and", Fraction(3, 4): "a"}
_EVEN = {Fraction(n, 6): word for n, word in enumerate(("", "la", "and", "la", "a", "la")) if word}
_SIGNS = {"and": "&"}

Bars = Iterable[tuple[Stroke, ...]]


def hand_words(bars: Bars, meter: Meter) -> str:
    """Return what the hand does: ``"down, down-up, up, down-up"``."""
    return _row(", ".join(_hands(bar, meter)) for bar in bars)


def count_words(bars: Bars, meter: Meter) -> str:
    """Return what is counted: ``"one, two-and, (three)-and, four-and"``."""
    return _row(", ".join(_counts(bar, meter)) for bar in bars)


def _row(bars: Iterable[str]) -> str:
    """Return the words of bars one after another; once where all have the same."""
    said = list(bars)
    return said[0] if len(set(said)) == 1 else "; ".join(said)


def syllable(at: Fraction, beat: Fraction) -> str:
    """Return what is written under a place of a bar: the number of its beat, or its part of it.

    Examples
    --------
    >>> [syllable(Fraction(n, 2), Fraction(1)) for n in range(3)]
    ['1', '&', '2']
    >>> [syllable(Fraction(n, 2), Fraction(3, 2)) for n in range(3)]
    ['1', '&', 'a']
    """
    number, part = divmod(at / beat, 1)
    return str(int(number) + 1) if not part else _SIGNS.get(_part(part), _part(part))


def _part(part: Fraction) -> str:
    for words in (_THIRDS, _QUARTERS, _EVEN):
        if part in words:
            return words[part]
    return "and"


def _beats(bar: tuple[Stroke, ...], meter: Meter) -> Iterator[tuple[int, list[Stroke]]]:
    """Yield each beat with what is struck in it."""
    beat = beat_length(meter)
    struck = [one for one in bar if one.how != STOPPED]
    for number in range(int(bar_length(meter) / beat)):
        yield number, [one for one in struck if one.at // beat == number]


def _hands(bar: tuple[Stroke, ...], meter: Meter) -> Iterator[str]:
    for _, struck in _beats(bar, meter):
        if struck:
            yield "-".join(map(_hand, struck))


def _hand(stroke: Stroke) -> str:
    named = {MUTED: "mute", ROLLED: "roll"}
    return named.get(stroke.how, "down" if stroke.down else "up")


def _counts(bar: tuple[Stroke, ...], meter: Meter) -> Iterator[str]:
    beat = beat_length(meter)
    for number, struck in _beats(bar, meter):
        parts = [one.at / beat % 1 for one in struck]
        name = in_letters(number + 1)
        if parts:
            head = name if not parts[0] else f"({name})"
            yield "-".join([head, *(_part(part) for part in parts if part)])
