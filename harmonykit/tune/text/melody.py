r"""A section's melody and words as text: as many bars between ``|`` as its changes have.

``D5:3/2`` is a note of one and a half quarters, ``D5`` alone one quarter, ``r:2`` a rest of two;
``D5:4~`` is tied to the next note.  A bar may end early: what is left of it is rest.  An empty
bar is written ``| |``.  A verse of words has as many bars:

``| Down by the | wa- ter _ | . side |``
    Each word or syllable stands under a note of its own.  A hyphen at the end says that the word
    goes on.
``_``
    The syllable before is held over this note.
``.``
    This note has no word.  A bar may end early: its other notes have none; ``| |`` is a bar without
    words.
``of~the``
    Two words on one note.
``-ter``
    A hyphen in front: the word began elsewhere, as before another ending.
``\-``
    A backslash takes the next sign as it is: ``\- \_ \. \~ \| \# \\``.

Where a section has no melody its words stand under their bars as they are typed: no sign is
special but ``|``, ``#`` and the backslash.

Rests have no words, nor has a note that only carries on a tied one.  ``#`` at the start of a word
comments out the rest of its line.  After the first ending the next one goes on where the body of
the part left off.  Several verses are a list of such texts, the first verse first; what is sung in
which pass is said in ``harmonykit.tune.words``.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from harmonykit.errors import HarmonyError
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, BarNote, TuneError
from harmonykit.tune.text.barlines import Where
from harmonykit.tune.words import Syllable, place_of, plain, with_verse

_WORD = re.compile(r"([^:~\s]+?)(?::(\d{1,6})(?:/(\d{1,6}))?)?(~?)")
_COMMENT = re.compile(r"(?<!\S)#[^\n]*")
_LINE = re.compile(r"\|")
_REST = "r"


def read_melody(text: str, bars: tuple[Bar, ...], where: Where) -> tuple[Bar, ...]:
    """Return the bars with the melody that a text gives them.

    Raises
    ------
    TuneError
        If a note cannot be read, a bar is too full, or the number of bars is another.

    Examples
    --------
    >>> from harmonykit.errors import Place
    >>> bars = read_melody("| r:1 D5:3/2 E5:3/2 |", (Bar.of((4, 4), []),), lambda index: Place())
    >>> [(str(note.note), str(note.at), str(note.beats)) for note in bars[0].melody]
    [('D5', '1', '3/2'), ('E5', '5/2', '3/2')]
    """
    parts = list(_split(without_comments(text), _LINE))
    if len(parts) != len(bars):
        raise TuneError(
            f"the melody has {len(parts)} bars, the changes have {len(bars)}", place=where(0)
        )
    return tuple(
        replace(bar, melody=tuple(_read_bar(part, start, bar.length, where)))
        for (part, start), bar in zip(parts, bars, strict=True)
    )


def without_comments(text: str) -> str:
    """Return text of the same length with blanks where comments stand."""
    return _COMMENT.sub(lambda found: " " * len(found[0]), text)


def _split(text: str, line: re.Pattern[str]) -> Iterator[tuple[str, int]]:
    """Yield what stands between bar lines, and where; between two lines of text stands no bar."""
    ends = [found.end() - 1 for found in line.finditer(text)] + [len(text)]
    start = 0
    for count, end in enumerate(ends):
        part = text[start:end]
        edge = count in (0, len(ends) - 1)
        if part.strip() or not (edge or "\n" in part):
            yield part, start
        start = end + 1


def _read_bar(text: str, start: int, length: Fraction, where: Where) -> Iterator[BarNote]:
    reached = Fraction(0)
    for word in re.finditer(r"\S+", text):
        found = _WORD.fullmatch(word[0])
        over, under = (int(found[2] or 1), int(found[3] or 1)) if found else (0, 0)
        if found is None or not over or not under:
            place = where(start + word.start())
            raise TuneError(f"{word[0]!r} is not a note", place=place, mend="D5:3/2 or r:2")
        beats = Fraction(over, under)
        if reached + beats > length:
            place = where(start + word.start())
            raise TuneError(f"too many notes for a bar of {length} quarter notes", place=place)
        if found[1] != _REST:
            yield BarNote(_read_note(found[1], word, start, where), reached, beats, bool(found[4]))
        reached += beats


def _read_note(name: str, word: re.Match[str], start: int, where: Where) -> Note:
    try:
        note = Note.parse(name)
    except HarmonyError as error:
        raise error.at(where(start + word.start())) from None
    if note.octave is None:
        place = where(start + word.start())
        raise TuneError(f"{name} has no octave", place=place, mend=f"{name}4")
    return note


_UNESCAPED = re.compile(r"(?<!\\)(?:\\\\)*\|")
_SYLLABLE = re.compile(r"(?:\\.|[^\s\\])+", re.DOTALL)
_SIGNS = re.compile(r"\\(.)|(~)", re.DOTALL)
_HELD, _NONE = "_", "."


def read_words(text: str, verse: int, bars: Sequence[Bar], where: Where) -> tuple[Bar, ...]:
    """Return the bars with a verse's words at their notes.

    Raises
    ------
    TuneError
        If there are more words than notes in a bar, a word has no letters, or the number of bars is
        another.

    Examples
    --------
    >>> from harmonykit.errors import Place
    >>> from harmonykit.tune.text.melody import read_melody
    >>> sung = read_melody("| C5 D5 E5 |", (Bar.of((3, 4), []),), lambda index: Place())
    >>> (bar,) = read_words("| ferr- y _ |", 1, sung, lambda index: Place())
    >>> [(word.text, word.place) for note in bar.melody for word in note.words]
    [('ferr', 'begin'), ('y', 'end'), ('', 'held')]
    """
    parts = _parts(text, verse, len(bars), where)
    opened, found = _Opened(), list[Bar]()
    for (part, start), bar, takes in zip(parts, bars, notes_with_words(bars), strict=True):
        opened.enter(bar, found[-1] if found else None)
        words = list(_SYLLABLE.finditer(part))
        if len(words) > len(takes):
            place = where(start + words[len(takes)].start())
            what = f"{len(words)} syllables for {len(takes)} notes in bar {len(found) + 1}"
            raise TuneError(what, place=place, rule="a syllable for each note, _ where one is held")
        melody = list(bar.melody)
        for index, word in zip(takes, words, strict=False):
            if syllable := _syllable(word, verse, opened, where, start):
                melody[index] = _with(melody[index], syllable)
        found.append(replace(bar, melody=tuple(melody)))
    return tuple(found)


def _parts(text: str, verse: int, count: int, where: Where) -> list[tuple[str, int]]:
    """Return a verse bar by bar, each with where it begins."""
    parts = list(_split(without_comments(text), _UNESCAPED))
    if len(parts) != count:
        what = f"verse {verse} has {len(parts)} bars, the changes have {count}"
        raise TuneError(what, place=where(0))
    return parts


def read_lyric(text: str, verse: int, bars: Sequence[Bar], where: Where) -> tuple[Bar, ...]:
    """Return bars without a melody with a verse's words under them.

    Raises
    ------
    TuneError
        If the number of bars is another.

    Examples
    --------
    >>> from harmonykit.errors import Place
    >>> bars = (Bar.of((3, 4), []), Bar.of((3, 4), []))
    >>> found = read_lyric("| the kite is up | |", 1, bars, lambda index: Place())
    >>> [bar.lyric for bar in found]
    [('the kite is up',), ()]
    """
    texts = [
        plain(re.sub(r"\\(.)", r"\1", part)) for part, _ in _parts(text, verse, len(bars), where)
    ]
    return tuple(
        replace(bar, lyric=with_verse(bar.lyric, verse, said))
        for bar, said in zip(bars, texts, strict=True)
    )


def _with(note: BarNote, syllable: Syllable) -> BarNote:
    return replace(note, words=(*note.words, syllable))


class _Opened:
    """Whether a word is open, bar after bar; each ending goes on from the body before it."""

    def __init__(self) -> None:
        self.now = self.before_endings = False

    def enter(self, bar: Bar, before: Bar | None) -> None:
        if before is None or not bar.ending:
            return
        if not before.ending:
            self.before_endings = self.now
        elif before.ending != bar.ending or before.closes:
            self.now = self.before_endings


def _syllable(
    word: re.Match[str], verse: int, opened: _Opened, where: Where, start: int
) -> Syllable | None:
    said = word[0]
    if said == _NONE:
        return None
    if said == _HELD:
        return Syllable("", "held", verse)
    if said.startswith("-"):
        opened.now, said = True, said[1:]
    goes_on = re.search(r"(?<!\\)(?:\\\\)*-$", said) is not None
    text = plain(_SIGNS.sub(lambda f: f[1] or " ", said.removesuffix("-") if goes_on else said))
    place = place_of(opened=opened.now, goes_on=goes_on)
    opened.now = goes_on
    try:
        return Syllable(text, place, verse)
    except HarmonyError:
        at = where(start + word.start())
        mend = "wa- ter, or . for a note without a word"
        raise TuneError(f"{word[0]!r} has no letters", place=at, mend=mend) from None


def notes_with_words(bars: Sequence[Bar]) -> Iterator[list[int]]:
    """Yield for each bar which of its notes may have words: not those that carry on a tied one."""
    before: BarNote | None = None
    for bar in bars:
        takes = []
        for index, note in enumerate(bar.melody):
            if not (before and before.tied and before.note.midi == note.note.midi):
                takes.append(index)
            before = note
        yield takes


def settle_words(bars: Sequence[Bar]) -> tuple[tuple[Bar, ...], tuple[tuple[int, str], ...]]:
    """Return bars whose words a text says in full, and what was taken out, with its bar.

    Words on notes that only carry on a tied one are taken out, but for held ones, which say no
    more than the tie.  Where a syllable follows one that says its word goes on, it is taken as
    going on from it.
    """
    settled: list[Bar] = []
    doubts: list[tuple[int, str]] = []
    opened: dict[int, _Opened] = {}
    for index, (bar, takes) in enumerate(zip(bars, notes_with_words(bars), strict=True)):
        for verse in {*opened, *bar.verses}:
            opened.setdefault(verse, _Opened()).enter(bar, settled[-1] if settled else None)
        melody = []
        for place, note in enumerate(bar.melody):
            words: list[Syllable] = []
            if place in takes:
                words = [_settled(word, opened[word.verse]) for word in note.words]
            else:
                lost = [word.text for word in note.words if word.text]
                doubts += (
                    (index, f"the syllable {text!r} on a tied note is left out") for text in lost
                )
            melody.append(replace(note, words=tuple(words)))
        settled.append(replace(bar, melody=tuple(melody)))
    return tuple(settled), tuple(doubts)


def _settled(word: Syllable, opened: _Opened) -> Syllable:
    if word.place == "held":
        return word
    place = place_of(opened=opened.now or word.place in ("middle", "end"), goes_on=word.goes_on)
    opened.now = word.goes_on
    return replace(word, place=place)


def write_words(bars: Sequence[Bar], verse: int, bars_a_line: int) -> str:
    """Return a verse of a section as text; read again it is the same words."""
    opened = _Opened()
    cells: list[str] = []
    if any(bar.lyric for bar in bars):
        cells = [_as_typed(bar.lyric[verse - 1 : verse]) for bar in bars]
        return _in_rows(cells, bars_a_line)
    for index, (bar, takes) in enumerate(zip(bars, notes_with_words(bars), strict=True)):
        opened.enter(bar, bars[index - 1] if index else None)
        words = []
        for place in takes:
            found = (word for word in bar.melody[place].words if word.verse == verse)
            words.append(_written(next(found, None), opened))
        while words and words[-1] == _NONE:
            words.pop()
        cells.append(" ".join(words))
    return _in_rows(cells, bars_a_line)


def _in_rows(cells: list[str], bars_a_line: int) -> str:
    rows = (cells[first : first + bars_a_line] for first in range(0, len(cells), bars_a_line))
    return "\n".join("| " + " | ".join(row) + " |" for row in rows)


def _as_typed(texts: Sequence[str]) -> str:
    return " ".join(re.sub(r"([\\|])|(?<!\S)(#)", r"\\\1\2", text) for text in texts)


def _written(word: Syllable | None, opened: _Opened) -> str:
    if word is None:
        return _NONE
    if word.place == "held":
        return _HELD
    text = re.sub(r"([\\|~])", r"\\\1", word.text).replace(" ", "~")
    if text in (_NONE, _HELD) or text.startswith(("-", "#")):
        text = f"\\{text}"
    if text.endswith("-") and text != "\\-":
        text = f"{text[:-1]}\\-"
    front = "-" if word.place in ("middle", "end") and not opened.now else ""
    opened.now = word.goes_on
    return f"{front}{text}{'-' if word.goes_on else ''}"
