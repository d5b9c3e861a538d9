"""Directions of a MusicXML score: tempo, signs, and what hangs on notes: ties, brackets, words."""

from collections.abc import Iterable
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from harmonykit.score import score, written
from harmonykit.tune.bar import Meter, beat_length

_SOUNDS = {
    "segno": "segno", "coda": "coda", "to coda": "tocoda", "fine": "fine", "D.C.": "dacapo",
    "D.S.": "dalsegno",
}  # fmt: skip


def add_direction(measure: Element, kind: str, text: str) -> Element:
    """Add a direction above the staff and return it."""
    direction = SubElement(measure, "direction", placement="above")
    SubElement(SubElement(direction, "direction-type"), kind).text = text or None
    return direction


def add_sign(measure: Element, sign: str) -> None:
    """Add a sign: its glyph or words, and what it means to a player program."""
    if sign in ("segno", "coda"):
        direction = add_direction(measure, sign, "")
        SubElement(direction, "sound", {sign: sign})
        return
    direction = add_direction(
        measure, "words", sign[:1].upper() + sign[1:] if sign[1] != "." else sign
    )
    name = _SOUNDS.get(sign[:4] if sign[1] == "." else sign)
    if name:
        goal = {"tocoda": "coda", "dalsegno": "segno"}.get(name, "yes")
        SubElement(direction, "sound", {name: goal})


def add_tempo(measure: Element, tempo: float, meter: Meter) -> None:
    """Add the tempo: in beats where they are exact, and in quarters for player programs."""
    beat = beat_length(meter)
    beats = Fraction(tempo).limit_denominator(1_000_000) / beat
    dotted = beat == Fraction(3, 2) and (beats * 1000).denominator == 1
    direction = SubElement(measure, "direction", placement="above")
    mark = SubElement(SubElement(direction, "direction-type"), "metronome")
    SubElement(mark, "beat-unit").text = "quarter"
    if dotted:
        SubElement(mark, "beat-unit-dot")
    SubElement(mark, "per-minute").text = _decimal(float(beats) if dotted else tempo)
    SubElement(direction, "sound", tempo=_decimal(tempo))


def _decimal(number: float) -> str:
    return f"{number:.9f}".rstrip("0").rstrip(".")


def add_notations(note: Element, one: written.Written, index: int = 0) -> None:
    """Add ties, and to the first note of a chord brackets of tuplets and a fermata."""
    notations = Element("notations")
    for kind in one.ties(index):
        SubElement(notations, "tied", type=kind)
    for kind in one.tuplet if index == 0 else ():
        SubElement(notations, "tuplet", type=kind)
    if index == 0 and one.is_first and one.tone.held:
        SubElement(notations, "fermata")
    if len(notations):
        note.append(notations)


class Lyrics:
    """Writes the words of one part, note after note.

    Conventions.  MusicXML 4.0, ``lyric``: a line (``extend``) runs from the last syllable of a word
    to the last note over which it is held; within a word its hyphens say that it goes on.
    """

    def __init__(self, staves: Iterable[score.Staff]) -> None:
        sung = [t for staff in staves for t in staff.tones if t.notes and not t.tied_in]
        verses = [{one.verse for one in tone.words if one.place == "held"} for tone in sung]
        # What is held over the note after each note that is sung.
        self.ahead = iter([*verses[1:], set[int]()])
        self.going_on: set[int] = set()

    def add(self, note: Element, tone: score.Tone) -> None:
        """Add the syllables of a tone to its first note."""
        ahead = next(self.ahead) if tone.notes else frozenset[int]()
        for one in tone.words:
            if one.place == "held" and one.verse in self.going_on:
                continue
            lyric = SubElement(note, "lyric", number=str(one.verse))
            if one.place == "held":
                kind = "continue" if one.verse in ahead else "stop"
                SubElement(lyric, "extend", type=kind)
                continue
            SubElement(lyric, "syllabic").text = one.place
            SubElement(lyric, "text").text = one.text
            self.going_on -= {one.verse}
            if one.goes_on:
                self.going_on |= {one.verse}
            elif one.verse in ahead:
                SubElement(lyric, "extend", type="start")
