"""From the tokens of a chord symbol to its degrees.

Each kind of token has one method of :class:`_Builder`; the degrees are put together at the end,
so that the order in which alterations were typed does not matter.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from harmonykit.theory.degree import Degree
from harmonykit.theory.dialect import Dialect
from harmonykit.theory.quality import BY_SUFFIX
from harmonykit.theory.symbol_tokens import Misfit, Token


@dataclass(frozen=True, slots=True)
class Built:
    """Degrees, and what schools read otherwise.

    Examples
    --------
    >>> build_degrees([Token("minus", "-", 0), Token("number", "9", 1)], Dialect()).doubts
    ('-9 after the root is read as a minor ninth chord; some mean 7b9',)
    """

    degrees: tuple[Degree, ...]
    doubts: tuple[str, ...]


def build_degrees(tokens: Iterable[Token], dialect: Dialect) -> Built:
    """Return the degrees that the tokens of one symbol say.

    Raises
    ------
    Misfit
        Where two tokens contradict each other.

    Examples
    --------
    >>> built = build_degrees([Token("min", "m", 0), Token("number", "7", 1)], Dialect())
    >>> [degree.name for degree in built.degrees]
    ['1', 'b3', '5', 'b7']
    """
    builder = _Builder(dialect)
    sequence = list(tokens)
    for index, token in enumerate(sequence):
        builder.take(token, sequence[index + 1] if index + 1 < len(sequence) else None)
    return builder.finish()


_SIGNS = {"b": -1, "-": -1, "bb": -2, "#": 1, "+": 1, "##": 2, "": 0}
# Seconds and fourths that are added or altered are ninths and elevenths; a tenth is a third.
_OCTAVE_UP = {2: 9, 4: 11, 10: 3}
# An added seventh is the minor one (MusicXML 4.0, degree-alter), and a sharp one the major.
_ADDED_SEVENTH = {"": -1, "b": -1, "-": -1, "bb": -2}
_STACK = {"7": (), "9": (9,), "11": (9, 11), "13": (9, 11, 13)}
_SEVENTH_ALTER = {"dim": -2, "half": -1}
_FOURTH, _SECOND = Degree(4), Degree(2)
_SUSPENDED = {
    "": {_FOURTH}, "4": {_FOURTH}, "2": {_SECOND}, "#4": {Degree(4, 1)}, "+4": {Degree(4, 1)},
    "b2": {Degree(2, -1)}, "-2": {Degree(2, -1)},
}  # fmt: skip


@dataclass(slots=True)
class _Builder:
    dialect: Dialect
    base: str = ""
    minor_third: bool = False
    major: bool = False
    triangle: bool = False
    number: str = ""
    fifths: set[int] = field(default_factory=set)
    suspended: set[Degree] = field(default_factory=set)
    altered: set[Degree] = field(default_factory=set)
    added: set[Degree] = field(default_factory=set)
    omitted: set[int] = field(default_factory=set)
    seventh: int | None = None
    alt: bool = False
    depth: int = 0
    opened_at: int = 0
    gap: str = ""
    nine_added: bool = False
    doubts: list[str] = field(default_factory=list)

    def take(self, token: Token, following: Token | None) -> None:
        handler = getattr(self, "take_" + token.kind)
        handler(token, following)
        if token.kind not in ("gap", "open"):
            self.gap = ""

    def _doubt(self, name: str) -> None:
        self.doubts.append(self.dialect.doubt(name))

    def _name(self, base: str, token: Token) -> None:
        if self.base or self.number:
            raise Misfit(token.column, "one chord has one quality")
        self.base = base

    def take_maj(self, token: Token, following: Token | None) -> None:
        if self.major or self.base == "half":
            raise Misfit(token.column, "one chord has one quality")
        self.base = self.base or "maj"
        self.major = True

    def take_triangle(self, token: Token, following: Token | None) -> None:
        self.take_maj(token, following)
        self.triangle = True

    def take_min(self, token: Token, following: Token | None) -> None:
        self._name("min", token)
        self.minor_third = True

    def take_minus(self, token: Token, following: Token | None) -> None:
        self.take_min(token, following)
        if following and following.kind == "number" and following.text == "9":
            self._doubt("minus_nine")
            self._nine_alters(self.dialect.minus_nine == "flat ninth", -1)

    def _nine_alters(self, alters: bool, alter: int) -> None:
        """Read ``C-9`` or ``C+9`` as a dominant seventh with an altered ninth."""
        if alters:
            self.base, self.minor_third, self.fifths = "dom", False, set()
            self.altered.add(Degree(9, alter))

    def take_dim(self, token: Token, following: Token | None) -> None:
        self._name("dim", token)
        self.minor_third = True
        self.fifths.add(-1)

    def take_half(self, token: Token, following: Token | None) -> None:
        self._name("half", token)
        self.minor_third = True
        self.fifths.add(-1)

    def take_aug(self, token: Token, following: Token | None) -> None:
        if self.base in ("dim", "half"):
            raise Misfit(token.column, "one chord has one quality")
        self.base = self.base or "aug"
        self.fifths.add(1)

    def take_plus(self, token: Token, following: Token | None) -> None:
        if self.number == "7" and not self.base and following is None:
            self._doubt("seven_plus")
            if self.dialect.seven_plus == "major seventh":
                self.major = True
                return
        at_start = not self.base and not self.number
        self.take_aug(token, following)
        if at_start and following and following.kind == "number" and following.text == "9":
            self._doubt("plus_nine")
            self._nine_alters(self.dialect.plus_nine == "sharp ninth", 1)

    def take_dom(self, token: Token, following: Token | None) -> None:
        self._name("dom", token)

    def take_alt(self, token: Token, following: Token | None) -> None:
        if self.base or self.number not in ("", "7"):
            raise Misfit(token.column, "alt stands after the root or after 7")
        self.alt = True
        self.doubts.append("alt is a licence: 1 3 b7 with any of b9 #9 #11 b13; all are listed")

    def take_number(self, token: Token, following: Token | None) -> None:
        text = token.text.replace("/", "")
        # C(9) and C/9 add a ninth to a triad; Cm(maj9) stacks one.
        aside = (self.depth > 0 or self.gap == "/") and not self.major
        if self.number or (aside and text in ("2", "4", "9", "11", "13")):
            if not (self.gap or self.depth):
                raise Misfit(token.column, "one number says how far the thirds are stacked")
            self._add(int(text) if text != "69" else 9)
            return
        self.number = text

    def take_sus(self, token: Token, following: Token | None) -> None:
        self.suspended |= _SUSPENDED.get(token.text, {_SECOND, _FOURTH})
        if following and following.kind == "number" and following.text == "9" and not self.number:
            self._doubt("sus_nine")
            self.nine_added = self.dialect.sus_nine == "added ninth"

    def take_add(self, token: Token, following: Token | None) -> None:
        self._add(int(token.text), token.sign)

    def _add(self, number: int, sign: str = "") -> None:
        if number == 7:
            self.added.add(Degree(7, _ADDED_SEVENTH.get(sign, 0)))
        elif number == 10 and sign in ("b", "-"):
            self.added.add(Degree(9, 1))
        else:
            self.added.add(Degree(_OCTAVE_UP.get(number, number), _SIGNS.get(sign, 0)))

    def take_omit(self, token: Token, following: Token | None) -> None:
        self.omitted.add(1 if token.text == "root" else int(token.text))

    def take_alter(self, token: Token, following: Token | None) -> None:
        number, alter = int(token.text), _SIGNS[token.sign]
        if number == 5:
            self.fifths.add(alter)
        elif number == 7:
            self.seventh = 0 if alter > 0 else alter
        elif number == 10 and alter == -1:
            self.altered.add(Degree(9, 1))
        elif number in (3, 10):
            raise Misfit(token.column, "a third is major or minor: C or Cm")
        else:
            self.altered.add(Degree(_OCTAVE_UP.get(number, number), alter))

    def take_open(self, token: Token, following: Token | None) -> None:
        self.depth += 1
        self.opened_at = token.column

    def take_close(self, token: Token, following: Token | None) -> None:
        if not self.depth:
            raise Misfit(token.column, "this bracket was never opened")
        self.depth -= 1

    def take_gap(self, token: Token, following: Token | None) -> None:
        self.gap = token.text

    def finish(self) -> Built:
        if self.depth:
            raise Misfit(self.opened_at, "this bracket is never closed")
        if self.alt:
            found = set(BY_SUFFIX["alt"].degrees)
        else:
            found = self._alter(self._triad() | self._upper())
        found = {d for d in found if d.number not in self.omitted} | self.added
        return Built(tuple(sorted(found)), tuple(self.doubts))

    def _triad(self) -> set[Degree]:
        third = {Degree(3, -1 if self.minor_third else 0)}
        if self.suspended or (self.number == "5" and not self.base):
            third = set(self.suspended)
        return {Degree(1), *third, *(Degree(5, alter) for alter in self.fifths or {0})}

    def _upper(self) -> set[Degree]:
        if self.number in ("2", "4"):
            return self._second_or_fourth()
        if self.number in ("6", "69"):
            return {Degree(6)} | ({Degree(9)} if self.number == "69" else set())
        seventh = self._seventh()
        upper = set() if seventh is None else {Degree(7, seventh)}
        return upper | self._stacked()

    def _second_or_fourth(self) -> set[Degree]:
        """Read ``C2`` and ``C4``; the third goes where the number suspends it."""
        name = "two" if self.number == "2" else "four"
        setting = getattr(self.dialect, name)
        self._doubt(name)
        if setting == "suspended":
            self.omitted.add(3)
            return {Degree(int(self.number))}
        return {Degree(_OCTAVE_UP[int(self.number)])}

    def _seventh(self) -> int | None:
        """Return the seventh's alteration, or None where there is no seventh."""
        if self.seventh is not None:
            return self.seventh
        if self.triangle and not self.number:
            if self.base == "maj":
                self._doubt("triangle")
                if self.dialect.triangle == "triad":
                    return None
            return 0
        if self.number in _STACK:
            if self.nine_added:
                return None
            return 0 if self.major else _SEVENTH_ALTER.get(self.base, -1)
        return self._seventh_unsaid()

    def _seventh_unsaid(self) -> int | None:
        if self.base == "half":
            return -1
        if self.base == "dim" and not self.number and not self.major:
            self._doubt("dim")
            return -2 if self.dialect.dim == "seventh" else None
        return None

    def _stacked(self) -> set[Degree]:
        numbers = set(_STACK.get(self.number, ()))
        ninth_altered = any(d.number == 9 for d in self.altered)
        # 13 with an altered ninth names the ninth and the thirteenth, not the stack between them.
        if self.number == "13" and ninth_altered:
            numbers.discard(11)
        self._doubt_stack(numbers)
        numbers -= {_OCTAVE_UP[degree.number] for degree in self.suspended}
        return {Degree(number) for number in numbers}

    def _doubt_stack(self, numbers: set[int]) -> None:
        if 11 not in numbers or self.suspended or self.minor_third:
            return
        if any(d.number == 11 for d in self.altered):
            return
        self._doubt("eleven" if self.number == "11" else "thirteen")
        if self.number == "11" and self.dialect.eleven == "suspended":
            numbers.discard(11)
            self.omitted.add(3)
            self.added.add(_FOURTH)
        if self.number == "13" and self.dialect.thirteen == "without eleventh":
            numbers.discard(11)

    def _alter(self, found: set[Degree]) -> set[Degree]:
        """Put altered degrees in, each in the place of the natural one of its number."""
        if not self.altered:
            return found
        numbers = {d.number for d in self.altered}
        return {d for d in found if d.number not in numbers} | self.altered
