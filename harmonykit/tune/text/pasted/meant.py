"""How the chords of a message are meant: in which names they are written, and above which capo."""

import re

from harmonykit.tune.text.pasted.heading import parts_of

_GERMAN_SAID = re.compile(
    r"\b(?:german|deutsch\w*)\s(?:chord\s|note\s)?(?:nam\w+|notation|bezeichnung\w*|schreibweise"
    r"|akkord\w*|noten\w*)|\bH\s?=\s?B\b|\bB\s?=\s?(?:Bb|B♭)",
    re.I,
)
_LETTERS_SAID = re.compile(r"\benglish\s(?:chord\s|note\s)?(?:nam\w+|notation)", re.I)
_GERMAN_KEY = re.compile(r"\b[BHh][ -]?(?:[Dd]ur|[Mm]oll)\b")
_FLAT_BY_LETTERS = re.compile(r"\b[BE][b♭](?![a-z])")
# A number of a capo stands beside it, or beside "fret": ``capo, I think`` and ``x Jo`` have none.
_CAPO = re.compile(
    r"(?i)(?<!\bno )(?<!\bohne )(?<!\bsin )\b(?:[ck]apo|[ck]apodaster|cejilla)\b(?:"
    r"(?:[\s:=(–-]|(?:on|at|in|the|to|im|am|auf|en|el|fret|bund|traste)\b)*"
    r"(?:(\d{1,2})(?!\d|\s?(?:bpm|/))|([IVX]{1,4})(?=\W*$|[,.;)]|\s?(?:fret|bund|traste)))"
    r"|[^\d\n|]{0,16}?(\d{1,2})(?:st|nd|rd|th|\.)?(?=\s?(?:fret|bund|traste)))"
    r"(?:st|nd|rd|th|\.)?(?:\s?(?:fret|bund|traste))?|\b(\d{1,2})(?:st|nd|rd|th)? fret capo\b"
)
_ROMAN = {name: n for n, name in enumerate("I II III IV V VI VII VIII IX X".split(), 1)}
_MOST_CAPO = 12


def naming_in(line: str) -> re.Match[str] | None:
    """Return where a part of a heading says what chords are called, and nothing else.

    Examples
    --------
    >>> naming_in("Kites - English names - in G")[0], naming_in("the English names, please")
    ('English names', None)
    """
    for start, end in parts_of(line):
        part = start, start + len(line[start:end].rstrip())
        for said in (_GERMAN_SAID, _LETTERS_SAID):
            if found := said.fullmatch(line, *part):
                return found
    return None


def said_naming(text: str) -> str:
    """Return in which names a message says that its chords are; nothing where it says none.

    Examples
    --------
    >>> said_naming("Drachen, in B-Dur"), said_naming("Kites, in Bb")
    ('german', '')
    >>> said_naming("Kites, English names")
    'letters'
    """
    if _LETTERS_SAID.search(text):
        return "letters"
    is_german = _GERMAN_SAID.search(text) or (
        _GERMAN_KEY.search(text) and not _FLAT_BY_LETTERS.search(text)
    )
    return "german" if is_german else ""


def capo_in(line: str) -> tuple[int, re.Match[str]] | None:
    """Return the fret of a capo that a line names, and where it names it.

    Examples
    --------
    >>> capo_in("capo on the 3rd fret")[0], capo_in("no capo")
    (3, None)
    """
    if (found := _CAPO.search(line)) is None:
        return None
    given = next(each for each in found.groups() if each).upper()
    fret = int(given) if given.isdecimal() else _ROMAN.get(given, 0)
    return (fret, found) if 0 < fret <= _MOST_CAPO else None
