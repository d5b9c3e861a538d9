"""The parts of a heading: "Kites - in G, 96 bpm" has a title, a key and a tempo, in any order.

Parts are divided by dashes between blanks, commas, brackets and wide gaps.  A part says something
of the tune, or is a piece of its title.
"""

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from fractions import Fraction
from itertools import dropwhile

from harmonykit.errors import HarmonyError
from harmonykit.theory.key import CHURCH_MODES, Key, modal_key
from harmonykit.tune.bar import FASTEST, Meter, beat_length

Span = tuple[int, int]
# A longer line is no heading.
MOST_OF_HEADING = 400

_TONIC = r"(?P<{name}>{letters}(?:[#♯b♭]|[ -]?(?:flat|sharp)\b)?)"
_MODE = (
    r"(?:[ -]*(?P<{name}>(?i:major|minor|maj|min|dur|moll|m|"
    + "|".join(CHURCH_MODES)
    + r"))\b(?:[ -](?i:mode|modus|modo)\b)?)?(?![A-Za-z])"
)
_KEY_WORD = r"\b(?:key|tonart|tonalit[éày]\w*|tonalidad|tono)\b"
KEY_LABEL = re.compile(r"\W*" + _KEY_WORD + r"\s*[:=]\s*", re.I)
SAID_KEY = re.compile(
    _KEY_WORD + r"\s*[:=]\s*([^\s,;|][^,;|]*?)(?=$|[,;|]|\s+-\s|\s{2,}|\s+\w+\s*[:=])", re.I
)
NAMED_KEY = re.compile(
    _KEY_WORD
    + r"(?:\s+(?:of|is))?\s*[:=]?\s*"
    + _TONIC.format(name="tonic", letters="[A-G]")
    + _MODE.format(name="mode"),
    re.I,
)
# "in D I think", and how the rest of its clause goes.
_HEDGE = (
    r"\s+(?:(?:I|we) (?:think|guess|believe|reckon|suppose)|maybe|probably|perhaps|mostly"
    r"|please|glaube ich|wohl)\b"
)
_HEDGED = re.compile(_HEDGE)
# "in B flat" is a key where a capital says so, at the end of a short line.
_IN_KEY = re.compile(
    r"\b(?:[iI]n|IN) "
    + _TONIC.format(name="tonic", letters="[A-H]")
    + _MODE.format(name="mode")
    + r"(?=\s*(?:$|[,.:;)(!—/-])|\s+(?:at|about|around|and|with|by|but)\b|\s+\d"
    rf"|{_HEDGE})"
)
_IN_SENTENCE = re.compile(r"\b(?:it.?s|is|plays?|played|sing|sung)\s(?=[iI]n [A-G])")
# "for Thursday! In D, 3/4": a clause of its own, in a line of any length.
_KEY_ALONE = re.compile(r"[.!?,;:(–—]\s*(?=[iI]n [A-G])")
_KEY_ENDS = re.compile(rf"(?:{_HEDGE})?\s*(?:$|[,.:;)!?—–])")
# "it's in D I think": said of the tune, so that words may follow; "it is in A box" has an article.
_NO_ARTICLE = r"(?:[B-G]|A(?= (?:I|we|for|but|so|or|maybe|please|mostly|now|then|though|this)\b))"
_IS_IN_KEY = re.compile(
    r"\b(?:[Ii]t.?s|[Tt]his is|[Ii]t is|tune is|song is|one is"
    r"|(?:I|[Ww]e|[Tt]hey|[Ss]?[Hh]e) (?:play|sing|do|have)s? (?:it|this|that))"
    r"\s(?:all |still |just )?[iI]n "
    + _TONIC.format(name="tonic", letters=_NO_ARTICLE)
    + _MODE.format(name="mode")
    + r"(?![^\W\d_])"
)
_DIVIDERS = re.compile(
    r"(?:\s+[-—/·•~]+(?=\s|$))+\s*|\s*[—,;·•()\[\]|]\s*|\s{3,}|\s*:\s+"
    r"|(?<=[^\W\d_]{3})\.\s+"
)
TONIC_ALONE = re.compile(r"[A-G][#♯b♭]?m?")
BEFORE_KEY = re.compile(r"(?:in|in the key of|key of|key|tonart)\s+", re.I)
_ENDS_IN_KEY = re.compile(
    r"(?<!\S)[A-G][#♯b♭]?(?:[ -](?:flat|sharp))?[ -](?:major|minor|dur|moll|"
    rf"{'|'.join(CHURCH_MODES)})$",
    re.I,
)
_MOST_KEY_WORDS = 4
# A title has so many letters at least.
SHORTEST = 3
_NUMBER = re.compile(r"(?:(?:at|about|around|roughly|circa|ca\.?|=)\s?)?(\d{2,3})")
_NUMBER_AFTER = re.compile(r"\b(?:at|about|around|roughly|circa|ca\.?)\s(\d{2,3})")
DANCES: dict[str, tuple[int, int]] = {
    "waltz": (3, 4), "walzer": (3, 4), "valse": (3, 4), "vals": (3, 4), "valzer": (3, 4),
    "in three": (3, 4), "in 3": (3, 4), "three-four": (3, 4), "cut time": (2, 2),
    "alla breve": (2, 2), "jig": (6, 8), "common time": (4, 4), "in four": (4, 4),
    "in 4": (4, 4), "six-eight": (6, 8),
}  # fmt: skip
# The note of a beat, as it is called before a tempo.
BEAT = (
    r"\b(?:dotted\s)?(?:quarter|crotchet|half|minim|viertel|halbe)"
    r"(?:[\s-]?notes?|n)?"
)
DANCE = re.compile(rf"\b({'|'.join(DANCES)})\b", re.I)
# What adds nothing to a title once the rest of its part is taken.
_LINKS = frozenset(
    (
        *"a an the in of key keys time metre meter signature tempo bpm at and its it's".split(),
        *"about around roughly circa ca tonart takt beats clicks per minute".split(),
    )
)
_FEELS = frozenset(
    (
        *"slow slowly fast quick quickly medium lively gentle gently easy very tempo feel".split(),
        *"swing swung shuffle straight ballad waltz walzer valse jig march bossa".split(),
        *"moderato andante adagio allegro largo langsam schnell".split(),
    )
)
_WORDS = re.compile(r"[^\W\d_][\w'’]*|\d+")
_MOST_TITLE_WORDS = 6
_PICTURE = re.compile(
    r"\s*[\w.() -]+\.(?:jpe?g|png|heic|gif|webp|pdf|docx?|odt|rtf|txt|m4a|mp3|mov|mp4)\b[\s:—-]*",
    re.I,
)
_LETTER_HEAD = re.compile(
    r"\s*(?:from|to|cc|bcc|date|sent|von|an|gesendet|datum|de|para|da|enviado|fecha|data)\s*:\s",
    re.I,
)
_FORWARDED = re.compile(r"-{2,}[^-]*message[^-]*-{2,}", re.I)
_SUBJECT = re.compile(
    r"\s*(?:(?:subject|betreff|objet|asunto|oggetto)\s*:\s*(?:(?:re|fwd?|aw|wg|tr|rv|i)\s*:\s*)*"
    r"|(?:(?:re|fwd?|aw|wg)\s*:\s*)+)",
    re.I,
)
_GREETING = re.compile(
    r"\W*(?:hi|hiya|hello|hullo|hey|heya|howdy|good (?:morning|afternoon|evening)|dear|hallo"
    r"|liebe[rs]?|hola|salut|bonjour|ciao|thanks?|cheers|regards|love|best|yours|sent from"
    r"|see you)\b",
    re.I,
)
_COMPOSER = re.compile(
    r"(?:(?i:words|music|lyrics|written|composed)(?: (?:and|&) (?:words|music|lyrics))?\s(?:by\s)?"
    r"|[Bb]y\s|[Cc]omposer\s*:\s*)(?!\w+days?\b)([A-Z]\S*(?:\s\S+){0,5})"
)
# "Kites by Ann Bell": two names or more; what is by a lake or a river is no person.
_TITLE_BY = re.compile(
    r"(?<=\w) +by (?!\w+days?\b|(?:Loch|Lough|Lake|River|Mount|Port|Old|Saint|St)\b)"
    r"([A-Z][\w.'’-]*(?: (?:and |& )?[A-Z][\w.'’-]*){1,4})\s*$"
)
COMPOSER_LABEL = re.compile(
    r"\b(?i:words|music|composer)(?: (?:and|&) (?i:words|music))?\s?:\s*([A-Z][^,;|]*?)(?=\s{2,}|$)"
)


