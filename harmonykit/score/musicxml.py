"""MusicXML read with music21; runs in the child process only.

music21 gives measures, their lengths and metres, and the melody.  Chord symbols are read by
``score_harmony`` and taken out before music21 sees the score, because it loses offsets, kinds with
an empty text and added degrees; repeats and endings are read from the bar lines, because it loses
endings with several numbers.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any
from xml.etree.ElementTree import Element

from harmonykit.score.harmony import (
    Json,
    int_of,
    read_harmonies,
    take_out_harmonies,
    text_of,
)
from harmonykit.score.lead import FORM_FIELD, NOTES_FIELD
from harmonykit.score.signs import signs_of_measure
from harmonykit.tune.bar import TuneError

# Letters of the usual interval of 0 to 11 semitones, where a file leaves <diatonic> out.
_USUAL_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
_MOST = {
    "beats": 64, "beat-type": 64, "fifths": 20, "alter": 6, "octave": 12, "staves": 32,
    "actual-notes": 64, "normal-notes": 64, "multiple-rest": 999, "measure-repeat": 99,
    "divisions": 99_999, "chromatic": 99, "diatonic": 99, "octave-change": 9,
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
    bars = read_harmonies(parts)
    chief = next((n for n, part in enumerate(parts) if part.find(".//harmony") is not None), 0)
    if not parts or not parts[chief].findall("measure"):
        raise TuneError("the score has no measures")
    doubts = _Doubts()
    score: Json = {
        "title": root.findtext("work/work-title") or root.findtext("movement-title") or "",
        "composer": _creator(root, "composer"),
        "rights": " ".join(t for e in root.iterfind("identification/rights") if (t := e.text)),
        "notes": _field(root, NOTES_FIELD),
        "names": _field(root, FORM_FIELD),
        "tempo": _tempo(parts, doubts),
        "shift": _shift(parts[chief], doubts),
        "key": _key(parts[chief], doubts),
    }
    _describe(parts[chief], bars, doubts)
    _repeats(parts[chief], bars)
    take_out_harmonies(parts)
    _measure(root, chief, bars, doubts)
    return {**score, "bars": bars[: len(parts[chief].findall("measure"))], "doubts": doubts.found}


def refuse_wild(root: Element) -> None:
    """Refuse numbers that no score needs and that music21 would fill the memory with.

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
    """Return the first tempo in quarters a minute, or nothing."""
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
        doubts.add(None, f"a tempo of {said or 'no number'} is not understood")
        return []
    dotted = Fraction(3, 2) if mark.find("beat-unit-dot") is not None else Fraction(1)
    return [number[0] * unit * dotted]


def _number(text: str) -> list[Fraction]:
    plain = re.fullmatch(r"\s*(\d{1,4}(?:\.\d{1,9})?)\s*", text)
    return [Fraction(plain[1])] if plain and float(plain[1]) else []


def _shift(part: Element, doubts: _Doubts) -> list[int]:
    """Return the letters and semitones from written to sounding, for a transposing part."""
    found = {_transposition(element) for element in part.iter("transpose")}
    if len(found) > 1:
        doubts.add(None, "the part changes its transposition: chords are read as written")
        return [0, 0]
    if not any(chromatic % 12 for _, chromatic in found):
        return [0, 0]
    doubts.add(None, "the part is written for a transposing instrument: all is read as it sounds")
    return list(found.pop())


def _transposition(element: Element) -> tuple[int, int]:
    chromatic = int_of(text_of(element, "chromatic"))
    octaves, rest = divmod(chromatic, 12)
    usual = 7 * octaves + _USUAL_STEPS[rest]
    return int_of(text_of(element, "diatonic"), usual), chromatic


