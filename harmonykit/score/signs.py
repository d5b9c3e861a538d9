"""Segno, coda, fine and jumps in foreign scores: found in words, glyphs and playback marks.

A score may say one jump three times over: as words, as a glyph, and as an attribute of ``<sound>``
(MusicXML 4.0, ``sound``).  A coda glyph stands both where the player leaves and where he arrives;
where nothing tells them apart the first is the leaving.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from xml.etree.ElementTree import Element

from harmonykit.tune.bar import JUMPS, SIGNS, Bar
from harmonykit.tune.form import signs_fault
from harmonykit.tune.order import Ending, endings_side_by_side
from harmonykit.tune.text.barlines import sign_of

_LOOKS_LIKE_A_JUMP = re.compile(
    r"\b(D\.?\s?[CS]\.?|da capo|dal segno|segno|coda|fine)\b", re.IGNORECASE
)
_SOUNDS = {
    "dacapo": "D.C.", "dalsegno": "D.S.", "tocoda": "to coda", "fine": "fine", "segno": "segno",
    "coda": "coda",
}  # fmt: skip
# In full, and as ABC 2.1 (4.14) names its decorations.
_WORDS = (
    (r"da\s*capo", "D.C."), (r"dal\s*segno", "D.S."), (r"^al\s+coda$", "to coda"),
    (r"^da\s*coda$", "to coda"),
)  # fmt: skip


def sign_in_words(text: str) -> str:
    """Return the sign that words name, or nothing.

    Examples
    --------
    >>> sign_in_words("Da Capo al Fine"), sign_in_words("D. S. al Coda"), sign_in_words("slowly")
    ('D.C. al fine', 'D.S. al coda', '')
    """
    plain = " ".join(text.split())
    for pattern, said in _WORDS:
        plain = re.sub(pattern, said, plain, flags=re.IGNORECASE)
    return sign_of(plain)


def looks_like_a_jump(text: str) -> bool:
    """Return whether words speak of a jump, understood or not."""
    return _LOOKS_LIKE_A_JUMP.search(text) is not None


def signs_of_measure(measure: Element) -> tuple[list[str], list[str]]:
    """Return the signs of a MusicXML measure, and the words of jumps that are not understood."""
    found: list[str] = []
    unknown: list[str] = []
    for element in measure:
        if element.tag in ("direction", "sound", "barline"):
            found += _signs_of_one(element, unknown)
    return one_jump(found), unknown


def _signs_of_one(element: Element, unknown: list[str]) -> set[str]:
    names = {child.tag for child in element.iter() if child.tag in ("segno", "coda")}
    for child in element.iter():
        if child.tag == "words":
            text = " ".join((child.text or "").split())
            sign = sign_in_words(text)
            names |= {sign} if sign else set()
            if not sign and looks_like_a_jump(text):
                unknown.append(text)
        elif child.tag == "sound":
            names |= {sign for name, sign in _SOUNDS.items() if child.get(name, "no") != "no"}
    return names - {"coda"} if "to coda" in names else names


def one_jump(signs: Iterable[str]) -> list[str]:
    """Return signs in order, each once; of jumps the one that says most."""
    here = set(signs)
    jumps = sorted(here & set(JUMPS), key=lambda jump: (-len(jump), jump))
    return [sign for sign in SIGNS if sign in here and sign not in jumps[1:]]


def settle_signs(bars: Sequence[Bar]) -> tuple[tuple[Bar, ...], tuple[str, ...]]:
    """Return bars whose signs all lead somewhere, and what is left out."""
    settled = list(bars)
    codas = [n for n, bar in enumerate(bars) if "coda" in bar.signs]
    if len(codas) > 1 and not any("to coda" in bar.signs for bar in bars):
        settled[codas[0]] = _without(settled[codas[0]], "coda", "to coda")
    doubts: list[str] = []
    while fault := signs_fault(settled):
        doubts.append(f"{fault[1]}: not followed")
        settled = [_without(bar, fault[0]) for bar in settled]
    return tuple(settled), tuple(doubts)


def _without(bar: Bar, sign: str, instead: str = "") -> Bar:
    kept = tuple(filter(None, (instead if own == sign else own for own in bar.signs)))
    return replace(bar, signs=kept)


def settle_endings(bars: Sequence[Bar]) -> tuple[tuple[Bar, ...], tuple[tuple[int, str], ...]]:
    """Return bars whose endings serve each pass once, and what was read another way, with its bar.

    Numbers that leave a pass out, or name one twice, are taken in their order: endings 1 and 3 are
    the first and the second.  An ending that another follows goes back, however its bar line is
    drawn (ABC standard 2.1, 4.10: it may end with ``||``).

    Examples
    --------
    >>> plain = Bar.of((4, 4), [])
    >>> row = [plain, replace(plain, ending=(1,), closes=2), replace(plain, ending=(3,))]
    >>> settled, doubts = settle_endings(row)
    >>> settled[2].ending, doubts
    ((2,), ((2, 'ending 3 is read as ending 2'),))
    """
    settled = list(bars)
    doubts: list[tuple[int, str]] = []
    for endings in endings_side_by_side(bars):
        for ending, numbers in zip(endings, _in_order(endings), strict=True):
            if numbers != ending.numbers:
                was, now = (", ".join(map(str, row)) for row in (ending.numbers, numbers))
                doubts.append((ending.first, f"ending {was} is read as ending {now}"))
            for index in range(ending.first, ending.stop):
                settled[index] = replace(settled[index], ending=numbers)
            last = settled[ending.stop - 1]
            if ending is not endings[-1] and not last.closes and not last.jump:
                settled[ending.stop - 1] = replace(last, closes=2)
    return tuple(settled), tuple(doubts)


def _in_order(endings: Sequence[Ending]) -> list[tuple[int, ...]]:
    """Return the passes of endings, without gaps and each once, near those named."""
    most = max(max(ending.numbers) for ending in endings)
    claimed: list[list[int]] = []
    taken: set[int] = set()
    for ending in endings:
        free = [n for n in ending.numbers if n not in taken]
        most += not free
        claimed.append(free or [most])
        taken |= set(claimed[-1])
    rank = {number: place for place, number in enumerate(sorted(taken), 1)}
    return [tuple(sorted(rank[number] for number in numbers)) for numbers in claimed]
