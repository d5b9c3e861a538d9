"""Spell it: the notes of a chord by their names, in a key or on the way to a target.

Level 1 asks for chords of four notes, level 2 for the diminished seventh that rises to a chord,
level 3 for one that falls into a chord too, level 4 for those of a key.  Here the name is what is
asked: what sounds right and is spelled otherwise counts half, and is told so.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from harmonykit.draw.base.style import join_words
from harmonykit.sound.chords import close_pitches
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import approach
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.uses import functions
from harmonykit.workbook.practice import telling
from harmonykit.workbook.practice.chance import Chance
from harmonykit.workbook.practice.holds import movable_shapes
from harmonykit.workbook.practice.question import (
    HALF,
    RIGHT,
    WRONG,
    Question,
    Seen,
    Spec,
    Verdict,
)
from harmonykit.workbook.practice.reading import read_notes
from harmonykit.workbook.practice.theme import Theme

_KEYS = ("C", "F", "G", "Bb", "D", "Eb", "A", "Am", "Dm", "Em", "Gm", "Cm")
_SIDES = {
    "below": "resolves to {} from a half step below",
    "above": "passes down to {} from a half step above",
}


@dataclass(frozen=True, slots=True)
class Spelled:
    """A chord to be spelled: how it is asked for, and why it is spelled so."""

    chord: Chord
    asked: str
    why: str


def ask_spelling(spec: Spec, theme: Theme) -> Question:
    """Return a question about the names of a chord's notes."""
    chance = spec.chance()
    wanted = _picked(chance, spec, theme)
    chord = wanted.chord
    tones = [note.pitch_class for note in chord.tones]
    seen, asked = Seen(chord.unicode if spec.level == 1 else "?"), wanted.asked
    sounds = (close_pitches(tones),)
    if spec.medium == "neck":
        shape = chance.pick(movable_shapes(chord, theme, spec.level))
        seen = Seen(notes=shape.pcs, shape=shape, nameless=True)
        asked = f"The shape {shape.digits} is held. {asked}"
        sounds = (shape.sounding,)
    return Question(
        spec,
        f"{asked} Write its notes.",
        "notes",
        telling.typed(chord.tones),
        (
            f"{wanted.why} Its degrees over the root are {telling.printed_degrees(chord.degrees)}.",
            f"Its root is {chord.root.unicode}; the letters are "
            f"{join_words([note.letter for note in chord.tones])}.",
            f"It begins {', '.join(note.unicode for note in chord.tones[:-1])}; "
            f"the last is on the letter {chord.tones[-1].letter}.",
        ),
        seen,
        lambda text: judge_spelling(wanted, read_notes(text)),
        theme.neck,
        sounds,
    )


def _picked(chance: Chance, spec: Spec, theme: Theme) -> Spelled:
    if spec.level == 1:
        chord = chance.pick(theme.four_notes(2))
        return Spelled(
            chord, f"Spell {chord.unicode}.", f"{chord.unicode} has its root in the bass."
        )
    if spec.level == 4:
        return _in_a_key(chance)
    goal = chance.pick(theme.any_chords(spec.level))
    side = "below" if spec.level == 2 else chance.pick(("below", "above"))
    return _beside(goal.over(None), side)


def _beside(goal: Chord, side: str) -> Spelled:
    chord = approach(goal, side)
    leads = _SIDES[side].format(goal.unicode)
    letter = "below" if side == "below" else "above"
    verb = "rises" if side == "below" else "falls"
    return Spelled(
        chord,
        f"Spell the diminished seventh that {leads}.",
        f"It {verb} to {goal.root.unicode}, so its root takes the letter {letter}.",
    )


def _in_a_key(chance: Chance) -> Spelled:
    key = Key.parse(chance.pick(_KEYS))
    leading = [each for each in functions(key) if each.role.startswith("leading-tone")]
    function = chance.pick(leading)
    goal = function.use.target
    numeral = function.role.removeprefix("leading-tone of ")
    return Spelled(
        function.use.chord,
        f"In {key.unicode}, spell the leading-tone diminished seventh of {numeral}.",
        f"It rises to {goal.unicode}, so its root takes the letter below.",
    )


def judge_spelling(wanted: Spelled, given: Sequence[Note]) -> Verdict:
    """Judge names of notes: half where they sound right and are spelled otherwise.

    Examples
    --------
    >>> asked = Spelled(Chord.parse("C#dim7"), "", "It rises to D, so its root takes the letter below.")
    >>> verdict = judge_spelling(asked, read_notes("Db E G Bb"))
    >>> verdict.score, verdict.said
    (0.5, 'Nearly. The notes are right; here the spelling is C♯, not D♭. It rises to D, so its root takes the letter below.')
    """  # noqa: E501
    chord = wanted.chord
    seen = Seen(chord.unicode, chord.pcs, chord)
    pcs = PcSet.of(*(note.pitch_class for note in given))
    if set(given) == set(chord.tones):
        return Verdict(
            RIGHT,
            telling.sentences(telling.GOOD, f"{chord.unicode} is {telling.listed(chord.tones)}."),
            seen,
        )
    if pcs == chord.pcs:
        others = [_otherwise(note, chord) for note in dict.fromkeys(given)]
        said = [each for each in others if each]
        told = f"The notes are right; here the spelling is {join_words(said)}."
        return Verdict(HALF, telling.sentences(telling.NEARLY, told, wanted.why), seen)
    spelled = f"{chord.unicode} is {telling.listed(chord.tones)}."
    return Verdict(
        WRONG, telling.sentences(telling.NOT_YET, telling.faults(pcs, chord, given), spelled), seen
    )


def _otherwise(note: Note, chord: Chord) -> str:
    name = chord.spell(note.pitch_class)
    return "" if name == note else f"{name.unicode}, not {note.unicode}"
