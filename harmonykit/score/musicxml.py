"""A MusicXML score read as plain data; runs in the child process only.

Conventions.  ``score.measures`` reads each part.  Chord symbols are those of all parts.  The part
that has them says metre, key, repeats and endings; the melody is the top line of the first voice of
that part, or of the first other part that has notes.
"""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree.ElementTree import Element

from harmonykit.score.lead import FORM_FIELD, NOTES_FIELD, STYLE_FIELD
from harmonykit.score.measures import Measure, read_part, transposition, without_room
from harmonykit.score.signs import Json, int_of, one_jump, put_words, text_of, words_left
from harmonykit.tune.bar import TuneError, bar_length

_MOST = {
    "beats": 64, "beat-type": 64, "fifths": 20, "alter": 6, "octave": 12, "staves": 32,
    "actual-notes": 64, "normal-notes": 64, "multiple-rest": 999, "measure-repeat": 99,
    "divisions": 99_999, "chromatic": 99, "diatonic": 99, "octave-change": 9,
}  # fmt: skip
# What says nothing about chords, melody, form or words, and is not kept.
_UNKEPT = {
    "slur": "slurs", "dynamics": "dynamics", "wedge": "hairpins", "articulations": "articulations",
    "ornaments": "ornaments", "grace": "grace notes",
    "technical": "fingerings and other technical marks",
    "arpeggiate": "arpeggios", "glissando": "glissandi", "slide": "slides", "pedal": "pedals",
}  # fmt: skip
_BEAT_UNITS = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
}


def read_xml(root: Element) -> Json:
    """Return the score that a defused XML tree holds, as plain data.

    Raises
    ------
    TuneError
        If the root is no partwise score or holds no measures.
    """
    if root.tag != "score-partwise":
        mend = "save the score as partwise MusicXML" if root.tag == "score-timewise" else ""
        raise TuneError(f"the root is <{root.tag}>", rule="<score-partwise>", mend=mend)
    refuse_wild(root)
    parts = root.findall("part")
    read = [read_part(part) for part in parts]
    chief = next((n for n, part in enumerate(parts) if part.find(".//harmony") is not None), 0)
    if not parts or not read[chief]:
        raise TuneError("the score has no measures")
    name = parts[chief].get("id") or ""
    if name not in {listed.get("id") for listed in root.iterfind("part-list/score-part")}:
        raise TuneError(f"part {name!r} is not in the part-list")
    doubts = _Doubts()
    bars = [
        _bar(index, [part[index] for part in read if index < len(part)], read[chief][index], doubts)
        for index in range(len(read[chief]))
    ]
    _repeats(parts[chief], bars, doubts)
    _sing(bars, read, chief, doubts)
    put_words(bars)
    lines = (notes for part in read for measure in part for notes in measure.lines.values())
    if left := words_left(lines):
        doubts.add(None, f"words in parts other than the melody are left out: {left[:40]!r}")
    if unkept := sorted({_UNKEPT[e.tag] for e in parts[chief].iter() if e.tag in _UNKEPT}):
        doubts.add(None, f"left out: {', '.join(unkept)}")
    return {
        "title": root.findtext("work/work-title") or root.findtext("movement-title") or "",
        "composer": _creator(root, "composer"),
        "rights": " ".join(t for e in root.iterfind("identification/rights") if (t := e.text)),
        "notes": _field(root, NOTES_FIELD),
        "names": _field(root, FORM_FIELD),
        "style": _field(root, STYLE_FIELD),
        "tempo": _tempo(parts, doubts),
        "shift": _shift(parts[chief], doubts),
        "key": _key(parts[chief], doubts),
        "bars": bars,
        "doubts": doubts.found,
    }


def _bar(index: int, together: list[Measure], own: Measure, doubts: _Doubts) -> Json:
    """Return a measure of all parts: their chords and signs, and what the chief part says."""
    chords: list[Json] = []
    for chord in (chord for measure in together for chord in measure.chords):
        if without_room(chord) not in map(without_room, chords):
            chords.append(chord)
    for words in dict.fromkeys(words for measure in together for words in measure.unknown):
        doubts.add(index, f"{words!r} is ignored")
    meter = own.meter
    whole = bar_length(meter) if meter else Fraction(4)
    return {
        "chords": sorted(chords, key=lambda chord: Fraction(chord["at"])),
        "fermatas": [str(at) for at in sorted({at for m in together for at in m.fermatas})],
        "meter": list(meter) if meter else None,
        "length": str(own.length or whole),
        "label": own.label or next((m.label for m in together if m.label), ""),
        "signs": one_jump(sign for measure in together for sign in measure.signs),
        "notes": [],
        "lyric": [lyric for measure in together for lyric in measure.lyric],
    }


def refuse_wild(root: Element) -> None:
    """Refuse numbers that no score needs and that would fill the memory.

    Raises
    ------
    TuneError
        With the element and its number.
    """
    for element in root.iter():
        most = _MOST.get(element.tag)
        if most is not None:
            numbers = re.findall(r"\d+", element.text or "")
            if any(len(number) > 6 or int(number) > most for number in numbers):
                said = (element.text or "").strip()[:20]
                raise TuneError(f"<{element.tag}> {said}", rule=f"{most} at most")


