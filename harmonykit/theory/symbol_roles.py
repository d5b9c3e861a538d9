"""From the tokens of a chord symbol to the roles that they have in the chord.

A symbol says a kind, a seventh, how far the thirds are stacked, and what is altered, added,
suspended and left out.  Each kind of token has one method of :class:`Sorter`; what it says goes to
its role, so that the order in which alterations were typed does not matter.  A sign after a number
is that number's where it cannot be the chord's.  ``symbol_build`` makes degrees of the roles.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from harmonykit.theory.degree import Degree
from harmonykit.theory.dialect import Dialect
from harmonykit.theory.symbol_tokens import Misfit, Token

SIGNS = {
    "": 0, "b": -1, "-": -1, "bb": -2, "#": 1, "+": 1, "##": 2,
    "flat": -1, "sharp": 1, "dim": -1, "aug": 1,
}  # fmt: skip
# Seconds and fourths that are added or altered are ninths and elevenths; a tenth is a third.
OCTAVE_UP = {2: 9, 4: 11, 10: 3}
STACK = {"7": (), "9": (9,), "11": (9, 11), "13": (9, 11, 13)}
# An added seventh is the minor one (MusicXML 4.0, degree-alter), and a sharp one the major.
_ADDED_SEVENTH = {"": -1, "b": -1, "-": -1, "bb": -2}
_FOURTH, _SECOND = Degree(4), Degree(2)
_SUSPENDED = {
    "": {_FOURTH}, "4": {_FOURTH}, "2": {_SECOND}, "#4": {Degree(4, 1)}, "+4": {Degree(4, 1)},
    "b2": {Degree(2, -1)}, "-2": {Degree(2, -1)},
}  # fmt: skip
_ONE_QUALITY = "one chord has one quality"
_ONE_SEVENTH = "one chord has one seventh"
_OWN_FIFTH = ("dim", "half", "aug")
# What may be said beside alt: it has these already.
_IN_ALT = {Degree(9, -1), Degree(9, 1), Degree(11, 1), Degree(13, -1)}


@dataclass(slots=True)
class Roles:
    """What a symbol says, by roles; the column of what may still turn out not to fit.

    Examples
    --------
    >>> roles = sort_roles([Token("min", "m", 0), Token("number", "7", 1)], Dialect())
    >>> roles.kind, roles.number, roles.major
    ('min', '7', False)
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


def sort_roles(tokens: Iterable[Token], dialect: Dialect) -> Roles:
    """Return the roles of the tokens of one symbol.

    Raises
    ------
    Misfit
        Where a token contradicts one before it, or says nothing.

    Examples
    --------
    >>> sort_roles([Token("plus", "+", 0), Token("number", "7", 1)], Dialect()).fifths
    {1}
    """
    sorter = Sorter(dialect)
    sequence = list(tokens)
    for index, token in enumerate(sequence):
        sorter.take(token, sequence[index + 1] if index + 1 < len(sequence) else None)
    return sorter.finish()


