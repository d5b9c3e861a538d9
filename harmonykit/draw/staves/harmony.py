"""A chord and its shape as MusicXML's ``<harmony>``.

Conventions.  MusicXML 4.0 (W3C Community Group Final Report 2021): string 1 is the last of the
instrument's order; a muted string has no ``<frame-note>``; a frame's frets are those of the neck,
whatever the first fret shown.  ``harmonykit.score.harmony_out`` writes the chord.
"""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement

from harmonykit.draw.shapes.window import window
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.score.harmony_out import chord_harmony, kind_of
from harmonykit.theory.chord import Chord

__all__ = ["frame_element", "harmony_element", "kind_of"]


def harmony_element(chord: Chord | None, voicing: Voicing | None) -> Element:
    """Return the ``<harmony>`` of a chord, with the frame of its shape; N.C. for no chord."""
    harmony = chord_harmony(chord)
    if chord is not None and voicing is not None:
        harmony.append(frame_element(voicing))
    return harmony


def frame_element(voicing: Voicing) -> Element:
    """Return the ``<frame>`` of a shape, with its fingering."""
    first, rows = window(voicing.frets)
    count = len(voicing.frets)
    frame = Element("frame", unplayed="x")
    SubElement(frame, "frame-strings").text = str(count)
    SubElement(frame, "frame-frets").text = str(rows)
    if first > 1:
        SubElement(frame, "first-fret").text = str(first)
    fingers, ends = voicing.fingers or (None,) * count, _barre_ends(voicing)
    for string, (fret, finger) in enumerate(zip(voicing.frets, fingers, strict=True)):
        if fret is None:
            continue
        note = SubElement(frame, "frame-note")
        SubElement(note, "string").text = str(count - string)
        SubElement(note, "fret").text = str(fret)
        if finger:
            SubElement(note, "fingering").text = str(finger)
        if string in ends:
            SubElement(note, "barre", type=ends[string])
    return frame


def _barre_ends(voicing: Voicing) -> dict[int, str]:
    """Return the strings at which a barre starts and stops.

    It starts at the string with the higher number: the lowest-pitched one of a guitar.
    """
    ends: dict[int, str] = {}
    for barre in voicing.fingering.barres if voicing.fingering else ():
        ends |= {barre.first: "start", barre.last: "stop"}
    return ends
