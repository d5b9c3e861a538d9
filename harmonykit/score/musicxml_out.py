"""A score as MusicXML 4.0.

Conventions.  Names and order of elements are those of the standard (W3C Community Group Final
Report 2021).  A chord symbol that starts inside a note has an ``<offset>``.  What is said of all
parts (sections, signs, tempo) stands over the first.  The same score gives the same bytes.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from math import lcm
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from harmonykit.score import kinds, marks, written
from harmonykit.score.score import Measure, Part, Score, Staff
from harmonykit.theory.note import Note
from harmonykit.tune.bar import OPENING_SIGNS, Meter, TuneError

SOFTWARE = "harmonykit"
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


def write_musicxml(score: Score) -> str:
    """Return a score as the text of a file.

    Parameters
    ----------
    score : Score

    Returns
    -------
    str
        A whole MusicXML file.

    Raises
    ------
    TuneError
        If a length is too fine to be counted in divisions of a quarter.

    References
    ----------
    MusicXML 4.0, W3C Community Group Final Report 2021.

    Examples
    --------
    >>> score = hk.score.lead_score(hk.read_tune("slack_water_waltz"), "Bb")
    >>> text = hk.score.write_musicxml(score)
    >>> "<chromatic>-2</chromatic>" in text, text.count("<measure ")
    (True, 16)
    """
    root = score_tree(score)
    indent(root, " ")
    return _DOCTYPE + tostring(root, encoding="unicode") + "\n"


def score_tree(score: Score) -> Element:
    """Return a score as the tree of its elements; see ``write_musicxml``."""
    root = Element("score-partwise", version="4.0")
    SubElement(SubElement(root, "work"), "work-title").text = score.title
    identification = SubElement(root, "identification")
    if score.composer:
        SubElement(identification, "creator", type="composer").text = score.composer
    if score.rights:
        SubElement(identification, "rights").text = score.rights
    SubElement(SubElement(identification, "encoding"), "software").text = SOFTWARE
    if score.fields:
        miscellaneous = SubElement(identification, "miscellaneous")
        for name, value in score.fields:
            SubElement(miscellaneous, "miscellaneous-field", name=name).text = value
    parts = SubElement(root, "part-list")
    divisions = _common_divisions(score)
    for place, part in enumerate(score.parts):
        listed = SubElement(parts, "score-part", id=f"P{place + 1}")
        SubElement(listed, "part-name").text = part.name
        root.append(_PartWriter(score, place, divisions).part())
    return root


def _common_divisions(score: Score) -> int:
    times: list[Fraction] = []
    for measure in score.measures:
        times.append(measure.length)
        for staff in measure.staves:
            times += [symbol.at for symbol in staff.symbols]
            times += [one.beats for one in written.write_staff(measure, staff)]
    found = lcm(*(time.denominator for time in times))
    odd = max(found // (found & -found), 1)
    if found > MOST_DIVISIONS or odd > _MOST_IN_TUPLET:
        rule = f"{MOST_DIVISIONS} divisions of a quarter note at most"
        raise TuneError(
            f"{score.title!r} has note values that cannot be written in a score", rule=rule
        )
    return found


class _PartWriter:
    """Writes one part, measure after measure."""

    def __init__(self, score: Score, place: int, divisions: int) -> None:
        self.score, self.place, self.divisions = score, place, divisions
        self.reader: Part = score.parts[place]
        self.signature = {n.letter: n.accidental for n in self.reader.key.scale}
        self.lyrics = marks.Lyrics(measure.staves[place] for measure in score.measures)
        self.meter: Meter | None = None
        # What the key does not say: letter and octave, and how they were altered last.
        self.altered: dict[tuple[str, int], int] = {}
        self.altered_before: dict[tuple[str, int], int] = {}

    def part(self) -> Element:
        part = Element("part", id=f"P{self.place + 1}")
        for measure, after in pairwise([*self.score.measures, None]):
            if measure is not None:
                part.append(self._measure(measure))
                ends = bool(after and after.label and measure.number)
                _right(part[-1], measure, section_ends=ends)
        return part

    def _measure(self, measure: Measure) -> Element:
        implicit = "no" if measure.is_counted else "yes"
        element = Element("measure", number=str(measure.number), implicit=implicit)
        if measure.new_line:
            SubElement(element, "print", {"new-system": "yes"})
        _left(element, measure)
        self._attributes(element, measure)
        top = self.place == 0
        if top and measure.label:
            marks.add_direction(element, "rehearsal", measure.label)
        opening = [sign for sign in measure.signs if sign in OPENING_SIGNS]
        for sign in opening if top else ():
            marks.add_sign(element, sign)
        self._content(element, measure, measure.staves[self.place])
        for sign in measure.signs if top else ():
            if sign not in opening:
                marks.add_sign(element, sign)
        return element

    def _attributes(self, element: Element, measure: Measure) -> None:
        first = self.meter is None
        if measure.meter == self.meter:
            return
        attributes = SubElement(element, "attributes")
        if first:
            SubElement(attributes, "divisions").text = str(self.divisions)
            key = SubElement(attributes, "key")
            SubElement(key, "fifths").text = str(self.reader.key.signature)
            SubElement(key, "mode").text = self.reader.key.mode
        time = SubElement(attributes, "time")
        SubElement(time, "beats").text = str(measure.meter[0])
        SubElement(time, "beat-type").text = str(measure.meter[1])
        self.meter = measure.meter
        if first:
            self._reading(attributes)
            if self.place == 0:
                marks.add_tempo(element, self.score.tempo, measure.meter)

    def _reading(self, attributes: Element) -> None:
        """Add how the part is to be read: its clef, and the way to what sounds."""
        clef, moved = self.reader.clef, self.reader.transposition
        element = SubElement(attributes, "clef")
        SubElement(element, "sign").text = clef.sign
        SubElement(element, "line").text = str(clef.line)
        if clef.octave:
            SubElement(element, "clef-octave-change").text = str(clef.octave)
        if moved is not None:
            element = SubElement(attributes, "transpose")
            SubElement(element, "diatonic").text = str(moved.diatonic)
            SubElement(element, "chromatic").text = str(moved.chromatic)
            if moved.octaves:
                SubElement(element, "octave-change").text = str(moved.octaves)

    def _content(self, element: Element, measure: Measure, staff: Staff) -> None:
        """Write symbols and notes; a symbol inside a note stands before it, with an offset."""
        waiting = list(staff.symbols)
        self.altered, self.altered_before = {}, self.altered
        for one in written.write_staff(measure, staff):
            while waiting and waiting[0].at < one.at + one.beats:
                symbol = waiting.pop(0)
                harmony = kinds.symbol_harmony(symbol)
                if symbol.at > one.at:
                    offset = (symbol.at - one.at) * self.divisions
                    SubElement(harmony, "offset").text = str(int(offset))
                element.append(harmony)
            self._notes(element, one)

    def _notes(self, element: Element, one: written.Written) -> None:
        """Write a note or a rest, or the notes of a chord one after another."""
        pitches: Sequence[Note | None] = one.tone.notes or (None,)
        for index, pitch in enumerate(pitches):
            note = SubElement(element, "note")
            if index:
                SubElement(note, "chord")
            if pitch is None:
                SubElement(note, "rest", {"measure": "yes"} if one.value is None else {})
            else:
                _add_pitch(note, pitch)
            SubElement(note, "duration").text = str(int(one.beats * self.divisions))
            ties = one.ties(index)
            for kind in ties:
                SubElement(note, "tie", type=kind)
            accidental = None if pitch is None else self._accidental(pitch, tied_in="stop" in ties)
            _add_shape(note, one, accidental)
            if index == 0:
                for number, beam in enumerate(one.beams, 1):
                    SubElement(note, "beam", number=str(number)).text = beam
            marks.add_notations(note, one, index)
            if index == 0 and one.is_first and not one.tone.tied_in:
                self.lyrics.add(note, one.tone)

    def _accidental(self, pitch: Note, *, tied_in: bool) -> Element | None:
        """Return the accidental that is printed before a note, if any.

        It stands where neither key nor measure says it.  It reminds once more where the letter was
        altered otherwise, in another octave of this measure or in the one before (common practice
        of engravers, no source).
        """
        place, alter = (pitch.letter, pitch.octave or 0), pitch.accidental
        own = self.signature[pitch.letter]
        said = self.altered.get(place, own)
        heard = [*self.altered_before.items(), *self.altered.items()]
        otherwise = any(letter == pitch.letter and a != alter for (letter, _), a in heard)
        reminds = place not in self.altered and otherwise
        if tied_in:
            # The tie says it for the note, and for no other.
            self.altered_before[place] = alter
            return None
        if said == alter and not reminds:
            return None
        self.altered[place] = alter
        if alter not in _ACCIDENTALS:
            return None
        accidental = Element("accidental", {"cautionary": "yes"} if said == alter else {})
        accidental.text = _ACCIDENTALS[alter]
        return accidental


def _left(element: Element, measure: Measure) -> None:
    if not (measure.opens or measure.ending_starts):
        return
    line = SubElement(element, "barline", location="left")
    if measure.ending_starts:
        SubElement(line, "ending", number=_numbers(measure), type="start")
    if measure.opens:
        SubElement(line, "repeat", direction="forward")


def _right(element: Element, measure: Measure, *, section_ends: bool) -> None:
    """Add the bar line at the end of a measure, unless it is a plain one."""
    style = "light-heavy" if measure.is_last else "light-light" if section_ends else ""
    if not (measure.closes or measure.ending_stops or style):
        return
    line = SubElement(element, "barline", location="right")
    if style and not (measure.closes and not measure.is_last):
        SubElement(line, "bar-style").text = style
    if measure.ending_stops:
        kind = "stop" if measure.closes else "discontinue"
        SubElement(line, "ending", number=_numbers(measure), type=kind)
    if measure.closes:
        repeat = SubElement(line, "repeat", direction="backward")
        if measure.closes != 2:
            repeat.set("times", str(measure.closes))


def _numbers(measure: Measure) -> str:
    return ",".join(map(str, measure.ending))


def _add_pitch(note: Element, pitch: Note) -> None:
    element = SubElement(note, "pitch")
    SubElement(element, "step").text = pitch.letter
    if pitch.accidental:
        SubElement(element, "alter").text = str(pitch.accidental)
    SubElement(element, "octave").text = str(pitch.octave)


def _add_shape(note: Element, one: written.Written, accidental: Element | None) -> None:
    """Add type, dots, accidental and the ratio of a tuplet."""
    value = one.value
    if value is None:
        return
    SubElement(note, "type").text = value.type
    for _ in range(value.dots):
        SubElement(note, "dot")
    if accidental is not None:
        note.append(accidental)
    if value.actual != value.normal:
        change = SubElement(note, "time-modification")
        SubElement(change, "actual-notes").text = str(value.actual)
        SubElement(change, "normal-notes").text = str(value.normal)
