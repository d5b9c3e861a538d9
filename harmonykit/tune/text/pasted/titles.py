"""Titles that look like chords or like prose: "Kites (G)", "Kites / G / 4/4", "kites in g"."""

import re
from contextlib import suppress

from harmonykit.errors import HarmonyError, attempt
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import CHURCH_MODES, Key
from harmonykit.tune.text.pasted import heading
from harmonykit.tune.text.pasted.heading import MOST_OF_HEADING, SHORTEST, TONIC_ALONE

_TITLED = re.compile(
    r"[A-Z][^\W\d_]*(?:\s[\w'’]+){0,5}\s[(\[][A-G][#♯b♭]?(?: ?(?:m|min|minor|maj|major))?[)\]]\W*"
    r"(?:[\d/♩=]+(?:\s?bpm)?\W*)*"
)
# What stands between bar lines after a title that is no section of the tune.
_ON_A_CARD = re.compile(r"(?:key|tonart|in [A-G]).*|\d{1,2}/\d{1,2}|\d{2,3} ?bpm|♩.*", re.I)
# "Kites / G / 4/4", "Kites - G", "G - Kites": A or B before a name is a section's.
_IN_PARTS = re.compile(r"\s+[-–—/·•~]+\s+")
# "Kites/G/4/4": a title, a key, a metre and a tempo.
_CLOSE = re.compile(
    r"([^\W\d_][^/|]{2,60})/\s?([A-G][#♯b♭]?(?: ?(?:m|minor|major))?)\s?"
    r"(?:/\s?(\d{1,2}/\d{1,2}))?\s?(?:/\s?(\d{2,3}(?: ?bpm)?))?"
)
_AS_KEY = re.compile(r"(?:key\s*[:=]?\s*(?:of\s+)?|in\s+)?([A-G][#♯b♭]?m?)", re.I)
_SAYS_METRE = re.compile(
    r"\d{1,2}/\d{1,2}|(?:♩\s?=\s?)?\d{2,3}(?:\s?bpm)?|[a-z]+(?: [a-z]+)?", re.I
)
_SECTIONS = re.compile(r"(?:intro|verse|chorus|bridge|solo|outro|coda|tag|ending|part)\b.*", re.I)
_MODE = rf"(?:major|minor|maj|min|{'|'.join(CHURCH_MODES)})"
# "kites in g": what a line of a message begins with when it is no title.
_LOWER_IN_KEY = re.compile(
    r"(?P<title>[^\W\d_][\w'’]+(?: [\w'’]+){0,2})\s*[,-]?\s+in (?P<tonic>[a-g](?:[#♯♭]|b\b)?)"
    rf"(?= *(?:$|[,;(/-])| {_MODE}\b)(?P<mode> {_MODE}\b)?",
    re.I,
)
_NO_TITLES = frozenset(
    (
        *"play plays played playing sing sung it this that here hers his ours mine theirs".split(),
        *"song tune is are was same try all now still also again we you they i he she".split(),
        *"so it's it’s".split(),
        *"capo start starts end ends one version for to of with and".split(),
    )
)


def is_titled(text: str) -> bool:
    """Return whether what looks like chords is a title with its key: "Kites (G)", "Kites | 3/4".

    Examples
    --------
    >>> [is_titled(text) for text in ("Kites (G)", "Kites | Key G | 3/4", "The (G) kite")]
    [True, True, False]
    """
    if len(text) > MOST_OF_HEADING:
        return False
    name, *rest = (part.strip() for part in text.split("|"))
    card = name[:1].isupper() and len(name) > SHORTEST and any(map(_ON_A_CARD.fullmatch, rest))
    return card or _TITLED.fullmatch(text.strip()) is not None or _is_in_parts(text)


def is_heading(text: str) -> bool:
    """Return whether what stands before a row is a title with its key, and no bar.

    Examples
    --------
    >>> [is_heading(text) for text in ("C - Kites", "Kites in C", "F C7", "Verse", "Kites")]
    [True, True, False, False, False]
    >>> is_heading("Kites, A minor, 3/4"), is_heading("A minor")
    (True, False)
    """
    text = text.rstrip(" :")
    if len(text) > MOST_OF_HEADING or not text[:1].isalpha():
        return False
    if _SECTIONS.fullmatch(text):
        return False
    said = any(heading.says_key(text[s:e], first=s == 0) for s, e in heading.parts_of(text))
    return said or in_lower_case(text) is not None or is_titled(text)


def _is_in_parts(text: str) -> bool:
    """Return whether a line is a title, a key and no more than metre and tempo, parted by signs."""
    parts = [part.strip() for part in _IN_PARTS.split(text.strip())]
    keys = [place for place, part in enumerate(parts) if _is_key(part)]
    if "|" in text or not 2 <= len(parts) <= 4 or len(keys) != 1:
        return False
    (place,) = keys
    title = parts[1 if place == 0 else 0]
    rest = [part for part in parts if part not in (title, parts[place])]
    named = title[:1].isupper() and len(title) > SHORTEST and not _SECTIONS.fullmatch(title)
    letters = re.search(r"[^\W\d_]{4}", title) is not None and not _is_chord(title)
    return named and letters and all(map(_SAYS_METRE.fullmatch, rest))


def _is_key(part: str) -> bool:
    found = _AS_KEY.fullmatch(part)
    return found is not None and TONIC_ALONE.fullmatch(found[1]) is not None


def _is_chord(text: str) -> bool:
    return attempt(Chord.parse, text) is not None


def parted(text: str) -> str:
    """Return a heading with blanks around the signs that part it, where it has none.

    Examples
    --------
    >>> parted("Kites/G/4/4"), parted("Kites/Bb/3/4/96 bpm"), parted("Kites and/or Gulls")
    ('Kites / G / 4/4', 'Kites / Bb / 3/4 / 96 bpm', 'Kites and/or Gulls')
    """
    found = _CLOSE.fullmatch(text.strip()) if len(text) <= MOST_OF_HEADING else None
    return text if found is None else " / ".join(filter(None, map(str.strip, found.groups(""))))


def leads_with_key(part: str) -> bool:
    """Return whether a letter before a title is a key: A and B name sections.

    Examples
    --------
    >>> leads_with_key("G"), leads_with_key("B"), leads_with_key("Bb"), leads_with_key("Go")
    (True, False, True, False)
    """
    return TONIC_ALONE.fullmatch(part.strip()) is not None and part.strip() not in ("A", "B")


def in_lower_case(line: str) -> tuple[str, Key] | None:
    """Return the title and key of a heading that is all in small letters, as people type on phones.

    Examples
    --------
    >>> in_lower_case("kites in g"), in_lower_case("kites in g minor")[1]
    (('kites', Key.parse('G major')), Key.parse('G minor'))
    >>> in_lower_case("play it in g"), in_lower_case("kites in a box")
    (None, None)
    """
    found = _LOWER_IN_KEY.match(line.strip())
    if found is None or found["tonic"][0].isupper() and found["title"][0].isupper():
        return None
    if any(word in _NO_TITLES for word in found["title"].lower().split()):
        return None
    with suppress(HarmonyError):
        tonic = found["tonic"][0].upper() + found["tonic"][1:]
        return found["title"], heading.as_key(f"{tonic} {(found['mode'] or '').strip()}")
    return None
