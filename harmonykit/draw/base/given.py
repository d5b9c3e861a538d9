"""What a user hands in for a figure, made values; and what the figure states, in words.

What is handed in is read as ``theory.given`` reads it; a figure says in words what it shows, for
those who cannot see it.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import TypeVar

from harmonykit.draw.base.marks import degree_word
from harmonykit.errors import HarmonyError, attempt, wrong_kind
from harmonykit.fretboard.hands.hand import FINGERS, THUMB, Fingering
from harmonykit.fretboard.shapes.voicing import Instrument, InstrumentLike, Voicing, as_voicing
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.given import ChordLike, NotesLike, as_chord, as_pcset, chord_in
from harmonykit.words.numbers import counted, join_words, ordinal

Shape = tuple[Voicing, Chord | None]
Look = TypeVar("Look")
ShapeLike = Voicing | str | tuple[Voicing | str, ChordLike | None]


def as_named(given: ChordLike | None) -> Chord | None:
    """Return the chord that names a shape, or nothing where none was handed in."""
    return None if given is None else as_chord(given)


def as_shapes(
    given: Iterable[ShapeLike], instrument: InstrumentLike = "ukulele"
) -> tuple[Shape, ...]:
    """Return shapes, each with the chord that names it or alone; typed frets are an instrument's.

    Examples
    --------
    >>> [(shape.digits, chord) for shape, chord in as_shapes(["0003", ("2010", "F")])]
    [('0-0-0-3', None), ('2-0-1-0', Chord.parse('F'))]
    """
    if isinstance(given, str) or not isinstance(given, Iterable):
        raise wrong_kind(given, "a list of shapes", '[("0003", "C"), ("2010", "F")]')
    pairs = [each if isinstance(each, tuple) else (each, None) for each in given]
    return tuple((as_voicing(shape, instrument), as_named(chord)) for shape, chord in pairs)


def as_seen(given: NotesLike) -> tuple[Chord | None, tuple[int, ...]]:
    """Return the chord among notes that were handed in, if they are one, and pitch classes, sorted.

    Examples
    --------
    >>> as_seen("C7"), as_seen("C E G"), as_seen((7, 0))
    ((Chord.parse('C7'), (0, 4, 7, 10)), (None, (0, 4, 7)), (None, (0, 7)))
    """
    chord = chord_in(given)
    if isinstance(given, str):
        try:
            chord = Chord.parse(given)
        except HarmonyError:
            chord = None
    if chord is not None:
        return chord, tuple(chord.pcs)
    return None, tuple(as_pcset(given))


def as_look(given: Look | None, kind: type[Look]) -> Look:
    """Return how something is to look, as it was handed in, or as usual.

    Raises
    ------
    WrongKind
        If it is of another kind.

    Examples
    --------
    >>> from harmonykit.draw.shapes.looks import BoxLook
    >>> as_look(None, BoxLook)
    BoxLook()
    """
    if given is None:
        return kind()
    if isinstance(given, kind):
        return given
    raise wrong_kind(given, f"a {kind.__name__}", f"hk.draw.{kind.__name__}()")


Moved = tuple[tuple[int, ...], tuple[tuple[int, int], ...]]
"""The strings on which a finger stayed, and those on which one slid with the fret that it left."""

_ACCIDENTAL_WORDS = {"♭": " flat", "♯": " sharp", "𝄫": " double flat", "𝄪": " double sharp"}


def spoken_symbol(printed: str) -> str:
    """Return a printed chord symbol for the ear.

    Examples
    --------
    >>> spoken_symbol("B♭m7♭5"), spoken_symbol("C♯°7"), spoken_symbol("Dm(maj7)")
    ('B flat minor seven flat five', 'C sharp diminished seven', 'D minor (major seven)')
    """
    words: list[str] = []
    index = 0
    while index < len(printed):
        found = next((key for key in _SAID if printed.startswith(key, index)), printed[index])
        words.append(_SAID.get(found, found))
        index += len(found)
    return "".join(words).replace("( ", "(").replace("  ", " ").strip()


def spoken_name(printed: str) -> str:
    """Return what stands over a figure for the ear: a chord symbol in words, else as it is.

    Examples
    --------
    >>> spoken_name("B♭m7♭5"), spoken_name("a shape from memory"), spoken_name("2-2-2-3")
    ('B flat minor seven flat five', 'a shape from memory', '2-2-2-3')
    """
    chord = attempt(Chord.parse, printed)
    return spoken_symbol(chord.unicode) if chord else printed


_SAID = {
    "6/9": " six nine",
    "maj": " major",
    "sus": " suspended",
    "add": " add",
    "no1": " no root",
    "no": " no",
    "alt": " altered",
    "13": " thirteen",
    "11": " eleven",
    "m": " minor",
    "°": " diminished",
    "+": " augmented",
    "2": " two",
    "3": " three",
    "4": " four",
    "5": " five",
    "6": " six",
    "7": " seven",
    "9": " nine",
    "/": " over ",
    "(": " (",
    ",": ", ",
    **_ACCIDENTAL_WORDS,
}


def string_names(instrument: Instrument) -> tuple[str, ...]:
    """Return a name for each string that no other string has.

    Examples
    --------
    >>> string_names(Instrument.named("guitar"))[::5]
    ('low E string', 'high E string')
    """
    labels = instrument.labels
    counts = Counter(label.upper() for label in labels)
    return tuple(_string_name(instrument, i, counts) for i in range(len(labels)))


def _string_name(instrument: Instrument, index: int, counts: Counter[str]) -> str:
    label = instrument.labels[index]
    said = label[0] + spoken(instrument.strings[index])[1:]
    if counts[label.upper()] == 1:
        doubled = instrument.doubles and instrument.doubles[index]
        return f"{said} strings" if doubled else f"{said} string"
    alike = [
        m
        for m, other in zip(instrument.midi, instrument.labels, strict=True)
        if other.upper() == label.upper()
    ]
    if counts[label.upper()] > 2 or alike[0] == alike[1]:
        return f"{said[0].upper()}{said[1:]} string, number {index + 1}"
    height = "low" if instrument.midi[index] == min(alike) else "high"
    return f"{height} {said[0].upper()}{said[1:]} string"


def notes_of(voicing: Voicing, chord: Chord | None) -> tuple[Note | None, ...]:
    """Return the note of each string as a shape's chord spells it, if it has one."""
    return voicing.spelled(chord) if chord else voicing.notes


