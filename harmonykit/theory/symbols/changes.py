"""The tokens that change a chord, and those that name its kind: maj, min, dim, aug, dom, alt."""

from harmonykit.theory.degree import Degree
from harmonykit.theory.symbols import tokens
from harmonykit.theory.symbols.dialect import Dialect
from harmonykit.theory.symbols.tokens import Misfit, Roles, Token
from harmonykit.values import dataclass, field

ONE_QUALITY = "a chord has only one quality"
ONE_SEVENTH = "a chord has only one seventh"
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
        return self.roles.doubt(self.dialect, name)

    def take_sus(self, token: Token, _following: Token | None) -> None:
        """Read ``sus``: a second or a fourth in place of the third."""
        if self.roles.alt or self.roles.kind in ("dim", "half"):
            raise Misfit(token.column, ONE_QUALITY)
        if self.roles.minor_third:
            if self.doubt("minor_sus") == "added eleventh":
                self.roles.added.add(Degree(11 if token.text != "2" else 9))
                return
            self.roles.minor_third = False
        self.roles.suspended |= SUSPENDED.get(token.text, {_SECOND, _FOURTH})

    def take_add(self, token: Token, _following: Token | None) -> None:
        """Read ``add`` and begin a list of what is added."""
        self.list_of = "add"
        self.aside = True
        if token.text:
            self._add_typed(token.text, token.sign)

    def _add_typed(self, text: str, sign: str) -> None:
        for number in (6, 9) if text == "69" else (int(text),):
            self._add(number, sign)

    def _add(self, number: int, sign: str) -> None:
        self.roles.added.add(tokens.added_degree(number, sign))

    def take_omit(self, token: Token, _following: Token | None) -> None:
        """Read ``no`` or ``omit`` and begin a list of what is left out."""
        self.list_of = "omit"
        if token.text:
            self._omit(int(token.text), token)

    def _omit(self, number: int, token: Token) -> None:
        self.roles.omitted[number] = token.column

    def take_alter(self, token: Token, _following: Token | None) -> None:
        """Read a number with a sign before it: ``b9``."""
        number, alter = int(token.text), tokens.SIGNS[token.sign]
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
        degree = tokens.altered_degree(number, alter, token)
        if roles.alt and number != 5 and degree not in _IN_ALT:
            raise Misfit(token.column, "alt goes with b9, #9, b5, #5, #11 or b13")
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
                token.column, "a seventh is typed without a slash (C7), a bass as a note (C/Bb)"
            )

    def _alter_seventh(self, token: Token, alter: int) -> None:
        roles = self.roles
        if roles.number in tokens.STACK or roles.major or roles.seventh is not None or roles.alt:
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

    def take_signed(self, token: Token, _following: Token | None) -> None:
        """Read a sign that stands after its number: ``9b``."""
        if not self.last or self.last.kind not in ("number", "add"):
            raise Misfit(token.column, "a sharp or flat goes next to its number: b9 or 9b")
        self._alter_last(token, tokens.SIGNS[token.text])

    def _alter_last(self, token: Token, alter: int) -> None:
        """Give the number just read the sign after it: ``(9+)``, ``5b``, ``add11#``."""
        roles, last = self.roles, self.last
        text = last.text if last else ""
        if last is None or last.sign or text not in ("5", "6", "9", "11", "13"):
            raise Misfit(token.column, "a sharp or flat goes next to its number: b9 or 9b")
        number = int(text)
        own = Degree(tokens.OCTAVE_UP.get(number, number))
        if self.list_of == "add":
            roles.added.discard(own)
            self._add(number, "b" if alter < 0 else "#")
            return
        if number == 5 and roles.number == "5":
            roles.number = ""
        roles.added.discard(own)
        self._alter(number, alter, token)


