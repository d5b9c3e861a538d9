"""Chords, scales, shapes and instruments as they show themselves, and what is said of them."""

from collections.abc import Iterator

from harmonykit.draw.base.canvas import HEAD_PT, NOTE_PT, SCREEN_MM, Canvas, Drawing
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD
from harmonykit.draw.base.given import notes_of, spoken, spoken_symbol
from harmonykit.draw.base.marks import degree_word, role_of
from harmonykit.draw.facts import Fact, Facts, draw_facts
from harmonykit.draw.sets.clock import ClockLook, draw_clock
from harmonykit.draw.shapes.board import NeckLook
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.looks import BoxLook, draw_tuning
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.fretboard.shapes.reading import read_shape
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory import interval, naming, spelling
from harmonykit.theory.chord import Chord, Degree, Note, PcSet
from harmonykit.theory.leading.ladder import Ladder
from harmonykit.theory.scale import SixthDiminished
from harmonykit.theory.sets.setclass import SetClass
from harmonykit.words.numbers import counted, join_words

_MOST_NAMES = 4
_CLOCK = "on the clock of twelve notes"


def show_chord(chord: Chord) -> Drawing:
    """Draw a chord on the clock, with each tone's degree, name and word.

    Examples
    --------
    >>> print(show_chord(Chord.parse("C7/E")).alt)
    C seven over E on the clock of twelve notes: C, the root; E, the major third, in the bass; ...
    """
    name = spoken_symbol(chord.unicode)
    rows = tuple(_tone(chord, note) for note in chord.notes)
    said = [f"{spoken(note)}, {row.texts[2]}" for note, row in zip(chord.notes, rows, strict=True)]
    facts = Facts(chord.unicode, name, rows)
    return draw_facts(draw_clock(chord, title=""), facts, f"{name} {_CLOCK}: {'; '.join(said)}")


def _tone(chord: Chord, note: Note) -> Fact:
    degree = chord.degree_of(note.pitch_class)
    word = degree_word(chord, note.pitch_class)
    if degree is not None and chord.bass != chord.root and note == chord.bass:
        word += ", in the bass"
    label = degree.unicode if degree else "bass"
    return Fact((label, note.unicode, word), role_of(chord, note.pitch_class))


def show_set(pcs: PcSet) -> Drawing:
    """Draw a set on the clock with its axes, its class, its interval vector and its chord names.

    Examples
    --------
    >>> print(show_set(PcSet.of(0, 3, 6, 9)).alt)
    The set C, E flat, F sharp and A on the clock of twelve notes; set class 4-28, prime form ...
    """
    cls = SetClass.of(pcs)
    form = str(PcSet.of(*cls.prime_form)) or "none"
    vector = " ".join(map(str, cls.interval_vector))
    named = [chord.unicode for chord in naming.exact_names(pcs)[:_MOST_NAMES]]
    rows = [
        Fact(("set class", pcs.tn_name)),
        Fact(("prime form", form)),
        Fact(("intervals", vector)),
        Fact(("symmetry", _symmetry(pcs))),
        *([Fact(("as a chord", ", ".join(named)))] if named else []),
    ]
    clock = draw_clock(pcs, title="", look=ClockLook(axes=True))
    notes = join_words([spoken(spelling.usual_root(pc)) for pc in pcs]) or "without notes"
    alt = f"The set {notes} {_CLOCK}; set class {pcs.tn_name}, prime form {form}, interval vector "
    facts = Facts(f"{{{', '.join(map(str, pcs))}}}", _size(pcs), tuple(rows))
    return draw_facts(clock, facts, alt + vector)


def _size(pcs: PcSet) -> str:
    return "one pitch class" if len(pcs) == 1 else f"{len(pcs) or 'no'} pitch classes"


def _symmetry(pcs: PcSet) -> str:
    turned, mirrored = pcs.symmetry
    if turned == 1 and not mirrored:
        return "none"
    parts = [f"{turned} transpositions"] if turned > 1 else []
    if mirrored:
        parts.append(f"{counted(mirrored, 'inversion')}")
    return f"unchanged by {' and '.join(parts)}"


