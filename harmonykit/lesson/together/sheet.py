"""The parts of a tune on paper: half a page each, cut along the line; then whether they fit.

Conventions.  Lengths are in mm, type in points.  A page holds two halves of ``HALF_MM``; its text
is 174 wide.  Every part has the same columns: four bars behind a pick-up, a second ending under the
first, so that one finger on a bar of one part is on that bar of all.  What belongs to a beat stands
flush left on it, and a short bar is drawn short.
"""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SMALL_PT, Canvas, Drawing
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, text_width
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.together.bars import WIDE_MM, Bars, Cell, cells_of
from harmonykit.lesson.together.heard import line_leads, sung_leads
from harmonykit.lesson.together.parts import BASS, ONE, RICH, SING, USUAL, Part
from harmonykit.theory.chord import Chord
from harmonykit.theory.printed import NO_CHORD
from harmonykit.tune.bar import OPENING_SIGNS
from harmonykit.tune.tune import PICKUP, Bar, BarChange, Section, Tune, beat_length

HALF_MM = 127.0
_HEAD_MM, _MOST_PITCH_MM, _ENDING_MM = 26.0, 23.0, 3.4
_THIN, _THICK, _STRING_MM = 0.3, 0.95, 4.2
_LETTER = 2
_TITLE_PT, _SUBTITLE_PT, _FRET_PT, _CHORD_PT, _NAME_PT, _NUMBER_PT = (
    17.0,
    12.0,
    13.0,
    16.0,
    9.5,
    9.0,
)
_LEAST_PITCH = {ONE: 12.0, BASS: 15.0, USUAL: 15.0, RICH: 15.0, SING: 17.5}
_OTHER_PITCH = 14.0
_BAND_MM, _APART_MM, _HEAD_APART_MM, _VERSE_MM, _WORD_MM = 9.0, 1.0, 4.0, 3.6, 0.7
# Strings and their figures below the top of a row, and above it names, over which brackets stand.
_FIRST_STRING_MM, _HALF_FIGURE_MM, _OVER_MM = 3.0, 2.0, 4.2


