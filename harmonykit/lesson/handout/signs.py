"""The signs of a chart: repeats, endings, jumps, numbers of bars, names of sections."""

from collections.abc import Iterable, Sequence
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.written import WrittenBar, in_signs, printed_numbers, written_bars
from harmonykit.lesson.handout import bars, phrases
from harmonykit.lesson.handout.endings import ending_at
from harmonykit.lesson.handout.once import Once, print_once
from harmonykit.tune.bar import JUMPS, write_meter
from harmonykit.tune.tune import PICKUP
from harmonykit.words.numbers import join_words

# How far signs reach into their bar, from its start and from its end.
_OVER_MM, _AFTER_MM = 14.0, 30.0
NamedRow = tuple[str, tuple[int, ...]]
LAST_TIME = "end, last time"
_BETWEEN = " · "


class Signs:
    """What stands at the bars of a level beside its chords.

    Parameters
    ----------
    way : Arrangement
    once : Once
        Its bars as they are printed.
    """

    def __init__(self, way: Arrangement, once: Once) -> None:
        self.way, self.once = way, once
        self.bars, self.in_signs = once.bars, in_signs(way)
        self.place = {bar.index: n for n, bar in enumerate(self.bars)}
        # The piece ends with the bar that is played last, wherever it stands.
        turns = way.tune.form.turns if self.in_signs else ()
        played = {(turn.part, turn.bar): n for n, turn in reversed([*enumerate(turns)])}
        own = played[turns[-1].part, turns[-1].bar] if turns else self.bars[-1].index
        self.ends = own if once.ends < 0 else once.ends

    def opens(self, bar: WrittenBar) -> bool:
        """Whether a repeated part begins with a bar; at the start of a tune too."""
        if not self.in_signs:
            return bar.index in self.once.opens
        tune = self.way.tune
        place = next((n for n, b in enumerate(tune.bars) if b is bar.bar), None)
        named = {repeat.first for repeat in tune.form.repeats if repeat.times > 1}
        if place is None:
            first = tune.form.turns[bar.index]
            place = first.bar
        return bar.bar.opens or place in named

    def closes(self, bar: WrittenBar) -> int:
        """How often the part is played that ends with a bar; 0 where none does."""
        return bar.bar.closes or self.once.closes.get(bar.index, 0)

    def ending(self, bar: WrittenBar) -> dict[str, Any] | None:
        """Return the bracket over a bar of an ending: its words, and whether it starts or stops."""
        if not bar.bar.ending or not self.in_signs:
            return ending_at(self.bars, self.place[bar.index]) if bar.index in self.place else None
        place = self.way.tune.form.turns[bar.index].bar
        endings = [e for r in self.way.tune.form.repeats for e in r.endings]
        here = next((e for e in endings if e.first <= place < e.stop), None)
        if here is None:
            return None
        numbers = ", ".join(f"{n}." for n in here.numbers)
        return {
            "text": numbers if place == here.first else "",
            "starts": place == here.first,
            "stops": place == here.stop - 1,
        }

    def section_ends(self, bar: WrittenBar) -> bool:
        """Whether another section begins after a bar, or the coda after a jump."""
        place = self.place.get(bar.index, len(self.bars))
        after = self.bars[place + 1] if place + 1 < len(self.bars) else None
        if after is None:
            return False
        return (after.opens and self.several) or bool(bar.bar.jump and "coda" in after.bar.signs)

    @property
    def several(self) -> bool:
        """Whether the tune has several sections, whose names are printed."""
        return len({bar.section for bar in self.bars if bar.section != PICKUP}) > 1

    def section(self, bar: WrittenBar) -> str:
        """Return the name of the section that begins with a bar, as it is printed."""
        name = self.once.labels.get(bar.index, bar.section)
        return name if self.several and bar.section != PICKUP else ""

    def label(self, bar: WrittenBar) -> str:
        """Return the number of a bar, or all numbers where it stands for several."""
        if not bar.begins or not bar.number:
            return ""
        return _BETWEEN.join(map(str, self.once.numbers.get(bar.index, (bar.number,))))

    def said_again(self) -> str:
        """Return what several numbers at one bar mean, of the first that has them; else nothing."""
        told = (self.once.numbers.get(bar.index, ()) for bar in self.bars if bar.number)
        numbers = [str(number) for number in next((each for each in told if each), ())]
        if not numbers:
            return ""
        more = f"again as bar{'s' if numbers[2:] else ''} {join_words(numbers[1:])}"
        return f"{_BETWEEN.join(numbers)}: bar {numbers[0]}, {more}"

    def meter(self, bar: WrittenBar) -> str:
        """Return the metre where it is new."""
        place = self.place.get(bar.index, 0)
        before = self.bars[place - 1].bar.meter if place else self.way.tune.meter
        return "" if before == bar.bar.meter else write_meter(bar.bar.meter)

    def over(self, bar: WrittenBar) -> list[str]:
        """Return what stands over the start of a bar: segno, coda, vamp."""
        return [sign for sign in bar.bar.signs if sign in ("segno", "coda", "vamp")]

    def after(self, bar: WrittenBar) -> list[str]:
        """Return what stands over the end of a bar: Fine, to coda, a jump.

        Without a D.C. no player stops at a Fine: where letters say the order, the end is told.
        """
        words = {"fine": "Fine", "to coda": "To coda"}
        said = [words.get(sign, sign) for sign in bar.bar.signs if sign in (*JUMPS, *words)]
        said = [word.replace("al fine", "al Fine").replace("al coda", "al Coda") for word in said]
        # A bar that is played once needs no word to end.
        told = bar.index == self.once.ends and bar.index in self.once.numbers
        return said + ([LAST_TIME] if told and not self.once.jumps else [])

    def meet(self, row: bars.Row, boxes: Iterable[dict[str, Any]]) -> bool:
        """Whether a diagram stands where a row has signs: at the start or the end of their bar.

        A bracket takes all of its bar.
        """
        spans = [(box["x"] - box["left"], box["x"] + box["wide"] + box["left"]) for box in boxes]
        return any(
            (self.over(bar.bar) and left < bar.x + _OVER_MM and right > bar.x)
            or (self.after(bar.bar) and right > bar.end - _AFTER_MM and left < bar.end)
            or (bar.bar.bar.ending and left < bar.end and right > bar.x)
            for bar in row
            for left, right in spans
        )