class _Doubts:
    """Doubts with the index of the bar that they are about, or None."""

    def __init__(self) -> None:
        self.found: list[tuple[int | None, str]] = []

    def add(self, bar: int | None, text: str) -> None:
        if (bar, text) not in self.found:
            self.found.append((bar, text))


def _creator(root: Element, kind: str) -> str:
    for creator in root.iterfind("identification/creator"):
        if creator.get("type") == kind:
            return creator.text or ""
    return ""


def _field(root: Element, name: str) -> str:
    """Return what a file of ours says of itself."""
    if (root.findtext("identification/encoding/software") or "") != "harmonykit":
        return ""
    for element in root.iterfind("identification/miscellaneous/miscellaneous-field"):
        if element.get("name") == name:
            return element.text or ""
    return ""


def _tempo(parts: list[Element], doubts: _Doubts) -> str:
    """Return the first tempo in quarter notes a minute, or nothing."""
    found: list[Fraction] = []
    for part in parts:
        for direction in part.iter("direction"):
            for mark in direction.iterfind("direction-type/metronome"):
                found += _metronome(mark, doubts)
        for sound in part.iter("sound"):
            found += _number(sound.get("tempo", ""))
    if len(set(found)) > 1:
        doubts.add(None, "the tempo changes: the first is kept")
    return str(found[0]) if found else ""


def _metronome(mark: Element, doubts: _Doubts) -> list[Fraction]:
    unit = _BEAT_UNITS.get(text_of(mark, "beat-unit"))
    said = text_of(mark, "per-minute")
    number = _number(said)
    if unit is None or not number:
        doubts.add(None, f"the tempo {said!r} has no number or beat that can be read")
        return []
    dotted = Fraction(3, 2) if mark.find("beat-unit-dot") is not None else Fraction(1)
    return [number[0] * unit * dotted]


def _number(text: str) -> list[Fraction]:
    plain = re.fullmatch(r"\s*(\d{1,4}(?:\.\d{1,9})?)\s*", text)
    return [Fraction(plain[1])] if plain and float(plain[1]) else []


def _shift(part: Element, doubts: _Doubts) -> list[int]:
    """Return the letters and semitones from written to sounding, for a transposing part."""
    found = {transposition(element) for element in part.iter("transpose")}
    if len(found) > 1:
        doubts.add(None, "the part changes its transposition: chords are read as written")
        return [0, 0]
    if not any(chromatic % 12 for _, chromatic in found):
        return [0, 0]
    doubts.add(
        None, "the part is written for a transposing instrument: it is read at sounding pitch"
    )
    return list(found.pop())


def _key(part: Element, doubts: _Doubts) -> Json:
    keys = [key for key in part.iter("key") if key.find("fifths") is not None]
    if len({text_of(key, "fifths") for key in keys}) > 1:
        doubts.add(None, "the key changes: the first is kept")
    if not keys:
        return {}
    return {"fifths": int_of(text_of(keys[0], "fifths")), "mode": text_of(keys[0], "mode")}


def _repeats(part: Element, bars: list[Json], doubts: _Doubts) -> None:
    """Read repeat signs and endings from the bar lines."""
    numbers: list[int] = []
    for index, (bar, measure) in enumerate(zip(bars, part.findall("measure"), strict=False)):
        bar |= {"opens": False, "closes": 0}
        lines = measure.findall("barline")
        for line in lines:
            if (ending := line.find("ending")) is not None and ending.get("type") == "start":
                numbers = _ending_numbers(ending.get("number", ""))
        bar["ending"] = numbers
        for line in lines:
            repeat, ending = line.find("repeat"), line.find("ending")
            if repeat is not None and repeat.get("direction") == "forward":
                bar["opens"] = True
            elif repeat is not None:
                if repeat.get("after-jump") == "yes":
                    doubts.add(index, "its repeat is not played after a jump")
                bar["closes"] = max(2, int_of(repeat.get("times", "2"), 2))
            if ending is not None and ending.get("type") in ("stop", "discontinue"):
                numbers = []


def _ending_numbers(text: str) -> list[int]:
    """Read an ending's numbers: ``"1, 2"`` in the standard, ``"1-3"`` in the wild."""
    spans = re.findall(r"(\d{1,2})(?:\s*-\s*(\d{1,2}))?", text)
    return sorted({n for low, high in spans for n in range(int(low), int(high or low) + 1)})


def _sing(bars: list[Json], read: list[list[Measure]], chief: int, doubts: _Doubts) -> None:
    """Give the bars their melody: the top line of the first voice of the first staff with notes."""
    for number in (chief, *(n for n in range(len(read)) if n != chief)):
        staves = {staff for m in read[number] for (staff, _), notes in m.lines.items() if notes}
        if not staves:
            continue
        if number != chief:
            doubts.add(None, "the melody is taken from a different part than the chords")
        staff = min(staves, key=lambda name: (len(name), name))
        for bar, measure in zip(bars, read[number], strict=False):
            voices = [notes for (own, _), notes in measure.lines.items() if own == staff]
            if len(voices) > 1:
                doubts.add(None, "the score has several voices: the first is the melody")
            bar["notes"] = voices[0] if voices else []
            if any(len(sung["note"]) > 1 for sung in bar["notes"]):
                doubts.add(None, "the melody has chords: the top note is kept")
        return
