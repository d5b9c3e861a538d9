"""Words of a song in a message, each given to the bar that it stands under."""

import re
from collections.abc import Iterator, Sequence

from harmonykit.tune.bar import Bar
from harmonykit.tune.text.pasted.cells import Cell
from harmonykit.tune.text.pasted.lines import Line
from harmonykit.tune.words import MOST_VERSES, with_verse
from harmonykit.values import dataclass, field, replace

_WORD = re.compile(r"\S+")


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
    """

    cells: list[Cell] = field(default_factory=list)
    at: int = 0
    loose: bool = False
    verse: int = 0

    def between(self, line: Line) -> None:
        """Give the words between chords in brackets to the chords before them."""
        if line.sung.strip():
            self._by_columns(line.sung, line.at)

    def under_chords(self, text: str) -> bool:
        """Give words to the chords above them, once; return whether they were taken."""
        taken = self.loose and bool(self.cells)
        self.loose = False
        if taken:
            self._by_columns(text, self.at)
        return taken

    def _by_columns(self, text: str, at: int) -> None:
        """Give each word to the last chord that begins above it, or before it."""
        starts = [
            min((word.at for word in cell.words), default=cell.at) - at for cell in self.cells
        ]
        for found in _WORD.finditer(text):
            index = sum(start <= found.start() for start in starts[1:])
            self._add(self.cells[index], found[0])
        self.verse += 1

    def in_bars(self, line: Line) -> Iterator[tuple[str, int]]:
        """Give words between bar lines to the bars of the row above; yield what is doubtful."""
        texts = line.text.strip().removesuffix("|").split("|")
        texts = texts if texts[0].strip() or len(texts) == len(self.cells) else texts[1:]
        if len(texts) > len(self.cells):
            what = f"{len(texts)} bars of words under {len(self.cells)} bars: the last are left out"
            yield what, line.at
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
