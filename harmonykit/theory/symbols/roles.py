"""The roles of the pieces of a chord symbol, and the degrees that a change of one of them names.

A symbol says a kind, a seventh, how far the thirds are stacked, and what is altered, added,
suspended and left out.  ``sort`` puts each token of a symbol into its role; ``said``
makes degrees of the roles.
"""

from dataclasses import dataclass, field

from harmonykit.theory.degree import Degree
from harmonykit.theory.symbols.dialect import Dialect
from harmonykit.theory.symbols.tokens import Misfit, Token

SIGNS = {
    "": 0, "b": -1, "-": -1, "bb": -2, "#": 1, "+": 1, "##": 2,
    "flat": -1, "sharp": 1, "dim": -1, "aug": 1,
}  # fmt: skip
# Seconds and fourths that are added or altered are ninths and elevenths; a tenth is a third.
OCTAVE_UP = {2: 9, 4: 11, 10: 3}
STACK = {"7": (), "9": (9,), "11": (9, 11), "13": (9, 11, 13)}
# An added seventh is the minor one (MusicXML 4.0, degree-alter), and a sharp one the major.
_ADDED_SEVENTH = {"": -1, "b": -1, "-": -1, "bb": -2}


@dataclass(slots=True)
class Roles:
    """What a symbol says, by roles; the column of what may still turn out not to fit.

    Examples
    --------
    >>> roles = Roles(kind="min", number="7")
    >>> roles.major, roles.changed
    (False, False)
    """

    kind: str = ""
    number: str = ""
    major: bool = False
    triangle: bool = False
    seventh: int | None = None
    sevenths: bool = False
    minor_third: bool = False
    fifths: set[int] = field(default_factory=set)
    suspended: set[Degree] = field(default_factory=set)
    altered: set[Degree] = field(default_factory=set)
    added: set[Degree] = field(default_factory=set)
    omitted: dict[int, int] = field(default_factory=dict)
    alt: bool = False
    nine_added: bool = False
    doubts: list[str] = field(default_factory=list)

    def doubt(self, dialect: Dialect, name: str) -> str:
        """Say how a dialect reads what is doubtful; return its setting."""
        self.doubts.append(dialect.doubt(name))
        return str(getattr(dialect, name))

    @property
    def changed(self) -> bool:
        """Whether anything is altered, added, suspended or left out."""
        return bool(self.fifths or self.altered or self.added or self.suspended or self.omitted)


def added_degree(number: int, sign: str) -> Degree:
    """Return the degree that is added by a number and a sign."""
    if number == 7:
        return Degree(7, _ADDED_SEVENTH.get(sign, 0))
    if number == 10 and sign in ("b", "-"):
        return Degree(9, 1)
    return Degree(OCTAVE_UP.get(number, number), SIGNS.get(sign, 0))


def altered_degree(number: int, alter: int, token: Token) -> Degree:
    """Return the degree of an alteration that says something new.

    A third is named by the kind, a flat eleventh is a third, a sharp thirteenth a seventh.
    """
    if number == 10 and alter == -1:
        return Degree(9, 1)
    if number in (3, 10):
        raise Misfit(token.column, "a third is major or minor: C or Cm")
    if abs(alter) > 1:
        raise Misfit(token.column, "an alteration has one sign: b9 or #9")
    degree = Degree(OCTAVE_UP.get(number, number), alter)
    if degree in (Degree(11, -1), Degree(13, 1), Degree(6, 1)):
        raise Misfit(
            token.column, "a fourth is natural or sharp, a sixth or thirteenth natural or flat"
        )
    return degree