@dataclass(slots=True)
class Kinds(Changes):
    """The tokens that name a kind; a sign after a number is that number's where it can be."""

    def _name(self, kind: str, token: Token) -> None:
        if self.roles.kind or self.roles.number or self.roles.alt:
            raise Misfit(token.column, ONE_QUALITY)
        self.roles.kind = kind

    def take_maj(self, token: Token, following: Token | None) -> None:
        """Read ``maj``: a major seventh, or the kind."""
        roles = self.roles
        if roles.major or roles.alt or roles.kind in ("half", "dom") or roles.seventh is not None:
            raise Misfit(token.column, ONE_QUALITY)
        bare = not roles.kind and not roles.number
        numbered = following is not None and following.kind == "number"
        settled = roles.number in ("5", "6", "69") or (self.roles.changed and not roles.kind)
        if settled and not numbered:
            raise Misfit(token.column, "maj needs a number here: maj7")
        if token.text == "mj" and bare and self.doubt("mj") == "minor major":
            roles.kind, roles.minor_third = "min", True
        roles.triangle = token.text in ("j", "J", "Δ", "^")
        roles.kind = roles.kind or ("maj" if bare else "")
        roles.major = True
        if roles.kind == "dim":
            self._major_beside_diminished(numbered=numbered)
        elif roles.number in tokens.STACK and not roles.minor_third and _is_seven(following):
            roles.doubts.append("two sevenths are typed; the later one is read")

    def take_triangle(self, token: Token, following: Token | None) -> None:
        """Read a triangle as ``maj``."""
        self.take_maj(token, following)

    def _major_beside_diminished(self, *, numbered: bool) -> None:
        """Read ``°7(maj7)`` as both sevenths, ``°(maj7)`` as one, ``°maj7`` by the dialect."""
        roles = self.roles
        if roles.number in tokens.STACK and numbered:
            roles.sevenths = True
            roles.doubts.append(
                "dim7 with maj7 is read as both sevenths; the triad with maj7 is dim(maj7)"
            )
        elif not self.depth:
            roles.sevenths = self.doubt("dim_major") == "both"

    def take_min(self, token: Token, _following: Token | None) -> None:
        """Read ``min``: a minor third."""
        if self.roles.changed:
            raise Misfit(token.column, ONE_QUALITY)
        self._name("min", token)
        self.roles.minor_third = True

    def take_minus(self, token: Token, following: Token | None) -> None:
        """Read a minus: ``min``, or a flat of the number beside it."""
        if self.last and self.last.kind in ("number", "add"):
            self._alter_last(token, -1)
            return
        self.take_min(token, following)
        if following and following.kind == "number" and following.text == "9":
            self._nine_alters(alters=self.doubt("minus_nine") == "flat ninth", alter=-1)

    def _nine_alters(self, *, alters: bool, alter: int) -> None:
        """Read ``C-9`` or ``C+9`` as a dominant seventh with an altered ninth."""
        if alters:
            self.roles.kind, self.roles.minor_third, self.roles.fifths = "dom", False, set()
            self.roles.altered.add(Degree(9, alter))

    def take_dim(self, token: Token, following: Token | None) -> None:
        """Read ``dim``: a diminished triad or seventh."""
        self._diminish("dim", token)
        if following and following.kind == "number" and following.text == "5":
            self.roles.doubts.append("dim5 is read as the diminished triad; some mean a flat fifth")

    def take_half(self, token: Token, _following: Token | None) -> None:
        """Read ``ø``: a half-diminished seventh."""
        self._diminish("half", token)
        if token.text == "h":
            self.roles.doubts.append("h is read as half-diminished; some give it no meaning")

    def _diminish(self, kind: str, token: Token) -> None:
        """Name a diminished kind, also after its 7: ``C7°``."""
        seven, self.roles.number = self.roles.number, ""
        if seven not in ("", "7") or self.roles.fifths or self.roles.suspended:
            raise Misfit(token.column, ONE_QUALITY)
        self._name(kind, token)
        self.roles.number = seven
        self.roles.minor_third = True
        self.roles.fifths.add(-1)

    def take_aug(self, token: Token, _following: Token | None) -> None:
        """Read ``aug``: an augmented fifth."""
        roles = self.roles
        if roles.kind in ("dim", "half") or roles.alt or roles.fifths:
            raise Misfit(token.column, ONE_QUALITY)
        roles.kind = roles.kind or "aug"
        roles.fifths.add(1)

    def take_plus(self, token: Token, following: Token | None) -> None:
        """Read a plus: ``aug``, or a sharp of the number beside it."""
        if self.last and self.last.kind in ("number", "add", "sus"):
            self._plus_after(token, following)
            return
        at_start = not self.roles.kind and not self.roles.number
        self.take_aug(token, following)
        numbered = following is not None and following.kind == "number"
        if at_start and numbered and following is not None and following.text in ("9", "11", "13"):
            altered = self.doubt("plus_nine") == "sharp ninth"
            if following.text == "9":
                self._nine_alters(alters=altered, alter=1)

    def _plus_after(self, token: Token, following: Token | None) -> None:
        """Read a plus after a number: the number's sign, or the chord's."""
        roles, text = self.roles, self.last.text if self.last else ""
        if text == "7" and not roles.major:
            if self.doubt("seven_plus") == "major seventh":
                roles.major = True
            else:
                self.take_aug(token, following)
        elif text in ("9", "13") and not self.aside:
            if self.doubt("sign_after") == "quality":
                self.take_aug(token, following)
            else:
                self._alter_last(token, 1)
        elif text in ("6", "69", "7"):
            self.take_aug(token, following)
        else:
            self._alter_last(token, 1)

    def take_dom(self, token: Token, _following: Token | None) -> None:
        """Read ``dom``: a dominant."""
        self._name("dom", token)

    def take_alt(self, token: Token, _following: Token | None) -> None:
        """Read ``alt``: a dominant with altered fifths and ninths."""
        roles = self.roles
        if (
            roles.kind not in ("", "dom")
            or roles.number not in ("", "7")
            or roles.changed
            or roles.alt
        ):
            raise Misfit(token.column, "alt follows the root or 7")
        roles.alt = True
        roles.doubts.append("alt leaves a choice: 1 3 b7 with any of b9 #9 #11 b13; all are listed")


def _is_seven(token: Token | None) -> bool:
    return token is not None and (token.kind, token.text) == ("number", "7")
