"""The form that a message gives, by letters or names, and the sections that it means."""

import re
from collections.abc import Collection, Iterator, Sequence

from harmonykit.tune.form import Section
from harmonykit.tune.text.pasted.heading import MOST_OF_HEADING, Span
from harmonykit.tune.text.pasted.lines import KNOWN, PART

_LABEL = re.compile(
    r"(?:^\W*|[-–—,;.(|/·•]\s*)(?P<label>(?:song )?form|(?:running )?order|structure|play(?:ed)?"
    r"|arrangement|ablauf|aufbau|reihenfolge|forme|forma|estructura|struttura)\b"
    r"(?:\s+(?:it|is|goes))?\s*(?:[:=–—-]+\s*)?",
    re.I,
)
# What stands between the names of a form, and how often each is played.
_JOIN = re.compile(r"(?:[\s,;|/+>→⇒–—-]|\b(?:then|and|und|dann|danach|et|puis|luego|poi)\b)*", re.I)
_TIMES = re.compile(r"\s*\(?\s*(?:[x×]\s?(\d{1,2})|(\d{1,2})\s?[x×]|twice)(?![^\W_])\s*\)?", re.I)
_BEFORE = re.compile(r"(\d{1,2})\s?[x×]\s*", re.I)
_LETTER = re.compile(r"[A-Z]\d?['’]?")
_LETTERS = re.compile(r"(?:(?:[A-Z]\d?['’]?){2,}|(?:[a-e]\d?['’]?){2,})(?![^\W_])")
_NAME = (
    rf"(?:(?:{KNOWN})(?:\s*\d{{1,2}}(?!\s?[x×]))?|{PART}\s*[A-Z\d]\d?'?|[A-Z]'?\s*-?\s*{PART}"
    rf"|\d\.?\s*{PART}|[A-Z]\d?['’]{{0,2}})(?![^\W_])"
)
# A form ends before another part of a heading, or where the line does.
_ENDS = re.compile(r"\s*(?:$|[,;.()\]|–—-]|\d)")
_PARTS = re.compile(r"^(?:part|section|teil)\b\W*|\W*\b(?:part|section|teil)$")


def order_in(text: str, known: Collection[str] = ()) -> tuple[tuple[str, ...], Span] | None:
    """Return the sections that a line puts in order, and where; None where it says anything else.

    Parameters
    ----------
    known : collection of str
        Names of sections of the message, whatever they are.

    Examples
    --------
    >>> order_in("Form: Intro A B A Tag")
    (('Intro', 'A', 'B', 'A', 'Tag'), (0, 21))
    >>> order_in("Kites - in G - form: AAB x2, Kazoo", ["Kazoo"])[0]
    ('A', 'A', 'B', 'A', 'A', 'B', 'Kazoo')
    >>> order_in("Order: two cakes"), order_in("play A, D7 and then rest")
    (None, None)
    """
    if len(text) > MOST_OF_HEADING:
        return None
    own = sorted(filter(None, known), key=len, reverse=True)
    name = re.compile("|".join((*map(re.escape, own), _NAME)), re.I)
    for label in _LABEL.finditer(text):
        order, end = _order_at(text, label.end(), name)
        whole = {each.casefold() for each in known}
        if label["label"].lower().startswith("play") and "".join(order).isupper():
            order *= all(each.casefold() in whole for each in order)  # else chords may be played
        if len(order) > 1:
            return tuple(order), (label.start("label"), end)
    return None


def _order_at(text: str, start: int, name: re.Pattern[str]) -> tuple[list[str], int]:
    """Return the names from a place on, and where they end."""
    found: list[str] = []
    ends: tuple[list[str], int] = ([], start)
    place = start
    for names, times, opened, place in _pieces(text, start, name):
        group = found[opened:] if opened is not None else []
        found += group * (times - 1) if opened is not None else names * times
        if _ENDS.match(text, place):
            ends = [*found], place
    return ends


def _pieces(
    text: str, place: int, name: re.Pattern[str]
) -> Iterator[tuple[list[str], int, int | None, int]]:
    """Yield names with how often each is played; at a closed bracket, from which name it is."""
    opened: list[int] = []
    count = 0
    while place < len(text):
        place = _skipped(text, place)
        sign = text[place : place + 1]
        if sign in tuple("(["):
            opened.append(count)
            place += 1
            continue
        if sign in tuple(")]") and opened:
            times, place = _times_at(text, place + 1)
            start = opened.pop()
            count += (count - start) * (times - 1)
            yield [], times, start, place
            continue
        before = _BEFORE.match(text, place)
        at = before.end() if before else place
        letters, named = _LETTERS.match(text, at), name.match(text, at)
        if letters:
            names, place = _LETTER.findall(letters[0].upper()), letters.end()
        elif named:
            names, place = [named[0]], named.end()
        else:
            return
        times, place = (int(before[1]), place) if before else _times_at(text, place)
        count += len(names) * times
        yield names, times, None, place


def _skipped(text: str, place: int) -> int:
    found = _JOIN.match(text, place)
    return found.end() if found else place


def _times_at(text: str, place: int) -> tuple[int, int]:
    """Return how often what stands before a place is played, and where that is said to its end."""
    found = _TIMES.match(text, place)
    return (int(found[1] or found[2] or 2), found.end()) if found else (1, place)


def order_meant(given: Sequence[str], sections: Sequence[Section]) -> tuple[tuple[str, ...], str]:
    """Return the names of the sections in the order given, and what is given but no section.

    ``A`` is the section ``A part``, too.

    Examples
    --------
    >>> from harmonykit.tune.bar import Bar
    >>> bar = Bar.of((4, 4), [])
    >>> sections = [Section("A part", (bar,)), Section("part B", (bar,))]
    >>> order_meant("ABA", sections), order_meant("ABC", sections)
    ((('A part', 'part B', 'A part'), ''), ((), 'C'))
    """
    whole = {section.name.casefold(): section.name for section in sections}
    own = {_PARTS.sub("", name): found for name, found in whole.items()} | whole
    missing = next((name for name in given if not own.get(name.casefold())), "")
    if missing or not given:
        return (), missing
    return tuple(own[name.casefold()] for name in given), ""