@dataclass(slots=True)
class Sorter:
    """Puts one token after another where it belongs."""

    dialect: Dialect
    roles: Roles = field(default_factory=Roles)
    depth: int = 0
    opened_at: int = 0
    gap: str = ""
    last: Token | None = None
    aside: bool = False
    list_of: str = ""

    def take(self, token: Token, following: Token | None) -> None:
        """Take one token; the one that follows tells some apart."""
        getattr(self, "take_" + token.kind)(token, following)
        if token.kind == "open" and self.last and self.last.text:
            self.list_of = ""
        if token.kind not in ("gap", "open"):
            self.gap = ""
            self.last = token
        if token.kind not in ("gap", "open", "add", "omit", "number", "alter", "signed"):
            self.list_of = ""

    def finish(self) -> Roles:
        """Return the roles; nothing may be left open."""
        if self.depth:
            raise Misfit(self.opened_at, "this bracket is never closed")
        if self.last and self.last.kind in ("add", "omit") and not self.last.text:
            raise Misfit(self.last.column, f"{self.last.kind} what? add9, no3")
        if 5 in self.roles.omitted and self.roles.fifths and self.roles.kind not in _OWN_FIFTH:
            raise Misfit(self.roles.omitted[5], "a fifth that is changed is not left out")
        return self.roles

    def _doubt(self, name: str) -> str:
        self.roles.doubts.append(self.dialect.doubt(name))
        return str(getattr(self.dialect, name))

    # Kinds.

    def _name(self, kind: str, token: Token) -> None:
        if self.roles.kind or self.roles.number or self.roles.alt:
            raise Misfit(token.column, _ONE_QUALITY)
        self.roles.kind = kind

    def take_maj(self, token: Token, following: Token | None) -> None:
        roles = self.roles
        if roles.major or roles.alt or roles.kind in ("half", "dom") or roles.seventh is not None:
            raise Misfit(token.column, _ONE_QUALITY)
        bare = not roles.kind and not roles.number
        numbered = following is not None and following.kind == "number"
        settled = roles.number in ("5", "6", "69") or (self._changed() and not roles.kind)
        if settled and not numbered:
            raise Misfit(token.column, "after a change maj asks for a number: maj7")
        if token.text == "mj" and bare and self._doubt("mj") == "minor major":
            roles.kind, roles.minor_third = "min", True
        roles.triangle = token.text in ("j", "J", "Δ", "^")
        roles.kind = roles.kind or ("maj" if bare else "")
        roles.major = True
        if roles.kind == "dim":
            self._major_beside_diminished(token, numbered)
        elif roles.number in STACK and not roles.minor_third and _is_seven(following):
            roles.doubts.append("two sevenths are typed; the later one is read")

    def take_triangle(self, token: Token, following: Token | None) -> None:
        self.take_maj(token, following)

    def _major_beside_diminished(self, token: Token, numbered: bool) -> None:
        """Read ``°7(maj7)`` as both sevenths, ``°(maj7)`` as one, ``°maj7`` by the dialect."""
        roles = self.roles
        if roles.number in STACK and numbered:
            roles.sevenths = True
            roles.doubts.append(
                "dim7 with maj7 is read as both sevenths; the triad with maj7 is dim(maj7)"
            )
        elif not self.depth:
            roles.sevenths = self._doubt("dim_major") == "both"

    def take_min(self, token: Token, following: Token | None) -> None:
        if self._changed():
            raise Misfit(token.column, _ONE_QUALITY)
        self._name("min", token)
        self.roles.minor_third = True

    def take_minus(self, token: Token, following: Token | None) -> None:
        if self.last and self.last.kind in ("number", "add"):
            self._alter_last(token, -1)
            return
        self.take_min(token, following)
        if following and following.kind == "number" and following.text == "9":
            self._nine_alters(self._doubt("minus_nine") == "flat ninth", -1)

    def _nine_alters(self, alters: bool, alter: int) -> None:
        """Read ``C-9`` or ``C+9`` as a dominant seventh with an altered ninth."""
        if alters:
            self.roles.kind, self.roles.minor_third, self.roles.fifths = "dom", False, set()
            self.roles.altered.add(Degree(9, alter))

    def take_dim(self, token: Token, following: Token | None) -> None:
        self._diminish("dim", token)
        if following and following.kind == "number" and following.text == "5":
            self.roles.doubts.append("dim5 is read as the diminished triad; some mean a flat fifth")

    def take_half(self, token: Token, following: Token | None) -> None:
        self._diminish("half", token)
        if token.text == "h":
            self.roles.doubts.append("h is read as half-diminished; some mean nothing by it")

    def _diminish(self, kind: str, token: Token) -> None:
        """Name a diminished kind, also after its 7: ``C7°``."""
        seven, self.roles.number = self.roles.number, ""
        if seven not in ("", "7") or self.roles.fifths or self.roles.suspended:
            raise Misfit(token.column, _ONE_QUALITY)
        self._name(kind, token)
        self.roles.number = seven
        self.roles.minor_third = True
        self.roles.fifths.add(-1)

    def take_aug(self, token: Token, following: Token | None) -> None:
        roles = self.roles
        if roles.kind in ("dim", "half") or roles.alt or roles.fifths:
            raise Misfit(token.column, _ONE_QUALITY)
        roles.kind = roles.kind or "aug"
        roles.fifths.add(1)

    def take_plus(self, token: Token, following: Token | None) -> None:
        if self.last and self.last.kind in ("number", "add", "sus"):
            self._plus_after(token, following)
            return
        at_start = not self.roles.kind and not self.roles.number
        self.take_aug(token, following)
        numbered = following is not None and following.kind == "number"
        if at_start and numbered and following is not None and following.text in ("9", "11", "13"):
            altered = self._doubt("plus_nine") == "sharp ninth"
            if following.text == "9":
                self._nine_alters(altered, 1)

    def _plus_after(self, token: Token, following: Token | None) -> None:
        """Read a plus after a number: the number's sign, or the chord's."""
        roles, text = self.roles, self.last.text if self.last else ""
        if text == "7" and not roles.major:
            if self._doubt("seven_plus") == "major seventh":
                roles.major = True
            else:
                self.take_aug(token, following)
        elif text in ("9", "13") and not self.aside:
            if self._doubt("sign_after") == "quality":
                self.take_aug(token, following)
            else:
                self._alter_last(token, 1)
        elif text in ("6", "69", "7"):
            self.take_aug(token, following)
        else:
            self._alter_last(token, 1)

    def take_dom(self, token: Token, following: Token | None) -> None:
        self._name("dom", token)

    def take_alt(self, token: Token, following: Token | None) -> None:
        roles = self.roles
        if roles.kind not in ("", "dom") or roles.number not in ("", "7") or self._changed():
            raise Misfit(token.column, "alt stands after the root or after 7")
        roles.alt = True
        roles.doubts.append("alt is a licence: 1 3 b7 with any of b9 #9 #11 b13; all are listed")

    def _changed(self) -> bool:
        roles = self.roles
        return bool(
            roles.fifths or roles.altered or roles.added or roles.suspended or roles.omitted
        )

    # Numbers.

    def take_number(self, token: Token, following: Token | None) -> None:
        text = _plain_number(token.text)
        roles, self.aside = self.roles, self.depth > 0 or "/" in self.gap or "," in self.gap
        if roles.alt and not (text == "7" and not roles.number and not self.depth):
            raise Misfit(token.column, "beside alt stand b9, #9, b5, #5, #11 or b13")
        apart, listed, self.list_of = bool(self.gap or self.depth), self.list_of, ""
        if listed == "omit" and apart and text in ("1", "3", "5", "7"):
            self.list_of = listed
            self._omit(int(text), token)
        elif listed == "add" and apart and text not in ("5", "7"):
            self.list_of = listed
            self._add_typed(text, "")
        elif roles.suspended and text in ("2", "4") and apart:
            bare = self.last is not None and self.last.kind == "sus" and not self.last.text
            roles.suspended = _SUSPENDED[text] | (set() if bare else roles.suspended)
        elif text == "5" and self._is_settled_fifth(following):
            raise Misfit(token.column, "a bare fifth is C5; a changed one b5 or #5")
        elif not roles.number:
            self._first_number(text, token)
        else:
            self._next_number(text, token)

    def _is_settled_fifth(self, following: Token | None) -> bool:
        """Whether a bare 5 would say nothing: the chord has its fifth already."""
        signed = following is not None and following.kind in ("signed", "plus", "minus")
        roles = self.roles
        settled = roles.number or roles.fifths or roles.kind in ("maj", "min", "half", "dom")
        of_the_kind = roles.kind in ("dim", "aug") and not (roles.number or self.gap or self.depth)
        return bool(settled) and not signed and not of_the_kind

    def _first_number(self, text: str, token: Token) -> None:
        roles = self.roles
        after_maj = self.last is not None and self.last.kind in ("maj", "triangle")
        if self.aside and not after_maj:
            if text == "7":
                self._refuse_bare_slash(token)
            if text in ("9", "11", "13"):
                # C(9) and C/9 add a ninth to a triad; Cm(maj9) stacks one.
                self._add_typed(text, "")
                return
        if text in STACK and roles.seventh is not None:
            raise Misfit(token.column, _ONE_SEVENTH)
        if text == "4" and roles.minor_third:
            self._add_typed("4", "")
            return
        roles.number = text
        if text in ("2", "4"):
            self._second_or_fourth(text)
        elif text == "9" and self.last is not None and self.last.kind == "sus":
            roles.nine_added = self._doubt("sus_nine") == "added ninth"

    def _refuse_bare_slash(self, token: Token) -> None:
        """Refuse ``C/7``, which is the chord to some and its seventh in the bass to others."""
        if "/" in self.gap and not (self._changed() or self.roles.kind in ("dim", "half", "dom")):
            raise Misfit(
                token.column, "a seventh stands after the chord (C7), a bass is a note (C/Bb)"
            )

    def _next_number(self, text: str, token: Token) -> None:
        roles = self.roles
        after_maj = self.last is not None and self.last.kind in ("maj", "triangle")
        if not (self.gap or self.depth or after_maj):
            raise Misfit(token.column, "one number says how far the thirds are stacked")
        if after_maj and text in STACK:
            # A later seventh stands for an earlier one: Cm9(maj7).
            if roles.number not in STACK:
                roles.seventh = 0
            if text != "7" and text != roles.number:
                roles.added.add(Degree(int(text)))
        elif text in ("2", "4"):
            self._second_or_fourth(text)
        elif text == "7":
            self._seventh_after(token)
        else:
            self._add_typed(text, "")

    def _seventh_after(self, token: Token) -> None:
        """Read a 7 after another number: ``C4/7``, ``C6/7``."""
        roles = self.roles
        if roles.number in STACK or roles.seventh is not None:
            raise Misfit(token.column, _ONE_SEVENTH)
        if roles.number in ("6", "69"):
            self._add_typed(roles.number, "")
        roles.number = "7"

    def _second_or_fourth(self, text: str) -> None:
        """Read ``C2``, ``C4`` and ``C7/4``: a second is added, a fourth suspends the third."""
        if self.roles.minor_third:
            self._add_typed(text, "")
            return
        setting = self._doubt("two" if text == "2" else "four")
        if setting == "suspended":
            self.roles.suspended |= _SUSPENDED[text]
        else:
            self._add_typed(text, "")

    # Changes.

    def take_sus(self, token: Token, following: Token | None) -> None:
        if self.roles.alt or self.roles.kind in ("dim", "half"):
            raise Misfit(token.column, _ONE_QUALITY)
        if self.roles.minor_third:
            if self._doubt("minor_sus") == "added eleventh":
                self.roles.added.add(Degree(11 if token.text != "2" else 9))
                return
            self.roles.minor_third = False
        self.roles.suspended |= _SUSPENDED.get(token.text, {_SECOND, _FOURTH})

    def take_add(self, token: Token, following: Token | None) -> None:
        self.list_of = "add"
        self.aside = True
        if token.text:
            self._add_typed(token.text, token.sign)

    def _add_typed(self, text: str, sign: str) -> None:
        for number in (6, 9) if text == "69" else (int(text),):
            self._add(number, sign)

    def _add(self, number: int, sign: str) -> None:
        self.roles.added.add(_added_degree(number, sign))

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
            if token.sign in ("flat", "sharp"):
                raise Misfit(token.column, "the sign of a root is b or #: Bb7, F#7")
            self._alter_seventh(token, alter)
        elif (number, token.sign, self.roles.number) == (9, "+", "6"):
            self.roles.doubts.append("6+9 is read as 6/9; a sharp ninth is #9")
            self._add(9, "")
        else:
            self._alter(number, alter, token)

    def _alter(self, number: int, alter: int, token: Token) -> None:
        roles = self.roles
        degree = _altered_degree(number, alter, token)
        if roles.alt and number != 5 and degree not in _IN_ALT:
            raise Misfit(token.column, "beside alt stand b9, #9, b5, #5, #11 or b13")
        if number == 5:
            roles.fifths.add(alter)
        else:
            roles.altered.add(degree)

    def _alter_seventh(self, token: Token, alter: int) -> None:
        roles = self.roles
        if roles.number in STACK or roles.major or roles.seventh is not None or roles.alt:
            raise Misfit(token.column, _ONE_SEVENTH)
        if not roles.number:
            self._refuse_bare_slash(token)
        roles.seventh = 0 if alter > 0 else alter
        if token.sign == "+" and roles.kind == "min" and not self.depth:
            if self._doubt("minor_plus") == "augmented fifth":
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

    # Brackets and gaps.

    def take_open(self, token: Token, following: Token | None) -> None:
        if following is not None and following.kind == "close":
            raise Misfit(following.column, "nothing stands in these brackets")
        self.depth += 1
        self.opened_at = token.column

    def take_close(self, token: Token, following: Token | None) -> None:
        if not self.depth:
            raise Misfit(token.column, "this bracket was never opened")
        self.depth -= 1

    def take_gap(self, token: Token, following: Token | None) -> None:
        between = self.last is not None or "/" in token.text
        ended = following is None or following.kind == "close"
        if token.text.strip() and (ended or not between):
            raise Misfit(token.column, "a comma or a slash stands between two changes")
        self.gap = token.text


