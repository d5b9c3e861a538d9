"""Results that come back as a code: who, how many minutes, what was right, what was taken for what.

A code is made by the page of questions (``shared/scripts/practice/code.js``) and comes by message
or on paper, so nothing in it is believed before it was checked.  Five bits are a sign; the last
four signs check the rest (the lowest twenty bits of CRC-32).  What it holds, in this order:

======================  =======================================================================
bits                    what
======================  =======================================================================
5                       the version of this form, 1
15                      which page: the three signs that stand at its results
15                      the day of the last answer, from 1 January 2024
10                      minutes
1, 5, 5 each            a name of plain letters: 0, how many, the letters
1, 7, 8 each            any other name: 1, how many bytes, its bytes in UTF-8
4                       how many kinds follow; of each:
6, count, count         its number in ``ORDER``, how many were asked, how many of them were wrong
2                       how many confusions follow; of each:
3, then twice 4, 6 each how often; right, given: how many signs, their numbers in ``PRINTED``
======================  =======================================================================

A count is a number with one added: as many noughts as it has bits after the first, then it.
"""

from datetime import date, timedelta
from zlib import crc32

from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass

SIGNS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
LETTERS = "abcdefghijklmnopqrstuvwxyz -'."
PRINTED = (
    "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabdegijmostu "
    "\N{MUSIC FLAT SIGN}\N{MUSIC SHARP SIGN}\U0001d12b\U0001d12a°øΔ+-\N{MINUS SIGN}/()"
)
ORDER = (
    "parents",
    "targets",
    "spelling",
    "shape",
    "moved",
    "distance",
    "smoother",
    "scale",
    "becomes",
    "hear",
    "quality",
    "drone",
    "function",
)
"""The kinds of exercise by their numbers in a code: more may follow, none may move."""
VERSION, CHECK = 1, 4
LONGEST = 400
_FIRST = date(2024, 1, 1)
_SHORTEST = 12
_MOST_BITS = 17


@dataclass(frozen=True, slots=True)
class Kindly:
    """How a kind of exercise went."""

    kind: str
    asked: int
    right: int


@dataclass(frozen=True, slots=True)
class Confusion:
    """What was given for what, and how often at least (7 for more)."""

    right: str
    given: str
    times: int

    def __str__(self) -> str:
        often = "7 times or more" if self.times >= 7 else f"{self.times} times"
        return f"{self.given} for {self.right}" + (f", {often}" if self.times > 1 else "")


@dataclass(frozen=True, slots=True)
class Results:
    """What a code says.

    Parameters
    ----------
    student : str
        Empty where no name was given.
    page : str
        The three signs of the page.
    day : date
        Of the last answer.
    minutes : int
    kinds : tuple of Kindly
    confusions : tuple of Confusion
        The most frequent first.
    """

    student: str
    page: str
    day: date
    minutes: int
    kinds: tuple[Kindly, ...]
    confusions: tuple[Confusion, ...]

    @property
    def asked(self) -> int:
        """How many questions were answered."""
        return sum(each.asked for each in self.kinds)

    @property
    def right(self) -> int:
        """How many of them were right."""
        return sum(each.right for each in self.kinds)


def read_code(text: str) -> Results:
    """Return what a code says.

    Parameters
    ----------
    text : str
        Small letters, spaces and any hyphens will do.

    Raises
    ------
    HarmonyError
        If it is no code, or not copied whole, or of a later version.
    """
    signs = _signs(text)
    body, check = signs[:-CHECK], signs[-CHECK:]
    if _number(check) != crc32(body.encode()) % 2 ** (5 * CHECK):
        raise _refused(text, "a sign is missing, changed or in another place", "copy it once more")
    bits = _Bits(body)
    version = bits.take(5)
    if version != VERSION:
        raise _refused(text, f"its form has the number {version}", "a later harmonykit")
    try:
        return _read(bits)
    except ValueError:
        raise _refused(text, "what it holds cannot be", "ask for another copy") from None


