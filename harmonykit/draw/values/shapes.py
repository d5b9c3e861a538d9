"""Shapes and instruments as they show themselves: the box, the neck, and what is said of them."""

from collections.abc import Iterator

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.style import HEAD_PT, NOTE_PT, REGULAR, SCREEN_MM, SEMIBOLD
from harmonykit.draw.base.words import spoken_symbol
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.facts import Fact, Facts, draw_facts
from harmonykit.draw.posts import draw_tuning
from harmonykit.draw.shapes.board import NeckLook
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.box_look import BoxLook
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.fretboard.shapes.reading import read_shape
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.naming import ChordName, exact_names
from harmonykit.theory.note import Note

_MOST_NAMES, _FEWEST_NOTES, _FRETS = 3, 3, 12
_HEAD_MM, _LINE_MM, _GAP_MM, _LEFT_MM = 9.0, 5.0, 4.0, 4.0


def show_voicing(voicing: Voicing) -> Drawing:
    """Draw a shape as a box with fingers and notes, and what it sounds.

    Examples
    --------
    >>> print(show_voicing(Voicing.parse("0003", "ukulele")).alt)
    C: g string, open, the note G, the fifth; C string, open, the note C, the root; ...
    """
    names = _names(voicing)
    chord = names[0].chord if names else None
    fingered = voicing.fingering is not None
    marks = "fingers" if fingered else "roles"
    box = draw_box(voicing, chord, marks=marks, name="", look=BoxLook(size="source"))
    notes = voicing.notes if chord is None else voicing.spelled(chord)
    sounding = [note for note in notes if note is not None]
    lowest, *_, highest = sorted((*sounding, *sounding), key=lambda note: note.midi)
    rows = (
        *([Fact(("sounds", ", ".join(map(str, names))))] if names else []),
        Fact(("notes", " ".join(_pitch(note) for note in sounding))),
        Fact(("from", f"{_pitch(lowest)} up to {_pitch(highest)}")),
        *([Fact(("stretch", f"{voicing.stretch_mm:.0f} mm"))] if voicing.stretch_mm else []),
        *([] if fingered else [Fact(("hand", "four fingers cannot hold it"))]),
    )
    said = ", ".join(spoken_symbol(name.chord.unicode) for name in names)
    alt = f"{box.alt}; it sounds {said}" if names else box.alt
    below = f"{voicing.instrument.name}, {' '.join(voicing.instrument.printed_labels)}"
    return draw_facts(box, Facts(voicing.digits, below, rows), alt)


def _names(voicing: Voicing) -> list[ChordName]:
    """Return the plain readings of a shape, or its first; none of a shape of two notes."""
    if len(voicing.pcs) < _FEWEST_NOTES:
        return []
    found = read_shape(voicing).names
    exact = exact_names(voicing.pcs)
    plain = [name for name in found if name.chord.over(None) in exact]
    return plain[:_MOST_NAMES] or list(found[:1])


def _pitch(note: Note) -> str:
    return f"{note.unicode}{note.octave}"


def show_instrument(instrument: Instrument) -> Drawing:
    """Draw an instrument: its neck with the open strings named, and how high each of them sounds.

    Examples
    --------
    >>> print(show_instrument(Instrument.named("ukulele")).alt)
    ukulele, open strings G4 C4 E4 A4, 381 mm from nut to bridge, 15 frets: the neck up to fret 12
    """
    frets = min(_FRETS, instrument.frets)
    neck = draw_neck(instrument, (), look=NeckLook(frets=frets, width=SCREEN_MM - 2 * _LEFT_MM))
    facts = tuple(_facts(instrument))
    top = _HEAD_MM + _LINE_MM * len(facts)
    posts = draw_tuning(instrument)
    top = max(top, posts.height_mm + _LEFT_MM)
    canvas = Canvas(SCREEN_MM, top + _GAP_MM + neck.height_mm + _LEFT_MM / 2)
    for n, line in enumerate((instrument.name, *facts)):
        y = _HEAD_MM + _LINE_MM * n
        size, weight = (NOTE_PT, REGULAR) if n else (HEAD_PT, SEMIBOLD)
        colour = "soft" if n else "ink"
        canvas.text(_LEFT_MM, y, line, size, weight=weight, colour=colour, anchor="left")
    canvas.place(posts, SCREEN_MM - posts.width_mm - _LEFT_MM, top - posts.height_mm, "open-")
    canvas.place(neck, _LEFT_MM, top + _GAP_MM)
    alt = f"{instrument.name}, {', '.join(facts)}: the neck up to fret {frets}"
    return canvas.drawing(instrument.name, alt)


def _facts(instrument: Instrument) -> Iterator[str]:
    yield f"open strings {' '.join(_pitch(note) for note in instrument.strings)}"
    yield f"{instrument.scale_mm:.0f} mm from nut to bridge, {instrument.frets} frets"
    if instrument.capo:
        yield f"a capo at fret {instrument.capo}, from which frets and lengths are counted"
    if instrument.left_handed:
        yield "strung for the left hand"