def _is_seven(token: Token | None) -> bool:
    return token is not None and (token.kind, token.text) == ("number", "7")


def _plain_number(text: str) -> str:
    """Return a number's digits; six and nine in either order are 69."""
    digits = text.replace("/", "").replace(",", "")
    return "69" if digits == "96" else digits


def _added_degree(number: int, sign: str) -> Degree:
    if number == 7:
        return Degree(7, _ADDED_SEVENTH.get(sign, 0))
    if number == 10 and sign in ("b", "-"):
        return Degree(9, 1)
    return Degree(OCTAVE_UP.get(number, number), SIGNS.get(sign, 0))


def _altered_degree(number: int, alter: int, token: Token) -> Degree:
    """Return the degree of an alteration that says something new.

    A third is named by the kind, a flat eleventh is a third, a sharp thirteenth a seventh.
    """
    if number == 10 and alter == -1:
        return Degree(9, 1)
    if number in (3, 10):
        raise Misfit(token.column, "a third is major or minor: C or Cm")
    degree = Degree(OCTAVE_UP.get(number, number), alter)
    if degree in (Degree(11, -1), Degree(13, 1), Degree(6, 1)):
        raise Misfit(
            token.column, "a fourth is natural or sharp, a sixth or thirteenth natural or flat"
        )
    return degree
