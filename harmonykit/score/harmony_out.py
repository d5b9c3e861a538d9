"""A chord symbol as MusicXML's ``<harmony>``, with the ``<frame>`` of its shape.

Conventions.  MusicXML 4.0 (W3C Community Group Final Report 2021): an added degree is counted from
a dominant chord, so that an added minor seventh has the alteration 0; one that is altered is
counted from the kind's own degree.  String 1 of a frame is the last of the instrument's order; a
muted string has no ``<frame-note>``; a frame's frets are those of the neck, whatever the first fret
shown.  ``score.kinds`` is the way back.
"""

from collections import defaultdict
from functools import lru_cache
from xml.etree.ElementTree import Element, SubElement

from harmonykit.score.kinds import KIND_DEGREES, KindDegree
from harmonykit.score.score import Frame, Symbol
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import Note

# Named by a function, not by its notes; programs read it in different ways.
_LEFT_OUT = ("Tristan",)
_KINDS = {
    kind: tuple(Degree.parse(part) for part in text.split())
    for kind, text in KIND_DEGREES.items()
    if kind not in _LEFT_OUT
}
_ENDS = ("start", "stop")
# What a change of the kind costs a reader: what is taken away is the hardest to hear.
_COSTS = {"add": 2, "alter": 2, "subtract": 3}


@lru_cache(maxsize=1024)
def harmony_kind(degrees: tuple[Degree, ...]) -> tuple[str, tuple[KindDegree, ...]]:
    """Return the standard's kind that is nearest to a chord, and what to change in it.

    Examples
    --------
    >>> harmony_kind(Chord.parse("Dm7b5").degrees)
    ('half-diminished', ())
    >>> harmony_kind(Chord.parse("C7sus4").degrees)
    ('suspended-fourth', (KindDegree(type='add', number=7, alter=0),))
    """
    ways = ((kind, _changes(own, degrees)) for kind, own in _KINDS.items())
    return min(ways, key=lambda way: sum(_COSTS[change.type] for change in way[1]))


def _changes(own: tuple[Degree, ...], wanted: tuple[Degree, ...]) -> tuple[KindDegree, ...]:
    """Return the changes that turn a kind's degrees into those wanted, number by number."""
    here = {degree.number: degree.alter for degree in own}
    asked: dict[int, list[int]] = defaultdict(list)
    for degree in wanted:
        asked[degree.number].append(degree.alter)
    found: list[KindDegree] = []
    for number in sorted({*here, *asked}):
        alters = asked[number]
        if number in here and not alters:
            found.append(KindDegree("subtract", number, 0))
        elif number in here and here[number] not in alters:
            found.append(KindDegree("alter", number, alters[0] - here[number]))
            alters = alters[1:]
        found += [_added(number, alter) for alter in alters if alter != here.get(number)]
    return tuple(found)


def _added(number: int, alter: int) -> KindDegree:
    return KindDegree("add", number, alter + (1 if number == 7 else 0))


def symbol_harmony(symbol: Symbol) -> Element:
    """Return the ``<harmony>`` of a symbol, with the frame of its shape."""
    harmony = chord_harmony(symbol.chord)
    if symbol.alternate:
        harmony.set("type", "alternate")
    if symbol.frame is not None and symbol.chord is not None:
        harmony.append(frame_element(symbol.frame))
    return harmony


def chord_harmony(chord: Chord | None) -> Element:
    """Return the ``<harmony>`` of a chord, without a shape; N.C. for no chord."""
    harmony = Element("harmony")
    if chord is None:
        # The standard wants a root even where none sounds; its text is what is printed.
        SubElement(SubElement(harmony, "root"), "root-step", text="").text = "C"
        SubElement(harmony, "kind", text="N.C.").text = "none"
        return harmony
    _add_step(harmony, "root", chord.root)
    kind, changed = harmony_kind(chord.degrees)
    suffix = chord.over(None).unicode.removeprefix(chord.root.unicode)
    SubElement(harmony, "kind", {"text": suffix} if suffix else {}).text = kind
    if chord.bass != chord.root:
        _add_step(harmony, "bass", chord.bass)
    for change in changed:
        # The kind's text says it already.
        degree = SubElement(harmony, "degree", {"print-object": "no"})
        SubElement(degree, "degree-value").text = str(change.number)
        SubElement(degree, "degree-alter").text = str(change.alter)
        SubElement(degree, "degree-type").text = change.type
    return harmony


def _add_step(harmony: Element, name: str, note: Note) -> None:
    element = SubElement(harmony, name)
    SubElement(element, f"{name}-step").text = note.letter
    if note.accidental:
        SubElement(element, f"{name}-alter").text = str(note.accidental)


def frame_element(shape: Frame) -> Element:
    """Return the ``<frame>`` of a shape, with its fingering."""
    count = len(shape.frets)
    frame = Element("frame", unplayed="x")
    SubElement(frame, "frame-strings").text = str(count)
    SubElement(frame, "frame-frets").text = str(shape.rows)
    if shape.first > 1:
        SubElement(frame, "first-fret").text = str(shape.first)
    # A barre starts at the string with the higher number: the lowest-pitched one of a guitar.
    ends = {end: kind for barre in shape.barres for end, kind in zip(barre, _ENDS, strict=True)}
    fingers = shape.fingers or (None,) * count
    for string, (fret, finger) in enumerate(zip(shape.frets, fingers, strict=True)):
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
