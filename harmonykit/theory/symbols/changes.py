"""The tokens that change a chord: suspensions, additions, omissions and alterations."""

from __future__ import annotations

from dataclasses import dataclass, field

from harmonykit.theory.degree import Degree
from harmonykit.theory.symbols.dialect import Dialect
from harmonykit.theory.symbols.roles import (
    OCTAVE_UP,
    SIGNS,
    STACK,
    Roles,
    added_degree,
    altered_degree,
)
from harmonykit.theory.symbols.tokens import Misfit, Token

ONE_QUALITY = "one chord has one quality"
ONE_SEVENTH = "one chord has one seventh"
_FOURTH, _SECOND = Degree(4), Degree(2)
SUSPENDED = {
    "": {_FOURTH}, "4": {_FOURTH}, "2": {_SECOND}, "#4": {Degree(4, 1)}, "+4": {Degree(4, 1)},
    "b2": {Degree(2, -1)}, "-2": {Degree(2, -1)},
}  # fmt: skip
# What may be said beside alt: it has these already.
_IN_ALT = {Degree(9, -1), Degree(9, 1), Degree(11, 1), Degree(13, -1)}


@dataclass(slots=True)
class Changes:
    """What has been sorted, where the reader stands, and the tokens that change a chord."""

    dialect: Dialect
    roles: Roles = field(default_factory=Roles)
    depth: int = 0
    opened_at: int = 0
    gap: str = ""
    last: Token | None = None
    aside: bool = False
    list_of: str = ""

    def doubt(self, name: str) -> str:
        """Say how what is doubtful is read; return the dialect's setting."""
        self.roles.doubts.append(self.dialect.doubt(name))
        return str(getattr(self.dialect, name))

    def take_sus(self, token: Token, following: Token | None) -> None:
        if self.roles.alt or self.roles.kind in ("dim", "half"):
            raise Misfit(token.column, ONE_QUALITY)
        if self.roles.minor_third:
            if self.doubt("minor_sus") == "added eleventh":
                self.roles.added.add(Degree(11 if token.text != "2" else 9))
                return
            self.roles.minor_third = False
        self.roles.suspended |= SUSPENDED.get(token.text, {_SECOND, _FOURTH})

    def take_add(self, token: Token, following: Token | None) -> None:
        self.list_of = "add"
        self.aside = True
        if token.text:
            self._add_typed(token.text, token.sign)

    def _add_typed(self, text: str, sign: str) -> None:
        for number in (6, 9) if text == "69" else (int(text),):
            self._add(number, sign)

    def _add(self, number: int, sign: str) -> None:
        self.roles.added.add(added_degree(number, sign))

    def take_omit(self, token: Token, following: Token | None) -> None:
        self.list_of = "omit"
        if token.text:
            self._omit(int(token.text), token)

    def _omit(self, number: int, token: Token) -> None:
        self.roles.omitted[number] = token.column

    def take_alter(self, token: Token, following: Token | None) -> None:
        number, alter = int(token.text), SIGNS[token.sign]
        if number == 7 and self.roles.number == "5" and self.last and self.last.text == "5":
            # C5+7: the sign is the fifth's.
            self._alter_last(token, alter)
            self.roles.number = "7"
        elif self.list_of == "add" and (self.gap or self.depth) and number not in (5, 7):
            self._add(number, "b" if alter == -1 else "#" if alter == 1 else token.sign)
        elif number == 7:
            self._alter_seventh(token, alter)
        elif (number, token.sign, self.roles.number) == (9, "+", "6"):
            self.roles.doubts.append("6+9 is read as 6/9; a sharp ninth is #9")
            self._add(9, "")
        else:
            self._alter(number, alter, token)

    def _alter(self, number: int, alter: int, token: Token) -> None:
        roles = self.roles
        degree = altered_degree(number, alter, token)
        if roles.alt and number != 5 and degree not in _IN_ALT:
            raise Misfit(token.column, "beside alt stand b9, #9, b5, #5, #11 or b13")
        if number == 5:
            roles.fifths.add(alter)
        else:
            roles.altered.add(degree)

    def _refuse_bare_slash(self, token: Token) -> None:
        """Refuse ``C/7``, which is the chord to some and its seventh in the bass to others."""
        if "/" in self.gap and not (
            self.roles.changed or self.roles.kind in ("dim", "half", "dom")
        ):
            raise Misfit(
                token.column, "a seventh stands after the chord (C7), a bass is a note (C/Bb)"
            )

    def _alter_seventh(self, token: Token, alter: int) -> None:
        roles = self.roles
        if roles.number in STACK or roles.major or roles.seventh is not None or roles.alt:
            raise Misfit(token.column, ONE_SEVENTH)
        if self.last and self.last.kind == "minus" and token.sign == "-":
            raise Misfit(token.column, ONE_QUALITY)
        if not roles.number:
            self._refuse_bare_slash(token)
        roles.seventh = 0 if alter > 0 else alter
        if token.sign == "+" and roles.kind == "min" and not self.depth:
            if self.doubt("minor_plus") == "augmented fifth":
                roles.seventh = -1
                roles.fifths.add(1)

    def take_signed(self, token: Token, following: Token | None) -> None:
        if not self.last or self.last.kind not in ("number", "add"):
            raise Misfit(token.column, "a sign stands beside its number: b9 or 9b")
        self._alter_last(token, SIGNS[token.text])

    def _alter_last(self, token: Token, alter: int) -> None:
        """Give the number just read the sign after it: ``(9+)``, ``5b``, ``add11#``."""
        roles, last = self.roles, self.last
        text = last.text if last else ""
        if last is None or last.sign or text not in ("5", "6", "9", "11", "13"):
            raise Misfit(token.column, "a sign stands beside its number: b9 or 9b")
        number = int(text)
        own = Degree(OCTAVE_UP.get(number, number))
        if self.list_of == "add":
            roles.added.discard(own)
            self._add(number, "b" if alter < 0 else "#")
            return
        if number == 5 and roles.number == "5":
            roles.number = ""
        roles.added.discard(own)
        self._alter(number, alter, token)
