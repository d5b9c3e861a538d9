"""A MusicXML harmony: the chord that it names, and a chord symbol written as one with its frame.

The kinds are those of MusicXML 4.0 (W3C Community Group Final Report 2021, ``kind-value``):
eleventh and thirteenth chords have all lower thirds, ``diminished`` is a triad, ``major-minor`` a
minor triad with a major seventh.  A degree that is *added* is counted from a dominant chord, so
that an added minor seventh has the alteration 0; one that is *altered* is counted from the kind's
own degree (``degree-alter`` of the same report).  The report does not say what an added degree is
whose number the kind has with another accidental, as programs write the flat fifth of a minor
seventh: it is read in place of the kind's own, and a doubt says so.

String 1 of a frame is the last of the instrument's order; a muted string has no ``<frame-note>``;
a frame's frets are those of the neck, whatever the first fret shown.
"""

from collections import defaultdict
from collections.abc import Iterator
from functools import lru_cache
from xml.etree.ElementTree import Element, SubElement

from harmonykit.score.score import Frame, Symbol
from harmonykit.theory.chord import Chord, Degree, Note, read_symbol
from harmonykit.theory.printed import NO_CHORD
from harmonykit.tune.bar import TuneError
from harmonykit.values import dataclass

KIND_DEGREES = {
    "major": "1 3 5",
    "minor": "1 b3 5",
    "augmented": "1 3 #5",
    "diminished": "1 b3 b5",
    "dominant": "1 3 5 b7",
    "major-seventh": "1 3 5 7",
    "minor-seventh": "1 b3 5 b7",
    "diminished-seventh": "1 b3 b5 bb7",
    "augmented-seventh": "1 3 #5 b7",
    "half-diminished": "1 b3 b5 b7",
    "major-minor": "1 b3 5 7",
    "major-sixth": "1 3 5 6",
    "minor-sixth": "1 b3 5 6",
    "dominant-ninth": "1 3 5 b7 9",
    "major-ninth": "1 3 5 7 9",
    "minor-ninth": "1 b3 5 b7 9",
    "dominant-11th": "1 3 5 b7 9 11",
    "major-11th": "1 3 5 7 9 11",
    "minor-11th": "1 b3 5 b7 9 11",
    "dominant-13th": "1 3 5 b7 9 11 13",
    "major-13th": "1 3 5 7 9 11 13",
    "minor-13th": "1 b3 5 b7 9 11 13",
    "suspended-second": "1 2 5",
    "suspended-fourth": "1 4 5",
    "power": "1 5",
    "Tristan": "1 #4 #6 #9",
}
# Kinds beyond the standard, as other programs write them (music21, ``harmony.CHORD_TYPES``).
_BEYOND = {
    "dominant-seventh": "1 3 5 b7",
    "minor-major-seventh": "1 b3 5 7",
    "augmented-major-seventh": "1 3 #5 7",
    "half-diminished-seventh": "1 b3 b5 b7",
    "suspended-fourth-seventh": "1 4 5 b7",
    "seventh-flat-five": "1 3 b5 b7",
    "minor-major-ninth": "1 b3 5 7 9",
    "augmented-major-ninth": "1 3 #5 7 9",
    "augmented-dominant-ninth": "1 3 #5 b7 9",
    "half-diminished-ninth": "1 b3 b5 b7 9",
    "half-diminished-minor-ninth": "1 b3 b5 b7 b9",
    "diminished-ninth": "1 b3 b5 bb7 9",
    "diminished-minor-ninth": "1 b3 b5 bb7 b9",
    "minor-major-11th": "1 b3 5 7 9 11",
    "augmented-major-11th": "1 3 #5 7 9 11",
    "augmented-11th": "1 3 #5 b7 9 11",
    "half-diminished-11th": "1 b3 b5 b7 9 11",
    "diminished-11th": "1 b3 b5 bb7 9 11",
    "minor-major-13th": "1 b3 5 7 9 11 13",
    "augmented-major-13th": "1 3 #5 7 9 11 13",
    "augmented-dominant-13th": "1 3 #5 b7 9 11 13",
    "half-diminished-13th": "1 b3 b5 b7 9 11 13",
}
_READ = KIND_DEGREES | _BEYOND
# More accidentals than anybody writes before a degree.
MOST_ALTER = 4
# Neapolitan, the augmented sixths and pedal have no definition in the standard.
_UNDEFINED = ("Neapolitan", "Italian", "French", "German", "pedal")


@dataclass(frozen=True, slots=True)
class KindDegree:
    """One ``<degree>``: its type (add, alter, subtract), its number, and its alteration."""

    type: str
    number: int
    alter: int


