"""A level as a chart: where each bar line, chord, word and diagram stands, in mm.

Conventions.  A row is a phrase of four bars at most, behind a column for the pick-up and the name
of the section.  All bars of a chart are equally wide, and all that belongs to a beat stands flush
left on it, so that bar 7 stands under bar 3; a row whose chords or words would touch takes two rows
of bars twice as wide.  A second ending stands under the first.  x runs right from the text's left
edge, y down from the top of the bar line.  In large print two bars share a row that is set larger.
"""

from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import replace
from itertools import groupby
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.functions import functions_of
from harmonykit.arrange.written import (
    WrittenBar,
    in_signs,
    printed_numbers,
    ringing_upbeats,
    written_bars,
)
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout import bars as sheet
from harmonykit.lesson.handout import once, phrases, strum
from harmonykit.lesson.handout.figures import LARGE, Figures
from harmonykit.lesson.handout.over import Over, boxes_over, frets_over
from harmonykit.lesson.handout.signs import Signs
from harmonykit.lesson.handout.tab import tab_of
from harmonykit.tune.analysis.numerals import printed_numeral
from harmonykit.tune.bar import bar_length, beat_length

ROW_MM, LEAD_MM, COLUMNS = 174.0, 12.0, 4
BAR_MM = 12.0
"""How high a bar line is: it stands beside the chords alone."""

_BOX_UP_MM, _ENDING_MM, _SIGN_MM, _LEAST_UP_MM = 3.0, 8.4, 5.2, 1.0
_WORDS_Y, _VERSE_MM, _TAB_Y, _STRING_MM = 17.4, 5.6, 15.6, 2.9
# How much lower a letter is in type of a point less; and a letter with the air over it.
_CAP_MM, _DEEP_MM, _LARGE_TAB_Y = 0.25, 0.44, 15.0
_NUMERAL_MM = 3.8
_LATE_WORD_MM, _NAME_MM, _INSIDE_MM = 7.5, 6.0, 36.0
# What closes a bar before its last line: dots, a second line; and a stroke under a name.
_DOTS_MM, _DOUBLE_MM, _UNDER_MM = 1.8, 1.2, 13.6
# Chords, and words, in points, the largest first; a chart has one size of each.
NAMES, WORDS = (18.0, 16.0, 14.0, 13.0), (13.0, 12.0, 11.0, 10.5, 10.0, 9.0)
_CROWDED, _TIGHT = (*NAMES[1:], 11.5, 10.0), NAMES[2]
# In large print less is set large enough, so that crowded names stand near their beats.
_LARGE_NAMES, _NEAR_MM = (*NAMES, 12.0, 11.5), 2.5
Size = tuple[float, float]
# A row, and its bars as they are set.
Filled = tuple[sheet.Row, list[Any]]


def _share_of(written: WrittenBar) -> float:
    """Return how much of a whole bar a bar is."""
    return float(written.bar.length / bar_length(written.bar.meter))


