"""Hear which note moved: two chords that differ by one note, and where it went.

At level 1 a note of a diminished seventh moves by a semitone, at level 2 one of any chord of four
notes; from level 3 on it may move by a whole step, and at level 4 the notes lie as on the neck.
The first chord is named, since nobody is asked for absolute pitch.
"""

from harmonykit.sound.chords import close_pitches
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move
from harmonykit.theory.naming import exact_names
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.names import note_of
from harmonykit.workbook.practice.chance import Chance
from harmonykit.workbook.practice.holds import movable_shapes
from harmonykit.workbook.practice.question import (
    RIGHT,
    WRONG,
    Pitches,
    Question,
    Seen,
    Spec,
    Verdict,
)
from harmonykit.workbook.practice.reading import read_move
from harmonykit.workbook.practice.telling import GOOD, NOT_YET, RANKS, listed, sentences, verb
from harmonykit.workbook.practice.theme import Theme


def ask_moved(spec: Spec, theme: Theme) -> Question:
    """Return a question about one note that moved."""
    chance = spec.chance()
    pool = theme.diminished_sevenths(1) if spec.level == 1 else theme.four_notes(spec.level)
    chord = chance.pick(pool).over(None)
    move = chance.pick(_moves(chord, 1 if spec.level < 3 else 2))
    before = _pitches(chance, chord, spec, theme)
    place = [pitch % 12 for pitch in before].index(move.start.pitch_class)
    after = tuple(p + move.semitones * (n == place) for n, p in enumerate(before))
    rank = sorted(before).index(before[place])
    by = "a semitone" if spec.level < 3 else "a semitone or a whole step"
    way = "rises" if move.semitones > 0 else "falls"
    kept = [note for note in chord.tones if note.pitch_class != move.start.pitch_class]
    return Question(
        spec,
        f"You hear {chord.unicode}, then the same with one note moved by {by}. "
        "Which note moved, and where to?",
        "move",
        f"{move.start.name} to {move.end.name}",
        (
            f"The notes of {chord.unicode} are {listed(chord.tones)}; the note that moves {way}.",
            f"It is the {RANKS[rank]} of the four; {listed(kept[:2])} stay.",
            f"It is {move.start.unicode}, and it {way} by {abs(move.semitones)}.",
        ),
        Seen(chord.unicode, chord.pcs, chord),
        lambda text: judge_move(chord, move, *read_move(text)),
        theme.neck,
        (before, after),
    )


def _moves(chord: Chord, most: int) -> list[Move]:
    """Return the moves of one note by a few semitones that do not end on another note."""
    return [
        Move(note, _end(chord, note, step))
        for note in chord.tones
        for step in range(-most, most + 1)
        if step and (note.pitch_class + step) % 12 not in chord.pcs
    ]


def _end(chord: Chord, note: Note, step: int) -> Note:
    """Return where a note goes, named as in the chord that is left where that has a name."""
    end = (note.pitch_class + step) % 12
    names = exact_names(chord.pcs ^ PcSet.of(note.pitch_class, end))
    return names[0].spell(end) if names else note_of(end)


def _pitches(chance: Chance, chord: Chord, spec: Spec, theme: Theme) -> Pitches:
    if spec.level == 4:
        return chance.pick(movable_shapes(chord, theme, 3)).sounding
    turn = chance.below(4) if spec.level > 1 else 0
    tones = chord.tones[turn:] + chord.tones[:turn]
    return close_pitches([note.pitch_class for note in tones], 57)


def judge_move(chord: Chord, move: Move, start: Note, end: Note) -> Verdict:
    """Judge which note of a chord is said to have moved, and where to.

    Examples
    --------
    >>> chord, move = Chord.parse("Bdim7"), Move(Note.parse("Ab"), Note.parse("G"))
    >>> judge_move(chord, move, Note.parse("F"), Note.parse("E")).said
    'Not yet. F is still there in the second chord. A♭ falls to G, and G7 is left; B, D and F stay.'
    """
    pcs = chord.pcs ^ PcSet.of(move.start.pitch_class, move.end.pitch_class)
    names = exact_names(pcs)
    kept = [note for note in chord.tones if note.pitch_class in pcs]
    left = f", and {names[0].unicode} is left" if names else ""
    told = f"{move}{left}; {listed(kept)} {verb(kept, 'stays', 'stay')}."
    pair = (move.start.pitch_class, move.end.pitch_class)
    after = names[0] if names else None
    seen = Seen(after.unicode if after else "", pcs, after, chord.pcs, chord, (pair,))
    if (start.pitch_class, end.pitch_class) == pair:
        return Verdict(RIGHT, sentences(GOOD, told), seen)
    return Verdict(WRONG, sentences(NOT_YET, _why_not(chord, move, start, end), told), seen)


def _why_not(chord: Chord, move: Move, start: Note, end: Note) -> str:
    if start.pitch_class not in chord.pcs:
        return f"{start.unicode} is not a note of {chord.unicode}."
    if start.pitch_class != move.start.pitch_class:
        return f"{start.unicode} is still there in the second chord."
    wrong_way = (end.pitch_class - start.pitch_class) % 12 > 6
    if wrong_way != (move.semitones < 0):
        return f"{start.unicode} it is, but it moves the other way."
    return f"{start.unicode} it is, but it does not move to {end.unicode}."
