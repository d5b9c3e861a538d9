"""Words of a song in a message, each given to the bar that it stands under."""

import re
from collections.abc import Iterator, Sequence

from harmonykit.tune.bar import Bar
from harmonykit.tune.text.pasted.cells import Cell
from harmonykit.tune.text.pasted.lines import Line
from harmonykit.tune.words import MOST_VERSES, with_verse
from harmonykit.values import dataclass, field, replace
from harmonykit.words.numbers import counted

_WORD = re.compile(r"\S+")
_VOWELS = re.compile(r"[aeiouyà-öø-ÿ]+")
_SILENT_E = re.compile(r"(?<=[^aeiouy\W])e(?=s?\W*$)")
_MOST_WRAPPED = 3


def _last_of(word: re.Match[str]) -> float:
    """Return the last column at which a chord has a word: one of one syllable, if begun nearer.

    A chord above its last letters may as well be that of the next word.
    """
    after = _WORD.search(word.string, word.end())
    if len(_VOWELS.findall(_SILENT_E.sub("", word[0].casefold()))) > 1:
        return word.start()
    return (word.start() + after.start() - 1) / 2 if after else word.end() - 1


@dataclass(slots=True)
class Above:
    """The bars that stand above a line of words.

    Parameters
    ----------
    cells : list of Cell
    at : int
        Where their line begins in the plain text.
    loose : bool
        Whether they are chords without bar lines, and a line of words is still to come.
    verse : int
        The last verse that they were given.
    given : str
        The line of words that the chords were given last.
    first : str
        The line of words of the first verse.
    """

    cells: list[Cell] = field(default_factory=list)
    at: int = 0
    loose: bool = False
    verse: int = 0
    given: str = ""
    first: str = ""

    def between(self, line: Line) -> None:
        """Give the words between chords in brackets to the chords before them."""
        if line.sung.strip():
            self._by_columns(line.sung, line.at)
            self.first = line.sung

    def under_chords(self, text: str) -> bool:
        """Give words to the chords above them, once; return whether they were taken."""
        taken = self.loose and bool(self.cells)
        self.loose = False
        if taken:
            self._by_columns(text, self.at)
            self.given = self.first = text
        return taken

    def verse_more(self, text: str, verse: int) -> None:
        """Give words of a further verse to the chords, as the first verse shares its line."""
        if text.split() != self.first.split():
            self.verse = max(self.verse, verse - 1)
            self._by_columns(text, self.at, len(self.first.rstrip()) / len(text.rstrip()))

    def wrapped(self, text: str) -> bool:
        """Give the end of a broken line of words to the last chord; return whether it is one.

        It stands below the words, goes on in small letters, and is short beside them.  A name is
        none: "x Jo" ends a letter.
        """
        words = text.split()
        short = len(words) <= min(_MOST_WRAPPED, len(self.given.split()) // 2)
        ended = self.given.rstrip()[-1:] in tuple(".!?;:")
        small = text.strip()[:1].islower() and not re.search(r"\b[A-Z]\w", text)
        if not short or ended or not small:
            return False
        self.verse -= 1
        self._add(self.cells[-1], " ".join(words))
        self.verse, self.given = self.verse + 1, ""
        return True

    def _by_columns(self, text: str, at: int, share: float = 1) -> None:
        """Give each word to the last chord that begins above its first letter, or before it.

        Where that chord has a word, one of one syllable goes to a chord that begins above it and
        nearer to it than to the next word.  ``share`` is how much longer the line is above which
        the chords stand.
        """
        starts = [
            min((word.at for word in cell.words), default=cell.at) - at for cell in self.cells
        ]
        before = -1
        for found in _WORD.finditer(text):
            first = found.start() * share
            index = sum(start <= first for start in starts[1:])
            after = starts[index + 1 : index + 2]
            if share == 1 and index == before and after and after[0] <= _last_of(found):
                index += 1
            self._add(self.cells[index], found[0])
            before = index
        self.verse += 1

    def in_bars(self, line: Line) -> Iterator[tuple[str, int]]:
        """Give words between bar lines to the bars of the row above; yield what is doubtful."""
        texts = line.text.strip().removesuffix("|").split("|")
        texts = texts if texts[0].strip() or len(texts) == len(self.cells) else texts[1:]
        if len(texts) > len(self.cells):
            more = " | ".join(text.strip(" :") for text in texts[len(self.cells) :])
            bars = f"{len(texts)} bars of words under {counted(len(self.cells), 'bar')}"
            yield f"{bars}: the last are left out, {more!r}", line.at
        for cell, text in zip(self.cells, texts, strict=False):
            self._add(cell, text.strip(" :"))
        self.verse += 1

    def _add(self, cell: Cell, text: str) -> None:
        if self.verse < MOST_VERSES:
            cell.lyric = with_verse(cell.lyric, self.verse + 1, text)


def with_lyrics(bars: tuple[Bar, ...], cells: Sequence[Cell]) -> tuple[Bar, ...]:
    """Return bars with the words of their cells."""
    if not any(cell.lyric for cell in cells):
        return bars
    return tuple(replace(bar, lyric=cell.lyric) for bar, cell in zip(bars, cells, strict=True))