def chord_of_kind(
    root: Note,
    kind: str,
    changed: tuple[KindDegree, ...] = (),
    bass: Note | None = None,
    inversion: int = 0,
    text: str = "",
) -> Chord:
    """Return the chord that a harmony names.

    Parameters
    ----------
    root : Note
    kind : str
        A value of the standard's ``kind-value``, other than ``none``.
    changed : tuple of KindDegree
        In the order of the file.
    bass : Note, optional
    inversion : int
        Which degree is the bass, counted from the root as 0; a ``bass`` goes before it.
    text : str
        What is printed for the kind; it is read only for the kind ``other`` without degrees, and
        for kinds that the standard does not define.

    Raises
    ------
    HarmonyError
        If the standard does not define the chord, or its degrees contradict each other.

    Examples
    --------
    >>> seven = KindDegree("add", 7, 0)
    >>> str(chord_of_kind(Note.parse("D"), "major", (seven,)))
    'D7'
    >>> flat_five = KindDegree("alter", 5, -1)
    >>> chord_of_kind(Note.parse("C"), "dominant", (flat_five,)).semitones
    (0, 4, 6, 10)
    """
    if text and kind not in _READ and not (kind == "other" and changed):
        # Programs have kinds of their own, and print what they mean.
        found = read_symbol(root.name + text).chord
        if found is not None:
            return found.over(bass) if bass else found
    if kind == "other" and not changed:
        raise TuneError("a chord of the kind 'other', without details")
    degrees = _change(_base(kind), changed)
    if inversion and bass is None:
        above = [degree for degree in degrees if degree.number != 1]
        if not 0 < inversion <= len(above):
            raise TuneError(f"inversion {inversion} of a chord of {len(degrees)} notes")
        bass = above[inversion - 1].over(root)
    return Chord.build(root, degrees, bass)


def _base(kind: str) -> list[Degree]:
    if kind == "other":
        return [Degree(1)]
    if kind not in _READ:
        why = "the standard does not define it" if kind in _UNDEFINED else "unknown to the standard"
        raise TuneError(f"a chord of the kind {kind!r}: {why}")
    return [Degree.parse(part) for part in _READ[kind].split()]


def doubts_of_kind(kind: str, changed: tuple[KindDegree, ...]) -> Iterator[str]:
    """Yield what is doubtful about a kind and its degrees.

    Examples
    --------
    >>> list(doubts_of_kind("minor-seventh", (KindDegree("add", 5, -1),)))
    ['♭5 is added to a minor-seventh: it is read in place of 5']
    """
    if kind not in (*_READ, "other"):
        yield f"the kind {kind!r} is unknown to the standard: what is printed is read"
        return
    base = _base(kind)
    for change in _in_place(base, changed):
        own = next(degree for degree in base if degree.number == change.number)
        yield f"{_added(change).unicode} is added to a {kind}: it is read in place of {own.unicode}"


def _in_place(base: list[Degree], changed: tuple[KindDegree, ...]) -> list[KindDegree]:
    """Return the added degrees that stand in place of the kind's own."""
    own = {degree.number: degree for degree in base}
    found = []
    for change in changed:
        old = own.pop(change.number, None)
        if change.type == "add" and old not in (None, _added(change)):
            found.append(change)
    return found


def _change(degrees: list[Degree], changed: tuple[KindDegree, ...]) -> list[Degree]:
    in_place = _in_place(degrees, changed)
    for change in changed:
        if not 1 <= change.number <= 13:
            raise TuneError(f"degree {change.number} is out of range", rule="1 to 13")
        if abs(change.alter) > MOST_ALTER:
            raise TuneError(f"a degree altered by {str(change.alter)[:12]} semitones")
        here = [degree for degree in degrees if degree.number == change.number]
        if change in in_place:
            degrees[degrees.index(here[0])] = _added(change)
        elif change.type == "add":
            degrees.append(_added(change))
        elif change.type == "alter" and here:
            spot = degrees.index(here[0])
            degrees[spot] = Degree(change.number, here[0].alter + change.alter)
        elif change.type == "alter":
            # Programs write "alter 9" for a seventh chord's flat ninth: it can only be added.
            degrees.append(_added(change))
        elif change.type == "subtract" and here:
            degrees.remove(here[0])
        else:
            raise TuneError(f"the chord has no degree {change.number} to {change.type}")
    return sorted(set(degrees))


def _added(change: KindDegree) -> Degree:
    """Return an added degree: a dominant chord's seventh is minor."""
    minor_seventh = -1 if change.number == 7 else 0
    return Degree(change.number, change.alter + minor_seventh)


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
        elif number in here and alters != [here[number]]:
            # An added degree would be read in place of the kind's own: what is altered comes first.
            first = next(alter for alter in alters if alter != here[number])
            found.append(KindDegree("alter", number, first - here[number]))
            alters = [alter for alter in alters if alter != first]
            found += [_degree_added(number, alter) for alter in alters]
            continue
        found += [_degree_added(number, alter) for alter in alters if alter != here.get(number)]
    return tuple(found)


def _degree_added(number: int, alter: int) -> KindDegree:
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
        SubElement(harmony, "kind", text=NO_CHORD).text = "none"
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
