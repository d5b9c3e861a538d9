"""Sorting the tokens of a chord symbol by what they do in the chord.

Each kind of token has one method; what it says goes to its role, so that the order in which
alterations were typed does not matter.  Here stand the numbers and the brackets; the tokens of
kinds and of changes are in ``changes``.
"""

from collections.abc import Iterable

from harmonykit.theory.degree import Degree
from harmonykit.theory.symbols.changes import ONE_SEVENTH, SUSPENDED, Kinds
from harmonykit.theory.symbols.dialect import Dialect
from harmonykit.theory.symbols.tokens import STACK, Misfit, Roles, Token
from harmonykit.values import dataclass

_OWN_FIFTH = ("dim", "half", "aug")


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
class Sorter(Kinds):
    """Puts one token after another where it belongs."""

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
            raise Misfit(self.last.column, f"{self.last.kind} needs a number: add9, no3")
        if 5 in self.roles.omitted and self.roles.fifths and self.roles.kind not in _OWN_FIFTH:
            raise Misfit(self.roles.omitted[5], "an altered fifth cannot be left out")
        return self.roles

    def take_number(self, token: Token, following: Token | None) -> None:
        """Read a number: how far the thirds go, or what a list names."""
        text = _plain_number(token.text)
        roles, self.aside = self.roles, self.depth > 0 or "/" in self.gap or "," in self.gap
        if roles.alt and not (text == "7" and not roles.number and not self.depth):
            raise Misfit(token.column, "alt goes with b9, #9, b5, #5, #11 or b13")
        apart, listed, self.list_of = bool(self.gap or self.depth), self.list_of, ""
        if listed == "omit" and apart and text in ("1", "3", "5", "7"):
            self.list_of = listed
            self._omit(int(text), token)
        elif listed == "add" and apart and text not in ("5", "7"):
            self.list_of = listed
            self._add_typed(text, "")
        elif roles.suspended and text in ("2", "4") and apart:
            bare = self.last is not None and self.last.kind == "sus" and not self.last.text
            roles.suspended = SUSPENDED[text] | (set() if bare else roles.suspended)
        elif text == "5" and self._is_settled_fifth(following):
            raise Misfit(token.column, "a bare fifth is C5; an altered one b5 or #5")
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
            raise Misfit(token.column, ONE_SEVENTH)
        if text == "4" and roles.minor_third:
            self._add_typed("4", "")
            return
        roles.number = text
        if text in ("2", "4"):
            self._second_or_fourth(text)
        elif text == "9" and self.last is not None and self.last.kind == "sus":
            roles.nine_added = self.doubt("sus_nine") == "added ninth"

    def _next_number(self, text: str, token: Token) -> None:
        roles = self.roles
        after_maj = self.last is not None and self.last.kind in ("maj", "triangle")
        over_sus = self._over_a_suspension(text)
        if not (self.gap or self.depth or after_maj or over_sus):
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

    def _over_a_suspension(self, text: str) -> bool:
        """Whether a number straight after sus goes further than the stack: ``C7sus13``."""
        last, stacked = self.last, self.roles.number
        bare = last is not None and last.kind == "sus" and not last.text
        return bare and text in ("9", "13") and stacked in STACK and int(text) > int(stacked)

    def _seventh_after(self, token: Token) -> None:
        """Read a 7 after another number: ``C4/7``, ``C6/7``."""
        roles = self.roles
        if roles.number in STACK or roles.seventh is not None:
            raise Misfit(token.column, ONE_SEVENTH)
        if roles.number in ("6", "69"):
            self._add_typed(roles.number, "")
        roles.number = "7"

    def _second_or_fourth(self, text: str) -> None:
        """Read ``C2``, ``C4`` and ``C7/4``: a second is added, a fourth suspends the third."""
        if self.roles.minor_third:
            self._add_typed(text, "")
            return
        setting = self.doubt("two" if text == "2" else "four")
        if setting == "suspended":
            self.roles.suspended |= SUSPENDED[text]
        else:
            self._add_typed(text, "")

    def take_open(self, token: Token, following: Token | None) -> None:
        """Read an opening bracket."""
        if following is not None and following.kind == "close":
            raise Misfit(following.column, "these brackets are empty")
        self.depth += 1
        self.opened_at = token.column

    def take_close(self, token: Token, _following: Token | None) -> None:
        """Read a closing bracket."""
        if not self.depth:
            raise Misfit(token.column, "this bracket was never opened")
        self.depth -= 1

    def take_gap(self, token: Token, following: Token | None) -> None:
        """Read what parts two changes: a comma, a slash, a space."""
        between = self.last is not None or "/" in token.text
        ended = following is None or following.kind == "close"
        if token.text.strip() and (ended or not between):
            raise Misfit(token.column, "a comma or a slash goes between two alterations")
        self.gap = token.text


def _plain_number(text: str) -> str:
    """Return a number's digits; six and nine in either order are 69."""
    digits = text.replace("/", "").replace(",", "")
    return "69" if digits == "96" else digits