def parts_of(line: str) -> Iterator[Span]:
    """Yield start and end of each part of a heading.

    Examples
    --------
    >>> line = "Kites - in G (waltz, 96)"
    >>> [line[start:end] for start, end in parts_of(line)]
    ['Kites', 'in G', 'waltz', '96']
    """
    start = 0
    for found in _DIVIDERS.finditer(line):
        if line[start : found.start()].strip():
            yield start, found.start()
        start = found.end()
    if line[start:].strip():
        yield start, len(line)


def key_of(part: str, *, small: bool = False) -> tuple[Key, bool] | None:
    """Return the key that a part is, and whether it is said to be one by more than its letter.

    ``small`` takes a small letter alone, which beside a metre is a key.

    Examples
    --------
    >>> [key_of(part) for part in ("in Es-Dur", "G", "Gulls")]
    [(Key.parse('Eb major'), True), (Key.parse('G major'), False), None]
    """
    before = BEFORE_KEY.match(part)
    bare = (part[before.end() :] if before else part).strip(" :")
    if not bare or len(bare.split()) > _MOST_KEY_WORDS:
        return None
    with suppress(HarmonyError):
        key = as_key(bare)
        if small or bare[0].isupper() or len(bare) > 2:
            return key, before is not None or not TONIC_ALONE.fullmatch(bare)
    return None


