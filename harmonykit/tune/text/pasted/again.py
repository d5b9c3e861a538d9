"""What a message says stands again: "Verse 2: same chords", "Solo as verse", "repeat chorus".

A section without bars of its own has those of the section that it names; else those of an earlier
one of its kind, as the second verse has those of the first; else, where it is said to be the same,
those before it.
"""

import re
from collections.abc import Iterable, Iterator

from harmonykit.tune.text.pasted.heading import MOST_OF_HEADING
from harmonykit.tune.text.pasted.lines import EDGES, NAME, Line, sort_line, times_of
from harmonykit.tune.text.pasted.plain import Naming
from harmonykit.values import dataclass, replace

_ORDINALS = {
    name: n
    for n, names in enumerate(
        ("first 1st", "second 2nd", "third 3rd", "fourth 4th", "fifth 5th", "sixth 6th"), 1
    )
    for name in names.split()
}
_ORDINAL = rf"(?:{'|'.join(_ORDINALS)}|\d\.|last|final|next|previous|other)"
_REF = (
    rf"(?:the\s+)?(?:(?:{_ORDINAL}\s+)?(?:{NAME.pattern})(?![^\W_])"
    r"|above|before|first|last time|oben|vorher|zuvor|sopra|prima|avant|arriba|antes)"
)
_WHAT = (
    r"(?:(?:chord\s+)?(?:chords?|changes|progression|harmony|bars|music|pattern)"
    r"|akkorde|accords|acordes|accordi)"
)
_SAME = (
    rf"(?:(?:(?:with|to|over|play|use|repeat|uses)\s+)?(?:the\s+|all\s+)?(?:exact(?:ly)?\s+)?"
    rf"(?:same|gleichen?|m[êe]mes|mismos|stess[ie])(?:\s+(?:{_WHAT}|thing|again|one))*"
    rf"(?:\s+(?:as|like|wie|que|come)\s+(?:(?:in|for|on|der|die)\s+)?(?P<like>{_REF}))?"
    rf"|{_WHAT}\s+(?:(?:the\s+)?same\s+)?(?:as|like|of|from|wie)\s+(?:in\s+)?(?P<chords>{_REF})"
    rf"|(?:just\s+)?(?:as|like|over|uses?|wie|comme|come|como|igual que)\s+"
    rf"(?:in\s+)?(?P<as>{_REF})(?:\s+{_WHAT})?"
    rf"|(?P<of>{_REF})\s+{_WHAT}(?:\s+again)?"
    rf"|repeat(?:s|ed)?(?:\s+(?:{_WHAT}\s+)?(?:(?:of|from)\s+)?(?P<repeat>{_REF}))?"
    rf"(?:\s+{_WHAT})?|(?:ditto|dito|idem)(?:\s+(?P<ditto>{_REF}))?|same\s+again|once more)"
)
_BETWEEN = r"(?:[\s:;,.(\[\]…–-]+(?:(?:is|has|have|with|=)\s+)?)"
_SAID = re.compile(
    rf"(?:(?P<name>(?:{_ORDINAL}\s+)?(?:{NAME.pattern})){_BETWEEN})?{_SAME}"
    rf"(?:\s+(?:for|in|on)\s+(?P<to>{_REF}))?",
    re.I,
)
_LOOSE = EDGES + "…,;!–—"
_NUMBERED = re.compile(r"(.*[^\W\d_])\s*(\d{1,2})")
_ARTICLE = re.compile(r"the\s+", re.I)
_PART = re.compile(r"^(?:part|section|teil|partie|parte)\b\W*|\W*\b(?:part|section|teil)$")
_ORDERS = re.compile(
    r"\b(?:repeat|again|twice|x\s?\d|\dx|verses?|chorus(?:es)?|bridge|refrain|intro|outro|coda|tag"
    r"|ending|D\.? ?[CS]\.?|noch ?mal|wiederholen|zweimal|strophe|kehrreim|schluss)(?![^\W_])",
    re.I,
)
_TOLD = re.compile(rf"[(\[…]|\.\.|\b(?:{_WHAT}|ditto|{NAME.pattern})\b", re.I)
# A longer line is no such thing.
_MOST_WORDS = 12