class Chart:
    """A level's chart.

    Parameters
    ----------
    way : Arrangement
    figures : Figures
        Takes in the diagrams.
    boxes : Over or bool
        Which diagrams stand over the first bars of their shapes; with ``True`` all of them.
    melody : bool
        Whether the melody stands under the chords, as fret numbers on the strings.
    tight : bool
        Whether crowded chords may stand a little beside their beats, in smaller type, so that a
        long tune keeps to its page.
    numerals : bool
        Whether Roman numerals stand below, under each change and at the start of a row.
    even : bool
        Whether all rows have bars as wide as those that need the most room.
    """

    def __init__(self, way: Arrangement, figures: Figures, **form: Any) -> None:
        self.way, self.figures = way, figures
        self.scale = LARGE if figures.large else 1.0
        self.row = ROW_MM / self.scale
        self.columns = int(COLUMNS / self.scale)
        self.once = once.print_once(way, written_bars(way))
        self.bars = self.once.bars
        self.signs = Signs(way, self.once)
        self.played, self.sings = way.bars(), way.is_melody
        self.cells: dict[tuple[int, int], tuple[sheet.Cell, ...]] = {}
        room = (self.row - LEAD_MM) / self.columns - sheet.BEFORE_MM - sheet.AFTER_MM
        self.plans = list(phrases.row_plans(way.tune, self.bars, self.columns))
        upbeats = [bar for plan in self.plans for bar, column in plan if column < 0]
        lead = max(
            (_share_of(bar) * room + sheet.AFTER_MM * bool(bar.number) for bar in upbeats),
            default=0,
        )
        self.lead = max(LEAD_MM, lead)
        self.column = (self.row - self.lead) / self.columns
        # Under these another chord rings on each time: none is named.
        self.ring = ringing_upbeats(way) if in_signs(way) else frozenset()
        margins = sheet.BEFORE_MM, sheet.AFTER_MM
        self.strum = strum.strum_of(way, self.lead, self.column, self.columns, margins)
        self.places: dict[tuple[object, ...], sheet.Row] = {}
        self.known: dict[tuple[bool, bool], tuple[Size, list[Filled]]] = {}
        self._form(**form)

    def _form(
        self,
        *,
        boxes: Over | bool = True,
        melody: bool = False,
        tight: bool = False,
        numerals: bool = False,
        even: bool = False,
    ) -> None:
        self.boxes, self.tight, self.even = Over() if boxes is True else boxes, tight, even
        self.tab = tab_of(self.way) if melody or self.sings else {}
        told = zip(self.way.steps, functions_of(self.way), strict=True) if numerals else ()
        self.numerals = {step.onset: printed_numeral(one.numeral) for step, one in told}
        self.drawn: set[Voicing] = set()
        self.named: dict[str, Voicing] = {}

    def formed(self, **form: Any) -> "Chart":
        """Return the chart in another form; bars, their places and the strum are found once."""
        other = copy(self)
        other._form(**form)
        return other

    def data(self) -> dict[str, Any]:
        """Return the chart as plain data: its rows, its sizes of type, and the strum."""
        key = self.tight, self.even
        if key not in self.known:
            size = self._size()
            self.known[key] = size, list(self._filled(list(self._rows(size)), size))
        size, filled = self.known[key]
        placed = [self._row(row, bars, size) for row, bars in filled]
        strings = self.way.instrument.labels if self.tab else ()
        wide = [bar.column for row, _ in filled for bar in row]
        said = list(self.strum["said"])
        if any(bar["under"] for row in placed for bar in row["bars"]):
            said.append("slash below a chord: a beat")
        return {
            "rows": placed, "name": size[0], "word": size[1], "tab": list(strings),
            "strum": self.strum | {"said": said},
            "order": list(self.once.order), "again": self.signs.said_again(),
            "lead": self.lead + sheet.BEFORE_MM,
            "wide": max(wide) > self.column + 0.01, "mixed": max(wide) > min(wide) + 0.01,
        }  # fmt: skip

    # ------------------------------------------------------------ rows

    def _size(self) -> Size:
        """Return the sizes of names and of words."""
        laid = [self._laid(plan, 1) for plan in self.plans]
        near = _LARGE_NAMES if self.tight and self.scale > 1 else ()
        name = self._name_size(near, laid, _NEAR_MM) or self._name_size(NAMES, laid)
        if name is None and self.tight:
            name = _TIGHT
        if name is None:
            alone = [self._laid([one], self.columns)[0] for plan in self.plans for one in plan]
            name = next((n for n in _CROWDED if all(self._alone(b, n) for b in alone)), 10.0)
        words = [w for w in WORDS if w * self.scale >= self.figures.least]
        word = next((w for w in words if all(self._words_fit(row, w) for row in laid)), words[-1])
        return name, word

    def _laid(self, plan: phrases.Plan, times: int) -> sheet.Row:
        """Return bars with their places, found once; ``times`` as wide as a column."""
        key = times, *((bar.index, bar.number, column) for bar, column in plan)
        if key not in self.places:
            self.places[key] = self._placed(plan, times)
        return self.places[key]

    def _placed(self, plan: phrases.Plan, times: int) -> sheet.Row:
        found: list[sheet.ChartBar] = []
        first = min((c for _, c in plan if c >= 0), default=0)
        for bar, column in plan:
            cells, tail = self._cells(bar), self._tail(bar)
            if column < 0:
                one = sheet.ChartBar(bar, cells, 0.0, self.column, tail)
                one = replace(one, x=self.lead - one.wide)
            else:
                at = column if times == 1 else (column - first) * times
                one = sheet.ChartBar(
                    bar, cells, self.lead + at * self.column, times * self.column, tail
                )
                if found and not bar.begins and found[-1].bar.number == bar.number:
                    one = replace(one, x=found[-1].end)
            found.append(one)
        return tuple(found)

    def _tail(self, bar: WrittenBar) -> float:
        """Return how far what closes a bar reaches in before its last line."""
        if self.signs.closes(bar):
            return _DOTS_MM
        return _DOUBLE_MM if self.signs.section_ends(bar) or bar is self.bars[-1] else 0.0

    def _rows(self, size: Size) -> Iterator[sheet.Row]:
        """Yield rows as they are, or in bars of two or four columns where things would touch."""
        needed = [(plan, self._times(plan, size)) for plan in self.plans]
        # Endings stand under one another: their bars are equally wide.
        for _, run in groupby(needed, key=lambda one: any(bar.bar.ending for bar, _ in one[0])):
            rows = list(run)
            ends = any(bar.bar.ending for bar, _ in rows[0][0])
            most = max(own for _, own in (needed if self.even else rows))
            for plan, own in rows:
                yield from self._split(plan, most if ends or self.even else own)

    def _split(self, plan: phrases.Plan, times: int) -> list[sheet.Row]:
        """Return a row as rows of bars so many columns wide."""
        count = max(1, self.columns // times)
        parts = [plan] if times == 1 else phrases.parts_of_row(plan, count)
        return [self._laid(part, times) for part in parts]

    def _times(self, plan: phrases.Plan, size: Size) -> int:
        """Return how many columns the bars of a row need, so that nothing touches."""
        wide = [times for times in (1, 2, 4) if times < self.columns]
        fit = (t for t in wide if all(self._fits(row, size) for row in self._split(plan, t)))
        return next(fit, self.columns)

    def _fits(self, row: sheet.Row, size: Size) -> bool:
        """Whether no name and no word of a row touches the next."""
        return self._names_fit(row, size[0]) and self._words_fit(row, size[1])

    def _name_size(
        self, sizes: Sequence[float], rows: Sequence[sheet.Row], late: float = sheet.LATE_MM
    ) -> float | None:
        """Return the size at which names cover the fewest beats, the largest of those; or none."""
        fit = (n for n in sizes if all(self._names_fit(row, n, late) for row in rows))
        bars, covered = [bar for row in rows for bar in row], dict[float, int]()
        for size in fit:
            covered[size] = sum(len(sheet.slashes_in(bar, size)[1]) for bar in bars)
            if not covered[size]:
                break
        return min(covered, key=covered.__getitem__, default=None)

    def _names_fit(self, row: sheet.Row, size: float, late: float = sheet.LATE_MM) -> bool:
        if not self.tight:
            return all(sheet.names_fit(bar, size) for bar in row)
        return all(
            abs(name["x"] - x) <= late and name["x"] + name["wide"] < bar.clear + 0.01
            for bar in row
            for name, (_, x) in zip(sheet.names_in(bar, size), bar.named, strict=True)
        )

    def _words_fit(self, row: sheet.Row, size: float) -> bool:
        verses = sheet.verses_in(row, size, self.row, self.once.verses)
        return all(
            late <= _LATE_WORD_MM and end <= self.row + 0.5
            for verse in verses
            for _, late, end, _ in verse
        )

    def _alone(self, bar: sheet.ChartBar, size: float) -> bool:
        """Return whether a bar fits that has a row for itself, its chords pushed together."""
        wide = sum(
            sheet.name_wide(cell.name, size) + sheet.GAP_MM for cell in bar.cells if cell.name
        )
        return wide < bar.wide - sheet.BEFORE_MM

    def _cells(self, bar: WrittenBar) -> tuple[sheet.Cell, ...]:
        """Return the chords of a bar, found once; one that is written twice running is one."""
        place = bar.index, bar.number
        if place not in self.cells:
            self.cells[place] = tuple(self._found(bar))
        return self.cells[place]

    def _found(self, bar: WrittenBar) -> Iterator[sheet.Cell]:
        onset = self.way.tune.playing[bar.index].onset
        before: tuple[object, ...] | None = None
        chord: object = None
        for step in self.played[bar.index]:
            now = (step.chord, step.voicing, step.added)
            if now != before:
                names = not self.sings or before is None or step.chord != chord
                # A rest of a melody, and of a pick-up, is no silence of the chords.
                bare = self.sings or not bar.number
                names = names and not (bare and step.chord is None) and bar.index not in self.ring
                yield sheet.Cell(step, step.onset - onset, names)
                chord = step.chord
            before = now

    def two_bars(self, first: int, left: float) -> dict[str, Any]:
        """Return two bars played one after the other, from a place among all played, as a loop.

        They fill the row from ``left`` on, with counts on their beats.
        """
        column = (self.row - left) / 2
        row: list[sheet.ChartBar] = []
        for index in (first, first + 1):
            bar = self._bar_at(index)
            x = row[-1].end if row else left
            row.append(sheet.ChartBar(bar, self._cells(bar), x, column, _DOTS_MM if row else 0.0))
        sizes = (*NAMES, *_CROWDED)
        size = self._name_size(sizes, [tuple(row)]) or sizes[-1], WORDS[0]
        bars = [self._bar(bar, size, tuple(row), last=False) for bar in row]
        plain: dict[str, Any] = {"ending": None, "over": [], "after": [], "times": 0, "meter": ""}
        for place, one in enumerate(bars):
            one |= plain | {"open": ("repeat", "bar")[place], "close": ("", "repeat")[place]}
        counts = []
        for laid in row:
            beat = beat_length(laid.bar.bar.meter)
            count = int(laid.bar.bar.length / beat)
            counts += [{"x": laid.at(n * beat), "text": str(n + 1)} for n in range(count)]
        return {"bars": bars, "counts": counts, "name": size[0], "left": left}

    def _bar_at(self, index: int) -> WrittenBar:
        """Return the written bar that is played at a place."""
        number, begins = printed_numbers(self.way)[index]
        bar = self.way.tune.playing[index].bar
        return WrittenBar(index, number, begins, "", opens=False, bar=bar.plain())

    # ------------------------------------------------------------ what stands in a row

    def _filled(self, rows: Sequence[sheet.Row], size: Size) -> Iterator[Filled]:
        """Yield each row with its bars as they are set."""
        for row in rows:
            yield row, [self._bar(bar, size, row, last=row is rows[-1]) for bar in row]

    def _row(self, row: sheet.Row, bars: list[Any], size: Size) -> dict[str, Any]:
        how = self.boxes
        boxes = boxes_over(row, self.figures, self.drawn, self.row, how) if how else []
        said = self.signs
        ending = any(bar.bar.bar.ending for bar in row)
        signs = any(said.over(bar.bar) or said.after(bar.bar) for bar in row)
        low = _ENDING_MM if ending else _SIGN_MM if signs else _LEAST_UP_MM
        # What is said at the end of an ending stands within its bracket, or over a short one.
        over_it = [bar for bar in row if bar.bar.bar.ending and bar.wide < _INSIDE_MM]
        low += _SIGN_MM if any(said.after(bar.bar) for bar in over_it) else 0.0
        met = said.meet(row, boxes)
        over = (low if met else 0.0) + _BOX_UP_MM
        room = up = max([low, *(box["high"] + over for box in boxes)])
        verses = list(sheet.verses_in(row, size[1], self.row, self.once.verses))
        tab = self._tab(row)
        strings = len(self.way.instrument.strings) - 1
        # In large print all stands as close as its size allows.
        small = WORDS[0] - size[1] if self.scale > 1 else 0.0
        top = _TAB_Y if self.scale == 1 else _LARGE_TAB_Y
        deep = top + strings * _STRING_MM if tab else 0.0
        words = max(_WORDS_Y - small * _CAP_MM, deep + 6.4 - small * _DEEP_MM) if verses else 0.0
        pitch = _VERSE_MM * (1 - small / WORDS[0])
        down = words + (len(verses) - 1) * pitch + 1.2 if verses else max(BAR_MM, deep + 1.4)
        numerals = list(sheet.numerals_in(row, self.numerals))
        below = (down if verses or tab else BAR_MM) + _NUMERAL_MM
        down = below + 0.8 if numerals else down
        if any(bar["under"] for bar in bars):
            down = max(down, _UNDER_MM)
        printed = next((said.section(bar.bar) for bar in row if bar.bar.opens), "")
        short = text_width(printed, 13.0, SEMIBOLD) < self.lead - 2
        beside = "beside" if short and row[0].bar.number else "before" if short else "over"
        # A name beside the first row has the air under the page's head over it.
        first = self.scale > 1 and beside == "beside" and row[0].bar is self.bars[0]
        air = _NAME_MM * bool(printed and not first)
        up = up + _NAME_MM if beside == "over" and printed else max(up, air)
        return {
            "bars": bars,
            "boxes": [box | {"over": over} for box in boxes],
            "frets": self._frets(row, bars, boxes, room),
            "words": [[{"x": x, "text": t} for x, _, _, t in verse] for verse in verses],
            "wordsAt": words,
            "pitch": pitch,
            "numerals": numerals,
            "numeralsAt": below,
            "tab": tab,
            "tabAt": top,
            "section": printed,
            "beside": beside,
            "left": max(row[0].x, 0.0),
            "end": row[-1].end,
            "up": up,
            "down": down,
        }  # fmt: skip

    def _frets(
        self, row: sheet.Row, bars: list[Any], boxes: list[Any], room: float
    ) -> list[dict[str, Any]]:
        """Return the frets that stand over a row where shapes have no diagram yet."""
        if not self.boxes:
            return []
        space = self.figures.least / self.scale, room
        return frets_over(row, bars, self.drawn, self.named, boxes, self.boxes, space)

    def _bar(self, bar: sheet.ChartBar, size: Size, row: sheet.Row, *, last: bool) -> Any:
        written, place, signs = bar.bar.bar, row.index(bar), self.signs
        after = row[place + 1] if place + 1 < len(row) else None
        opens, closes = signs.opens(bar.bar), signs.closes(bar.bar)
        final = last and after is None
        over = bar.bar.index == signs.ends
        close = "repeat" if closes else "end" if over else "double" if final else ""
        if not close and after is None:
            close = "double" if signs.section_ends(bar.bar) else "bar"
        names = list(sheet.names_in(bar, size[0]))
        slashes, under = sheet.slashes_in(bar, size[0])
        return {
            "x": bar.x, "end": bar.end,
            "label": signs.label(bar.bar), "meter": signs.meter(bar.bar),
            "open": "repeat" if opens else "" if not bar.bar.number else "bar",
            "close": close, "names": names,
            "slashes": slashes, "under": under,
            "rests": [bar.at(c.at) for c in bar.cells if not bar.bar.number and not c.step.chord],
            "ending": signs.ending(bar.bar),
            "times": closes if closes > 2 and not written.ending else 0,
            "over": signs.over(bar.bar), "after": signs.after(bar.bar),
            "holds": [bar.at(at) for at in written.fermatas],
        }  # fmt: skip

    def _tab(self, row: sheet.Row) -> list[dict[str, Any]]:
        """Return the fret numbers of a row: x, string from the top line down, fret."""
        last = len(self.way.instrument.strings) - 1
        return [
            {"x": bar.at(at), "line": last - string, "text": str(fret)}
            for bar in row
            for at, string, fret in self.tab.get(bar.bar.index, ())
        ]
