"""The measures of one part of a MusicXML score, read in one pass, as plain data.

Conventions.  Positions follow the standard's cursor (MusicXML 4.0): notes move it forward,
``<backup>`` and ``<forward>`` move it as they say, and ``<offset>`` shifts one symbol.  A duration
that is only rounded to the file's divisions is taken as the value that is printed.  Pitches are
those that sound.
"""

from fractions import Fraction
from xml.etree.ElementTree import Element

from harmonykit.score import signs as written
from harmonykit.score.signs import Json
from harmonykit.score.written import TYPES
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Meter
from harmonykit.values import dataclass, field

# Letters of the usual interval of 0 to 11 semitones, where a file leaves <diatonic> out.
_USUAL_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
_QUARTERS = {name: beats for beats, name in TYPES.items()}
_LOWER = (1, 2, 4, 8, 16, 32, 64)


@dataclass(slots=True)
class Measure:
    """What stands in one measure of a part; positions and lengths in quarters.

    ``lines`` holds the notes of each voice, by the staff and the voice, in the file's order, and
    ``lyric`` the words that stand under rests.
    """

    meter: Meter | None
    length: Fraction = Fraction(0)
    chords: list[Json] = field(default_factory=list)
    fermatas: list[Fraction] = field(default_factory=list)
    lines: dict[tuple[str, str], list[Json]] = field(default_factory=dict)
    label: str = ""
    lyric: list[Json] = field(default_factory=list)
    signs: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)


def read_part(part: Element) -> list[Measure]:
    """Return the measures of a part."""
    walk = _Walk()
    return [walk.measure(element) for element in part.findall("measure")]


def transposition(element: Element) -> tuple[int, int]:
    """Return letters and semitones from written to sounding, without whole octaves besides."""
    chromatic = written.int_of(written.text_of(element, "chromatic"))
    octaves, rest = divmod(chromatic, 12)
    usual = 7 * octaves + _USUAL_STEPS[rest]
    return written.int_of(written.text_of(element, "diatonic"), usual), chromatic


