"""A level as a chart: where each bar line, chord, word and diagram stands, in mm.

Conventions.  A row is a phrase of four bars at most, behind a column for the pick-up and the name
of the section.  All bars of a chart are equally wide, and all that belongs to a beat stands flush
left on it, so that bar 7 stands under bar 3; a row whose chords or words would touch takes two rows
of bars twice as wide.  A second ending stands under the first.  x runs right from the text's left
edge, y down from the top of the bar line.  In large print two bars share a row that is set larger.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from typing import Any

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.functions import functions_of
from harmonykit.arrange.written import (
    WrittenBar,
    in_signs,
    printed_numbers,
    written_bars,
)
from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.base.style import SEMIBOLD
from harmonykit.draw.shapes.box_look import BoxLook
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.figures import LARGE, Figures
from harmonykit.tune.analysis.numerals import printed_numeral
from harmonykit.tune.bar import JUMPS, bar_length, beat_length
from harmonykit.tune.groove.spoken import syllable
from harmonykit.tune.groove.strokes import MUTED, ROLLED, STOPPED, Stroke
from harmonykit.tune.groove.suited import in_meter
from harmonykit.tune.groove.value import Groove
from harmonykit.tune.tune import PICKUP, Tune

ROW_MM, LEAD_MM, COLUMNS = 174.0, 12.0, 4
BAR_MM = 12.0
"""How high a bar line is: it stands beside the chords alone."""

NO_CHORD = "N.C."
# From the bar line to the first beat, and from the end of the last one to the next line.
_BEFORE_MM, _AFTER_MM = 2.5, 2.4
_REPEAT_MM = 2.2
# A stroke close to a symbol would read as that of a slash chord.
_SLASH_MM, _GAP_MM, _CLEAR_MM = 1.6, 1.0, 2.4
_BOX_UP_MM, _BOX_GAP_MM, _ENDING_MM, _SIGN_MM, _LEAST_UP_MM = 3.0, 2.6, 8.4, 5.2, 1.0
_WORDS_Y, _VERSE_MM, _TAB_Y, _STRING_MM = 17.4, 5.6, 15.6, 2.9
_NUMERAL_MM, _NUMERAL_PT = 3.8, 10.0
_LATE_MM, _LATE_WORD_MM, _NAME_MM = 5.0, 7.5, 6.0
# Chords, and words, in points, the largest first; a chart has one size of each.
NAMES, WORDS = (18.0, 16.0, 14.0, 13.0), (13.0, 12.0, 11.0, 10.5, 10.0, 9.0)
# Under so many points words may begin so much before their notes.
_EARLY_PT, _EARLY_MM = 11.0, 4.0
_CROWDED, _TIGHT = (*NAMES[1:], 11.5, 10.0), NAMES[2]
Size = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Cell:
    """A chord of a bar, from a place on, in quarters."""

    step: Step
    at: Fraction
    names: bool = True

    @property
    def name(self) -> str:
        """The printed symbol; none over a melody note alone."""
        if self.step.alone or not self.names:
            return ""
        return self.step.chord.unicode if self.step.chord else NO_CHORD


@dataclass(frozen=True, slots=True)
class ChartBar:
    """A written bar with its chords, in its row: how wide a column is, and where it begins."""

    bar: WrittenBar
    cells: tuple[Cell, ...]
    x: float
    column: float

    @property
    def whole(self) -> Fraction:
        """A bar of the metre, in quarters."""
        return bar_length(self.bar.bar.meter)

    @property
    def wide(self) -> float:
        """How wide it is: a short bar is drawn short."""
        length = self.bar.bar.length
        if length >= self.whole:
            return self.column
        after = _AFTER_MM if self.bar.number else 0.0
        return _BEFORE_MM + float(length / self.whole) * self._room + after

    @property
    def _room(self) -> float:
        return self.column - _BEFORE_MM - _AFTER_MM

    @property
    def end(self) -> float:
        """Where its last line stands."""
        return self.x + self.wide

    def at(self, place: Fraction) -> float:
        """Where a place of the bar stands, in quarters from its start."""
        return self.x + _BEFORE_MM + float(place / self.whole) * self._room


Row = tuple[ChartBar, ...]


class Chart:
    """A level's chart.

    Parameters
    ----------
    way : Arrangement
    figures : Figures
        Takes in the diagrams.
    boxes : bool
        Whether a diagram stands over the first bar of each shape; never in large print.
    melody : bool
        Whether the melody stands under the chords, as fret numbers on the strings.
    tight : bool
        Whether crowded chords may stand a little beside their beats, in smaller type, so that a
        long tune keeps to its page.
    numerals : bool
        Whether Roman numerals stand below, under each change and at the start of a row.
    """

    def __init__(
        self,
        way: Arrangement,
        figures: Figures,
        *,
        boxes: bool = True,
        melody: bool = False,
        tight: bool = False,
        numerals: bool = False,
    ) -> None:
        self.way, self.figures, self.tight = way, figures, tight
        self.scale = LARGE if figures.large else 1.0
        self.row = ROW_MM / self.scale
        self.columns = int(COLUMNS / self.scale)
        self.bars = written_bars(way)
        self.boxes = boxes and not figures.large
        self.tab = tab_of(way) if melody or way.is_melody else {}
        first = self.bars[0].bar
        short = float(first.length / bar_length(first.meter)) if not self.bars[0].number else 0.0
        lead = short * ((self.row - LEAD_MM) / self.columns - _BEFORE_MM - _AFTER_MM)
        self.lead = max(LEAD_MM, lead)
        self.column = (self.row - self.lead) / self.columns
        self.place = {bar.index: n for n, bar in enumerate(self.bars)}
        # The piece ends with the bar that is played last, wherever it stands.
        turns = way.tune.form.turns if in_signs(way) else ()
        played = {(turn.part, turn.bar): n for n, turn in reversed([*enumerate(turns)])}
        self.ends = played[turns[-1].part, turns[-1].bar] if turns else self.bars[-1].index
        self.drawn: set[Voicing] = set()
        told = zip(way.steps, functions_of(way), strict=True) if numerals else ()
        self.numerals = {step.onset: printed_numeral(one.numeral) for step, one in told}

    @property
    def several(self) -> bool:
        """Whether the tune has several sections, whose names are printed."""
        return len({bar.section for bar in self.bars if bar.section != PICKUP}) > 1

    def data(self) -> dict[str, Any]:
        """Return the chart as plain data: its rows, its sizes of type, and the strum."""
        plans = list(self._plans())
        laid = [self._laid(plan, 1) for plan in plans]
        name = next((n for n in NAMES if all(self._names_fit(row, n) for row in laid)), None)
        if name is None and self.tight:
            name = _TIGHT
        if name is None:
            alone = [self._laid([one], self.columns)[0] for plan in plans for one in plan]
            name = next((n for n in _CROWDED if all(self._alone(b, n) for b in alone)), 10.0)
        word = next((w for w in WORDS if all(self._words_fit(row, w) for row in laid)), WORDS[-1])
        size = name, word
        rows = [row for plan in plans for row in self._split(plan, size)]
        placed = [self._row(row, size, last=row is rows[-1]) for row in rows]
        strings = self.way.instrument.labels if self.tab else ()
        return {
            "rows": placed, "name": size[0], "word": size[1], "tab": list(strings),
            "strum": self._strum(),
        }  # fmt: skip

    # ------------------------------------------------------------ rows

    def _plans(self) -> Iterator[list[tuple[WrittenBar, int]]]:
        """Yield rows of bars, each with its column; -1 for a pick-up."""
        row: list[tuple[WrittenBar, int]] = []
        column, under = 0, 0
        for bar, starts in zip(self.bars, _phrase_starts(self.way.tune, self.bars), strict=True):
            before = row[-1][0].bar if row else None
            ending = bar.bar.ending
            if row and (starts or column >= self.columns):
                yield row
                row, column = [], 0
            if ending and before is not None and not before.ending:
                under = column
            elif ending and before is not None and before.ending != ending:
                if row:
                    yield row
                row, column = [], under
            if not bar.number and not row:
                row.append((bar, -1))
                continue
            half = not bar.begins and row and bar.number == row[-1][0].number
            row.append((bar, column - 1 if half else column))
            column += not half
        if row:
            yield row

    def _laid(self, plan: Sequence[tuple[WrittenBar, int]], times: int) -> Row:
        """Return bars with their places; ``times`` as wide as a column."""
        found: list[ChartBar] = []
        first = min((c for _, c in plan if c >= 0), default=0)
        for bar, column in plan:
            cells = tuple(self._cells(bar))
            if column < 0:
                one = ChartBar(bar, cells, 0.0, self.column)
                one = replace(one, x=self.lead - one.wide)
            else:
                at = column if times == 1 else (column - first) * times
                one = ChartBar(bar, cells, self.lead + at * self.column, times * self.column)
                if found and not bar.begins and found[-1].bar.number == bar.number:
                    one = replace(one, x=found[-1].end)
            found.append(one)
        return tuple(found)

    def _split(self, plan: list[tuple[WrittenBar, int]], size: Size) -> Iterator[Row]:
        """Yield a row as it is, or in bars of two or four columns where things would touch."""
        for times in (1, 2, 4):
            count = max(1, self.columns // times)
            parts = [plan] if times == 1 else list(_parts(plan, count))
            rows = [self._laid(part, min(times, self.columns)) for part in parts]
            if times >= self.columns or all(self._fits(row, size) for row in rows):
                yield from rows
                return

    def _fits(self, row: Row, size: Size) -> bool:
        """Whether no name and no word of a row touches the next."""
        return self._names_fit(row, size[0]) and self._words_fit(row, size[1])

    def _names_fit(self, row: Row, size: float) -> bool:
        for bar in row:
            cells = [cell for cell in bar.cells if cell.name]
            if self.tight:
                names = zip(self._names(bar, (size, 0)), cells, strict=True)
                if any(abs(name["x"] - bar.at(cell.at)) > _LATE_MM for name, cell in names):
                    return False
                continue
            spans = [(bar.at(c.at), self._wide(c.name, size)) for c in cells]
            edges = [*(x for x, _ in spans[1:]), bar.end - 0.5 + _GAP_MM][: len(spans)]
            if any(x + wide + _GAP_MM > e for (x, wide), e in zip(spans, edges, strict=True)):
                return False
        return True

    def _words_fit(self, row: Row, size: float) -> bool:
        verses = self._verses(row, size)
        return all(
            late <= _LATE_WORD_MM and end <= self.row + 0.5
            for verse in verses
            for _, late, end, _ in verse
        )

    def _alone(self, bar: ChartBar, size: float) -> bool:
        """Return whether a bar fits that has a row for itself, its chords pushed together."""
        wide = sum(self._wide(cell.name, size) + _GAP_MM for cell in bar.cells if cell.name)
        return wide < bar.wide - _BEFORE_MM

    def _wide(self, text: str, size: float) -> float:
        return text_width(text, size, SEMIBOLD)

    def _cells(self, bar: WrittenBar) -> Iterator[Cell]:
        """Yield the chords of a bar; one that is written twice running is one."""
        onset = self.way.tune.playing[bar.index].onset
        before: tuple[object, ...] | None = None
        chord: object = None
        for step in self.way.bars()[bar.index]:
            now = (step.chord, step.voicing, step.added)
            if now != before:
                names = not self.way.is_melody or before is None or step.chord != chord
                # A rest of a melody, and of a pick-up, is no silence of the chords.
                bare = self.way.is_melody or not bar.number
                names = names and not (bare and step.chord is None)
                yield Cell(step, step.onset - onset, names)
                chord = step.chord
            before = now

    def two_bars(self, first: int, left: float) -> dict[str, Any]:
        """Return two bars played one after the other, from a place among all played, as a loop.

        They fill the row from ``left`` on, with counts on their beats.
        """
        column = (self.row - left) / 2
        row: list[ChartBar] = []
        for index in (first, first + 1):
            bar = self._bar_at(index)
            x = row[-1].end if row else left
            row.append(ChartBar(bar, tuple(self._cells(bar)), x, column))
        sizes = (*NAMES, *_CROWDED)
        size = next((n for n in sizes if self._names_fit(tuple(row), n)), sizes[-1]), WORDS[0]
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

    def _row(self, row: Row, size: Size, *, last: bool) -> dict[str, Any]:
        boxes = list(self._boxes(row)) if self.boxes else []
        ending = any(bar.bar.bar.ending for bar in row)
        signs = any(_over(bar.bar) or _after(bar.bar) for bar in row)
        low = _ENDING_MM if ending else _SIGN_MM if signs else _LEAST_UP_MM
        over = (low if ending or signs else 0.0) + _BOX_UP_MM
        up = max([low, *(box["high"] + over for box in boxes)])
        verses = list(self._verses(row, size[1]))
        tab = self._tab(row)
        strings = len(self.way.instrument.strings) - 1
        deep = _TAB_Y + strings * _STRING_MM if tab else 0.0
        words = max(_WORDS_Y, deep + 6.4) if verses else 0.0
        down = words + (len(verses) - 1) * _VERSE_MM + 1.2 if verses else max(BAR_MM, deep + 1.4)
        numerals = list(self._numerals(row))
        below = (down if verses or tab else BAR_MM) + _NUMERAL_MM
        down = below + 0.8 if numerals else down
        section = next((bar.bar.section for bar in row if bar.bar.opens), "")
        printed = section if self.several and section != PICKUP else ""
        short = text_width(printed, 13.0, SEMIBOLD) < self.lead - 2
        beside = "beside" if short and row[0].bar.number else "before" if short else "over"
        up = up + _NAME_MM if beside == "over" and printed else max(up, _NAME_MM * bool(printed))
        return {
            "bars": [self._bar(bar, size, row, last=last) for bar in row],
            "boxes": [box | {"over": over} for box in boxes],
            "words": [[{"x": x, "text": t} for x, _, _, t in verse] for verse in verses],
            "wordsAt": words,
            "numerals": numerals,
            "numeralsAt": below,
            "tab": tab,
            "section": printed,
            "beside": beside,
            "left": max(row[0].x, 0.0),
            "end": row[-1].end,
            "up": up,
            "down": down,
        }  # fmt: skip

    def _numerals(self, row: Row) -> Iterator[dict[str, Any]]:
        """Yield the numerals of a row: its first, and each where it changes."""
        before, edge = "", 0.0
        for bar in row:
            for cell in bar.cells:
                text = self.numerals.get(cell.step.onset, "") if cell.name else ""
                if text and text != before:
                    x = max(bar.at(cell.at), edge)
                    edge = x + text_width(text, _NUMERAL_PT) + _GAP_MM
                    before = text
                    yield {"x": x, "text": text}

    def _bar(self, bar: ChartBar, size: Size, row: Row, *, last: bool) -> Any:
        written, place = bar.bar.bar, row.index(bar)
        after = row[place + 1] if place + 1 < len(row) else None
        opens = self._opens(bar.bar)
        final = last and after is None
        over = bar.bar.index == self.ends
        close = "repeat" if written.closes else "end" if over else "double" if final else ""
        if not close and after is None:
            close = "double" if self._section_ends(bar.bar) else "bar"
        names = list(self._names(bar, size))
        label = str(bar.bar.number) if bar.bar.begins and bar.bar.number else ""
        meter = self._meter(bar.bar)
        return {
            "x": bar.x, "end": bar.end, "label": label, "meter": meter,
            "open": "repeat" if opens else "" if not bar.bar.number else "bar",
            "close": close, "names": names,
            "slashes": list(self._slashes(bar, size)),
            "rests": [bar.at(c.at) for c in bar.cells if not bar.bar.number and not c.step.chord],
            "ending": self._ending(bar.bar),
            "times": written.closes if written.closes > 2 and not written.ending else 0,
            "over": _over(bar.bar), "after": _after(bar.bar),
            "holds": [bar.at(at) for at in written.fermatas],
        }  # fmt: skip

    def _names(self, bar: ChartBar, size: Size) -> Iterator[dict[str, Any]]:
        """Yield the chords of a bar, each on its beat, or beside it where there is no room."""
        cells = [cell for cell in bar.cells if cell.name]
        wide = [self._wide(cell.name, size[0]) for cell in cells]
        places = [bar.at(cell.at) for cell in cells]
        edge = 0.0
        for n, x in enumerate(places):
            places[n] = max(x, edge)
            edge = places[n] + wide[n] + _GAP_MM
        edge = max(bar.end, bar.x + _BEFORE_MM + sum(wide)) - 0.5
        for n in reversed(range(len(places) if bar.bar.number else 0)):
            places[n] = min(places[n], edge - wide[n])
            edge = places[n] - _GAP_MM
        for cell, x, across in zip(cells, places, wide, strict=True):
            step = cell.step
            yield {
                "x": x, "text": cell.name, "wide": across,
                "added": step.added and step.chord != step.written,
                "silent": step.chord is None,
            }  # fmt: skip

    def _slashes(self, bar: ChartBar, size: Size) -> Iterator[float]:
        """Yield where a beat falls on which no chord begins, unless a name covers it."""
        written = bar.bar.bar
        beat = beat_length(written.meter)
        start = -written.length % beat if not bar.bar.number else Fraction(0)
        taken = [(name["x"], name["x"] + name["wide"]) for name in self._names(bar, size)]
        begun = {cell.at for cell in bar.cells if cell.name}
        silent = [cell.at for cell in bar.cells if cell.step.chord is None]
        at = start
        while at < written.length:
            quiet = silent and at >= silent[0] and len(bar.cells) == 1
            if at not in begun and not quiet:
                ends = [end for x, end in taken if x < bar.at(at)]
                x = max([bar.at(at), *(end + _CLEAR_MM for end in ends)])
                nexts = [x2 for x2, _ in taken if x2 > bar.at(at)] + [bar.end]
                if x - bar.at(at) < _LATE_MM and x + _SLASH_MM + 0.6 < min(nexts):
                    yield x
            at += beat

    def _boxes(self, row: Row) -> Iterator[dict[str, Any]]:
        """Yield the diagrams of shapes that come first in a row, none over another."""
        edge = 0.0
        found: list[dict[str, Any]] = []
        for bar in row:
            for cell in bar.cells:
                shape = cell.step.voicing
                if shape is None or cell.step.alone or shape in self.drawn:
                    continue
                self.drawn.add(shape)
                box = self.figures.box(shape, BoxLook(size="over", notes=False), marks="plain")
                left, _ = box.origin_mm
                wide = box.width_mm - 2 * left
                x = max(bar.at(cell.at), edge)
                edge = x + wide + _BOX_GAP_MM + left * 0.55
                found.append(
                    {"x": x, "wide": wide, "left": left, "high": box.height_mm,
                     "box": self.figures.add(box, large=1.0)}
                )  # fmt: skip
        limit = self.row - 1.8
        for box in reversed(found):
            box["x"] = min(box["x"], limit - box["wide"])
            limit = box["x"] - _BOX_GAP_MM - box["left"] * 0.55
        yield from found

    def _verses(self, row: Row, size: float) -> Iterator[list[tuple[float, float, float, str]]]:
        """Yield the words of each verse: x, how late against its note, where it ends, the text.

        In small type a word may begin before its note, so that those after it are not late.
        """
        early = _EARLY_MM if size < _EARLY_PT else 0.0
        numbers = sorted({w.verse for bar in row for n in bar.bar.melody for w in n.words})
        for verse in numbers:
            sung = [
                (bar.at(note.at), word.text + ("-" if word.goes_on else ""))
                for bar in row
                for note in bar.bar.melody
                for word in note.words
                if word.verse == verse and word.text
            ]
            wide = [text_width(text, size) for _, text in sung]
            places, edge = [], 0.0
            for (at, _), across in zip(sung, wide, strict=True):
                places.append(max(at - early, edge))
                edge = places[-1] + across + _GAP_MM
            edge = self.row + 0.5 + _GAP_MM
            for n in reversed(range(len(places))):
                places[n] = max(places[n], min(sung[n][0], edge - wide[n] - _GAP_MM))
                edge = places[n]
            yield [
                (x, x - at, x + across, text)
                for x, (at, text), across in zip(places, sung, wide, strict=True)
            ]

    def _tab(self, row: Row) -> list[dict[str, Any]]:
        """Return the fret numbers of a row: x, string from the top line down, fret."""
        last = len(self.way.instrument.strings) - 1
        return [
            {"x": bar.at(at), "line": last - string, "text": str(fret)}
            for bar in row
            for at, string, fret in self.tab.get(bar.bar.index, ())
        ]

    # ------------------------------------------------------------ signs

    def _opens(self, bar: WrittenBar) -> bool:
        """Whether a repeated part begins with a bar; at the start of a tune too."""
        if not in_signs(self.way):
            return False
        tune = self.way.tune
        place = next((n for n, b in enumerate(tune.bars) if b is bar.bar), None)
        named = {repeat.first for repeat in tune.form.repeats if repeat.times > 1}
        if place is None:
            first = tune.form.turns[bar.index]
            place = first.bar
        return bar.bar.opens or place in named

    def _ending(self, bar: WrittenBar) -> dict[str, Any] | None:
        """Return the bracket over a bar of an ending: its words, and whether it starts or stops."""
        if not bar.bar.ending or not in_signs(self.way):
            return None
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

    def _section_ends(self, bar: WrittenBar) -> bool:
        place = self.place.get(bar.index, len(self.bars))
        return place + 1 < len(self.bars) and self.bars[place + 1].opens and self.several

    def _meter(self, bar: WrittenBar) -> str:
        """Return the metre where it is new."""
        place = self.place.get(bar.index, 0)
        before = self.bars[place - 1].bar.meter if place else self.way.tune.meter
        return "" if before == bar.bar.meter else "{}/{}".format(*bar.bar.meter)

    def _strum(self) -> dict[str, Any]:
        """Return the strokes of the groove over the first bars, with counts on its beats."""
        meter = self.way.tune.meter
        whole, beat = bar_length(meter), beat_length(meter)
        room = self.column - _BEFORE_MM - _AFTER_MM
        groove = in_meter(self.way.strum, self.way.tune, meter)
        bars = groove.bars[: self.columns]
        found: dict[str, Any] = {"strokes": [], "counts": [], "rests": [], "notes": []}
        after = self.lead + len(bars) * self.column + _BEFORE_MM
        if len(bars) < self.columns:
            found["notes"] = [{"x": after, "text": text} for text in _said_of(groove)]
        for number, bar in enumerate(bars):
            first = self.lead + number * self.column + _BEFORE_MM
            struck = {one.at: one for one in bar if one.how != STOPPED}
            stops = {one.at for one in bar if one.how == STOPPED}
            beats = {n * beat for n in range(int(whole / beat))}
            for at in sorted(beats | set(struck)):
                x, on = first + float(at / whole) * room, at in beats
                found["counts"].append({"x": x, "text": syllable(at, beat), "beat": on})
                if at in struck:
                    later = min((each for each in {*struck, *stops} if each > at), default=whole)
                    found["strokes"].append({"x": x, "short": later in stops} | _drawn(struck[at]))
                else:
                    found["rests"].append(x)
        return found


def _said_of(groove: Groove) -> list[str]:
    """Return what stands beside the strokes: how the beat is divided, and what signs mean."""
    strokes = [stroke for bar in groove.bars for stroke in bar]
    signs = {
        "hollow: soft": any(stroke.ghost for stroke in strokes),
        "thick: louder": any(stroke.accent for stroke in strokes),
        "cross: muted": any(stroke.how == MUTED for stroke in strokes),
        "waves: string by string": any(stroke.how == ROLLED for stroke in strokes),
        "dot: cut short": any(stroke.how == STOPPED for stroke in strokes),
        "bow: the next chord, early": any(stroke.push for stroke in strokes),
    }
    shown = [text for text, has in signs.items() if has]
    rows = [groove.feel, *(" · ".join(shown[n : n + 2]) for n in range(0, len(shown), 2))]
    return [row for row in rows if row][:3]


def _drawn(stroke: Stroke) -> dict[str, bool]:
    """Return how a stroke is drawn."""
    return {
        "down": stroke.down, "accent": stroke.accent, "ghost": stroke.ghost,
        "muted": stroke.how == MUTED, "rolled": stroke.how == ROLLED, "push": stroke.push,
    }  # fmt: skip


def _parts(
    plan: Sequence[tuple[WrittenBar, int]], count: int
) -> Iterator[list[tuple[WrittenBar, int]]]:
    """Yield a row in parts of so many columns; a pick-up stays with the first."""
    part: list[tuple[WrittenBar, int]] = []
    for bar, column in plan:
        taken = len({c for _, c in part if c >= 0})
        if taken == count and column not in {c for _, c in part}:
            yield part
            part = []
        part.append((bar, column))
    yield part


def _phrase_starts(tune: Tune, bars: Sequence[WrittenBar]) -> Iterator[bool]:
    """Yield for each bar whether a row begins with it: a section, a repeat, a phrase."""
    lengths = {section.name: section.phrases for section in tune.sections}
    left: list[int] = []
    opened = False
    for bar in bars:
        starts = bar.opens or (bar.bar.opens and not opened) or "coda" in bar.bar.signs
        if bar.opens:
            left = list(_rows_of(lengths.get(bar.section.split(" · ")[0], ())))
        elif left and not left[0]:
            starts, left = True, left[1:]
        if left and bar.begins:
            left[0] -= 1
        # A pick-up shares the row of the bar after it.
        yield starts and not opened
        opened = not bar.number
    return


def _rows_of(phrases: Sequence[int]) -> Iterator[int]:
    """Yield how many bars each row has: phrases in rows of four at most, as equal as can be."""
    for phrase in phrases:
        rows = -(-phrase // COLUMNS)
        yield from (phrase // rows + (n < phrase % rows) for n in range(rows))


def _over(bar: WrittenBar) -> list[str]:
    """Return what stands over the start of a bar: segno, coda, vamp."""
    return [sign for sign in bar.bar.signs if sign in ("segno", "coda", "vamp")]


def _after(bar: WrittenBar) -> list[str]:
    """Return what stands over the end of a bar: Fine, to coda, a jump."""
    words = {"fine": "Fine", "to coda": "To coda"}
    said = [words.get(sign, sign) for sign in bar.bar.signs if sign in (*JUMPS, *words)]
    return [word.replace("al fine", "al Fine").replace("al coda", "al Coda") for word in said]


def tab_of(way: Arrangement) -> dict[int, list[tuple[Fraction, int, int]]]:
    """Return the melody as frets, by the place of each bar played: place, string and fret.

    An arrangement of the melody is given as its shapes are.  Else each note stands at the lowest
    fret that it has, all an octave or two higher or lower where the instrument asks for that.  A
    note that a tie carries on is not written again.  Nothing where a note has no place.
    """
    tune = way.tune
    found: dict[int, list[tuple[Fraction, int, int]]] = {}
    if way.is_melody:
        for index, (steps, played) in enumerate(zip(way.bars(), tune.playing, strict=True)):
            found[index] = [
                (step.onset - played.onset, string, fret)
                for step in steps
                if step.voicing
                for string, fret in enumerate(step.voicing.frets)
                if fret is not None
            ]
        return found
    places = _places(way)
    if places is None:
        return {}
    for index, played in enumerate(tune.playing):
        tied = (
            index > 0
            and bool(tune.playing[index - 1].bar.melody)
            and (tune.playing[index - 1].bar.melody[-1].tied)
        )
        row = []
        for note in played.bar.melody:
            if not tied:
                row.append((note.at, *places[note.note.midi]))
            tied = note.tied
        found[index] = row
    return found


def _places(way: Arrangement) -> dict[int, tuple[int, int]] | None:
    """Return for each pitch of the melody its string and fret; none where it cannot be played."""
    pitches = {sung.note.midi for sung in way.tune.melody}
    if not pitches:
        return None
    neck = way.instrument
    # A string above its neighbour breaks the line: a tune goes on over the others.
    line = [s for s, low in enumerate(neck.midi) if low < min((*neck.midi[s + 1 :], 999))]
    for highest, octaves in product(_HIGHEST, (0, 1, -1, 2, -2)):
        found = {}
        for pitch in pitches:
            frets = [
                (pitch + 12 * octaves - neck.midi[string], -string)
                for string in line
                if neck.has_fret(string, pitch + 12 * octaves - neck.midi[string])
            ]
            if not frets:
                break
            fret, string = min(frets)
            found[pitch] = (-string, fret)
        else:
            if max(fret for _, fret in found.values()) <= highest:
                return found
    return None


# The low positions first.
_HIGHEST = (7, 12)
