"""Cells of a message written as the text form writes changes, section by section.

Each piece keeps its origin.  What the text form accepts stays as it is.  Where it refuses, as with
three chords in a bar of 4/4, the usual is taken and said.  Of the numbers in a section it is told
which are endings.
"""

from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Sequence
from fractions import Fraction
from operator import itemgetter

from harmonykit.errors import Place
from harmonykit.tune import bar
from harmonykit.tune.form import Section
from harmonykit.tune.text.changes import QUARTERS, read_meter
from harmonykit.tune.text.pasted.cells import Cell, Word
from harmonykit.tune.text.pasted.lyrics import Above
from harmonykit.values import dataclass, field, replace
from harmonykit.words.numbers import plural

USUAL: bar.Meter = (4, 4)
_BY_SLOTS: dict[int, bar.Meter] = {
    3: (3, 4), 4: (4, 4), 5: (5, 4), 6: (6, 8), 7: (7, 4), 9: (9, 8), 12: (12, 8),
}  # fmt: skip


def guess_meter(cells: Sequence[Cell]) -> tuple[bar.Meter, str]:
    """Return the metre that bars tell by their beats or chords, and how; the usual one else.

    Slashes tell it first; then three chords in more bars than have two or four.
    """
    counted = Counter(
        len(cell.words) for cell in cells if any(_is_slash(word) for word in cell.words)
    )
    if counted:
        slots, bars = max(counted.items(), key=lambda pair: (pair[1], pair[0] == USUAL[0]))
        if slots in _BY_SLOTS:
            return _BY_SLOTS[slots], f"{slots} beats in {bars} of the bars with slashes"
    chords = Counter(sum(word.kind == "chord" for word in cell.words) for cell in cells)
    if chords[3] > chords[2] + chords[4]:
        return (3, 4), f"three chords in {chords[3]} {plural(chords[3], 'bar')}"
    return USUAL, ""


def _is_slash(word: Word) -> bool:
    return word.kind == "beat" and word.read == "/"


@dataclass(slots=True)
class Laid:
    """Changes as text, and where each piece of it comes from."""

    text: str = ""
    starts: list[int] = field(default_factory=list)
    origins: list[int] = field(default_factory=list)

    def add(self, piece: str, origin: int) -> None:
        """Add a piece that comes from a character of the plain text."""
        self.starts.append(len(self.text))
        self.origins.append(origin)
        self.text += piece + " "

    def origin(self, index: int) -> int:
        """Return where a character of the text comes from."""
        piece = max(bisect_right(self.starts, index) - 1, 0)
        return self.origins[piece] if self.origins else 0


