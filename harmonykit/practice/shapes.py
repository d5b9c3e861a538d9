"""Shapes to ask for, what is said of those that were found, and the exercise that asks for one.

A shape is right where it sounds the notes that were asked for, each of them and no others, and
four fingers can hold it; there may be a wish beside: what lies on top, or how high it may go.

Find the shape: level 1 asks for chords in first position; level 2 for more of them; at level 3 a
note is asked for on top, or all strings are to be pressed, at level 4 both.  How far up the neck it
may lie is the level's hand.
"""

from functools import lru_cache

from harmonykit.about.names import note_of
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.practice import question
from harmonykit.practice.question import LEVELS, Chance, Question, Seen, Spec, Verdict
from harmonykit.practice.theme import Theme
from harmonykit.practice.wording import GOOD, NOT_YET, faults, listed, sentences
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.naming import exact_names
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

_FEW_STRINGS = 4


@lru_cache(maxsize=512)
def shapes_of(chord: Chord, neck: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes of a chord that a hand of these limits holds; many strings may be muted.

    Examples
    --------
    >>> shapes = shapes_of(Chord.parse("G7"), Instrument.named("ukulele"), Limits(max_fret=5))
    >>> [shape.digits for shape in shapes]
    ['0-2-1-2', '4-5-3-5']
    """
    few = len(neck.strings) <= _FEW_STRINGS
    return find_voicings(
        chord,
        neck,
        limits.max_fret,
        limits=limits,
        wanted=Wanted(omit=(), mutes=False if few else "outer"),
    )


@lru_cache(maxsize=256)
def movable_shapes(chord: Chord, theme: Theme, level: int) -> tuple[Voicing, ...]:
    """Return shapes of four notes, each on one string and none of them open.

    The theme's own shapes go before all others; a barre is let pass at every level.

    Raises
    ------
    HarmonyError
        If there is none.

    Examples
    --------
    >>> shapes = movable_shapes(Chord.parse("Adim7"), Theme(), 2)
    >>> [shape.digits for shape in shapes]
    ['2-3-2-3', '5-6-5-6']
    """
    own, limits, neck = theme.own_shapes(chord), theme.limits(level), theme.neck
    found = own or find_voicings(
        chord,
        neck,
        limits.max_fret,
        limits=Limits(limits.max_fret, limits.stretch_mm),
        wanted=Wanted(
            max_span=2,
            omit=(),
            mutes=False if len(neck.strings) <= _FEW_STRINGS else "outer",
            opens=False,
            doubling=False,
        ),
    )
    if not found:
        raise HarmonyError(f"{chord.unicode} has no movable shape on the {neck.name}")
    return found


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked of a shape beside its notes.

    Parameters
    ----------
    top : Note, optional
        What the highest pitch is to be.
    max_fret : int, optional
    closed : bool
        Whether open strings are not wanted.
    """

    top: Note | None = None
    max_fret: int | None = None
    closed: bool = False


def hold(
    text: str,
    chord: Chord,
    neck: Instrument,
    before: Voicing | None = None,
    *,
    one: Voicing | None = None,
    wish: Wish | None = None,
) -> Verdict:
    """Judge a shape that is to sound a chord.

    Parameters
    ----------
    text : str
        The shape's digits.
    chord : Chord
    neck : Instrument
    before : Voicing, optional
        The shape that it was made from.
    one : Voicing, optional
        A shape that serves, shown with a wrong answer.
    wish : Wish, optional
        What is asked for beside the notes.

    Examples
    --------
    >>> uke = Instrument.named("ukulele")
    >>> hold("2223", Chord.parse("D7"), uke).said
    'Right. 2-2-2-3 sounds A, D, F♯ and C.'
    >>> hold("2225", Chord.parse("D7"), uke).said
    'Not yet. 2-2-2-5 sounds A, D and F♯, which is D. C is missing.'
    """
    if "?" in text:
        raise HarmonyError("a fret is missing", rule="one fret for each string, x for a muted one")
    shape = Voicing.parse(text, neck)
    heard_as = chord_heard(shape, chord)
    notes = [note_of(pitch % 12, heard_as) for pitch in shape.sounding]
    heard = join_words(list(dict.fromkeys(note.unicode for note in notes)))
    known = f", which is {heard_as.unicode}" if heard_as != chord else ""
    said = f"{shape.digits} sounds {heard}{known}."
    wrong = faults(shape.pcs, chord, notes) or _unwished(shape, wish or Wish())
    if wrong:
        meant = one or shape
        seen = Seen(chord.unicode, chord.pcs, chord, shape=meant, before=shape)
        example = f"One that works: {one.digits}." if one else ""
        return Verdict(question.WRONG, sentences(NOT_YET, said, wrong, example), seen)
    other = f"Another shape is {one.digits}." if one and one != shape and before else ""
    seen = Seen(chord.unicode, chord.pcs, chord, shape=shape, before=before)
    return Verdict(question.RIGHT, sentences(GOOD, said, other), seen)


def chord_heard(shape: Voicing, chord: Chord) -> Chord:
    """Return the chord by which a shape's notes are named: the one asked for, or what it is.

    Parameters
    ----------
    shape : Voicing
    chord : Chord
        The chord that was asked for.

    Examples
    --------
    >>> uke = Instrument.named("ukulele")
    >>> chord_heard(Voicing.parse("2225", uke), Chord.parse("D7")).symbol
    'D'
    """
    names = exact_names(shape.pcs, near=chord) if shape.pcs != chord.pcs else ()
    return names[0] if names else chord


def _unwished(shape: Voicing, wish: Wish) -> str:
    """Return what a shape with the right notes does not do, or nothing."""
    if shape.fingering is None:
        return "Its notes are right, but four fingers cannot hold it."
    if wish.top is not None and shape.top % 12 != wish.top.pitch_class:
        highest = next(n for n in shape.notes if n is not None and n.midi == shape.top)
        return f"Its highest note is {highest.unicode}; it should be {wish.top.unicode}."
    if wish.max_fret is not None and shape.highest_fret > wish.max_fret:
        return f"It reaches fret {shape.highest_fret}; the highest allowed is fret {wish.max_fret}."
    if wish.closed and 0 in shape.frets:
        return "It has an open string; every string must be fretted."
    return ""


_TRIES = 60


def ask_shape(spec: Spec, theme: Theme) -> Question:
    """Return a question about a chord to be held."""
    chance = spec.chance()
    chord, shape = _findable(chance, spec, theme)
    limits, neck = theme.limits(spec.level), theme.neck
    wish = chance.pick(("top", "closed")) if spec.level == 3 and 0 not in shape.frets else "top"
    top = _top(shape, chord) if spec.level >= 3 and wish == "top" else None
    closed = wish == "closed" or (spec.level == LEVELS and 0 not in shape.frets)
    wishes = [f"{top.unicode} on top"] if top else []
    wishes += ["no open string"] if closed else []
    asked = f" with {' and '.join(wishes)}" if wishes else ""
    verb = "Press" if spec.medium == "neck" else "Write"
    low, high = shape.lowest_fret, shape.highest_fret
    at = f"at frets {low} to {high}" if low < high else f"at fret {high}" if high else "all open"
    return Question(
        spec,
        f"Find a shape of {chord.unicode}{asked} on the {neck.name} ({neck.tuning}), "
        f"up to fret {limits.max_fret}. {verb} a fret for each string.",
        "shape",
        shape.digits,
        (
            f"The notes are {listed(chord.tones)}; each of them sounds, and nothing else.",
            f"One such shape is {at}.",
            f"All but one string: {_all_but_one(chance, shape)}.",
        ),
        Seen(chord.unicode),
        lambda text: hold(text, chord, neck, one=shape, wish=Wish(top, limits.max_fret, closed)),
        neck,
        (shape.sounding,),
        chord.symbol,
    )


def _findable(chance: Chance, spec: Spec, theme: Theme) -> tuple[Chord, Voicing]:
    """Return a chord that the level's hand can hold, and a shape of it."""
    pool = [*theme.any_chords(spec.level)]
    pool += theme.diminished_sevenths(spec.level) if spec.level > 1 else ()
    pool = list(theme.wanted([chord.over(None) for chord in pool], str))
    for _ in range(_TRIES):
        chord = chance.pick(pool)
        found = shapes_of(chord, theme.neck, theme.limits(spec.level))
        if spec.level == LEVELS:
            found = tuple(each for each in found if 0 not in each.frets) or found
        if found:
            return chord, chance.pick(found)
    raise HarmonyError(f"no chord of the theme can be held on the {theme.neck.name} at this level")


def _top(shape: Voicing, chord: Chord) -> Note:
    return chord.spell(shape.top % 12)


def _all_but_one(chance: Chance, shape: Voicing) -> str:
    """Return a shape's digits with one of those that sound left out."""
    strings = [string for string, fret in enumerate(shape.frets) if fret is not None]
    gone = chance.pick(strings)
    digits = shape.digits.split("-")
    return "-".join("?" if string == gone else each for string, each in enumerate(digits))
