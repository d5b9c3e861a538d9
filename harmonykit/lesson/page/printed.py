"""A level's bars as its page prints them: each once, with the signs of the sheet, and followed.

Conventions.  The bars are those of the sheet, in its rows, with its numbers, repeats, endings and
jumps; a section that comes back the same stands once.  What is played is counted in playing order,
so for each bar, chord and note that sounds its place among the printed ones is told.  Words that
are sung to a bar in another pass stand below those of the first.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from functools import cached_property
from itertools import accumulate
from typing import Any, NamedTuple

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.written import WrittenBar, printed_numbers, written_bars
from harmonykit.draw.base.fonts import text_width
from harmonykit.lesson.handout import once, phrases, tab
from harmonykit.lesson.handout.signs import Signs
from harmonykit.lesson.page.figures import PX_PER_MM, Styles
from harmonykit.tune.tune import PICKUP, Sung, Tune
from harmonykit.values import dataclass
from harmonykit.words.numbers import ordinal

A_ROW = 4


class SungView(NamedTuple):
    """A note of the melody, or a rest: its share of the bar, its string's line and fret, its words.

    Lines are counted from the top one, which is the last string; ``line`` is -1 for a rest.  There
    is a word for each verse of the bar.
    """

    share: str
    line: int
    fret: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PrintedBar:
    """A bar as it is printed.

    Parameters
    ----------
    first : int
        The bar played first that it stands for, counted from 0.
    numbers : tuple of (int, str)
        The bars played that its numbers name, with those numbers.
    part : str
        The section that begins with it, where there are several.
    column : int
        Where a row begins with it, how many columns are free before it; -1 within a row.
    signs : dict
        What stands around it: ``opens``, ``closes`` (how often), ``close``, ``over``, ``after``,
        ``ending``.
    sung : tuple of SungView
    """

    first: int
    numbers: tuple[tuple[int, str], ...]
    part: str
    column: int
    signs: dict[str, Any]
    sung: tuple[SungView, ...]

    @property
    def sung_px(self) -> float:
        """The CSS pixels that its words and its frets take beside each other."""
        return self._sung_px(_WORD_PT, _APART_PX) + _SIDES_PX

    @property
    def sung_small_px(self) -> float:
        """The CSS pixels that they take with the words of a narrow chart."""
        return self._sung_px(_SMALL_PT, _SMALL_APART_PX) + _SMALL_SIDES_PX

    def _sung_px(self, size: float, apart: float) -> float:
        words = (max(text_width(word, size) for word in ("", *n.words)) for n in self.sung)
        return sum(max(_NOTE_PX, wide * PX_PER_MM + apart) for wide in words)


# Of 15 and of 14 pixels; a fret takes as much as a word of one letter.
_WORD_PT, _NOTE_PX, _APART_PX, _SIDES_PX = 11.25, 13.0, 5.0, 24.0
_SMALL_PT, _SMALL_APART_PX, _SMALL_SIDES_PX = 10.5, 4.0, 13.0


class Printed:
    """The printed bars of a level; where each bar played, chord and note of the melody stands."""

    def __init__(self, way: Arrangement, styles: Styles) -> None:
        self.way, self.styles = way, styles
        self.once = once.print_once(way, written_bars(way))
        self.places = self.once.places(way)
        self._signs = Signs(way, self.once)
        self._notes = sung_by_bar(way.tune)
        self._bars = way.bars()

    @property
    def order(self) -> tuple[str, ...]:
        """The sections in playing order, where that must be said."""
        return self.once.order

    @property
    def firsts(self) -> tuple[int, ...]:
        """The bar played first that each printed bar stands for."""
        return tuple(bar.index for bar in self.once.bars)

    @cached_property
    def chords(self) -> list[int]:
        """For each step its place among the chords of the printed bars."""
        starts = _starts(len(self._bars[index]) for index in self.firsts)
        return [
            starts[place] + n
            for place, bar in zip(self.places, self._bars, strict=True)
            for n in range(len(bar))
        ]

    @cached_property
    def notes(self) -> list[tuple[int, int]]:
        """For each note of the melody its place among the printed ones, and its line of words."""
        starts = _starts(len(self._at(index)) + self._whole(index) for index in self.firsts)
        found = []
        for index, place in enumerate(self.places):
            at, lines = self._at(self.firsts[place]), self._lines[place]
            words = self._words(index)
            before = lines[: lines.index(words)] if words in lines else []
            line = sum(map(len, before)) if words else -1
            found += [
                (starts[place] + at.index(note) if note in at else -1, line)
                for note in self._at(index)
            ]
        return found

    def bars(self) -> tuple[PrintedBar, ...]:
        """Return the printed bars in their order."""
        plans = list(phrases.row_plans(self.way.tune, self.once.bars, A_ROW))
        columns = [column for plan in plans for column in _begun(plan)]
        verses = [most for plan in plans for most in self._most_lines(plan)]
        return tuple(
            PrintedBar(
                bar.index, self._numbers(place), self._part(bar), columns[place],
                self._around(bar, last=place == len(self.once.bars) - 1),
                self._sung(place, verses[place]),
            )
            for place, bar in enumerate(self.once.bars)
        )  # fmt: skip

    @cached_property
    def _passes(self) -> list[list[int]]:
        """For each printed bar the bars played that it stands for, in their order."""
        found: list[list[int]] = [[] for _ in self.once.bars]
        for index, place in enumerate(self.places):
            found[place].append(index)
        return found

    # ------------------------------------------------------------ signs

    @cached_property
    def _printed_numbers(self) -> tuple[tuple[int, bool], ...]:
        return printed_numbers(self.way)

    def _numbers(self, place: int) -> tuple[tuple[int, str], ...]:
        """Return each number of a bar, with the first bar played that bears it."""
        told: dict[str, int] = {}
        for index in self._passes[place]:
            number, _ = self._printed_numbers[index]
            told.setdefault(str(number or PICKUP), index)
        return tuple((index, number) for number, index in told.items())

    def _part(self, bar: WrittenBar) -> str:
        return self._signs.section(bar) if bar.opens else ""

    def _around(self, bar: WrittenBar, *, last: bool) -> dict[str, Any]:
        signs = self._signs
        closes, after = signs.closes(bar), signs.after(bar)
        final = bar.index == signs.ends
        double = last or signs.section_ends(bar)
        if closes > _TWICE and not bar.bar.ending:
            after = [*after, f"\N{MULTIPLICATION SIGN}{closes}"]
        return {
            "opens": signs.opens(bar),
            "close": "repeat" if closes else "end" if final else "double" if double else "",
            "over": signs.over(bar),
            "after": after,
            "ending": signs.ending(bar),
        }

    # ------------------------------------------------------------ melody and words

    @cached_property
    def _frets(self) -> dict[int, dict[Fraction, tuple[int, str]]]:
        """The line and the fret of each note, by the bar played and its place in it."""
        way, last = self.way, len(self.way.instrument.strings) - 1
        found = {} if way.is_melody else tab.tab_of(way)
        return {
            index: {at: (last - string, str(fret)) for at, string, fret in row}
            for index, row in found.items()
        }

    @property
    def has_frets(self) -> bool:
        """Whether the melody stands on the strings; else there are words alone."""
        return any(self._frets.get(index) for index in self.firsts)

    @property
    def has_words(self) -> bool:
        """Whether anything is sung."""
        return any(self._words(index) for index in self.firsts)

    def _at(self, index: int) -> list[Fraction]:
        """Return where the notes of a bar played begin in it."""
        onset = self.way.tune.playing[index].onset
        return [note.onset - onset for note in self._notes[index]]

    def _words(self, index: int) -> tuple[tuple[str, ...], ...]:
        """Return what is sung to the notes of a bar played: a row of syllables for each verse."""
        notes, whole = self._notes[index], self.way.tune.playing[index].lyric
        verses = max((one.verse for note in notes for one in note.words), default=0)
        rows = [
            tuple(
                next((_syllable(w.text, w.goes_on) for w in note.words if w.verse == verse), "")
                for note in notes
            )
            for verse in range(1, verses + 1)
        ]
        return tuple(rows) or tuple((text,) for text in whole)

    def _whole(self, index: int) -> bool:
        """Whether the words of a bar stand at no note."""
        return bool(self.way.tune.playing[index].lyric) and not any(
            note.words for note in self._notes[index]
        )

    @cached_property
    def _lines(self) -> list[list[tuple[tuple[str, ...], ...]]]:
        """What is sung to each printed bar, pass after pass, each once."""
        return [
            list(dict.fromkeys(words for index in passes if (words := self._words(index))))
            for passes in self._passes
        ]

    def _most_lines(self, plan: phrases.Plan) -> list[int]:
        """Return for each bar of a row how many lines of words the row has."""
        ranks = {bar.index: place for place, bar in enumerate(self.once.bars)}
        here = [self._lines[ranks[bar.index]] for bar, _ in plan]
        return [max(sum(map(len, words)) for words in here)] * len(plan)

    def _sung(self, place: int, verses: int) -> tuple[SungView, ...]:
        """Return melody and words of a printed bar, on the strings where they have its notes."""
        index = self.firsts[place]
        played, frets = self.way.tune.playing[index], self._frets.get(index, {})
        lines = [row for words in self._lines[place] for row in words]
        lines += [()] * (max(verses, 1) - len(lines))
        row: list[SungView] = []
        reached = Fraction(0)
        for n, (at, one) in enumerate(zip(self._at(index), self._notes[index], strict=True)):
            if at > reached:
                row.append(self._rest(at - reached))
            line, fret = frets.get(at, (0, ""))
            words = tuple(each[n] if n < len(each) else "" for each in lines)
            row.append(SungView(self._share(one.beats), line, fret, words))
            reached = at + one.beats
        if self._whole(index):
            words = tuple(each[0] if each else "" for each in lines)
            row.append(SungView(self._share(played.bar.length), 0, "", words))
        elif row and reached < played.bar.length:
            row.append(self._rest(played.bar.length - reached))
        return tuple(row)

    def _rest(self, beats: Fraction) -> SungView:
        return SungView(self._share(beats), -1, "", ())

    def _share(self, beats: Fraction) -> str:
        return self.styles.named(f"flex:{float(beats):g} 0 auto")


_TWICE = 2


def _begun(plan: phrases.Plan) -> Iterator[int]:
    """Yield for each bar of a row how many columns are free before it; -1 within the row.

    A pick-up that begins it stands apart, and the row begins behind it.
    """
    led = plan[0][1] < 0 and len(plan) > 1
    for n, (_, column) in enumerate(plan):
        yield max(column, 0) if n == int(led) else -1


def _starts(counts: Iterable[int]) -> list[int]:
    """Return where each of several rows begins, one laid behind the other."""
    return [0, *accumulate(counts)]


def _syllable(text: str, goes_on: bool) -> str:  # noqa: FBT001
    return text + "-" if text and goes_on else text


def sung_by_bar(tune: Tune) -> list[list[Sung]]:
    """Return the notes of the melody that begin in each bar played."""
    starts = [played.onset for played in tune.playing]
    found: list[list[Sung]] = [[] for _ in starts]
    for one in tune.melody:
        found[bisect_right(starts, one.onset) - 1].append(one)
    return found


def times_said(numbers: Sequence[str]) -> list[str]:
    """Return the numbers of bars played, each that came before with the time that it comes.

    Examples
    --------
    >>> times_said(["1", "2", "1", "3"])
    ['1', '2', '1, second time', '3']
    """
    count: dict[str, int] = {}
    found = []
    for number in numbers:
        count[number] = time = count.get(number, 0) + 1
        found.append(number if time == 1 else f"{number}, {ordinal(time)} time")
    return found