def draw_parts(tune: Tune, parts: Sequence[Part], palette: str = "print") -> tuple[Drawing, ...]:
    """Return each part as half a page, or as several halves where the tune is long.

    Parameters
    ----------
    tune : Tune
    parts : sequence of Part
    palette : str
    """
    found = []
    for number, part in enumerate(parts, 1):
        cells = cells_of(tune)
        rows = 1 + cells[-1].row
        least = _least_pitch(tune, part) + _verses_mm(tune.sections, part)
        most = int((HALF_MM - _HEAD_MM) / least)
        halves = -(-rows // most)
        a_half = -(-rows // halves)
        for half in range(halves):
            here = [c for c in cells if half * a_half <= c.row < (half + 1) * a_half]
            more = f", sheet {half + 1} of {halves}" if halves > 1 else ""
            said = f"part {number} of {len(parts)}{more}"
            found.append(_half(tune, part, here, said, palette))
    return tuple(found)


def _least_pitch(tune: Tune, part: Part) -> float:
    """Return how far apart rows are at least: the bracket of an ending is below the row above."""
    least = _LEAST_PITCH.get(part.name, _OTHER_PITCH)
    if not any(bar.ending for bar in tune.bars):
        return least
    strings = 0 if part.name in (USUAL, RICH) else len(part.strings)
    lowest = _FIRST_STRING_MM + _STRING_MM * (strings - 1) + _HALF_FIGURE_MM
    return max(least + _ENDING_MM, lowest + _OVER_MM + _ENDING_MM + _APART_MM)


def _half(tune: Tune, part: Part, cells: Sequence[Cell], said: str, palette: str) -> Drawing:
    canvas = Canvas(WIDE_MM, HALF_MM, palette)
    where = _strings_said(part)
    order = tune.form.order if len(tune.sections) < len(tune.form.order) else ()
    names = [span.name for span in order if span.name != PICKUP]
    # Letters need no commas.
    played = f"play {(', ' if any(len(name) > 1 for name in names) else ' ').join(names)}"
    played = played if names else ""
    subtitle = f"{tune.title} · {part.about}"
    both = " · ".join(filter(None, (where, played)))
    above = f"{played} · {said}"
    # A long form stands in the first line where the second would be too small to read.
    if _subtitle_pt(subtitle, both) < LABEL_PT and _fits_above(part.name, above):
        head(canvas, part.name, subtitle, above, where)
    else:
        head(canvas, part.name, subtitle, said, both)
    _Staff(canvas, tune, part).lay(cells)
    chords = ", ".join(f"{name} {_alt(part, chord)}" for chord, name in part.names.items())
    return canvas.drawing(f"{tune.title}: {part.name}", f"{part.name} of {tune.title}: {chords}")


def _verses_of(section: Section) -> tuple[int, ...]:
    return tuple(sorted({verse for bar in section.bars for verse in bar.verses}))


def _verses_mm(sections: Iterable[Section], part: Part) -> float:
    """Return how much higher a row of who sings is for verses after the first."""
    most = max(len(_verses_of(section)) for section in sections)
    return _VERSE_MM * max(0, most - 1) if part.name == SING else 0.0


def head(canvas: Canvas, title: str, subtitle: str, right: str, below: str) -> None:
    """Set the head of half a page, with its rule; a long second line is smaller."""
    canvas.text(0, 7, title, _TITLE_PT, weight=SEMIBOLD, anchor="left")
    canvas.text(0, 13.5, subtitle, _subtitle_pt(subtitle, below), anchor="left")
    canvas.text(WIDE_MM, 7, right, LABEL_PT, anchor="right")
    canvas.text(WIDE_MM, 13.5, below, LABEL_PT, anchor="right")
    canvas.lines([[(0, 17), (WIDE_MM, 17)]], 0.6)


def _subtitle_pt(subtitle: str, below: str) -> float:
    """Return the size of a head's second line, which leaves room for what stands at its end."""
    room = WIDE_MM - text_width(below, LABEL_PT) - _HEAD_APART_MM * bool(below)
    return _SUBTITLE_PT * min(1.0, room / text_width(subtitle, _SUBTITLE_PT))


def _fits_above(title: str, right: str) -> bool:
    wide = text_width(title, _TITLE_PT, SEMIBOLD) + _HEAD_APART_MM + text_width(right, LABEL_PT)
    return wide <= WIDE_MM


def _alt(part: Part, chord: Chord) -> str:
    if chord in part.shapes:
        return part.shapes[chord].digits
    return part.line[chord].unicode if chord in part.line else ""


def _strings_said(part: Part) -> str:
    if part.name == SING:
        return ""
    if part.name in (USUAL, RICH):
        return part.instrument.name
    labels = [part.instrument.labels[string].upper() for string in part.strings]
    return (
        f"{part.instrument.name}, {'strings' if len(labels) > 1 else 'string'} {' '.join(labels)}"
    )


class _Staff:
    """Lays the bars of one part, row by row."""

    def __init__(self, canvas: Canvas, tune: Tune, part: Part) -> None:
        self.canvas, self.tune, self.part = canvas, tune, part
        self.tab = bool(part.strings) and part.name not in (USUAL, RICH)
        self.strings = part.strings[::-1] if self.tab else ()
        self.seen: set[Chord] = set()
        self.leads = line_leads(tune, part.line) if part.line else sung_leads(tune)
        pitches = [n.note.midi for bar in tune.bars for n in bar.melody]
        pitches += [note.midi for note in part.line.values()]
        self.low, self.high = min(pitches, default=60), max(pitches, default=60)
        self.bars = Bars(tune)

    @property
    def high_mm(self) -> float:
        """How high a bar line is."""
        return _STRING_MM * (len(self.strings) - 1) + 6.0 if self.tab else _BAND_MM

    def lay(self, cells: Sequence[Cell]) -> None:
        rows = [list(row) for _, row in groupby(cells, lambda cell: cell.row)]
        higher = [_verses_mm([self._section(row[0].bar)], self.part) for row in rows]
        most = max(_MOST_PITCH_MM, _least_pitch(self.tune, self.part))
        pitch = min(most, (HALF_MM - _HEAD_MM - sum(higher)) / len(rows))
        for place, row in enumerate(rows):
            self._row(row, _HEAD_MM + place * pitch + sum(higher[:place]))

    def _row(self, cells: Sequence[Cell], top: float) -> None:
        left, right = (
            self.bars.start(cells[0]),
            self.bars.start(cells[-1]) + self.bars.wide(cells[-1]),
        )
        self.free: dict[int, float] = {}
        for index, string in enumerate(self.strings):
            y = self._y(top, index)
            self.canvas.lines([[(left, y), (right, y)]], 0.2)
            label = self.part.instrument.labels[string].upper()
            self.canvas.letter(left - 5.5, y, label, NOTE_PT, weight=SEMIBOLD)
        for cell in cells:
            self._bar(cell, top)
        # A letter stands beside its row, a word as high as the numbers of its bars.
        name = self.bars.begun(cells[0].bar)
        word = len(name) > _LETTER
        y, size = (top - 0.9, SMALL_PT) if word else (top + self.high_mm / 2 + 1.6, LABEL_PT)
        if name:
            self.canvas.text(0, y, name, size, weight=SEMIBOLD, anchor="left")
        if not self.tab and self.part.rescues and any(map(self._rescued, cells)):
            y = top + _BAND_MM + 3.6
            self.canvas.text(left - 1.5, y, "or", _NUMBER_PT, anchor="right")

        if self.part.name == SING:
            self._verse_numbers(cells[0].bar, left, top)

    def _verse_numbers(self, bar: Bar, left: float, top: float) -> None:
        """Set the number of each verse before its line, where a section has several."""
        verses = _verses_of(self._section(bar))
        for line, verse in enumerate(verses if len(verses) > 1 else ()):
            y = top + _BAND_MM + 4.0 + line * _VERSE_MM
            self.canvas.text(left - 1.5, y, f"{verse}.", _NUMBER_PT, anchor="right")

    def _section(self, bar: Bar) -> Section:
        own = (one for one in self.tune.sections if any(each is bar for each in one.bars))
        return next(own)

    def _rescued(self, cell: Cell) -> bool:
        return any(change.chord in self.part.rescues for change in cell.bar.changes)

    def _y(self, top: float, index: int) -> float:
        return top + _FIRST_STRING_MM + index * _STRING_MM

    def _bar(self, cell: Cell, top: float) -> None:
        bar, x = cell.bar, self.bars.start(cell)
        end, bottom = x + self.bars.wide(cell), top + self.high_mm
        last = bar is self.tune.bars[-1]
        lines = [(end, top), (end, bottom)], [(x, top), (x, bottom)]
        self.canvas.lines(list(lines[: 1 + bool(bar.number)]), _THIN)
        self._over_start(bar, x + 0.8, top - 0.9)
        if bar.opens:
            self._repeat(x, top, bottom, 1)
        if bar.closes:
            self._repeat(end, top, bottom, -1)
        elif last:
            self.canvas.lines([[(end - 1.0, top), (end - 1.0, bottom)]], _THIN)
            self.canvas.lines([[(end, top), (end, bottom)]], _THICK)
        self._ending(cell, x, top)
        closing = " ".join(sign for sign in bar.signs if sign not in OPENING_SIGNS)
        if closing:
            self.canvas.text(end - 1, top - 0.9, closing, SMALL_PT, anchor="right")
        self._beats(cell, top)

    def _over_start(self, bar: Bar, x: float, y: float) -> None:
        """Set a bar's number, and after it the signs that a player jumps to."""
        if bar.number:
            number = self.bars.numbers(bar)
            self.canvas.text(x, y, number, SMALL_PT, anchor="left")
            x += text_width(number, SMALL_PT) + 1.5
        if opening := " ".join(sign for sign in bar.signs if sign in OPENING_SIGNS):
            self.canvas.text(x, y, opening, SMALL_PT, anchor="left")

    def _repeat(self, x: float, top: float, bottom: float, way: int) -> None:
        """Draw what a bar line has where a repeat begins or ends: the thick line lies outside."""
        middle = (top + bottom) / 2
        self.canvas.lines([[(x - way * 1.12, top), (x - way * 1.12, bottom)]], _THICK)
        for y in (middle - 1.6, middle + 1.6):
            self.canvas.circle(x + way * 1.25, y, 0.9, fill="ink")

    def _ending(self, cell: Cell, x: float, top: float) -> None:
        ending, bars = cell.bar.ending, self.tune.bars
        if not ending:
            return
        y, place = top - _OVER_MM - _ENDING_MM, bars.index(cell.bar)
        ends = place + 1 == len(bars) or bars[place + 1].ending != ending
        end = x + self.bars.wide(cell) - (0.6 if ends else 0.0)
        self.canvas.lines([[(x, y), (end, y)]], _THIN)
        if not place or bars[place - 1].ending != ending:
            self.canvas.lines([[(x, y), (x, top - _OVER_MM)]], _THIN)
            words = ", ".join(map(str, ending)) + "."
            self.canvas.text(x + 1.4, top - 4.4, words, LABEL_PT, weight=SEMIBOLD, anchor="left")
        if ends:
            self.canvas.lines([[(end, y), (end, top - _OVER_MM)]], _THIN)

    def _beats(self, cell: Cell, top: float) -> None:
        bar = cell.bar
        starts = {change.at: change for change in bar.changes}
        # A silence before the first bar has no name.
        shown = [each for each in bar.changes if each.chord is not None or bar.number]
        names = [(each.at, self._text(each.chord)) for each in shown]
        if self.part.name == SING:
            self._words(cell, top)
        if self.part.name == SING and any(b.melody for b in self.tune.bars):
            self._over(cell, names, _NAME_PT, top)
            self._melody(cell, top)
            return
        beat = beat_length(bar.meter)
        free = 0.0
        for n in range(int(bar.length / beat)):
            x = self.bars.at(cell, n * beat)
            if begun := starts.get(n * beat):
                free = self._end(cell, begun, x)
            elif x > free:
                self._slash(x, top)
        for change in shown:
            self._chord(cell, change, top)
        if self.tab or self.part.line:
            self._over(cell, names, _NAME_PT, top)
        else:
            self._over(cell, list(self._new(shown)), _NUMBER_PT, top)

    def _new(self, changes: Sequence[BarChange]) -> Iterator[tuple[Fraction, str]]:
        """Yield the grips that are new among some changes, with their places."""
        for change in changes:
            if change.chord is not None and change.chord not in self.seen:
                self.seen.add(change.chord)
                yield change.at, self.part.shapes[change.chord].digits

    def _size(self, cell: Cell, change: BarChange) -> float:
        """Return the size of a grip's name: as large as its room lets it be."""
        room = self.bars.at(cell, change.at + change.beats) - self.bars.at(cell, change.at) - 0.6
        wide = text_width(self._text(change.chord), _CHORD_PT, SEMIBOLD)
        return _CHORD_PT if wide <= room else max(SMALL_PT, _CHORD_PT * room / wide)

    def _end(self, cell: Cell, change: BarChange, x: float) -> float:
        if self.tab or self.part.line:
            return x
        size = self._size(cell, change)
        return x + text_width(self._text(change.chord), size, SEMIBOLD) + 0.8

    def _text(self, chord: Chord | None) -> str:
        return self.part.names.get(chord, NO_CHORD) if chord else NO_CHORD

    def _slash(self, x: float, top: float) -> None:
        middle = top + self.high_mm / 2
        self.canvas.lines([[(x, middle + 1.6), (x + 1.9, middle - 1.6)]], 0.3)

    def _over(
        self, cell: Cell, told: Sequence[tuple[Fraction, str]], size: float, top: float
    ) -> None:
        """Set words over a bar, behind its numbers: each on its beat, or behind the one before."""
        weight = SEMIBOLD if size == _NAME_PT else REGULAR
        late = self.bars.shift(cell)
        at = [self.bars.at(cell, place) + (0.0 if place else late) for place, _ in told]
        end = self.bars.start(cell) + self.bars.wide(cell)
        wide = [text_width(text, size, weight) + _APART_MM for _, text in told]
        share = min(1.0, (end - min(at, default=end)) / max(sum(wide), 1.0))
        edge = 0.0
        for n, (_, text) in enumerate(told):
            x = min(max(at[n], edge), end - share * sum(wide[n:]))
            edge = x + share * wide[n]
            self.canvas.text(x, top - 0.9, text, share * size, weight=weight, anchor="left")

    def _chord(self, cell: Cell, change: BarChange, top: float) -> None:
        chord, at = change.chord, change.at
        x = self.bars.at(cell, at)
        if self.tab:
            for place, shape in self.part.struck(cell.bar, change):
                self._frets(shape, self.bars.at(cell, place), top)
        elif self.part.line:
            if chord is not None:
                note = self.part.line[chord]
                ring = (cell.bar.number, at) in self.leads
                self._note(x, top, note.midi, note.at(None).plain().unicode, ring=ring)
        else:
            self._grip(cell, change, x, top)

    def _frets(self, shape: Voicing, x: float, top: float) -> None:
        for index, string in enumerate(self.strings):
            fret = shape.frets[string]
            if fret is not None:
                self._figure(x, self._y(top, index), str(fret))

    def _figure(self, x: float, y: float, text: str) -> None:
        wide = 2.4 * len(text) + 1.2
        self.canvas.rectangle(x - 0.6, y - _HALF_FIGURE_MM, wide, 2 * _HALF_FIGURE_MM, "paper")
        self.canvas.letter(x, y, text, _FRET_PT, weight=SEMIBOLD, anchor="left")

    def _grip(self, cell: Cell, change: BarChange, x: float, top: float) -> None:
        chord, size = change.chord, self._size(cell, change)
        name = self._text(chord)
        self.canvas.text(x, top + 6.3, name, size, weight=SEMIBOLD, anchor="left")
        if chord is None:
            return
        if chord in self.part.rescues:
            digits = self.part.rescues[chord].digits
            self.canvas.text(x, top + _BAND_MM + 3.6, digits, _NUMBER_PT, anchor="left")

    def _melody(self, cell: Cell, top: float) -> None:
        for note in cell.bar.melody:
            x = self.bars.at(cell, note.at)
            ring = (cell.bar.number, note.at) in self.leads
            self._note(x, top, note.note.midi, note.note.at(None).plain().unicode, ring=ring)

    def _note(self, x: float, top: float, midi: int, text: str, *, ring: bool) -> None:
        share = (midi - self.low) / max(1, self.high - self.low)
        y = top + _BAND_MM - 1.5 - share * (_BAND_MM - 3.0)
        if ring:
            self.canvas.circle(x + 1.0, y, 4.6, stroke="ink", width=0.4)
        self.canvas.letter(x, y, text, LABEL_PT, weight=SEMIBOLD, anchor="left")

    def _words(self, cell: Cell, top: float) -> None:
        """Set the words of a bar, a line a verse: at their notes, or all of them under the bar."""
        lines = {verse: line for line, verse in enumerate(_verses_of(self._section(cell.bar)))}
        end = self.bars.start(cell) + self.bars.wide(cell)
        for at, word in cell.bar.syllables():
            if not word.text:
                continue
            text = word.text.replace("'", "\N{RIGHT SINGLE QUOTATION MARK}")
            text += "-" if word.goes_on else ""
            x = max(self.bars.at(cell, at), self.free.get(word.verse, 0.0))
            wide = text_width(text, _NUMBER_PT) + _WORD_MM
            share = min(1.0, (end - x) / wide) if cell.bar.lyric else 1.0
            y = top + _BAND_MM + 4.0 + lines[word.verse] * _VERSE_MM
            self.canvas.text(x, y, text, share * _NUMBER_PT, anchor="left")
            self.free[word.verse] = x + share * wide