@dataclass(slots=True)
class Layer:
    """Lays out sections one after another; the metre goes on from each to the next.

    Parameters
    ----------
    meter : tuple of int
    where : callable
        Gives the place of a character of the plain text.
    guessed : str
        From what the metre was guessed; empty where it was not.
    """

    meter: bar.Meter
    where: Callable[[int], Place]
    doubts: list[tuple[str, int]] = field(default_factory=list)
    guessed: str = ""

    def section(self, cells: Sequence[Cell]) -> Laid:
        """Return the changes of a section."""
        laid = Laid()
        before: Cell | None = None
        for cell in without_pairs(cells):
            self._signs(before, cell, laid)
            length = self._length(cell, laid)
            _braced([sign for sign in cell.signs if sign in bar.OPENING_SIGNS], cell, laid)
            held = [(f"{{{text}}}", at) for text, at in cell.fermatas]
            # A fermata holds the chord before it.
            for piece, at in sorted([*self._words(cell, length), *held], key=itemgetter(1)):
                laid.add(piece, at)
            _braced([sign for sign in cell.signs if sign not in bar.OPENING_SIGNS], cell, laid)
            before = cell
        if before is not None:
            laid.add(_closing(before) or "|", before.at)
        return laid

    def _length(self, cell: Cell, laid: Laid) -> Fraction:
        """Add a bar's own metre and length, and return how long it is."""
        meter = read_meter(cell.meter) if cell.meter else self.meter
        if meter != self.meter:
            _braced([cell.meter], cell, laid)
        self.meter = meter
        length = bar.bar_length(meter)
        _braced(cell.braces, cell, laid)
        for brace in cell.braces:
            if found := QUARTERS.fullmatch(brace.strip()):
                length = Fraction(int(found[1]), int(found[2] or 1) or 1)
            elif "/" in brace and "@" not in brace:
                self.meter = read_meter(brace)
                length = bar.bar_length(self.meter)
        return length

    def _signs(self, before: Cell | None, cell: Cell, laid: Laid) -> None:
        closing = _closing(before) if before else ""
        after = before is not None and bool(before.ending) and not cell.ending
        if closing:
            laid.add(closing, cell.at)
        if cell.opens or not closing:
            laid.add("|:" if cell.opens else "||" if after else "|", cell.at)
        starts = cell.ending and (
            before is None or before.ending != cell.ending or bool(before.closes)
        )
        if starts:
            laid.add(f"[{','.join(map(str, cell.ending))}", cell.at)

    def _words(self, cell: Cell, length: Fraction) -> list[tuple[str, int]]:
        words = cell.words
        if not any(word.kind == "chord" for word in words):
            again = bool(words) and all(word.kind == "again" for word in words)
            return [("%" if again else "-", words[0].at if words else cell.at)]
        words = [replace(w, kind="beat", read="/") if w.kind == "again" else w for w in words]
        if any("@" in word.read for word in words if word.kind == "chord"):
            return [(word.read, word.at) for word in words if word.kind != "beat"]
        slots = [word for word in words if word.kind != "offered"]
        if len(slots) > sum(word.kind == "chord" for word in slots):
            if (found := self._by_beats(words, slots, length)) is not None:
                return found
            if any(_is_slash(word) for word in slots):
                raise self._misfit(slots, length, "beats")
            words = [word for word in words if word.kind != "beat"]
        return self._shared(words, length)

    def _by_beats(
        self, words: Sequence[Word], slots: Sequence[Word], length: Fraction
    ) -> list[tuple[str, int]] | None:
        count = len(slots)
        if count * bar.beat_length(self.meter) == length or count * self._lower == length:
            return [("/" if word.kind == "beat" else word.read, word.at) for word in words]
        share = length / count
        if (share / self._lower * 2).denominator != 1 or slots[0].kind == "beat":
            return None
        found, at = [], Fraction(0)
        for word in words:
            if word.kind == "chord":
                beat = at / bar.beat_length(self.meter) + 1
                found.append((f"{word.read}@{beat}", word.at))
            elif word.kind == "offered":
                found.append((word.read, word.at))
            at += share if word.kind != "offered" else 0
        return found

    def _shared(self, words: Sequence[Word], length: Fraction) -> list[tuple[str, int]]:
        """Return chords that share a bar; where they cannot, the first has the beats left over."""
        chords = [word for word in words if word.kind == "chord"]
        plain = [(word.read, word.at) for word in words]
        if len(chords) == 1 or (length / len(chords) / self._lower * 2).denominator == 1:
            return plain
        beats = length / bar.beat_length(self.meter)
        if beats.denominator != 1 or len(chords) > beats:
            raise self._misfit(chords, length, "chords")
        extra = int(beats) - len(chords)
        found = [plain[0], *([("/", words[0].at)] * extra), *plain[1:]]
        typed = " ".join(piece for piece, _ in found)
        said = f"{len(chords)} chords in a bar of {self._named}: the first has {extra + 1} beats"
        self.doubts.append((f"{said}; type | {typed} | or mark each beat", words[0].at))
        return found

    @property
    def _lower(self) -> Fraction:
        return Fraction(4, self.meter[1])

    @property
    def _named(self) -> str:
        return bar.write_meter(self.meter)

    def _misfit(self, words: Sequence[Word], length: Fraction, what: str) -> bar.TuneError:
        size = f"a bar of {self._named}"
        if length != bar.bar_length(self.meter):
            size = f"a bar of {length} quarter notes"
        return bar.TuneError(
            f"{len(words)} {what} do not fit {size}",
            place=self.where(words[-1].at),
            rule="each chord, and each / after it, is one beat"
            + (f"; the metre was guessed {self.guessed}" if self.guessed else ""),
            mend="| F / D7 Gm7 |, a bar line between them, or "
            + ("the metre before the chords, as in 4/4" if self.guessed else "another metre"),
        )


