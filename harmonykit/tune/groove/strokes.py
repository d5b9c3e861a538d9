"""The strokes of a hand and the notes of a bass line, as values and as they are typed.

Conventions.  Places are quarters from the start of a whole bar, written straight: where swing moves
them is for who plays them.  The signs of a strum, on even places (``places``)::

    D  U      a stroke down, up            D! U!   a louder one       (D) (U)   a soft one
    X         a stroke on muted strings    R       a roll, string after string
    D~ U~     pushed ahead: the chord of the next beat already
    -         the strings ring on          .       the strings are stopped

and of a bass line::

    R   the root (the chord's bass)   5   its fifth   3   its third   W   a note that walks
    A   a note that leads to the next chord   R~   the next chord's root, ahead   -   .   as above
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.errors import HarmonyError, Place, need_text
from harmonykit.theory.typed import as_typed
from harmonykit.tune.bar import Meter
from harmonykit.tune.groove.places import Sign, cut

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
