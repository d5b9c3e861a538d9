"""What small percussion plays in a groove, as values and as it is typed.

Conventions.  Places are quarters from the start of a whole bar, written straight.  The signs, on
even places (``places``)::

    S   a shaker            S!   louder
    B   a brush             (S)  soft
    T   a tap of a stick    S+T  both at once       -   nothing
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.theory.typed import as_typed
from harmonykit.tune.bar import Meter
from harmonykit.tune.groove.places import cut

PERCUSSION_LEGEND = (
    "S a shaker, B a brush, T a tap of a stick, S! louder, (S) soft, S+T both at once, - nothing"
)
SHAKER, BRUSH, STICK = "shaker", "brush", "stick"
_ONE = r"(?:\([SBTsbt]\)|[SBTsbt]!?)"
_SIGNS = re.compile(rf"{_ONE}(?:\+{_ONE})*|-")
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
    bars = cut(text, meter, _SIGNS, PERCUSSION_LEGEND)
    return tuple(
        tuple(
            _hit(sign.at, one) for sign in bar if sign.text != "-" for one in sign.text.split("+")
        )
        for bar in bars
    )


def _hit(at: Fraction, text: str) -> Hit:
    return Hit(at, _WHAT[text.strip("()!").upper()], "!" in text, "(" in text)
