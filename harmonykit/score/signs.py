"""What hangs on notes of a foreign score, as plain data: chord symbols, words, segno and jumps.

A score may say one jump three times over: as words, as a glyph, and as an attribute of ``<sound>``
(MusicXML 4.0, ``sound``).  A coda glyph stands both where the player leaves and where he arrives;
where nothing tells them apart the first is the leaving.

By MusicXML 4.0, ``lyric``: verses are told apart by ``number``; ``<syllabic>`` says where in its
word a syllable stands; ``<elision>`` joins what shares a note; ``<extend>`` draws a line as far as
the syllable is held.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any
from xml.etree.ElementTree import Element

from harmonykit.tune import form, order
from harmonykit.tune.bar import JUMPS, SIGNS, Bar
from harmonykit.tune.text.barlines import sign_of
from harmonykit.tune.words import place_of

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
    while fault := form.signs_fault(settled):
        doubts.append(f"{fault[1]}: it is ignored")
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
    for endings in order.endings_side_by_side(bars):
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


def end_at_parts(bars: Sequence[Bar], begins: Collection[int]) -> tuple[Bar, ...]:
    """Return bars whose last endings end where a part begins, though no bar line says so.

    Parameters
    ----------
    bars : sequence of Bar
    begins : collection of int
        The indices of the bars over which a part's mark stands.

    Examples
    --------
    >>> plain = Bar.of((4, 4), [])
    >>> last = replace(plain, ending=(2,))
    >>> [bar.ending for bar in end_at_parts([plain, last, last, last], [2])]
    [(), (2,), (), ()]
    """
    ended = list(bars)
    for index in sorted(begins):
        passes = ended[index].ending
        if not index or not passes or ended[index - 1].ending != passes:
            continue
        others = (n for n in range(index, len(ended)) if ended[n].ending != passes)
        stop = next(others, len(ended))
        if not any(bar.closes or bar.jump for bar in ended[index - 1 : stop]):
            ended[index:stop] = [replace(bar, ending=()) for bar in ended[index:stop]]
    return tuple(ended)


def _in_order(endings: Sequence[order.Ending]) -> list[tuple[int, ...]]:
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


Json = dict[str, Any]

_ALTERS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_SILENCE = re.compile(r"\s*N\.?\s?C\.?\s*")


def text_of(element: Element, path: str) -> str:
    """Return the text of a child, or nothing."""
    return (element.findtext(path) or "").strip()


def int_of(text: str, default: int = 0) -> int:
    """Return a number's whole part, or the default where there is no number."""
    try:
        return round(float(text))
    except (ValueError, OverflowError):
        return default


def says_silence(element: Element) -> bool:
    """Return whether a direction's words say N.C., as scores without a ``none`` kind write it."""
    words = element.findall("direction-type/words") if element.tag == "direction" else []
    return any(_SILENCE.fullmatch(word.text or "") for word in words)


def harmony_of(element: Element) -> Json:
    """Return what a ``<harmony>``, or a direction that says N.C., says of its chord."""
    kind = element.find("kind")
    spelled = element.find("degree") is not None
    none = kind is not None and (kind.text or "").strip() == "none"
    if element.tag == "direction" or (none and not spelled):
        return {"silence": True}
    if element.find("root/root-step") is None or kind is None:
        return {"unread": "a chord by function or numeral, without a root"}
    return {
        "root": _step(element, "root"),
        # Without a kind its degrees spell a chord out.
        "kind": "other" if none else (kind.text or "").strip(),
        "text": kind.get("text", ""),
        "degrees": [
            [
                text_of(d, "degree-type"),
                int_of(text_of(d, "degree-value")),
                int_of(text_of(d, "degree-alter")),
            ]
            for d in element.iterfind("degree")
        ],
        "bass": _step(element, "bass") if element.find("bass/bass-step") is not None else "",
        "inversion": int_of(text_of(element, "inversion")),
        **({"alternate": True} if element.get("type") == "alternate" else {}),
    }


def _step(element: Element, name: str) -> str:
    alter = int_of(text_of(element, f"{name}/{name}-alter"))
    return text_of(element, f"{name}/{name}-step") + _ALTERS.get(alter, "?")


def lyric_of(element: Element) -> Json:
    """Return the text, place and verse of a ``<lyric>``, and what it says of an extension.

    Examples
    --------
    >>> from xml.etree.ElementTree import fromstring
    >>> given = "<lyric number='2'><syllabic>begin</syllabic><text>sea</text><extend/></lyric>"
    >>> lyric_of(fromstring(given))
    {'text': 'sea', 'place': 'begin', 'verse': 2, 'extend': 'start'}
    """
    texts: list[str] = []
    places: list[str] = []
    for child in element:
        if child.tag == "text":
            texts.append(child.text or "")
        elif child.tag == "elision":
            texts.append((child.text or "").strip() or " ")
        elif child.tag == "syllabic":
            places.append((child.text or "").strip())
    opened = bool(places) and places[0] in ("middle", "end")
    goes_on = bool(places) and places[-1] in ("begin", "middle")
    extend = element.find("extend")
    return {
        "text": "".join(texts),
        "place": place_of(opened=opened, goes_on=goes_on),
        "verse": _verse(element),
        "extend": "" if extend is None else extend.get("type", "start"),
    }


def _verse(element: Element) -> int:
    """Return the number of a verse; of ``"part1verse2"`` the last figure counts."""
    said = element.get("number", "") or element.get("name", "")
    numbers = re.findall(r"\d{1,4}", said)
    return max(int(numbers[-1]), 1) if numbers else 1


def put_words(bars: Sequence[Json]) -> None:
    """Give each note its words; those over which a syllable is held say so.

    A syllable is held as far as its extension, and one whose word goes on as far as the next
    syllable; a rest ends the first, and not the second.
    """
    held: dict[int, str] = {}
    reached = Fraction(0)
    for bar in bars:
        for note in bar.get("notes", ()):
            if Fraction(note["at"]) != reached:
                held = {verse: how for verse, how in held.items() if how == "word"}
            reached = Fraction(note["at"]) + Fraction(note["beats"])
            note["words"] = list(_words(note.pop("lyrics", ()), held))
        reached -= Fraction(bar["length"])


def _words(lyrics: Sequence[Json], held: dict[int, str]) -> Iterator[tuple[str, str, int]]:
    named = {lyric["verse"] for lyric in lyrics}
    yield from (("", "held", verse) for verse in sorted(held.keys() - named))
    for lyric in lyrics:
        text, place, verse, extend = (lyric[key] for key in ("text", "place", "verse", "extend"))
        going = extend in ("start", "continue")
        held.pop(verse, None)
        if going or place in ("begin", "middle"):
            held[verse] = "line" if place not in ("begin", "middle") else "word"
        if text.strip():
            yield text, place, verse
        elif extend:
            yield "", "held", verse


def words_left(lines: Iterable[Sequence[Json]]) -> str:
    """Return the words of notes to which ``put_words`` gave none: another voice's or part's."""
    lyrics = (lyric for notes in lines for note in notes for lyric in note.get("lyrics", ()))
    return " ".join(text for lyric in lyrics if (text := lyric["text"].strip()))
