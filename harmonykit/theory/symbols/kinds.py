"""The tokens that name a chord's kind: maj, min, dim, aug, dom, alt, and their signs."""

from __future__ import annotations

from dataclasses import dataclass

from harmonykit.theory.degree import Degree
from harmonykit.theory.symbols.changes import ONE_QUALITY, Changes
from harmonykit.theory.symbols.roles import STACK
from harmonykit.theory.symbols.tokens import Misfit, Token


@dataclass(slots=True)
class Kinds(Changes):
    """The tokens that name a kind; a sign after a number is that number's where it can be."""

    def _name(self, kind: str, token: Token) -> None:
        if self.roles.kind or self.roles.number or self.roles.alt:
            raise Misfit(token.column, ONE_QUALITY)
        self.roles.kind = kind

    def take_maj(self, token: Token, following: Token | None) -> None:
        roles = self.roles
        if roles.major or roles.alt or roles.kind in ("half", "dom") or roles.seventh is not None:
            raise Misfit(token.column, ONE_QUALITY)
        bare = not roles.kind and not roles.number
        numbered = following is not None and following.kind == "number"
        settled = roles.number in ("5", "6", "69") or (self.roles.changed and not roles.kind)
        if settled and not numbered:
            raise Misfit(token.column, "after a change maj asks for a number: maj7")
        if token.text == "mj" and bare and self.doubt("mj") == "minor major":
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
            roles.sevenths = self.doubt("dim_major") == "both"

    def take_min(self, token: Token, following: Token | None) -> None:
        if self.roles.changed:
            raise Misfit(token.column, ONE_QUALITY)
        self._name("min", token)
        self.roles.minor_third = True

    def take_minus(self, token: Token, following: Token | None) -> None:
        if self.last and self.last.kind in ("number", "add"):
            self._alter_last(token, -1)
            return
        self.take_min(token, following)
        if following and following.kind == "number" and following.text == "9":
            self._nine_alters(self.doubt("minus_nine") == "flat ninth", -1)

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
            raise Misfit(token.column, ONE_QUALITY)
        self._name(kind, token)
        self.roles.number = seven
        self.roles.minor_third = True
        self.roles.fifths.add(-1)

    def take_aug(self, token: Token, following: Token | None) -> None:
        roles = self.roles
        if roles.kind in ("dim", "half") or roles.alt or roles.fifths:
            raise Misfit(token.column, ONE_QUALITY)
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
            altered = self.doubt("plus_nine") == "sharp ninth"
            if following.text == "9":
                self._nine_alters(altered, 1)

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

    def take_dom(self, token: Token, following: Token | None) -> None:
        self._name("dom", token)

    def take_alt(self, token: Token, following: Token | None) -> None:
        roles = self.roles
        if (
            roles.kind not in ("", "dom")
            or roles.number not in ("", "7")
            or roles.changed
            or roles.alt
        ):
            raise Misfit(token.column, "alt stands after the root or after 7")
        roles.alt = True
        roles.doubts.append("alt is a licence: 1 3 b7 with any of b9 #9 #11 b13; all are listed")


def _is_seven(token: Token | None) -> bool:
    return token is not None and (token.kind, token.text) == ("number", "7")
