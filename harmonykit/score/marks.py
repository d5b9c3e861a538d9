"""Directions of a MusicXML score: tempo, signs, and what hangs on notes."""

from __future__ import annotations

from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from harmonykit.tune.bar import beat_length
from harmonykit.tune.tune import Tune
from harmonykit.tune.values import Value

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


def add_tempo(measure: Element, tune: Tune) -> None:
    """Add the tempo: in beats where they are exact, and in quarters for player programs."""
    beat = beat_length(tune.meter)
    beats = Fraction(tune.tempo).limit_denominator(1_000_000) / beat
    dotted = beat == Fraction(3, 2) and (beats * 1000).denominator == 1
    direction = SubElement(measure, "direction", placement="above")
    mark = SubElement(SubElement(direction, "direction-type"), "metronome")
    SubElement(mark, "beat-unit").text = "quarter"
    if dotted:
        SubElement(mark, "beat-unit-dot")
    number = float(beats) if dotted else float(tune.tempo)
    SubElement(mark, "per-minute").text = f"{number:.9f}".rstrip("0").rstrip(".")
    SubElement(direction, "sound", tempo=f"{float(tune.tempo):.9f}".rstrip("0").rstrip("."))


def add_notations(note: Element, stop: bool, start: bool, held: bool) -> None:
    """Add ties and a fermata to a note."""
    if not (stop or start or held):
        return
    notations = SubElement(note, "notations")
    for kind, here in (("stop", stop), ("start", start)):
        if here:
            SubElement(notations, "tied", type=kind)
    if held:
        SubElement(notations, "fermata")


def add_tuplet(note: Element, value: Value, before: Fraction) -> Fraction:
    """Bracket a tuplet: it starts with its first note, and stops where it fills plain values.

    Parameters
    ----------
    note : Element
    value : Value
    before : Fraction
        What has been written of the tuplet before this note; 0 where none runs.

    Returns
    -------
    Fraction
        What has been written of it now; 0 where it is through.
    """
    if value.actual == value.normal:
        return Fraction(0)
    reached = before + value.beats
    through = reached.denominator & (reached.denominator - 1) == 0
    if before and not through:
        return reached
    notations = note.find("notations")
    notations = SubElement(note, "notations") if notations is None else notations
    if not before:
        SubElement(notations, "tuplet", type="start")
    if through:
        SubElement(notations, "tuplet", type="stop")
    return Fraction(0) if through else reached
