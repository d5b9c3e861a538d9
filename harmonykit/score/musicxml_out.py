"""A tune as MusicXML 4.0, as it is written: repeats, endings, jumps and sections stay signs.

Conventions.  One part, with the melody where there is one and rests elsewhere.  A form that plays
sections in another order than they stand in is written out, section after section; its names are
kept in a field of the file's, so that reading it gives the same form.  A chord that starts inside a
note has an ``<offset>``.  The same tune gives the same bytes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from harmonykit.score.harmony_out import chord_harmony
from harmonykit.score.marks import (
    add_direction,
    add_notations,
    add_sign,
    add_tempo,
    add_tuplet,
)
from harmonykit.score.pieces import Piece, pieces_of, times_of
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note
from harmonykit.tune.bar import OPENING_SIGNS, TuneError
from harmonykit.tune.tune import Bar, Section, Tune
from harmonykit.tune.values import Value, values_of

FORM_FIELD, NOTES_FIELD = "form", "notes"
# Standard MIDI Files hold no more ticks to the quarter (MusicXML 4.0, divisions).
MOST_DIVISIONS = 16_383
# Nobody counts a tuplet of more, even where several kinds meet.
_MOST_IN_TUPLET = 1_000
_DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_ACCIDENTALS = {
    -2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reader:
    """For whom a part is written: its name, clef, and the interval from sounding to written."""

    name: str
    clef: str = "G"
    line: int = 2
    clef_octave: int = 0
    up: str = "P1"
    octave_change: int = 0


PARTS = {
    "concert": Reader("Lead sheet"),
    "Bb": Reader("Lead sheet in B♭", up="M2"),
    "Eb": Reader("Lead sheet in E♭", up="M6"),
    # Sounds an octave above what stands in the bass clef, so that a melody for the treble fits.
    "bass clef": Reader("Lead sheet, bass clef", "F", 4, octave_change=1),
    "guitar": Reader("Lead sheet, guitar", clef_octave=-1),
}


def write_musicxml(tune: Tune, part: str = "concert") -> str:
    """Return a tune as MusicXML 4.0.

    Parameters
    ----------
    tune : Tune
    part : {"concert", "Bb", "Eb", "bass clef", "guitar"}
        For whom: in concert pitch; a major second or a major sixth higher; an octave lower in the
        bass clef; in the treble clef that sounds an octave lower.

    Raises
    ------
    TuneError
        If the part is another, or a length is too fine to be counted in divisions of a quarter.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> text = write_musicxml(read_tune(find_data("tunes", "slack_water_waltz")), "Bb")
    >>> "<chromatic>-2</chromatic>" in text, text.count("<measure ")
    (True, 16)
    """
    if part not in PARTS:
        raise TuneError(f"{part!r} is no part", rule=f"parts are {', '.join(PARTS)}")
    reader = PARTS[part]
    written = tune.transpose(reader.up) if reader.up != "P1" else tune
    root = Element("score-partwise", version="4.0")
    _head(root, tune, reader)
    writer = _Writer(written, reader, _transposition(tune, written, reader))
    root.append(writer.part())
    indent(root, " ")
    return _DOCTYPE + tostring(root, encoding="unicode") + "\n"


def _head(root: Element, tune: Tune, reader: Reader) -> None:
    SubElement(SubElement(root, "work"), "work-title").text = tune.title
    identification = SubElement(root, "identification")
    if tune.composer:
        SubElement(identification, "creator", type="composer").text = tune.composer
    if tune.rights:
        SubElement(identification, "rights").text = tune.rights
    SubElement(SubElement(identification, "encoding"), "software").text = "harmonykit"
    fields = {NOTES_FIELD: tune.notes, FORM_FIELD: "" if _in_order(tune) else "|".join(tune.order)}
    if any(fields.values()):
        miscellaneous = SubElement(identification, "miscellaneous")
        for name, value in fields.items():
            if value:
                SubElement(miscellaneous, "miscellaneous-field", name=name).text = value
    listed = SubElement(SubElement(root, "part-list"), "score-part", id="P1")
    SubElement(listed, "part-name").text = reader.name


def _in_order(tune: Tune) -> bool:
    return tune.order == tuple(section.name for section in tune.sections)


def _transposition(tune: Tune, written: Tune, reader: Reader) -> Element | None:
    """Return ``<transpose>``: from written to sounding; keys may be written as their twins."""
    down = Interval.parse(reader.up)
    if not down.semitones and not reader.octave_change:
        return None
    turn = (written.key.tonic.fifths - tune.key.tonic.transpose(down).fifths) // 12
    element = Element("transpose")
    SubElement(element, "diatonic").text = str(-down.steps + turn)
    SubElement(element, "chromatic").text = str(-down.semitones)
    if reader.octave_change:
        SubElement(element, "octave-change").text = str(reader.octave_change)
    return element


class _Writer:
    """Writes one part, bar after bar; what holds over bars is remembered."""

    def __init__(self, tune: Tune, reader: Reader, transpose: Element | None) -> None:
        self.tune, self.reader, self.transpose = tune, reader, transpose
        self.sections = [
            _explicit(s) for name in tune.order for s in tune.sections if s.name == name
        ]
        self.bars = [bar for section in self.sections for bar in section.bars]
        self.divisions = self._common_divisions()
        self.meter: tuple[int, int] | None = None
        self.held: Note | None = None
        # What of a tuplet has been written since it began.
        self.tuplet = Fraction(0)
        self.signature = {n.letter: n.accidental for n in tune.key.scale}

    def _common_divisions(self) -> int:
        times = [time for bar in self.bars for time in times_of(bar)]
        pieces = [v.beats for bar in self.bars for p in pieces_of(bar) for v in values_of(p.beats)]
        found = lcm(*(time.denominator for time in [*times, *pieces]))
        odd = max(found // (found & -found), 1)
        if found > MOST_DIVISIONS or odd > _MOST_IN_TUPLET:
            rule = f"{MOST_DIVISIONS} divisions of a quarter at most"
            raise TuneError(f"{self.tune.title!r} has lengths too fine for a score", rule=rule)
        return found

    def part(self) -> Element:
        part = Element("part", id="P1")
        before: Bar | None = None
        for section in self.sections:
            for index, bar in enumerate(section.bars):
                after = section.bars[index + 1] if index + 1 < len(section.bars) else None
                label = section.name if index == 0 else ""
                part.append(self._measure(bar, before, after, label))
                before = bar
        last = part[-1]
        line = last.find("barline[@location='right']")
        line = SubElement(last, "barline", location="right") if line is None else line
        if line.find("bar-style") is None:
            style = Element("bar-style")
            style.text = "light-heavy"
            line.insert(0, style)
        return part

    def _measure(self, bar: Bar, before: Bar | None, after: Bar | None, label: str) -> Element:
        second = before is not None and before.number == bar.number
        implicit = "yes" if bar.number == 0 or second else "no"
        measure = Element("measure", number=str(bar.number), implicit=implicit)
        if label:
            before = None if before is None else before.plain()
        self._left(measure, bar, before)
        self._attributes(measure, bar, first=self.meter is None)
        if label:
            add_direction(measure, "rehearsal", label)
        for sign in bar.signs:
            if sign in OPENING_SIGNS:
                add_sign(measure, sign)
        self._content(measure, bar)
        self.tuplet = Fraction(0)
        for sign in bar.signs:
            if sign not in OPENING_SIGNS:
                add_sign(measure, sign)
        self._right(measure, bar, after)
        return measure

    def _left(self, measure: Element, bar: Bar, before: Bar | None) -> None:
        starts = bar.ending and (before is None or before.ending != bar.ending or before.closes)
        if not (bar.opens or starts):
            return
        line = SubElement(measure, "barline", location="left")
        if starts:
            SubElement(line, "ending", number=_numbers(bar), type="start")
        if bar.opens:
            SubElement(line, "repeat", direction="forward")

    def _right(self, measure: Element, bar: Bar, after: Bar | None) -> None:
        goes_on = after is not None and after.ending == bar.ending and not bar.closes
        ends = bar.ending and not goes_on
        if not (bar.closes or ends):
            return
        line = SubElement(measure, "barline", location="right")
        if ends:
            kind = "stop" if bar.closes else "discontinue"
            SubElement(line, "ending", number=_numbers(bar), type=kind)
        if bar.closes:
            repeat = SubElement(line, "repeat", direction="backward")
            if bar.closes != 2:
                repeat.set("times", str(bar.closes))

    def _attributes(self, measure: Element, bar: Bar, first: bool) -> None:
        if bar.meter == self.meter:
            return
        attributes = SubElement(measure, "attributes")
        if first:
            SubElement(attributes, "divisions").text = str(self.divisions)
            key = SubElement(attributes, "key")
            SubElement(key, "fifths").text = str(self.tune.key.signature)
            SubElement(key, "mode").text = self.tune.key.mode
        time = SubElement(attributes, "time")
        SubElement(time, "beats").text = str(bar.meter[0])
        SubElement(time, "beat-type").text = str(bar.meter[1])
        if first:
            self._clef(attributes)
            if self.transpose is not None:
                attributes.append(self.transpose)
        self.meter = bar.meter
        if first:
            add_tempo(measure, self.tune)

    def _clef(self, attributes: Element) -> None:
        clef = SubElement(attributes, "clef")
        SubElement(clef, "sign").text = self.reader.clef
        SubElement(clef, "line").text = str(self.reader.line)
        if self.reader.clef_octave:
            SubElement(clef, "clef-octave-change").text = str(self.reader.clef_octave)

    def _content(self, measure: Element, bar: Bar) -> None:
        """Write chords and notes; a chord inside a note stands before it, with an offset."""
        waiting = list(bar.changes)
        shown: dict[tuple[str, int], int] = {}
        for piece in pieces_of(bar, self.held):
            self.held = piece.note if piece.tie_out else None
            while waiting and waiting[0].at < piece.at + piece.beats:
                change = waiting.pop(0)
                for chord in (change.chord, *change.alternates):
                    harmony = chord_harmony(chord)
                    if chord is not change.chord:
                        harmony.set("type", "alternate")
                    if change.at > piece.at:
                        offset = (change.at - piece.at) * self.divisions
                        SubElement(harmony, "offset").text = str(int(offset))
                    measure.append(harmony)
            self._values(measure, piece, bar, shown)

    def _values(
        self, measure: Element, piece: Piece, bar: Bar, shown: dict[tuple[str, int], int]
    ) -> None:
        values = list(values_of(piece.beats))
        for index, value in enumerate(values):
            stop = piece.tie_in or index > 0
            start = piece.tie_out or index < len(values) - 1
            note = SubElement(measure, "note")
            if piece.note is None:
                SubElement(note, "rest")
            else:
                self._pitch(note, piece.note)
            SubElement(note, "duration").text = str(int(value.beats * self.divisions))
            tied = piece.note is not None
            for kind, here in (("stop", stop and tied), ("start", start and tied)):
                if here:
                    SubElement(note, "tie", type=kind)
            self._shape(note, value, piece, shown, tied and stop)
            held = piece.at in bar.fermatas and index == 0
            add_notations(note, tied and stop, tied and start, held)
            self.tuplet = add_tuplet(note, value, self.tuplet)

    def _pitch(self, note: Element, pitch: Note) -> None:
        element = SubElement(note, "pitch")
        SubElement(element, "step").text = pitch.letter
        if pitch.accidental:
            SubElement(element, "alter").text = str(pitch.accidental)
        octave = (pitch.octave or 0) - self.reader.octave_change
        SubElement(element, "octave").text = str(octave)

    def _shape(
        self,
        note: Element,
        value: Value,
        piece: Piece,
        shown: dict[tuple[str, int], int],
        held_over: bool,
    ) -> None:
        SubElement(note, "type").text = value.type
        for _ in range(value.dots):
            SubElement(note, "dot")
        if piece.note is not None and not held_over:
            place = (piece.note.letter, piece.note.octave or 0)
            accidental = piece.note.accidental
            if shown.get(place, self.signature[piece.note.letter]) != accidental:
                if accidental in _ACCIDENTALS:
                    SubElement(note, "accidental").text = _ACCIDENTALS[accidental]
                shown[place] = accidental
        if value.actual != value.normal:
            change = SubElement(note, "time-modification")
            SubElement(change, "actual-notes").text = str(value.actual)
            SubElement(change, "normal-notes").text = str(value.normal)


def _explicit(section: Section) -> Section:
    """Return the section with an opening sign for each repeated part that has none.

    Inside a section a repeat goes back to where the section starts; in a score it would go further.
    """
    bars = list(section.bars)
    start = 0
    opened = False
    for index, bar in enumerate(bars):
        after_endings = index > 0 and bars[index - 1].ending and not bar.ending
        if bar.opens or after_endings:
            start, opened = index, bar.opens
        if bar.closes and not opened:
            bars[start] = replace(bars[start], opens=True)
            opened = True
        if bar.closes and not bar.ending:
            start, opened = index + 1, False
    return replace(section, bars=tuple(bars))


def _numbers(bar: Bar) -> str:
    return ",".join(map(str, bar.ending))