def rows_named(way: Arrangement, columns: int) -> tuple[tuple[str, ...], list[NamedRow]]:
    """Return the order of the sections, and the rows of a chart in words: a name, and its bars.

    Bars are named by their places among all bars played.  Where the sheet has letters each section
    stands once, and the order says how it is played; else all is written out, and there is none: a
    row bears its first bar's number, and ends where the next bar's does not follow.
    """
    once = print_once(way, written_bars(way))
    if not once.order:
        return (), _written_out(printed_numbers(way), columns)
    signs, found = Signs(way, once), list[NamedRow]()
    for plan in phrases.row_plans(way.tune, once.bars, columns):
        for led in (True, False):
            row = [bar for bar, column in plan if (column < 0) == led]
            if row:
                section = signs.section(row[0]) if row[0].opens else ""
                name = " ".join(filter(None, (section, signs.label(row[0]))))
                found.append((name or PICKUP, tuple(bar.index for bar in row)))
    return once.order, found


def _written_out(numbers: Sequence[tuple[int, bool]], columns: int) -> list[NamedRow]:
    """Return rows of at most so many bars; in each the bars' numbers run on."""
    rows: list[list[int]] = []
    for bar, (number, begins) in enumerate(numbers):
        before = numbers[bar - 1][0] if bar else number
        if rows and len(rows[-1]) < columns and (number == before + 1 or not begins):
            rows[-1].append(bar)
        else:
            rows.append([bar])
    return [(str(numbers[row[0]][0]), tuple(row)) for row in rows]