def _key(part: Element, doubts: _Doubts) -> Json:
    keys = [key for key in part.iter("key") if key.find("fifths") is not None]
    if len({text_of(key, "fifths") for key in keys}) > 1:
        doubts.add(None, "the key changes: the first is kept")
    if not keys:
        doubts.add(None, "no key is given: C major is taken")
    first = keys[0] if keys else Element("key")
    return {"fifths": int_of(text_of(first, "fifths")), "mode": text_of(first, "mode")}


def _describe(part: Element, bars: list[Json], doubts: _Doubts) -> None:
    """Note rehearsal marks, jumps, and the words that nobody follows."""
    for index, measure in enumerate(part.findall("measure")):
        label = next((e.text for e in measure.iter("rehearsal") if e.text), "")
        bars[index]["label"] = label.strip()
        bars[index]["signs"], unknown = signs_of_measure(measure)
        for words in unknown:
            doubts.add(index, f"{words!r} is not followed")


def _repeats(part: Element, bars: list[Json]) -> None:
    """Read repeat signs and endings from the bar lines."""
    numbers: list[int] = []
    for bar, measure in zip(bars, part.findall("measure"), strict=False):
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
                bar["closes"] = max(2, int_of(repeat.get("times", "2"), 2))
            if ending is not None and ending.get("type") in ("stop", "discontinue"):
                numbers = []


def _ending_numbers(text: str) -> list[int]:
    """Read an ending's numbers: ``"1, 2"`` in the standard, ``"1-3"`` in the wild."""
    spans = re.findall(r"(\d{1,2})(?:\s*-\s*(\d{1,2}))?", text)
    return sorted({n for low, high in spans for n in range(int(low), int(high or low) + 1)})


def _measure(root: Element, chief: int, bars: list[Json], doubts: _Doubts) -> None:
    """Let music21 say what the measures are: lengths, metres, and what is sung in them."""
    from music21 import stream
    from music21.musicxml import xmlToM21

    library: Any = xmlToM21
    importer = library.MusicXMLImporter()
    importer.xmlRootToScore(root, importer.stream)
    name = root.findall("part")[chief].get("id") or ""
    known = importer.m21PartObjectsById
    here = [known[key] for key in known if key == name or key.startswith(f"{name}-Staff")]
    if not here:
        raise TuneError(f"part {name!r} stands in no part-list")
    others = list(importer.stream.parts)
    sung = next((part for part in [*here, *others] if part.recurse().notes), here[0])
    if all(sung is not part for part in here):
        doubts.add(None, "the melody is taken from another part than the chords")
    sung.toSoundingPitch(inPlace=True)
    _shape(list(here[0].getElementsByClass(stream.Measure)), bars)
    for bar, measure in zip(bars, sung.getElementsByClass(stream.Measure), strict=False):
        bar["notes"] = _notes(measure, doubts)


def _shape(measures: list[Any], bars: list[Json]) -> None:
    meter = [4, 4]
    for bar, measure in zip(bars, measures, strict=False):
        if measure.timeSignature is not None:
            meter = [measure.timeSignature.numerator, measure.timeSignature.denominator]
        content = Fraction(measure.duration.quarterLength)
        bar |= {"meter": meter, "length": str(content or Fraction(4 * meter[0], meter[1]))}


def _notes(measure: Any, doubts: _Doubts) -> list[Json]:
    """Return the top line of a measure's first voice."""
    voices = list(measure.voices)
    source = voices[0] if voices else measure
    if len(voices) > 1:
        doubts.add(None, "the score has several voices: the first is the melody")
    found: list[Json] = []
    for event in source.notes:
        if event.duration.isGrace or not getattr(event, "pitches", ()):
            continue
        if event.isChord:
            doubts.add(None, "the melody has chords: the top note is kept")
        found.append(
            {
                "note": [f"{p.name.replace('-', 'b')}{p.implicitOctave}" for p in event.pitches],
                "at": str(Fraction(event.offset + (source.offset if voices else 0))),
                "beats": str(Fraction(event.quarterLength)),
                "tied": event.tie is not None and event.tie.type in ("start", "continue"),
            }
        )
    return found
