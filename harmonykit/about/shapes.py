"""Shapes of a chord with what each leaves out; and the same as plain values, ready for JSON."""

from collections.abc import Iterator, Sequence
from typing import Any

from harmonykit.errors import HarmonyError, need_whole
from harmonykit.fretboard.hands.change import change
from harmonykit.fretboard.hands.difficulty import caution, difficulty
from harmonykit.fretboard.hands.hand import Fingering, Limits, limits_at
from harmonykit.fretboard.hands.holding import can_hold, fit
from harmonykit.fretboard.shapes import finding, nearest, ranking, row_textures
from harmonykit.fretboard.shapes.reading import Makeup, makeup
from harmonykit.fretboard.shapes.voicing import Instrument, InstrumentLike, Voicing, as_instrument
from harmonykit.theory.chord import Chord, Degree, Note
from harmonykit.theory.typed import Told
from harmonykit.values import asdict, dataclass, replace

Facts = dict[str, Any]

# A hand rarely sounds six strings of a guitar at once; on four it can spare none.
_MOST_STRINGS_WITHOUT_MUTES = 4


@dataclass(frozen=True, slots=True)
class Hand:
    """The hand that is to hold shapes.

    Parameters
    ----------
    level : int in 1..3, optional
        Within whose limits shapes are; those of a wide hand where not given.
    small : bool
        Whether the hand is small.
    thumb : bool
        Whether the thumb may fret the nearest string, a guitar's sixth.
    after : str
        The frets of the shape that it holds before; shapes are then in the order in which a
        player would take them next (``rank_shapes``).
    texture : str
        The texture that shapes have: ``"shells"``, ``"drop 2"`` and so on (``texture_shapes``).

    Examples
    --------
    >>> Hand(small=True).limits(as_instrument("ukulele")).stretch_mm
    78.4
    """

    level: int | None = None
    small: bool = False
    thumb: bool = False
    after: str = ""
    texture: str = ""

    def limits(self, neck: Instrument) -> Limits:
        """Return what the hand is asked to do at most on a neck."""
        limits = limits_at(self.level, neck) if self.level is not None else Limits()
        return replace(limits.small_hand() if self.small else limits, thumb=self.thumb)


@dataclass(frozen=True, slots=True, repr=False)
class Shape(Told):
    """A shape as a shape of a chord: fingers, and what of the chord it leaves out.

    Parameters
    ----------
    voicing : Voicing
    chord : Chord
    thumb : bool
        Whether the thumb may fret the nearest string, a guitar's sixth.

    Examples
    --------
    >>> shape = shapes_of(Chord.parse("C9"), "ukulele")[1]
    >>> print(shape)
    0-2-0-1: close, rootless over D
    >>> shape.digits, shape.leaves_out, [str(note) for note in shape.notes]
    ('0-2-0-1', (Degree.parse('1'),), ['G4', 'D4', 'E4', 'Bb4'])
    """

    voicing: Voicing
    chord: Chord
    thumb: bool = False

    @property
    def digits(self) -> str:
        """The frets in string order."""
        return self.voicing.digits

    @property
    def notes(self) -> tuple[Note | None, ...]:
        """The note of each string as the chord spells it, ``None`` for a muted one."""
        return self.voicing.spelled(self.chord)

    @property
    def makeup(self) -> Makeup:
        """Its layout and inversion, what is missing, what is doubled."""
        return makeup(self.voicing, self.chord)

    @property
    def leaves_out(self) -> tuple[Degree, ...]:
        """The degrees of the chord that do not sound."""
        return self.makeup.missing

    @property
    def fingering(self) -> Fingering | None:
        """The best fingering, or ``None`` where four fingers cannot hold it."""
        neck = self.voicing.instrument
        return fit(self.voicing.frets, neck, Limits(max_fret=neck.frets, thumb=self.thumb))

    def __str__(self) -> str:
        return f"{self.digits}: {self.makeup}"


def shapes_of(
    chord: Chord,
    instrument: InstrumentLike = "ukulele",
    max_fret: int = 12,
    hand: Hand | None = None,
) -> tuple[Shape, ...]:
    """Return the shapes of a chord, the most usual first; after another, the most natural first.

    Parameters
    ----------
    chord : Chord
    instrument : Instrument or str
    max_fret : int
        The highest fret, for a hand without a level.
    hand : Hand, optional
        A wide one where not given.

    Examples
    --------
    >>> [shape.digits for shape in shapes_of(Chord.parse("C9"), "ukulele")[:2]]
    ['3-2-0-3', '0-2-0-1']
    >>> shapes_of(Chord.parse("C7"), "guitar", hand=Hand(after="x-5-7-5-6-x"))[0].digits
    'x-3-5-3-5-x'
    """
    neck, holding = as_instrument(instrument), hand or Hand()
    limits = holding.limits(neck)
    if holding.level is None:
        limits = replace(limits, max_fret=need_whole(max_fret, "max_fret", 0))
    if holding.texture:
        found = _textured(chord, neck, holding, limits)
    elif holding.after:
        ranked = ranking.rank_shapes(chord, neck, holding.after)
        found = tuple(v for v in ranked if can_hold(v.frets, neck, limits))
    else:
        found = finding.find_voicings(chord, neck, limits.max_fret, limits=limits)
    return tuple(Shape(voicing, chord, holding.thumb) for voicing in found)


