"""Find the shape: hold a chord on the neck, or write its digits.

Any shape is right that sounds the chord's notes and no others and that four fingers can hold.
Level 1 asks for chords in first position; level 2 for more of them; from level 3 on a note is
asked for on top, or all strings are to be pressed.  How far up the neck is the level's hand.
"""

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.workbook.practice.chance import Chance
from harmonykit.workbook.practice.holds import Wish, hold, shapes_of
from harmonykit.workbook.practice.question import Question, Seen, Spec
from harmonykit.workbook.practice.telling import listed
from harmonykit.workbook.practice.theme import Theme

_TRIES = 60


def ask_shape(spec: Spec, theme: Theme) -> Question:
    """Return a question about a chord to be held."""
    chance = spec.chance()
    chord, shape = _findable(chance, spec, theme)
    limits, neck = theme.limits(spec.level), theme.neck
    wish = chance.pick(("top", "closed")) if spec.level >= 3 and 0 not in shape.frets else "top"
    top = _top(shape, chord) if spec.level >= 3 and wish == "top" else None
    closed = spec.level >= 3 and wish == "closed"
    asked = f" with {top.unicode} on top" if top else " with no open string" if closed else ""
    verb = "Press" if spec.medium == "neck" else "Write"
    low, high = shape.lowest_fret, shape.highest_fret
    at = f"frets {low} to {high}" if low < high else f"fret {high}" if high else "the open strings"
    return Question(
        spec,
        f"Find a shape of {chord.unicode}{asked} on the {neck.name} ({neck.tuning}), "
        f"up to fret {limits.max_fret}. {verb} a fret for each string.",
        "shape",
        shape.digits,
        (
            f"The notes are {listed(chord.tones)}; each of them sounds, and nothing else.",
            f"One such shape is at {at}.",
            f"All but one string: {_all_but_one(chance, shape)}.",
        ),
        Seen(chord.unicode),
        lambda text: hold(text, chord, neck, one=shape, wish=Wish(top, limits.max_fret, closed)),
        neck,
        (shape.sounding,),
    )


def _findable(chance: Chance, spec: Spec, theme: Theme) -> tuple[Chord, Voicing]:
    """Return a chord that the level's hand can hold, and a shape of it."""
    pool = [*theme.any_chords(spec.level)]
    pool += theme.diminished_sevenths(spec.level) if spec.level > 1 else ()
    for _ in range(_TRIES):
        chord = chance.pick(pool).over(None)
        found = shapes_of(chord, theme.neck, theme.limits(spec.level))
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
