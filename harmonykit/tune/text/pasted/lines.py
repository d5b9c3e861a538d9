"""The lines of a message told apart: rows of bars, chords alone, names of sections, words."""

import re
from collections.abc import Callable, Iterable, Sequence

from harmonykit.errors import attempt
from harmonykit.theory.key import Key
from harmonykit.theory.symbols.dialect import DEFAULT
from harmonykit.tune.text.pasted.heading import KEY_LABEL, MOST_OF_HEADING
from harmonykit.tune.text.pasted.plain import Naming, is_near_a_chord
from harmonykit.tune.text.pasted.titles import is_heading
from harmonykit.values import dataclass, replace

KNOWN = "|".join((
    "intro", "introduction", "verse", "chorus", "bridge", "pre-chorus", "prechorus", "refrain",
    "solo", "interlude", "outro", "coda", "tag", "ending", "head", "theme", "vamp", "turnaround",
    "instrumental", "middle eight", "middle 8", "hook", "break", "strophe", "vers", "kehrreim",
    "zwischenspiel", "vorspiel", "nachspiel", "schluss", "couplet", "pont", "fin", "estrofa",
    "estribillo", "coro", "puente", "strofa", "ritornello", "ponte", "tune", "first part",
    "second part", "last time",
))  # fmt: skip
PART = r"(?:part|section|teil|partie|parte)"
NAME = re.compile(
    rf"(?:(?:{KNOWN})(?:\s*(?:\d{{1,2}}|[A-H])(?:\s*(?:[,&+-]|and)\s*\d{{1,2}})*)?"
    rf"|{PART}\s*[A-Z\d]\d?'?|[A-Z]'?\s*-?\s*{PART}|[A-H]\d?'{{0,2}}|\d\.?\s*{PART})",
    re.I,
)
_TIMES = re.compile(r"\(?\s*(?:x\s?(\d{1,2})|(\d{1,2})\s?x)\s*\)?\s*$|\(\s*twice\s*\)\s*$", re.I)
EDGES = " \t\"'*_=~#<>.-:()[]"
BEATS = re.compile(r"/+|\.{1,8}|-+|%{1,2}|~+|>")
_BRACKET = re.compile(r"\[([^\[\]|]{1,20})\]|\(([^()|\s]{1,14})\)")
_LABEL = re.compile(r"\s*(?:\[[^\]|]{2,30}\]|[^:|\[]{1,30}:)(?=\s*\S)")
_AGAIN = re.compile(r"\(?\b(?:again|repeat(?:ed)?)\b\)?\W*$", re.I)
_COUNT = re.compile(r"\(?\d{1,3}[.):]?$")
_SQUARE = re.compile(r"\[([^\[\]|]{1,20})\]")
_COMMENT = re.compile(r"\s*(?:#(?![\w#])|//|;)")
# Whom or what a line below chords speaks to, where it is not sung: "bass: bow the bridge".
_TO_PLAYERS = re.compile(
    r"\W*(?:(?:low|high|all|the|second|first|2nd|1st) )?(?:bass(?:es)?|guitars?|uke(?:lele)?s?"
    r"|ukuleles?|baritones?|tenors?|sopranos?|altos?|piano|keys|drums?|percussion|fiddles?|violins?"
    r"|mandolins?|banjos?|banjoleles?|vocals?|voices?|singers?|everyone|everybody|all|tutti|group"
    r"|class|players?|low g|notes?|nb|n\.b\.|ps|p\.s\.|hint|tip|remember|rhythm|strum(?:ming)?"
    r"|pattern|dynamics|feel|gitarren?|klavier|geigen?|stimmen?|alle|hinweis|achtung|anmerkung"
    r"|merke)(?: \d{1,2}| [A-D])?\s*:(?=\s)",
    re.I,
)
_SUNG = re.compile(r"\[[^\[\]|]{1,20}\]|\([^()|\s]{1,14}\)")
_NUMERAL = re.compile(r"[#b♯♭]?[ivIV]{1,3}[°ø+\w]{0,4}")
_ALL_NAMINGS = (
    Naming(),
    Naming(replace(DEFAULT, lower_case_minor=True)),
    Naming(replace(DEFAULT, german=True, lower_case_minor=True)),
    Naming(replace(DEFAULT, latin=True)),
)
# Longer words are no chords.
_LONGEST = 9
_SOUNDING_SHARE = 0.6


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a message.

    Parameters
    ----------
    kind : {"row", "sung", "chords", "name", "comment", "remark", "words", ""}
        ``"sung"`` has words between bar lines, ``"remark"`` words to players.
    text : str
        All of it, or for a row what stands from the first bar on.
    at : int
        Where ``text`` begins in the plain text.
    name : str
        Of the section that begins here; for a row what stands before it.
    times : int
        How often the section is played, where its name says so.
    before : str
        What stands before a row and is not a name.
    sung : str
        Words between chords in brackets, each at its place in ``text``; elsewhere blanks.
    """

    kind: str
    text: str
    at: int
    name: str = ""
    times: int = 1
    before: str = ""
    sung: str = ""


def sort_line(text: str, at: int, naming: Naming) -> Line:
    """Tell what a line is.

    Examples
    --------
    >>> [sort_line(text, 0, Naming()).kind for text in ("A: | F |", "[Chorus] x2", "F  C7", "Ho!")]
    ['row', 'name', 'chords', 'words']
    """
    if not text.strip() or _COMMENT.match(text):
        return Line("comment" if text.strip() else "", text, at)
    if label := KEY_LABEL.match(text):
        return _after_key(text, at, label.end(), naming)
    if "|" in text:
        return _in_bars(text, at, naming)
    if len(text) < MOST_OF_HEADING and (found := _LABEL.match(text)) and name_of(found[0])[0]:
        after = text[found.end() :]
        rest = sort_line(after, at + found.end(), naming)
        several = "[" in after and naming.reads(found[0].strip(EDGES))
        if rest.kind == "chords" and not several:
            return _named(found[0], rest)
    words = text.split()
    chords = [word for word in words if reads(word, naming)]
    beats = [word for word in words if BEATS.fullmatch(word)]
    name, times = name_of(text)
    if name and (len(words) == 1 and not text.strip().endswith("7") and len(text.strip(EDGES)) < 2):
        return Line("name", text, at, name, times)
    if chords and len(chords) + len(beats) >= _SOUNDING_SHARE * len(words):
        return Line("chords", text, at)
    if name:
        return Line("name", text, at, name, times)
    if any(naming.reads(found[1] or found[2]) for found in _BRACKET.finditer(text)):
        return Line("chords", _in_brackets(text, naming), at, sung=_SUNG.sub(_blanks, text))
    return Line("remark" if _TO_PLAYERS.match(text) else "words", text, at)


def _in_bars(text: str, at: int, naming: Naming) -> Line:
    if has_words_in_bars(text, naming.reads):
        return Line("sung", text, at)
    return _sung(_row(text, at, naming), naming)


def reads(word: str, naming: Naming) -> bool:
    """Return whether a word is a chord once loose signs at its ends are gone."""
    bare = word.strip(EDGES + ",;!?")
    return naming.reads(word) or bool(bare) and naming.reads(bare)


def may_be_chords(text: Iterable[str]) -> Iterable[str]:
    """Yield words that may be chords: those in rows, or in lines of nothing longer than a chord."""
    lines = [line for line in text if not has_words_in_bars(line, _reads_anyhow)]
    rows = [line for line in lines if "|" in line]
    for line in rows or lines:
        held = [word for word in _SQUARE.findall(line) if Naming().reads(word)]
        before, bar, after = line.partition("|")
        music = after if bar and is_heading(before) else line
        words = held or music.replace("|", " ").split()
        if rows or held or _sounds(words):
            yield from (word for word in words if not BEATS.fullmatch(word))


def _sounds(words: Sequence[str]) -> bool:
    """Whether words without bar lines are chords in the main, in whatever naming."""
    read = [_reads_anyhow(word.strip(EDGES + ",;!?")) or BEATS.fullmatch(word) for word in words]
    short = all(len(word) <= _LONGEST for word in words)
    return short and sum(map(bool, read)) >= _SOUNDING_SHARE * len(words)


def has_words_in_bars(text: str, reads_word: Callable[[str], bool]) -> bool:
    """Return whether more words than chords stand between bar lines, none of them in brackets.

    Examples
    --------
    >>> lines = ("| The kite is up | above the bay |", "| F | Gmim7 |", "| I | ii V |")
    >>> [has_words_in_bars(line, Naming().reads) for line in lines]
    [True, False, False]
    """
    if "|" not in text or "[" in text or "{" in text:
        return False
    before, _, after = text.partition("|")
    music = (after if is_heading(before) else text).replace("|", " ")
    words = [bare for word in music.split() if (bare := word.strip(EDGES + ",;!?"))]
    plain = [word for word in words if word[0].isalpha() and not reads_word(word)]
    if len(plain) * 2 <= len(words) or any(is_near_a_chord(word) for word in plain):
        return False
    return any(word.isalpha() and not _NUMERAL.fullmatch(word) for word in plain)


def _reads_anyhow(word: str) -> bool:
    return any(naming.reads(word) for naming in _ALL_NAMINGS)


def name_of(text: str) -> tuple[str, int]:
    """Return the name of a section that a text is, and how often it is played; else nothing.

    Examples
    --------
    >>> name_of("[Verse 1]"), name_of("Chorus (x2):"), name_of("B"), name_of("Bb")
    (('Verse 1', 1), ('Chorus', 2), ('B', 1), ('', 1))
    """
    if len(text) > MOST_OF_HEADING:
        return "", 1
    times, bare = times_of(text.rstrip(" :."))
    words = _AGAIN.sub("", bare if times > 1 else text).strip(EDGES)
    named = NAME.fullmatch(words) is not None
    # Whatever stands alone in brackets, or ends with a colon, is a name.
    plain = text.strip()
    labelled = plain.endswith(":") or (plain[:1] == "[" and plain[-1:] == "]")
    labelled = labelled and len(words) > 1 and len(words.split()) <= 4 and words[0].isupper()
    return words if named or labelled else "", times


def times_of(text: str) -> tuple[int, str]:
    """Return how often something is played, as a text ends by saying, and what stands before that.

    Examples
    --------
    >>> times_of("Chorus (x2)"), times_of("Verse")
    ((2, 'Chorus '), (1, 'Verse'))
    """
    found = _TIMES.search(text)
    return (int(found[1] or found[2] or 2), text[: found.start()]) if found else (1, text)


def is_known_name(name: str) -> bool:
    """Return whether sections are called so, and tunes are not.

    Examples
    --------
    >>> [is_known_name(name) for name in ("Verse 2", "A", "Kites")]
    [True, True, False]
    """
    return NAME.fullmatch(name) is not None


def _row(text: str, at: int, naming: Naming) -> Line:
    """Part what stands before the first bar line, where it is not a bar."""
    first = text.index("|")
    before = text[:first]
    bare = before.rstrip(" :")
    words = bare.split()
    if not re.search(r"\w", before):
        closes = before.strip() == ":"
        return Line("row", text, at) if closes else Line("row", text[first:], at + first)
    if (label := _LABEL.match(text)) and label.end() < first and name_of(label[0])[0]:
        after = text[label.end() :]
        if all(_may_stand(word, naming) for word in after[: first - label.end()].split()):
            return _named(label[0], Line("row", after, at + label.end()))
    if is_heading(before):
        return replace(Line("row", text[first:], at + first), before=before)
    labelled = before.rstrip().endswith((":", ")", "]", "."))
    lone = len(words) == 1 and re.fullmatch(r"[A-D]\d?'?", words[0].strip(EDGES)) is not None
    if not (lone and (labelled or _is_label(text))):
        if all(_may_stand(word, naming) for word in words):
            return Line("row", text, at)
        if reads(words[-1], naming) and not before.rstrip().endswith(":"):
            chord = before.rindex(words[-1])
            return _named(before[:chord], Line("row", text[chord:], at + chord))
        if not before.rstrip().endswith((":", "]")) and any(reads(word, naming) for word in words):
            return Line("row", text, at)
    return _named(before, Line("row", text[first:], at + first))


def _after_key(text: str, at: int, start: int, naming: Naming) -> Line:
    """Part a key from the row that stands in the same line: the key ends at a bar line or chord."""
    if (bar := text.find("|")) < 0:
        return Line("words", text, at)
    first, *rest = text[start:bar].split() or [""]
    if rest and not _is_key(text[start:bar]) and all(_may_stand(word, naming) for word in rest):
        bar = text.index(rest[0], text.index(first, start) + len(first))
    return replace(Line("row", text[bar:], at + bar), before=text[:bar].strip())


def _is_key(text: str) -> bool:
    return attempt(Key.parse, text) is not None


def _may_stand(word: str, naming: Naming) -> bool:
    return reads(word, naming) or bool(BEATS.fullmatch(word) or _COUNT.match(word))


def _named(label: str, row: Line) -> Line:
    """Return a row with the name that stands before it; other words are left to be told."""
    name, times = name_of(label)
    return replace(row, name=name, times=times, before="" if name else label.strip())


def _is_label(text: str) -> bool:
    """Return whether a lone letter before a closed row names it: phrases have an even count."""
    bars = [part for part in re.split(r"[|:]+", text)[1:] if part.strip()]
    return text.rstrip().endswith("|") and len(bars) % 2 == 0


def _sung(row: Line, naming: Naming) -> Line:
    """Return a row with blanks for words, where its chords stand in brackets among them."""
    held = [found for found in _SQUARE.finditer(row.text) if naming.reads(found[1])]
    rest = _SQUARE.sub(" ", row.text).replace("|", " ").split()
    words = [word for word in rest if word[0].isalpha() and not naming.reads(word.strip(EDGES))]
    if not held or not words:
        return row
    words_alone = _SQUARE.sub(_blanks, row.text).replace("|", " ").replace(":", " ")
    kept = [sign if sign in "|:" else " " for sign in row.text]
    for found in held:
        kept[found.start(1) : found.end(1)] = found[1]
    return replace(row, text="".join(kept), sung=words_alone)


def _blanks(found: re.Match[str]) -> str:
    """Return blanks for a chord in brackets; first a hyphen where it stands within a word."""
    text, (start, end) = found.string, found.span()
    within = text[:start][-1:].isalpha() and text[end:][:1].isalpha()
    return ("-" if within else " ").ljust(len(found[0]))


def _in_brackets(text: str, naming: Naming) -> str:
    """Return a line of words with blanks for all but the chords in brackets."""
    kept = [" "] * len(text)
    for found in _BRACKET.finditer(text):
        group = 1 if found[1] else 2
        if naming.reads(found[group]):
            kept[found.start(group) : found.end(group)] = found[group]
    return "".join(kept)