def _textured(chord: Chord, neck: Instrument, holding: Hand, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes in the hand's texture; after another shape in the order of a player."""
    found = row_textures.texture_shapes(chord, neck, holding.texture, limits)
    if not found:
        why = row_textures.texture_missing(chord, neck, holding.texture, limits)
        others = (name for name in row_textures.ROW_TEXTURES if name != holding.texture)
        raise HarmonyError(why, mend=f"another texture: {', '.join(others)}")
    if not holding.after:
        return found
    before = Voicing.parse(holding.after, neck)
    after = ranking.in_order_after(before, chord, [one for one in found if one != before])
    if holding.texture != row_textures.ONE_VOICE:
        return tuple(after)
    moved = tuple(one for one in after if row_textures.one_voice(before, one))
    if not moved:
        what = f"no shape of {chord.unicode} differs from {before.digits} in one voice only"
        raise HarmonyError(what)
    return moved


def left_out(shapes: Sequence[Shape]) -> tuple[Degree, ...]:
    """Return the degrees that some of the shapes of one chord leave out, by rising degree.

    Examples
    --------
    >>> [str(degree) for degree in left_out(shapes_of(Chord.parse("C9"), "ukulele"))]
    ['1', '5']
    """
    return tuple(sorted({degree for shape in shapes for degree in shape.leaves_out}))


def instrument_facts(neck: Instrument) -> Facts:
    """Return for which strings shapes are, and where that is from.

    Examples
    --------
    >>> instrument_facts(as_instrument("ukulele"))["line"]
    'For the ukulele tuned g C E A; the g sounds above the C beside it.'
    """
    return {
        "name": neck.name,
        "tuning": neck.tuning,
        "strings": [str(note) for note in neck.strings],
        "scale_mm": round(neck.scale_mm, 1),
        "frets": neck.frets,
        "capo": neck.capo,
        "line": neck.sheet_line,
        "source": neck.source,
    }


def _mutes(neck: Instrument) -> bool:
    return len(neck.strings) > _MOST_STRINGS_WITHOUT_MUTES


def shape_facts(one: Shape) -> Facts:
    """Return what is told of one shape of a chord.

    Examples
    --------
    >>> told = shape_facts(Shape(Voicing.parse("2323", "ukulele"), Chord.parse("F#dim7")))
    >>> told["notes"], told["fingers"], told["layout"], told["difficulty"]["level"]
    (['A4', 'Eb4', 'F#4', 'C5'], [1, 3, 2, 4], 'close', 1)
    """
    shape, lies, held = one.voicing, one.makeup, one.fingering
    return {
        "frets": list(shape.frets),
        "digits": shape.digits,
        "notes": [None if note is None else str(note) for note in one.notes],
        "fingers": list(held.fingers) if held else [],
        "barres": [asdict(barre) for barre in held.barres] if held else [],
        "stretch_mm": round(shape.stretch_mm, 1),
        "layout": lies.layout,
        "position": lies.position,
        "bass": lies.bass.name,
        "missing": [degree.name for degree in lies.missing],
        "rootless": lies.rootless,
        "doubled": [degree.name for degree in lies.doubled],
        "difficulty": _parts(shape, held) if held else None,
        "caution": caution(shape),
    }


def _parts(shape: Voicing, held: Fingering) -> Facts:
    parts = asdict(difficulty(shape, held))
    return {
        name: round(part, 1) if isinstance(part, float) else part for name, part in parts.items()
    }


def near_facts(shape: Voicing, chord: Chord, strings: int = 1, frets: int = 1) -> list[Facts]:
    """Return the shapes of other chords that a few strings of a chord's moved by a few frets make.

    Examples
    --------
    >>> near_facts(Voicing.parse("2323", "ukulele"), Chord.parse("F#dim7"))[1]
    {'digits': '1-3-2-3', 'chords': ['Ab7'], 'strings_moved': 1, 'hand_mm': 5.0}
    """
    return [_near(found) for found in nearest.neighbours(shape, strings, frets, beside=chord)]


def lead_facts(shape: Voicing, targets: Sequence[Chord], limits: Limits) -> list[Facts]:
    """Return the nearest shape of each chord that a shape leads to, and what the fingers do.

    Examples
    --------
    >>> shape = Voicing.parse("0212", "ukulele")
    >>> lead_facts(shape, [Chord.parse("C")], Limits())[0]["digits"]
    '0-0-0-3'
    """
    return [lead for target in targets for lead in _lead(shape, target, limits)]


def _lead(shape: Voicing, chord: Chord, limits: Limits) -> Iterator[Facts]:
    found = nearest.nearest_shapes(
        shape, chord, by="mm", limits=limits, wanted=finding.Wanted(mutes=_mutes(shape.instrument))
    )
    # A shape that leaves strings silent is not the next one where others sound them.
    full = [one for one in found if None not in one.voicing.frets[_first(shape) :]]
    for goal in (full or found)[:1]:
        done = change(shape, goal.voicing)
        yield {
            "chord": chord.symbol,
            "digits": goal.voicing.digits,
            "fingers_before": list(done.before.fingers),
            "fingers_after": list(done.after.fingers),
            "strings_moved": len(done.strings),
            "hand_mm": round(done.mm, 1),
            "told": str(done),
        }


def _first(shape: Voicing) -> int:
    """Return the first string that sounds."""
    return next(string for string, fret in enumerate(shape.frets) if fret is not None)


def _near(found: nearest.Near) -> Facts:
    return {
        "digits": found.voicing.digits,
        "chords": [chord.symbol for chord in found.chords],
        "strings_moved": len(found.strings),
        "hand_mm": round(found.mm, 1),
    }