def describe_string(place: str, fret: int | None, note: Note | None, degree: str) -> str:
    """Return one string's part in words.

    Examples
    --------
    >>> describe_string("g string", 2, Note.parse("A"), "the third")
    'g string, second fret, the note A, the third'
    """
    if fret is None or note is None:
        return f"{place} not played"
    where = "open" if fret == 0 else f"{ordinal(fret)} fret"
    said = f"{place}, {where}, the note {spoken(note)}"
    return f"{said}, {degree}" if degree else said


def describe_shape(
    voicing: Voicing,
    chord: Chord | None,
    *,
    name: str = "",
    was: Sequence[int | None] | None = None,
    fingering: Fingering | None = None,
    moved: Moved = ((), ()),
    left_handed: bool = False,
) -> str:
    """Return a shape in words: each string, its fret, its note, and what that is in the chord.

    What fingers did on the way is told with them, where a fingering is given.
    """
    places = string_names(voicing.instrument)
    parts = describe_strings(voicing, chord, fingering)
    if fingering is not None:
        parts = [part + _moved_word(moved, string) for string, part in enumerate(parts)]
    title = spoken_name(name or (chord.unicode if chord else "")) or voicing.digits
    text = f"{title}: {'; '.join(parts)}"
    if was is not None:
        text += _moves(places, voicing.frets, was)
    if voicing.instrument.capo:
        text += f"; frets are counted from a capo at the {ordinal(voicing.instrument.capo)} fret"
    return text + (" (drawn for the left hand)" if left_handed else "")