def _signs(text: str) -> str:
    if len(text) > LONGEST:
        raise _refused(text[:20] + "...", f"a code has {LONGEST} signs at most", "one code")
    signs = "".join(each for each in text.upper() if not (each.isspace() or each in "-–—‐‑"))
    strange = sorted(set(signs) - set(SIGNS))
    if strange:
        asked = (
            "look again: no code has 0, O, 1 or I"
            if set(strange) <= set("0O1I")
            else "the code alone, one a line"
        )
        raise _refused(text, f"{strange[0]!r} is in no code", asked)
    if len(signs) < _SHORTEST:
        raise _refused(text, "it is too short", "all groups of four signs")
    return signs


def _refused(text: str, rule: str, mend: str) -> HarmonyError:
    return HarmonyError(f"{text!r} is not a code with results", rule=rule, mend=mend)


def _number(signs: str) -> int:
    number = 0
    for sign in signs:
        number = 32 * number + SIGNS.index(sign)
    return number


class _Bits:
    """The bits of a code, taken one after another."""

    def __init__(self, signs: str) -> None:
        self._bits = "".join(f"{SIGNS.index(sign):05b}" for sign in signs)
        self._at = 0

    def take(self, many: int) -> int:
        """Return the number in the next bits."""
        self._at += many
        if self._at > len(self._bits):
            raise ValueError("the end")
        return int(self._bits[self._at - many : self._at] or "0", 2)

    def count(self) -> int:
        """Return the next count."""
        noughts = 0
        while self.take(1) == 0:
            noughts += 1
            if noughts > _MOST_BITS:
                raise ValueError("a count")
        return (1 << noughts) + self.take(noughts) - 1

    def end(self) -> None:
        """Hold that nothing is left but what fills up the last sign."""
        rest = self._bits[self._at :]
        if len(rest) >= 5 or "1" in rest:
            raise ValueError("more than there should be")


def _read(bits: _Bits) -> Results:
    page = "".join(SIGNS[bits.take(5)] for _ in range(3))
    day = _FIRST + timedelta(days=bits.take(15))
    minutes = bits.take(10)
    name = _name(bits)
    kinds = tuple(_kind(bits) for _ in range(bits.take(4)))
    if len({each.kind for each in kinds}) != len(kinds):
        raise ValueError("a kind twice")
    confusions = tuple(_confusion(bits) for _ in range(bits.take(2)))
    bits.end()
    return Results(name, page, day, minutes, kinds, confusions)


def _name(bits: _Bits) -> str:
    if bits.take(1):
        text = bytes(bits.take(8) for _ in range(bits.take(7))).decode("utf-8")
        if not text.isprintable():
            raise ValueError("a name")
        return text
    letters = "".join(LETTERS[each] for each in _places(bits, bits.take(5), 5, len(LETTERS)))
    start, found = True, []
    for letter in letters:
        found.append(letter.upper() if start else letter)
        start = not letter.isalpha()
    return "".join(found)


def _places(bits: _Bits, many: int, each: int, most: int) -> list[int]:
    found = [bits.take(each) for _ in range(many)]
    if any(place >= most for place in found):
        raise ValueError("no such sign")
    return found


def _kind(bits: _Bits) -> Kindly:
    number, asked, wrong = bits.take(6), bits.count(), bits.count()
    if number >= len(ORDER) or wrong > asked:
        raise ValueError("a kind")
    return Kindly(ORDER[number], asked, asked - wrong)


def _confusion(bits: _Bits) -> Confusion:
    times = bits.take(3)
    right, given = (
        "".join(PRINTED[place] for place in _places(bits, bits.take(4), 6, len(PRINTED)))
        for _ in range(2)
    )
    if not (times and right and given):
        raise ValueError("a confusion")
    return Confusion(right, given, times)
