"""A tune read from a message: bars where there are bar lines, words told from chords.

What a message may hold, beside all that ``harmonykit.tune.text.changes`` describes:

- bar lines of every usual sort, numbers of bars after them (``|1. F D7 |``), names of sections
  before them or on a line of their own, lines of words between;
- repeats by signs, or by ``x2`` after a row; endings typed ``|1.``, ``[1`` or ``1st time``;
- ``%``, ``/``, ``.``, ``-`` or a ditto mark for what sounds on, ``%%`` for two bars again;
- ``Key: F``, ``3/4``, ``120 bpm``, ``Capo 2``, ``Form: AABA`` on lines of words;
- chords in brackets above or within words; without bar lines each chord is taken as a bar;
- words of a song: between bar lines of their own under a row, below chords that stand above their
  words, or between chords in brackets.
"""

from collections.abc import Iterable, Sequence
from functools import partial
from typing import Any

from harmonykit.errors import Place
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import find_keys, said_keys
from harmonykit.tune.bar import DEFAULT_TEMPO, Bar, Meter, TuneError, write_meter
from harmonykit.tune.form import Section, signs_fault
from harmonykit.tune.text.changes import read_changes, said_tempo
from harmonykit.tune.text.pasted import again, heading, layout, lyrics, meant, ordered, passes
from harmonykit.tune.text.pasted.cells import Cell, Cutter
from harmonykit.tune.text.pasted.gathered import Gathered
from harmonykit.tune.text.pasted.header import Given, Header
from harmonykit.tune.text.pasted.layout import Laid, Layer, Part
from harmonykit.tune.text.pasted.lines import Line, is_known_name, may_be_chords
from harmonykit.tune.text.pasted.neighbours import names_in, sort_lines
from harmonykit.tune.text.pasted.ordered import order_in
from harmonykit.tune.text.pasted.plain import Plain, find_naming
from harmonykit.values import dataclass, fields, replace
from harmonykit.words.numbers import counted

UNTITLED = "Untitled"
MOST_CHARACTERS = 200_000
# How much of what is left out is told; each has its line.
_MOST_TOLD = 100
EXAMPLE = "| Dm6 | Bb7 A7 | Gm6 | Dm6 |"


@dataclass(frozen=True, slots=True)
class Message:
    """What a message says: the fields of a tune, and how each was come by.

    Parameters
    ----------
    told : tuple of (str, str)
        What was said, taken or left out: about what, and how.
    doubts : tuple of str
        What may be otherwise, with its line and column and what to type.
    """

    title: str
    key: Key
    meter: Meter
    tempo: float
    sections: tuple[Section, ...]
    order: tuple[str, ...]
    notes: str
    composer: str
    style: str
    told: tuple[tuple[str, str], ...]
    doubts: tuple[str, ...]

    @property
    def fields(self) -> dict[str, Any]:
        """The fields of a tune."""
        return {each.name: getattr(self, each.name) for each in fields(self) if each.name != "told"}


def read_message(text: str, name: str = "the text", given: Given | None = None) -> Message:
    """Read a tune from a message.

    Parameters
    ----------
    text : str
        As it was typed or pasted.
    name : str
        What it is, in words, for places.
    given : Given, optional

    Raises
    ------
    TuneError, HarmonyError
        With line, column and a caret, if a bar cannot be read; if no chord is there.

    Examples
    --------
    >>> found = read_message("|1. F D7 | Gm7 C7 |")
    >>> found.meter, len(found.sections[0].bars)
    ((4, 4), 2)
    """
    if len(text) > MOST_CHARACTERS:
        rule = f"{MOST_CHARACTERS:,} characters at most"
        raise TuneError(f"{name} is too long for a message", rule=rule, mend="one tune at a time")
    return _Reader(Plain.of(text, name), given or Given()).message()