def _braced(texts: Sequence[str], cell: Cell, laid: Laid) -> None:
    for text in texts:
        laid.add(f"{{{text}}}", cell.at)


def _closing(cell: Cell) -> str:
    return "" if not cell.closes else ":|" if cell.closes == 2 else f":|x{cell.closes}"


def without_pairs(cells: Sequence[Cell]) -> list[Cell]:
    """Return the cells with ``%%`` written out: the two bars before, again."""
    found: list[Cell] = []
    pending = 0
    for cell in cells:
        kinds = [word.read for word in cell.words]
        blank = not (kinds or cell.braces or cell.fermatas or cell.signs)
        if pending and (blank or kinds == ["%%"]):
            found.append(replace(cell, words=_moved(found[-2].words, cell.at)))
            pending = 0
        elif kinds == ["%%"] and len(found) > 1:
            first = replace(cell, words=_moved(found[-2].words, cell.at), closes=0)
            found.append(first)
            pending = 1
        else:
            if pending:
                found.append(_second(found))
            pending = 0
            found.append(cell)
    if pending:
        found.append(_second(found))
    return found


def _second(found: Sequence[Cell]) -> Cell:
    last = found[-1]
    return Cell(last.at, words=_moved(found[-2].words, last.at), ending=last.ending)


def _moved(words: Sequence[Word], at: int) -> list[Word]:
    return [replace(word, at=at) for word in words]


Doubts = list[tuple[str, int]]


@dataclass(slots=True)
class Part:
    """A section while it is gathered."""

    name: str
    cells: list[Cell] = field(default_factory=list)
    times: int = 1
    rows: list[Above] = field(default_factory=list)
    repeated: bool = False


def settle_numbers(parts: Sequence[Part], doubts: Doubts) -> None:
    """Tell numbers of bars and of rows from numbers of endings, and give each cell its ending.

    A number that counts the bars, of all or of the section, is a bar's; ``1`` after the first bar,
    and what follows it in order, is an ending's.
    """
    rows = [cell for part in parts for cell in part.cells if cell.begins_row]
    if len(rows) > 1 and [cell.mark for cell in rows] == [(n + 1,) for n in range(len(rows))]:
        for cell in rows:  # The rows are counted, not the bars.
            cell.mark = ()
    count = 0
    for part in parts:
        ending: tuple[int, ...] = ()
        for index, cell in enumerate(part.cells):
            count += 1
            before = part.cells[index - 1] if index else None
            if cell.mark and _is_ending(cell, before, ending):
                if before and before.ending and not before.closes:
                    before.closes = 2
                    what = "the ending before this one has no repeat sign: taken as :|"
                    doubts.append((what, cell.marked_at))
                ending = cell.mark
            elif cell.mark and cell.mark[0] not in (count, index + 1):
                what = f"the bar numbered {cell.mark[0]} is bar {count} of the text"
                doubts.append((what, cell.marked_at))
            elif cell.opens or (before and (before.double or (before.closes and ending))):
                ending = ()
            cell.ending = ending


def _is_ending(cell: Cell, before: Cell | None, ending: tuple[int, ...]) -> bool:
    number = cell.mark[0]
    if cell.bracketed or len(cell.mark) > 1:
        return True
    follows = bool(ending) and number == ending[-1] + 1
    return before is not None and (number == 1 or follows)


def name_sections(
    read: Sequence[tuple[str, tuple[bar.Bar, ...]]], played: Sequence[int]
) -> tuple[tuple[Section, ...], tuple[str, ...]]:
    """Return the sections, and their names in playing order.

    Parameters
    ----------
    read : sequence of (str, tuple of Bar)
        Each part that has bars, with its name; one that comes again with the same bars is played
        again, and one with other bars has a number added.
    played : sequence of int
        The parts in playing order, each by its place in ``read``.
    """
    taken: dict[str, tuple[bar.Bar, ...]] = {}
    free = next(letter for letter in "ABCDEFGHIJK" if all(letter != name for name, _ in read))
    labels: list[str] = []
    for name, bars in read:
        plain = name or free
        label, count = plain, 2
        while label in taken and taken[label] != bars:
            label, count = f"{plain} {count}", count + 1
        taken[label] = bars
        labels.append(label)
    sections = tuple(Section(label, bars) for label, bars in taken.items())
    return sections, tuple(labels[each] for each in played)