def as_key(text: str) -> Key:
    """Return the key that a text is; of an old mode the one that has its third.

    Raises
    ------
    HarmonyError
        If it is none.
    """
    modal = modal_key(text)
    return modal[0] if modal else Key.parse(text)


def in_key(line: str, *, short: bool) -> re.Match[str] | None:
    """Return "in B flat" from a short line; from a long one where it is said of the tune."""
    found = None if short else _IN_SENTENCE.search(line)
    said = _IN_KEY.search(line, found.end() if found else 0) if short or found else None
    alone = (_IN_KEY.match(line, each.end()) for each in _KEY_ALONE.finditer(line))
    whole = (each for each in alone if each and _KEY_ENDS.match(line, each.end()))
    sentence = _IS_IN_KEY.search(line)
    if said and not (sentence and _HEDGED.match(line, said.end())):
        return said
    hedged = (each for each in _IN_KEY.finditer(line) if _HEDGED.match(line, each.end()))
    return sentence or next(whole, None) or next(hedged, None)


def after_key(line: str, found: re.Match[str], clause: Span) -> str:
    """Return what a clause goes on to say after its key, but for "I think".

    Examples
    --------
    >>> line = "it's in D I think, or it's in G for the singers"
    >>> first, last = _IS_IN_KEY.finditer(line)
    >>> after_key(line, first, clause_of(line, first)), after_key(line, last, clause_of(line, last))
    ('', 'for the singers')
    """
    text = _HEDGED.sub("", line[found.end() : clause[1]]).strip()
    return "" if is_link(text) else text


