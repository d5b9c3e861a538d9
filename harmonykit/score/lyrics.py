"""The words of a MusicXML score: each ``<lyric>`` as plain data.

By MusicXML 4.0, ``lyric``: verses are told apart by ``number``; ``<syllabic>`` says where in its
word a syllable stands; ``<elision>`` joins what shares a note; ``<extend>`` draws a line as far as
the syllable is held.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from xml.etree.ElementTree import Element

from harmonykit.score.harmony import Json
from harmonykit.tune.words import place_of


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