class _Walk:
    """The cursor, and what holds from measure to measure."""

    def __init__(self) -> None:
        self.divisions = 1
        self.meter: Meter | None = (4, 4)
        self.sounds = Interval(0, 0)
        self.found = Measure(None)
        self._begin()

    def _begin(self) -> None:
        self.found = Measure(self.meter)
        # The cursor in divisions, and where each place that was reached is exactly.
        self.tick, self.exact = 0, {0: Fraction(0)}
        # Where the last note or rest ends: a measure is no longer than that.
        self.sounded = Fraction(0)
        self.waiting: list[Json] = []
        self.last: Json | None = None

    @property
    def now(self) -> Fraction:
        """Where the cursor stands, in quarters."""
        return self.exact.get(self.tick, Fraction(self.tick, self.divisions))

    def measure(self, measure: Element) -> Measure:
        """Read one measure from its start to its end."""
        self._begin()
        for element in measure:
            if element.tag == "attributes":
                self._attributes(element)
            elif element.tag == "note":
                self._note(element)
            elif element.tag == "forward":
                self._advance(element)
            elif element.tag == "backup":
                self.tick = max(self.tick - self._ticks(element), 0)
                self.waiting = []
            elif element.tag == "harmony" or written.says_silence(element):
                self._chord(element)
        found = self.found
        found.chords.sort(key=lambda chord: Fraction(chord["at"]))
        label = next((e.text for e in measure.iter("rehearsal") if e.text), "")
        found.label = label.strip()
        found.signs, found.unknown = written.signs_of_measure(measure)
        found.length = self.sounded
        if any(Fraction(chord["at"]) >= found.length for chord in found.chords):
            found.length = max(self.exact.values())
        return found

    def _attributes(self, element: Element) -> None:
        divisions = written.int_of(written.text_of(element, "divisions"))
        if divisions > 0 and divisions != self.divisions:
            scale = Fraction(divisions, self.divisions)
            self.exact = {round(tick * scale): at for tick, at in self.exact.items()}
            self.tick, self.divisions = round(self.tick * scale), divisions
        for time in element.findall("time"):
            self.meter = self.found.meter = _meter(time)
        for moved in element.findall("transpose"):
            steps, semitones = transposition(moved)
            octaves = written.int_of(written.text_of(moved, "octave-change"))
            self.sounds = Interval(steps + 7 * octaves, semitones + 12 * octaves)

    def _ticks(self, element: Element) -> int:
        return max(written.int_of(written.text_of(element, "duration")), 0)

    def _advance(self, element: Element) -> Fraction:
        """Move the cursor by what lasts for a time; return how long."""
        ticks, start = self._ticks(element), self.now
        length = _printed(element, Fraction(ticks, self.divisions), self.divisions)
        for chord in self.waiting:
            chord["room"] = str(length)
        self.waiting = [] if length else self.waiting
        self.tick += ticks
        self.exact.setdefault(self.tick, start + length)
        return self.now - start

    def _note(self, element: Element) -> None:
        if element.find("chord") is not None:
            if self.last is not None:
                self._add_pitch(self.last, element)
            return
        self.last = None
        at = self.now
        if element.find("notations/fermata") is not None and at not in self.found.fermatas:
            self.found.fermatas.append(at)
        grace = element.find("grace") is not None
        length = self._advance(element)
        self.sounded = max(self.sounded, self.now)
        line = (written.text_of(element, "staff") or "1", written.text_of(element, "voice") or "1")
        if grace:
            return
        notes = self.found.lines.setdefault(line, [])
        if element.find("pitch") is None:
            self.found.lyric += map(written.lyric_of, element.findall("lyric"))
            return
        self.last = {"note": [], "at": str(at), "beats": str(length), "tied": False, "lyrics": []}
        self._add_pitch(self.last, element)
        notes.append(self.last)

    def _add_pitch(self, sung: Json, element: Element) -> None:
        sung["tied"] |= any(tie.get("type") == "start" for tie in element.findall("tie"))
        sung["lyrics"] += map(written.lyric_of, element.findall("lyric"))
        if element.find("pitch") is not None:
            sung["note"].append(self._sounding(element))

    def _sounding(self, element: Element) -> str:
        """Return the name of a pitch as it sounds; one that has none is left as it is written."""
        step, octave = (
            written.text_of(element, "pitch/step"),
            written.text_of(element, "pitch/octave"),
        )
        alter = written.text_of(element, "pitch/alter") or "0"
        whole = written.int_of(alter)
        signs = "#" * whole if whole > 0 else "b" * -whole
        try:
            exact = float(alter) == whole and len(step) == 1 and step in "CDEFGAB"
        except ValueError:
            exact = False
        if not exact:
            return f"{step}{octave} altered by {alter}"
        note = Note.parse(f"{step}{signs}{written.int_of(octave, 4)}")
        return str(note.transpose(self.sounds)) if self.sounds.semitones else str(note)

    def _chord(self, element: Element) -> None:
        offset = Fraction(written.int_of(written.text_of(element, "offset")), self.divisions)
        found = written.harmony_of(element) | {"at": str(self.now + offset)}
        if found not in map(without_room, self.found.chords):
            self.found.chords.append(found)
            self.waiting += [] if found.get("alternate") else [found]


def without_room(chord: Json) -> Json:
    """Return a chord without what is known of the note under it."""
    return {key: value for key, value in chord.items() if key != "room"}


def _printed(element: Element, length: Fraction, divisions: int) -> Fraction:
    """Return the printed length of a note whose duration is that length, rounded to divisions."""
    value = _QUARTERS.get(written.text_of(element, "type"), Fraction(0))
    value *= 2 - Fraction(1, 2 ** len(element.findall("dot")))
    actual = written.int_of(written.text_of(element, "time-modification/actual-notes"), 1)
    normal = written.int_of(written.text_of(element, "time-modification/normal-notes"), 1)
    if value <= 0 or actual <= 0 or normal <= 0:
        return length
    printed = value * Fraction(normal, actual)
    return printed if length and abs(printed - length) * divisions < 1 else length


def _meter(time: Element) -> Meter | None:
    """Return a metre: sums such as 3+2 in all, several over one another by the finest note."""
    uppers = [e.text or "" for e in time.findall("beats")]
    lowers = [written.int_of(e.text or "") for e in time.findall("beat-type")]
    if not uppers or len(uppers) != len(lowers) or any(low not in _LOWER for low in lowers):
        return None
    finest = max(lowers)
    beats = [sum(written.int_of(part) for part in upper.split("+")) for upper in uppers]
    return sum(n * finest // low for n, low in zip(beats, lowers, strict=True)), finest