def clause_of(line: str, found: re.Match[str]) -> Span:
    """Return where the clause begins and ends in which a key is said: "so it's in D I think".

    Examples
    --------
    >>> line = "hello, it's in D I think, a waltz"
    >>> line[slice(*clause_of(line, in_key(line, short=False)))]
    " it's in D I think"
    """
    if _IS_IN_KEY.match(line, found.start()) is None:
        hedge = _HEDGED.match(line, found.end())
        return found.start(), hedge.end() if hedge else found.end()
    start = max(line.rfind(sign, 0, found.start()) for sign in ",.;!(") + 1
    end = re.compile(r"[,.;!()]|$").search(line, found.end())
    return start, end.start() if end else len(line)


def key_at_end(part: str) -> tuple[Key, int] | None:
    """Return the key that a part ends with, and where it begins.

    Examples
    --------
    >>> key_at_end("Kites G major"), key_at_end("Kites in the major")
    ((Key.parse('G major'), 6), None)
    """
    found = _ENDS_IN_KEY.search(part)
    return (as_key(found[0]), found.start()) if found and found[0][0].isupper() else None


def says_key(part: str, *, first: bool) -> bool:
    """Return whether a part of a heading names a key by more than its letter, or ends with one.

    Before the key of the ``first`` part stands a title.

    Examples
    --------
    >>> says_key("Kites in C", first=True), says_key("G minor", first=False)
    (True, True)
    >>> says_key("G minor", first=True), says_key("G", first=False)
    (False, False)
    """
    part = part.rstrip()
    found = NAMED_KEY.search(part) or in_key(part, short=True)
    if found and found.end() == len(part):
        start = found.start()
    elif ending := key_at_end(part):
        start = ending[1]
    else:
        key = key_of(part)
        return not first and key is not None and key[1]
    return not first or start >= SHORTEST


def number_in(part: str) -> re.Match[str] | None:
    """Return a number that is a tempo, where the rest of the heading speaks of music."""
    bare = part.rstrip()
    return _NUMBER.fullmatch(bare.lstrip()) and _NUMBER.search(bare) or _NUMBER_AFTER.search(bare)


def in_quarters(tempo: float, said: str, meter: Meter) -> float:
    """Return a tempo in quarters a minute, which may be said in beats, in 6/8 dotted quarters.

    A note that is named before it counts, and so does its dot.

    Examples
    --------
    >>> in_quarters(60, "60 bpm", (6, 8)), in_quarters(60, "60 bpm", (3, 4))
    (90.0, 60)
    >>> in_quarters(60, "dotted quarter = 60", (6, 8)), in_quarters(60, "half note = 60", (2, 2))
    (90.0, 120)
    """
    told = said.lower()
    in_beats = beat_length(meter) == Fraction(3, 2) and "bpm" in told
    times = 1.5 if in_beats or re.search(r"dotted|[♩𝅘]\s?\.", told) else 1
    times *= 2 if re.search(r"half|minim|halbe", told) else 1
    return tempo * times if times > 1 and tempo * times <= FASTEST else tempo


def composer_of(part: str) -> str:
    """Return who wrote the tune, if a part says it.

    Examples
    --------
    >>> composer_of("words and music by Ann Bell"), composer_of("by Tuesday")
    ('Ann Bell', '')
    """
    found = _COMPOSER.fullmatch(part.strip())
    return found[1] if found else ""


def composer_in(part: str, *, titled: bool) -> tuple[int, str] | None:
    """Return where a part begins to say who wrote the tune, and who; ``titled`` after its title.

    Examples
    --------
    >>> [composer_in(part, titled=True) for part in ("Kites by Ann Bell", "Day by Day")]
    [(5, 'Ann Bell'), None]
    """
    if name := composer_of(part):
        return 0, name
    after = _TITLE_BY.search(part) if titled else None
    return (after.start(), after[1]) if after else None


def says_only(part: str, taken: Sequence[Span], start: int) -> bool:
    """Return whether a part says something of the music and nothing else."""
    left = blanked(part, [(low - start, high - start) for low, high in taken])
    words = _WORDS.findall(left.lower())
    if any(word not in _LINKS | _FEELS for word in words):
        return False
    return left != part or any(word in _FEELS for word in words)


