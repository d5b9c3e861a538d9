"""Where a lesson starts on an instrument, and what follows from its shapes: lowered, carried up.

A lesson file names them for its own instrument; for another instrument of a mixed class, or where
the file is silent, they are found here: the lowest shapes that a hand can hold.
"""

from collections.abc import Iterable

from harmonykit.errors import HarmonyError, attempt
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.frettings import Fretting, shifted
from harmonykit.fretboard.shapes.nearest import nearest_shapes, scale_of_chords
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson.plan.model import Front, LessonError
from harmonykit.lesson.plan.shown import Shown, leading, may_show
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Resolution, resolutions
from harmonykit.theory.scale import SixthDiminished
from harmonykit.theory.uses import nearest_moves

HIGHEST_FRET = 7
_STRINGS, _WIDEST = 4, 3
_LEAST_STEPS = 4
# A shape with a barre is taken where the next one without lies more than two frets higher.
_BARRE_FRETS = 2


def movable_shape(chord: Chord, instrument: Instrument) -> Voicing:
    """Return the lowest shape of a chord without an open string, on neighbouring strings.

    Raises
    ------
    LessonError
        If the instrument has none that a hand can hold.

    Examples
    --------
    >>> movable_shape(Chord.parse("Adim7"), Instrument.named("ukulele")).digits
    '2-3-2-3'
    >>> movable_shape(Chord.parse("Adim7"), Instrument.named("guitar")).digits
    'x-x-1-2-1-2'
    """
    found = [shape for shape in _whole_shapes(chord, instrument) if 0 not in shape.frets]
    return _lowest(found, chord, instrument)


def climbing_shape(scale: SixthDiminished, instrument: Instrument) -> Voicing:
    """Return the lowest shape of a scale's chord that can be carried some steps up the scale.

    Examples
    --------
    >>> climbing_shape(SixthDiminished("C"), Instrument.named("ukulele")).digits
    '0-0-0-0'
    """
    shapes = [s for s in _whole_shapes(scale.chord, instrument) if _climbs(scale, s)]
    return _lowest(shapes, scale.chord, instrument)


def _whole_shapes(chord: Chord, instrument: Instrument) -> Iterable[Voicing]:
    """Yield shapes of all tones, on all strings of four or on four neighbouring ones of more."""
    many = len(instrument.strings) > _STRINGS
    for shape in find_voicings(chord, instrument, HIGHEST_FRET, wanted=Wanted(omit=(), mutes=many)):
        sounding = [string for string, fret in enumerate(shape.frets) if fret is not None]
        together = sounding[-1] - sounding[0] + 1 == len(sounding)
        if together and len(sounding) == min(_STRINGS, len(shape.frets)):
            yield shape


def _lowest(shapes: Iterable[Voicing], chord: Chord, instrument: Instrument) -> Voicing:
    """Return the shape that lies lowest, a barre counting as frets, on the highest strings."""
    limits = limits_at(3, instrument)
    held = [(shape, hold) for shape in shapes if (hold := fit(shape.frets, instrument, limits))]
    if not held:
        raise LessonError(
            f"{chord.symbol} has no shape to start from on the {instrument.name}",
            rule=f"all its tones on neighbouring strings, up to fret {HIGHEST_FRET}",
            mend="a shape in the lesson's file, or another instrument",
        )
    return min(
        held,
        key=lambda pair: (
            pair[0].highest_fret + _BARRE_FRETS * len(pair[1].barres),
            _muted_last(pair[0]),
            pair[0].stretch_mm,
            pair[0].digits,
        ),
    )[0]


def _muted_last(shape: Voicing) -> int:
    return sum(1 for fret in shape.frets[-_STRINGS:] if fret is None)


def _climbs(scale: SixthDiminished, shape: Voicing) -> bool:
    return attempt(scale_of_chords, scale, shape, _LEAST_STEPS) is not None


Way = tuple[int, Resolution, Shown]
"""A string that is lowered, what comes of it, and the shape under its name."""


def lowered(shape: Voicing, chord: Chord) -> tuple[Way, ...]:
    """Return, for each string of a diminished seventh's shape, the parent that lowering it gives.

    Open strings cannot be lowered and are left out.
    """
    found = []
    for string, fret in enumerate(shape.frets):
        if fret:
            frets = (*shape.frets[:string], fret - 1, *shape.frets[string + 1 :])
            after = Voicing(shape.instrument, frets)
            way = next((r for r in resolutions(chord) if r.parent.pcs == after.pcs), None)
            if way is not None:
                found.append((string, way, Shown(after, way.parent)))
    return tuple(found)


def shapes_heard(front: Front, chords: Iterable[Chord]) -> tuple[str, ...]:
    """Return a shape in digits for each chord, all of its notes: the lesson's own where it has one.

    Of a chord that no shape plays nothing is heard.
    """
    own = [shape for shape in (front.shape, front.scale_shape) if shape is not None]
    if front.shape_chord.is_diminished_seventh:
        own += [way.shape for _, _, way in lowered(front.shape, front.shape_chord)]
    found = []
    for chord in chords:
        shape = next((shape for shape in own if shape.pcs == chord.pcs), None)
        found.append(shape or _found_shape(chord, front))
    return tuple(shape.digits for shape in found if shape is not None)