class _Reader:
    """Reads one message; what it found stands in its fields."""

    def __init__(self, plain: Plain, given: Given) -> None:
        self.plain, self.given = plain, given
        words = list(may_be_chords(line for _, line in plain.lines() if not order_in(line)))
        self.wanted = given.naming or meant.said_naming(plain.text)
        self.naming = find_naming(words, given.dialect, self.wanted)
        texts = [(at, *again.parted(text, self.naming)) for at, text in plain.lines()]
        lines = sort_lines([(at, text) for at, text, _ in texts], self.naming)
        self.lines = again.sort_again(lines)
        self.cutter = Cutter(self.naming, plain.place)
        self.header = Header(title=given.title, known=names_in(lines))
        self.order: tuple[str, ...] = ()
        self.left_out: list[tuple[str, int]] = self.cutter.left_out
        self.doubts: list[tuple[str, int]] = self.cutter.doubts
        self.doubts += [
            (f"{more!r} behind chords is left out; type it below a section's name", at + len(text))
            for at, text, more in texts
            if more
        ]
        self.gathered = Gathered(self.doubts, self.left_out)
        self.above, self.before, self.words_end = lyrics.Above(), Line("", "", 0), 0

    def message(self) -> Message:
        for run in again.in_runs(self.lines):
            if run[0].kind != "words" or not self.gathered.another_verse(run, self.before):
                for line in run:
                    self._take(line)
            self.before = run[-1] if run[-1].kind else self.before
        self.left_out += self.header.left
        parts = [part for part in self.gathered.parts if part.cells]
        cells = [cell for part in parts for cell in part.cells]
        if not any(word.sounds for cell in cells for word in cell.words):
            where = self.plain.place(cells[0].at) if cells else None
            rule = "chords are named from A to G, as D7 or F#m7; numerals (ii V I) are not read"
            raise TuneError("the text has no chord", place=where, rule=rule, mend=EXAMPLE)
        self._settle_title(parts)
        layout.settle_numbers(parts, self.doubts)
        meter, meter_said = self._meter(cells)
        sections, order = self._in_order(self._sections(parts, meter, meter_said))
        heard = [(c.chord, c.beats) for s in sections for bar in s.bars for c in bar.changes]
        found = find_keys(heard)
        key = self.given.key or self.header.key or found[0][0]
        likely = said_keys(found)
        told = self._told(key, likely, meter, meter_said)
        first = sections[0].bars[0].meter
        said = self.header.said.get("tempo", (0, ""))[1]
        self.header.tempo = heading.in_quarters(self.header.tempo, said, first)
        return Message(
            self.header.title or UNTITLED, key, first, self.header.tempo or DEFAULT_TEMPO,
            sections, order, self._notes(), self.header.composer,
            self.header.style, tuple(told), tuple(self._doubts(key, likely)),
        )  # fmt: skip

    def _settle_title(self, parts: Sequence[Part]) -> None:
        """Take a name before all bars as the title, where nothing else is one: "Kites: | C |"."""
        lone = len(parts) == 1 and parts[0].name and not self.header.title
        if lone and not is_known_name(parts[0].name):
            self.header.title, parts[0].name, self.gathered.called = (
                parts[0].name,
                "",
                self.gathered.called[1:],
            )

    def _take(self, line: Line) -> None:
        if line.kind == "sung" and not self.above.cells:
            line = replace(line, kind="row")
        if line.kind == "row":
            self._before(line)
            cells = self.cutter.row(line)
            self._above(cells, line)
        elif line.kind == "sung":
            self.doubts += self.above.in_bars(line)
        elif line.kind == "chords":
            self._loose(line)
        elif line.kind == "name":
            if not self._heading(line.text, line.at):
                self.gathered.begin(line.name, line.at, line.times)
        elif said := again.said_again(line.text) if line.kind == "again" else None:
            self.gathered.take_again(said, line.at, sung=self.before.kind == "words")
        elif line.kind == "words":
            self._words(line.text, line.at, under=True)
        elif line.kind in ("comment", "remark"):
            self._aside(line)

    def _aside(self, line: Line) -> None:
        """Leave out what is not sung; before the music a line to players may say something."""
        if line.kind == "comment" or self.gathered.begun:
            self.left_out.append((line.text.strip(), line.at))
        else:
            self._words(line.text, line.at)

    def _above(self, cells: list[Cell], line: Line, *, loose: bool = False) -> None:
        """Add the bars of a row, and note them for the words that may stand below it."""
        self.above = lyrics.Above(cells, line.at, loose=loose)
        self.above.between(line)
        self.gathered.add(cells, self.above)

    def _before(self, line: Line) -> None:
        """Take what stands before the chords of a line."""
        said = line.name or line.before
        at = self.plain.text.rfind(said, 0, line.at)
        at = line.at if at < 0 else at
        if line.name and not self._heading(said, at):
            self.gathered.begin(said, at, line.times)
        elif line.before:
            self._words(said, at)

    def _heading(self, text: str, at: int, *, weak: bool = False) -> bool:
        """Take what a heading says of the whole tune, and its title; return whether it does."""
        first = not self.gathered.begun
        weak = weak or heading.holds_prose(text)
        said, rest = self.header.take(text, at, first=first)
        if said and rest and not self.header.take_name(rest, at, weak=weak or not first):
            self.left_out.append((rest, at))
        return said

    def _words(self, text: str, at: int, *, under: bool = False) -> None:
        first = not self.gathered.begun
        weak, named = heading.letter_head(heading.without_picture(text))
        if self._heading(named, at, weak=weak) or (
            first
            and (self.header.take_name(named, at, weak=weak) or self.header.take_style(named, at))
        ):
            return
        sung = under and any(map(str.isalpha, text))
        if under and not sung:  # as "--" before a name that ends a letter
            self.above.loose = False
        below = self.plain.text[self.words_end : at].count("\n") == 1
        self.words_end = at + len(text)
        if not (sung and (self.above.under_chords(text) or below and self.above.wrapped(text))):
            self.left_out.append((text.strip(), at))

    def _loose(self, line: Line) -> None:
        """Take chords that stand between no bar lines: each is a bar, or each four slots are."""
        self._before(line)
        text = line.text.replace("[", " ").replace("]", " ")
        cells = self.cutter.row(replace(line, text=text))
        words = [word for cell in cells for word in cell.words]
        beats = [word for word in words if word.kind == "beat" and word.read == "/"]
        if beats and len(words) % 4 == 0 and len(beats) >= len(words) / 2:
            groups = [words[n : n + 4] for n in range(0, len(words), 4)]
            taken = "every four beats are read"
        else:
            groups = [[word] for word in words if word.kind == "chord"]
            taken = "each chord is read"
        found = [Cell(group[0].at, words=group) for group in groups]
        if found and cells[-1].closes:
            found[0].opens, found[-1].closes = True, cells[-1].closes
        self._above(found, line, loose=not line.sung)
        said = f"no bar lines: {taken} as a bar; type | between bars"
        if not any(said == doubt for doubt, _ in self.doubts):
            self.doubts.append((said, line.at))

    def _meter(self, cells: Sequence[Cell]) -> tuple[Meter, str]:
        guessed, how = layout.guess_meter(cells)
        if self.given.meter:
            return self.given.meter, "as given"
        if self.header.meter:
            return self.header.meter, f"as written{self._at('metre')}"
        if first := next((cell.meter for cell in cells[:1] if cell.meter), ""):
            top, bottom = map(int, first.split("/"))
            return (top, bottom), "as the first bar says"
        if how:
            return guessed, f"from {how}"
        if self.header.dance:
            return self.header.dance, f"from the word {self.header.said['dance'][1]!r}"
        return guessed, ""

    def _sections(self, parts: Sequence[Part], meter: Meter, said: str) -> tuple[Section, ...]:
        guessed = said if said.startswith("from ") else ""
        layer = Layer(meter, self.plain.place, self.doubts, guessed)
        read: list[tuple[str, tuple[Bar, ...]]] = []
        played = [*self.gathered.played(parts)]
        self.gathered.share_names()
        for part in parts:
            now = layer.meter
            laid = layer.section(part.cells)
            bars, _ = read_changes(laid.text, now, partial(_where, self.plain, laid))
            bars = lyrics.with_lyrics(bars, layout.without_pairs(part.cells))
            if part.times > 1 and not any(bar.closes or bar.opens for bar in bars):
                bars = (replace(bars[0], opens=True), *bars[1:])
                bars = (*bars[:-1], replace(bars[-1], closes=part.times))
            read.append((part.name, bars))
        if fault := signs_fault([bar for _, bars in read for bar in bars]):
            at = next(cell.at for part in parts for cell in part.cells if fault[0] in cell.signs)
            self.doubts.append((f"{fault[1]}: the signs are left out", at))
            read = [(name, tuple(replace(bar, signs=()) for bar in bars)) for name, bars in read]
        sections, self.order = layout.name_sections(read, played)
        return sections

    def _in_order(
        self, sections: tuple[Section, ...]
    ) -> tuple[tuple[Section, ...], tuple[str, ...]]:
        """Return the sections, and their names in the order that the form gives."""
        given = [self.gathered.others.get(name.casefold(), name) for name in self.header.order]
        order, missing = ordered.order_meant(given, sections)
        if not given:
            return sections, self.order
        at = self.header.said["form"][0]
        if missing:
            names = ", ".join(section.name for section in sections)
            mend = f"the sections are {names}; type {missing}: before the bars of {missing}"
            self.doubts.append((f"the form names a missing section, {missing}; {mend}", at))
            return sections, self.order
        found = passes.count_passes(order, sections)
        self.gathered.told += [(found.said, at)] * bool(found.said)
        self.doubts += [(found.doubt, at)] * bool(found.doubt)
        return found.sections, found.order

    def _notes(self) -> str:
        capo = self.header.capo
        return f"Capo {capo}: the chord names are kept as typed, not transposed." if capo else ""

    def _told(
        self, key: Key, likely: str, meter: Meter, meter_said: str
    ) -> Iterable[tuple[str, str]]:
        header = self.header
        if self.naming.said:
            yield "names", self.naming.said
        if self.given.key:
            yield "key", f"{key.unicode}, as given"
        elif header.key:
            yield "key", f"{key.unicode}, as written{self._at('key')}"
        else:
            yield "key", f"{key.unicode}, from the chords alone: {likely}"
        named = write_meter(meter)
        yield "metre", f"{named}, {meter_said or 'assumed: the text names none'}"
        capo = f"fret {header.capo}, kept in the notes" if header.capo else ""
        others = {"composer": header.composer, "style": header.style, "capo": capo}
        for about, said in others.items():
            if said:
                yield about, f"{said}, as written{self._at(about)}"
        tempo = header.tempo or DEFAULT_TEMPO
        how = f"as written{self._at('tempo')}" if header.tempo else "assumed: the text names none"
        yield "tempo", f"{said_tempo(tempo, meter)}, {how}"
        for said, at in sorted(self.gathered.told, key=lambda pair: pair[1]):
            yield "again", f"line {self.plain.place(at).line}: {said}"
        if under := sum(any(cell.lyric) for part in self.gathered.parts for cell in part.cells):
            yield "words", f"under {counted(under, 'bar')}"
        yield from self._left(header.said.get("dance", (0, ""))[1] if "word" in meter_said else "")

    def _left(self, dance: str) -> Iterable[tuple[str, str]]:
        """Yield what is left out; the word from which the metre is known is not."""
        for text, at in sorted(self.left_out, key=lambda pair: pair[1]):
            if any(char.isalnum() for char in text) and text.strip(" .") != dance:
                shown = text if len(text) <= _MOST_TOLD else text[: _MOST_TOLD - 1] + "…"
                yield "left out", f"line {self.plain.place(at).line}: {shown}"

    def _orders(self) -> Iterable[tuple[str, int]]:
        """Yield what is left out below the bars, and seems to say what is played and when."""
        first = next(part.cells[0].at for part in self.gathered.parts if part.cells)
        names = " ".join(
            dict.fromkeys(part.name or "A" for part in self.gathered.parts if part.cells)
        )
        for text, at in self.left_out:
            if at > first and again.says_order(text):
                mend = f"type the sections in order: Form: {names}"
                yield f"{text!r} is left out, and may say what is played when; {mend}", at

    def _at(self, about: str) -> str:
        at = self.header.said[about][0]
        return f" in line {self.plain.place(at).line}"

    def _doubts(self, key: Key, likely: str) -> Iterable[str]:
        if not (self.given.key or self.header.key):
            yield f"the key is taken to be {key.unicode}, from the chords alone: {likely}"
        if not self.given.key:
            self.doubts += self.header.doubts
        if self.naming.said:
            guessed = self.naming.dialect.german and not self.wanted
            unless = '; where B is B natural, write "English names" above the bars' * guessed
            yield f"chord names: {self.naming.said}{unless}"
        if self.header.capo:
            capo = self.header.capo
            higher = f"{counted(capo, 'semitone')} higher"
            said = f"capo {capo}: the chords are kept as typed, and sound {higher}"
            self.doubts.append((said, self.header.said["capo"][0]))
        self.doubts += self._orders()
        for what, at in sorted(dict.fromkeys(self.doubts), key=lambda pair: pair[1]):
            place = self.plain.place(at)
            yield f"line {place.line}, column {place.column}: {what}"


def _where(plain: Plain, laid: Laid, index: int) -> Place:
    return plain.place(laid.origin(index))