def show_sixth_diminished(scale: SixthDiminished) -> Drawing:
    """Draw a sixth-diminished scale: its two chords on the clock, and the chord on each degree.

    Examples
    --------
    >>> print(show_sixth_diminished(SixthDiminished("C")).alt)
    C major sixth-diminished on the clock of twelve notes; the chord on each degree: C six, ...
    """
    chords = tuple(_rung(scale, place) for place in range(8))
    rows = tuple(
        Fact((degree.unicode, note.unicode, chord.unicode), _role(scale, note))
        for degree, note, chord in zip(scale.degrees, scale.notes, chords, strict=True)
    )
    clock = draw_clock(
        scale.chord,
        was=scale.diminished,
        moved=(),
        title="",
        look=ClockLook(names={note.pitch_class: note for note in scale.notes}),
    )
    said = ", ".join(spoken_symbol(chord.unicode) for chord in chords)
    alt = f"{scale.title} {_CLOCK}; the chord on each degree: {said}"
    below = f"{scale.chord.unicode} and {scale.diminished.unicode} alternating"
    return draw_facts(clock, Facts(scale.title, below, rows), alt)


def _rung(scale: SixthDiminished, place: int) -> Chord:
    """Return the chord of every other note from a place of the scale, over that note."""
    note = scale.notes[place]
    if note.pitch_class in scale.diminished.pcs:
        return Chord.of(note, "dim7").easy()
    return scale.chord.over(note).easy()


def _role(scale: SixthDiminished, note: Note) -> str:
    within = scale.chord.degree_of(note.pitch_class)
    return role_of(scale.chord, note.pitch_class) if within else "was"


def show_scale(scale: Ladder) -> Drawing:
    """Draw a scale on the clock; of seven notes, with the seventh chord on each degree.

    Examples
    --------
    >>> from harmonykit.theory.modes import Scale
    >>> show_scale(Scale("G", "mixolydian")).alt.split("; ")[1]
    'the chord on each degree: G seven, A minor seven, B minor seven flat five, ...'
    """
    notes = scale.notes
    clock = draw_clock(
        scale.pcs, title="", look=ClockLook(names={note.pitch_class: note for note in notes})
    )
    chords = tuple(_thirds(scale)) if len(notes) == 7 else ()
    rows = tuple(
        Fact((degree.unicode, note.unicode, *(chord.unicode for chord in chords[n : n + 1])))
        for n, (degree, note) in enumerate(zip(scale.degrees, notes, strict=True))
    )
    said = f"the chord on each degree: {', '.join(spoken_symbol(c.unicode) for c in chords)}"
    named = join_words([spoken(note) for note in notes])
    alt = f"{scale.title} {_CLOCK}: {named}" + (f"; {said}" if chords else "")
    steps = " ".join(map(str, scale.pattern))
    return draw_facts(clock, Facts(scale.title, f"steps of {steps} semitones", rows), alt)


def _thirds(scale: Ladder) -> Iterator[Chord]:
    """Yield the chord in thirds on each degree, spelled as the scale spells it."""
    for place in range(len(scale.notes)):
        root, *others = scale.every_other(place)
        intervals = [root.interval_to(note) for note in others]
        degrees = [
            Degree(i.steps + 1, i.semitones - interval.SEMITONES[i.steps]) for i in intervals
        ]
        yield Chord.build(root, [Degree(1), *degrees])


_MOST_READINGS, _FEWEST_NOTES, _FRETS = 3, 3, 12
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
    sounding = [note for note in notes_of(voicing, chord) if note is not None]
    lowest, *_, highest = sorted((*sounding, *sounding), key=lambda note: note.midi)
    rows = (
        *([Fact(("chord", ", ".join(map(str, names))))] if names else []),
        Fact(("notes", " ".join(_pitch(note) for note in sounding))),
        Fact(("from", f"{_pitch(lowest)} up to {_pitch(highest)}")),
        *([Fact(("stretch", f"{voicing.stretch_mm:.0f} mm"))] if voicing.stretch_mm else []),
        *([] if fingered else [Fact(("hand", "four fingers cannot hold it"))]),
    )
    said = " or ".join(spoken_symbol(name.chord.unicode) for name in names)
    alt = f"{box.alt}; it can be called {said}" if names else box.alt
    below = f"{voicing.instrument.name}, {' '.join(voicing.instrument.printed_labels)}"
    return draw_facts(box, Facts(voicing.digits, below, rows), alt)


def _names(voicing: Voicing) -> list[naming.ChordName]:
    """Return the plain readings of a shape, or its first; none of a shape of two notes."""
    if len(voicing.pcs) < _FEWEST_NOTES:
        return []
    found = read_shape(voicing).names
    exact = naming.exact_names(voicing.pcs)
    plain = [name for name in found if name.chord.over(None) in exact]
    return plain[:_MOST_READINGS] or list(found[:1])


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
        yield "strung left-handed"