def walk(front: Front, chord: Chord) -> tuple[str, ...]:
    """Return a way from a diminished seventh to the next one up, in digits.

    String after string goes up a fret.  Every shape on the way is a corner of the cube between
    the two.
    """
    start = _found_shape(chord, front)
    if start is None:
        return ()
    frets, found = list(start.frets), [start.digits]
    for string, fret in enumerate(start.frets):
        if fret is not None:
            frets[string] = fret + 1
            found.append(Voicing(start.instrument, tuple(frets)).digits)
    return tuple(found)


def _found_shape(chord: Chord, front: Front) -> Voicing | None:
    found = attempt(movable_shape, chord, front.instrument)
    return found if found and found.pcs == chord.pcs else None


def climb(front: Front) -> tuple[Shown, ...]:
    """Return the shapes of the lesson's scale from its first shape up to the twelfth fret."""
    scale, start = front.climbing
    shapes: list[Shown] = []
    for steps in range(9):
        shape = _carried(scale, start, steps)
        if shape is None or shape.highest_fret > 12:
            break
        shapes.append(Shown(shape, scale.diminished if steps % 2 else scale.chord))
    return tuple(shapes)


def _carried(scale: SixthDiminished, start: Voicing, steps: int) -> Voicing | None:
    """Return the first shape carried up, or None where it leaves the neck."""
    try:
        return scale_of_chords(scale, start, steps)[-1]
    except HarmonyError:
        if not steps:
            raise
        return None


def shape_of(chord: Chord, instrument: Instrument) -> Voicing:
    """Return the shape of a chord that a lesson starts from: movable, else the most usual."""
    try:
        return movable_shape(chord, instrument)
    except LessonError:
        return usual_shape(chord, instrument)


def usual_shape(chord: Chord, instrument: Instrument) -> Voicing:
    """Return the most usual shape that a lesson may start from: with all tones, a fifth apart.

    Raises
    ------
    LessonError
        If the instrument has none.
    """
    for shape in find_voicings(chord, instrument, HIGHEST_FRET):
        try:
            return leading(shape, chord).shape
        except HarmonyError:
            continue
    return movable_shape(chord, instrument)


def near_shape(shape: Voicing, chord: Chord) -> Voicing | None:
    """Return the shape of a chord nearest to another shape: the same where it will do."""
    if may_show(shape, chord):
        return shape
    for near in nearest_shapes(shape, chord):
        if may_show(near.voicing, chord):
            return near.voicing
    found = find_voicings(chord, shape.instrument, 9)
    return next((one for one in found if may_show(one, chord)), None)


def led_shape(shape: Voicing, before: Chord, after: Chord) -> Voicing | None:
    """Return the shape in which every voice goes to its nearest tone of a chord, or ``None``.

    Examples
    --------
    >>> shape = Voicing.parse("1212", Instrument.named("ukulele"))
    >>> led = led_shape(shape, Chord.parse("Bdim7"), Chord.parse("C"))
    >>> led and led.digits
    '0-0-0-3'
    """
    steps = {m.start.pitch_class: m.semitones for m in nearest_moves(before.tones, after)}
    frets = []
    for fret, pitch in zip(shape.frets, shape.midi, strict=True):
        frets.append(None if fret is None or pitch is None else fret + steps.get(pitch % 12, 0))
    return _held(shape.instrument, tuple(frets), after, 2)


def slid_shape(shape: Voicing, up: int, after: Chord) -> Voicing | None:
    """Return a shape so many frets farther up, below 0 down, as a chord's, or ``None``.

    Examples
    --------
    >>> slid = slid_shape(Voicing.parse("3221", "ukulele"), 4, Chord.parse("D+"))
    >>> slid and slid.digits
    '7-6-6-5'
    """
    return _held(shape.instrument, shifted(shape.frets, up), after, _WIDEST)


def _held(neck: Instrument, frets: Fretting, chord: Chord, reach: int) -> Voicing | None:
    """Return frets as a shape of a chord, if they are on the neck and the hand can hold them."""
    if not all(fret is None or neck.has_fret(string, fret) for string, fret in enumerate(frets)):
        return None
    shape = Voicing(neck, frets)
    return shape if fit(frets, neck, limits_at(reach, neck)) and may_show(shape, chord) else None


def leads(shape: Voicing, pairs: Iterable[tuple[Chord | None, Chord]]) -> bool:
    """Return whether each change of a chord is had from a shape of it, voice by voice.

    An open string cannot be lowered.

    Examples
    --------
    >>> ukulele, pair = Instrument.named("ukulele"), (Chord.parse("G"), Chord.parse("Gm"))
    >>> leads(Voicing.parse("0232", ukulele), [pair])
    True
    >>> pair = Chord.parse("F"), Chord.parse("Fm")
    >>> leads(Voicing.parse("2010", ukulele), [pair])
    False
    """
    return all(one is not None and led_shape(shape, one, other) for one, other in pairs)