def describe_strings(
    voicing: Voicing,
    chord: Chord | None,
    fingering: Fingering | None = None,
    *,
    degrees: bool = True,
) -> list[str]:
    """Return each string of a shape in words, with its finger if a fingering is given.

    Without ``degrees`` it is not said what each note is in the chord.

    Examples
    --------
    >>> guitar = Instrument.named("guitar")
    >>> shape = Voicing.parse("133211", guitar)
    >>> describe_strings(shape, Chord.parse("F"), shape.fingering)[-1]
    'high E string, first fret, the note F, the root, first finger across 6 strings'
    """
    notes, within = notes_of(voicing, chord), chord if degrees else None
    parts = [
        describe_string(place, fret, note, degree_word(within, note.pitch_class) if note else "")
        for place, fret, note in zip(
            string_names(voicing.instrument), voicing.frets, notes, strict=True
        )
    ]
    if fingering is None:
        return parts
    return [part + _finger_word(fingering, string) for string, part in enumerate(parts)]


def describe_change(
    before: tuple[Voicing, Chord | None],
    after: tuple[Voicing, Chord | None],
    names: Sequence[str],
) -> str:
    """Return in words how each string goes from one shape to another.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> old = (Voicing.parse("2323", ukulele), Chord.parse("Adim7"))
    >>> new = (Voicing.parse("2223", ukulele), Chord.parse("D7"))
    >>> print(describe_change(old, new, ["A°7", "D7"]).split("; ")[1])
    C string goes down 1 semitone from E flat to the second fret, D, the root
    """
    olds = notes_of(*before)
    news = describe_strings(after[0], after[1])
    places = string_names(after[0].instrument)
    rows = zip(places, before[0].midi, after[0].midi, olds, news, strict=True)
    parts = [_changed(*row) for row in rows]
    head = f"From {spoken_name(names[0])} to {spoken_name(names[1])}"
    return f"{head}: {'; '.join(parts)}"


def _changed(place: str, old: int | None, new: int | None, was: Note | None, now: str) -> str:
    where = now.removeprefix(f"{place}, ").replace("the note ", "")
    if old is None or was is None:
        return now if new is None else f"{place} comes in: {where}"
    if new is None:
        return f"{place} falls silent"
    if old == new:
        return f"{place} stays: {where}"
    way, steps = ("up", new - old) if new > old else ("down", old - new)
    to = f"to {'' if where.startswith('open') else 'the '}{where}"
    return f"{place} goes {way} {counted(steps, 'semitone')} from {spoken(was)} {to}"


_FINGERS = {finger: f"{ordinal(finger)} finger" for finger in FINGERS} | {THUMB: "thumb"}


def _finger_word(fingering: Fingering, string: int) -> str:
    finger = fingering.fingers[string]
    if finger not in _FINGERS:
        return ""
    said = f", {_FINGERS[finger]}"
    laid = [barre.width for barre in fingering.barres if barre.finger == finger]
    return said + (f" across {laid[0]} strings" if laid else "")


def _moved_word(moved: Moved, string: int) -> str:
    kept, slid = moved
    if string in kept:
        return ", which stays"
    starts = [fret for slides, fret in slid if slides == string]
    return f", which slides from the {ordinal(starts[0])} fret" if starts else ""


def _moves(places: Sequence[str], now: Sequence[int | None], was: Sequence[int | None]) -> str:
    moved = [
        f"the {place} from " + ("open" if old == 0 else f"the {ordinal(old)} fret")
        for place, new, old in zip(places, now, was, strict=True)
        if new != old and old is not None
    ]
    return f"; moved: {join_words(moved)}" if moved else ""


_SIGNS = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}


def spoken(note: Note) -> str:
    """Return a note's name for the ear, without its octave.

    Examples
    --------
    >>> spoken(Note.parse("Eb")), spoken(Note.parse("F##4"))
    ('E flat', 'F double sharp')
    """
    sign = _SIGNS.get(note.accidental)
    return note.letter + (f" {note.accidentals}" if sign is None else sign)