@dataclass(frozen=True, slots=True)
class Again:
    """What a line says stands again.

    Parameters
    ----------
    name : str
        The section that begins; empty where the line does not say.
    like : str
        The section whose bars it has; empty where the line does not say.
    times : int
        How often.
    """

    name: str = ""
    like: str = ""
    times: int = 1


def said_again(text: str) -> Again | None:
    """Return what a line says stands again; None where it says anything else.

    Examples
    --------
    >>> said_again("Verse 2: ...same chords")
    Again(name='Verse 2', like='', times=1)
    >>> said_again("(repeat chorus x2)"), said_again("the same old tide")
    (Again(name='', like='chorus', times=2), None)
    """
    if len(text) > MOST_OF_HEADING or len(text.split()) > _MOST_WORDS:
        return None
    times, rest = times_of(text.strip(_LOOSE))
    found = _SAID.fullmatch(" ".join(rest.strip(_LOOSE).replace(")", " ").split()))
    if found is None:
        return None
    groups = ("like", "chords", "as", "of", "repeat", "ditto")
    like = next((found[group] for group in groups if found[group]), "")
    like = _ARTICLE.sub("", like)
    if not NAME.fullmatch(like) and not re.match(rf"{_ORDINAL}\s", like, re.I):
        like = ""
    return Again(_ARTICLE.sub("", found["name"] or found["to"] or ""), like, times)


def says_order(text: str) -> bool:
    """Return whether a line may say what is played when.

    Examples
    --------
    >>> says_order("then bridge, and end on D"), says_order("see you on Thursday")
    (True, False)
    """
    return _ORDERS.search(text) is not None


def kind_of(name: str) -> tuple[str, int]:
    """Return what kind of section a name is, and its number; 0 where it has none.

    Examples
    --------
    >>> kind_of("Verse 2"), kind_of("the 2nd verse"), kind_of("part A")
    (('verse', 2), ('verse', 2), ('a', 0))
    """
    plain = _ARTICLE.sub("", name.casefold())
    before, _, rest = plain.partition(" ")
    if rest and (
        number := _ORDINALS.get(before, 0) or int(before[:-1].isdecimal() and before[:-1])
    ):
        return rest, number
    if rest and re.fullmatch(_ORDINAL, before):
        return rest, 0
    found = _NUMBERED.fullmatch(plain)
    return (found[1], int(found[2])) if found else (_PART.sub("", plain), 0)


def parted(text: str, naming: Naming) -> tuple[str, str]:
    """Return a line of chords and what it says of others behind them, as "same chords".

    Examples
    --------
    >>> parted("F  C7 ...same chords", Naming()), parted("Verse 2: same chords", Naming())
    (('F  C7 ', '...same chords'), ('Verse 2: same chords', ''))
    """
    words = [*re.finditer(r"\S+", text)] if len(text) < MOST_OF_HEADING else []
    for found in words[1:][-_MOST_WORDS:]:
        chords, more = text[: found.start()], text[found.start() :]
        said = said_again(more)
        if said and not said.name:
            if sort_line(chords, 0, naming).kind in ("row", "chords"):
                return chords, more.strip()
            break
    return text, ""


def sort_again(lines: Iterable[Line]) -> Iterator[Line]:
    """Yield lines; those that say what stands again are of the kind ``"again"``.

    Directly below chords "once more" is sung, and "same chords" is not.
    """
    before = Line("", "", 0)
    for line in lines:
        below = before.kind == "chords" and before.at + len(before.text) + 1 == line.at
        sung = below and not _TOLD.search(line.text)
        said = line.kind in ("words", "name") and not sung and said_again(line.text)
        before = replace(line, kind="again") if said else line
        yield before


def in_runs(lines: Iterable[Line]) -> Iterator[list[Line]]:
    """Yield the lines, those of words that stand directly below one another together."""
    run: list[Line] = []
    for line in lines:
        follows = run and line.kind == "words" and run[-1].at + len(run[-1].text) + 1 == line.at
        if run and not follows:
            yield run
            run = []
        run.append(line)
        if line.kind != "words":
            yield run
            run = []
    if run:
        yield run