def blanked(text: str, spans: Sequence[Span]) -> str:
    """Return a text with blanks for what stands in some spans."""
    signs = list(text)
    for low, high in spans:
        for index in range(max(low, 0), min(high, len(signs))):
            signs[index] = " "
    return "".join(signs)


def is_link(text: str) -> bool:
    """Return whether a text only joins what says something: "and", "at", a sign.

    Examples
    --------
    >>> is_link("- at"), is_link("medium swing")
    (True, False)
    """
    return all(word in _LINKS for word in _WORDS.findall(text.lower()))


def is_feel(text: str) -> bool:
    """Return whether a text says how a tune is played, and nothing else.

    Examples
    --------
    >>> is_feel("medium swing"), is_feel("a slow waltz"), is_feel("slow down here")
    (True, True, False)
    """
    words = _WORDS.findall(text.lower())
    return not is_link(text) and all(word in _LINKS | _FEELS for word in words)


def title_left(line: str, taken: Sequence[Span]) -> tuple[str, Span]:
    """Return what a heading holds besides what was taken from it, a title or nothing; and where.

    Examples
    --------
    >>> title_left("Kites - Ann's way - in G", [(20, 24)])
    ("Kites - Ann's way", (0, 17))
    """
    left = blanked(line, taken)
    parts = [part for part in parts_of(left) if not says_only(line[slice(*part)], taken, part[0])]
    greets = parts[1:] and _GREETING.match(left[slice(*parts[0])])
    parts = parts[1:] if greets else parts
    # "yes, Kites": a title begins with a capital.
    parts = [*dropwhile(lambda part: left[slice(*part)].strip()[:1].islower(), parts)] or parts
    if not parts:  # "Waltz in G" is a title where there is no other.
        words = (part for part in parts_of(left) if re.search(r"[^\W\d_]", left[slice(*part)]))
        parts = [next(words, (0, 0))]
    low, high = parts[0]
    for start, end in parts[1:]:
        if any(high <= first and last <= start for first, last in taken):
            break
        high = end
    whole = _tidy(left[low:high])
    span = (low, high) if len(whole.split()) <= _MOST_TITLE_WORDS else parts[0]
    return _tidy(left[slice(*span)]), span


def holds_prose(line: str) -> bool:
    """Return whether a part of a heading is too long for a piece of a title: "Sam, here is ...".

    Examples
    --------
    >>> holds_prose("Sam, here is the one that I meant, in D"), holds_prose("Kites, in D")
    (True, False)
    """
    return any(len(line[slice(*part)].split()) > _MOST_TITLE_WORDS for part in parts_of(line))


def _tidy(text: str) -> str:
    words = " ".join(text.split()).strip(" .,;:-—·•~/")
    words = re.sub(r"\s+([,;:.])", r"\1", words)
    words = re.sub(r",?\s+(?:in|key|at|key of|in the|in the key of)$", "", words)
    return words + ")" * (words.count("(") - words.count(")"))


def without_picture(line: str) -> str:
    """Return a line with blanks for the name of a file before it, as a caption has."""
    found = _PICTURE.match(line) if len(line) < MOST_OF_HEADING else None
    return line if found is None else " " * found.end() + line[found.end() :]


def letter_head(line: str) -> tuple[bool, str]:
    """Return whether a line belongs to the head or the greetings of a letter, and what it is about.

    Examples
    --------
    >>> letter_head("From: Ann"), letter_head("Subject: Re: Kites"), letter_head("Kites")
    ((True, ''), (True, '             Kites'), (False, 'Kites'))
    """
    if _LETTER_HEAD.match(line) or _FORWARDED.search(line):
        return True, ""
    if found := _SUBJECT.match(line):
        return True, " " * found.end() + line[found.end() :]
    return _GREETING.match(line) is not None, line
