"""Hear which note moved, and give the distance: exercises on how voices go from chord to chord.

Which note moved: at level 1 a note of a diminished seventh moves by a semitone, at level 2 one of
any chord of four notes; from level 3 on it may move by a whole step, and at level 4 the notes lie
as on the neck.  The first chord is named, since nobody is asked for absolute pitch.

The distance: level 1 asks about triads, level 2 about neighbours of four notes, level 3 about any
chords of four notes, level 4 about triads and chords of four notes, where a note of the triad is
doubled.  It is that of ``harmonykit.theory.leading.voiceleading`` in norm 1.
"""

from harmonykit.about.names import count, note_of
from harmonykit.errors import HarmonyError
from harmonykit.practice import question, shapes, wording
from harmonykit.practice.question import Chance, Pitches, Question, Seen, Spec, Verdict
from harmonykit.practice.theme import Theme, change_name, up_to
from harmonykit.sound.chords import close_notes
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.diminished import Move
from harmonykit.theory.leading.voiceleading import Move as Voice
from harmonykit.theory.leading.voiceleading import VoiceLeading, best_voice_leading
from harmonykit.theory.naming import exact_names
from harmonykit.words.numbers import join_words


def ask_moved(spec: Spec, theme: Theme) -> Question:
    """Return a question about one note that moved."""
    chance = spec.chance()
    pool = theme.diminished_sevenths(1) if spec.level == 1 else theme.four_notes(spec.level)
    chord = chance.pick(theme.wanted([each.over(None) for each in pool], str))
    move = chance.pick(_moves(chord, 1 if spec.level < 3 else 2))
    before = _pitches(chance, chord, spec, theme)
    place = [pitch % 12 for pitch in before].index(move.start.pitch_class)
    after = tuple(p + move.semitones * (n == place) for n, p in enumerate(before))
    rank = sorted(before).index(before[place])
    by = "a semitone" if spec.level < 3 else "one or two semitones"
    way = "rises" if move.semitones > 0 else "falls"
    kept = [note for note in chord.tones if note.pitch_class != move.start.pitch_class]
    return Question(
        spec,
        f"You hear {chord.unicode}, then the same with one note moved by {by}. "
        "Which note moved, and where to?",
        "move",
        f"{move.start.name} to {move.end.name}",
        (
            f"The notes of {chord.unicode} are {wording.listed(chord.tones)}; "
            f"the note that moves {way}.",
            f"It is the {wording.RANKS[rank]} of the four; {wording.listed(kept[:2])} stay.",
            f"It is {move.start.unicode}, and it {way} by "
            f"{count(abs(move.semitones), 'semitone')}.",
        ),
        Seen(chord.unicode, chord.pcs, chord),
        lambda text: judge_move(chord, move, *wording.read_move(text)),
        theme.neck,
        (before, after),
        chord.symbol,
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
        return chance.pick(shapes.movable_shapes(chord, theme, 3)).sounding
    turn = chance.below(4) if spec.level > 1 else 0
    return close_notes(chord.tones, 57, turn)


def judge_move(chord: Chord, move: Move, start: Note, end: Note) -> Verdict:
    """Judge which note of a chord is said to have moved, and where to.

    Examples
    --------
    >>> chord, move = Chord.parse("Bdim7"), Move(Note.parse("Ab"), Note.parse("G"))
    >>> judge_move(chord, move, Note.parse("F"), Note.parse("E")).said.split(". ")[1]
    'F is still there in the second chord'
    """
    pcs = chord.pcs ^ PcSet.of(move.start.pitch_class, move.end.pitch_class)
    names = exact_names(pcs)
    kept = [note for note in chord.tones if note.pitch_class in pcs]
    left = f", and the chord becomes {names[0].unicode}" if names else ""
    told = f"{move}{left}; {wording.listed(kept)} {wording.verb(kept, 'stays', 'stay')}."
    pair = (move.start.pitch_class, move.end.pitch_class)
    after = names[0] if names else None
    seen = Seen(after.unicode if after else "", pcs, after, chord.pcs, chord, (pair,))
    if (start.pitch_class, end.pitch_class) == pair:
        return Verdict(question.RIGHT, wording.sentences(wording.GOOD, told), seen)
    return Verdict(
        question.WRONG,
        wording.sentences(wording.NOT_YET, _why_not(chord, move, start, end), told),
        seen,
        (f"{start.name} to {end.name}",),
    )


def _why_not(chord: Chord, move: Move, start: Note, end: Note) -> str:
    if start.pitch_class not in chord.pcs:
        return f"{start.unicode} is not a note of {chord.unicode}."
    if start.pitch_class != move.start.pitch_class:
        return f"{start.unicode} is still there in the second chord."
    wrong_way = (end.pitch_class - start.pitch_class) % 12 > 6
    if wrong_way != (move.semitones < 0):
        return f"{start.unicode} is right, but it moves the other way."
    return f"{start.unicode} is right, but it does not move to {end.unicode}."


_NEAR, _TRIES = (4, 4, 8, 8), 60
_TRIADS = tuple(
    Chord.of(root, third)
    for root in up_to(("C D E F G A B Db Eb F# Ab Bb",), 1)
    for third in ("", "m")
)


def ask_distance(spec: Spec, theme: Theme) -> Question:
    """Return a question about the distance of two chords."""
    before, after = _picked(spec.chance(), spec, theme)
    leading = best_voice_leading(before, after)
    both = spec.medium == "clock"
    doubled = " A note may be doubled." if len(before.pcs) != len(after.pcs) else ""
    stay = join_words([before.spell(pc).unicode for pc in leading.common_tones]) or "No note"
    steps = [_step(move, before, after) for move in leading.moves if move.displacement]
    return Question(
        spec,
        f"From {before.unicode} to {after.unicode}: how many semitones do the voices move in all, "
        f"at least?{doubled}",
        "number",
        str(int(leading.total)),
        (
            "Keep the common tones; move every other note to the nearest one.",
            f"{stay} {'stay' if len(leading.common_tones) > 1 else 'stays'}; "
            f"{count(len(steps), 'voice')} {'moves' if len(steps) == 1 else 'move'}.",
            f"{join_words(steps)}{': add them up' if len(steps) > 1 else ''}.",
        ),
        Seen(f"{before.unicode} – {after.unicode}", after.pcs, after, before.pcs, before)
        if both
        else Seen(f"{before.unicode} – {after.unicode}"),
        lambda text: judge_distance(before, after, leading, wording.read_number(text)),
        theme.neck,
        tuple(close_notes(each.tones) for each in (before, after)),
        change_name((before, after)),
    )


def _picked(chance: Chance, spec: Spec, theme: Theme) -> tuple[Chord, Chord]:
    own = list(theme.changes(spec.level)) if theme.pairs else []
    if theme.about:
        own = [_two(theme.about)]
    for _ in range(_TRIES):
        before, after = chance.pick(own) if own else _any_two(chance, spec, theme)
        if before.pcs == after.pcs:
            continue
        if own or best_voice_leading(before, after).total <= _NEAR[spec.level - 1]:
            return before.over(None), after.over(None)
    raise HarmonyError("the chords of the theme are all alike")


def _two(name: str) -> tuple[Chord, Chord]:
    before, _, after = name.partition(">")
    return Chord.parse(before), Chord.parse(after)


def _any_two(chance: Chance, spec: Spec, theme: Theme) -> tuple[Chord, Chord]:
    if spec.level == 1:
        return chance.pick(_TRIADS), chance.pick(_TRIADS)
    fours = (*theme.four_notes(spec.level), *theme.diminished_sevenths(spec.level))
    return chance.pick(_TRIADS if spec.level == 4 else fours), chance.pick(fours)


def judge_distance(before: Chord, after: Chord, leading: VoiceLeading, given: int) -> Verdict:
    """Judge a number of semitones.

    Examples
    --------
    >>> chords = Chord.parse("Bdim7"), Chord.parse("G7")
    >>> judge_distance(*chords, best_voice_leading(*chords), 3).said
    'Not yet. 3 is more than they need. D stays, F stays, A♭ falls to G (1), B stays: 1 in all.'
    """
    moves = ", ".join(_step(move, before, after) for move in leading.moves)
    told = f"{moves}: {int(leading.total)} in all."
    arrows = tuple((move.start, move.end) for move in leading.moves)
    seen = Seen(f"{before.unicode} – {after.unicode}", after.pcs, after, before.pcs, before, arrows)
    if given == leading.total:
        return Verdict(question.RIGHT, wording.sentences(wording.GOOD, told), seen)
    why = f"{given} is more than they need." if given > leading.total else f"{given} is too few."
    return Verdict(
        question.WRONG, wording.sentences(wording.NOT_YET, why, told), seen, (str(given),)
    )


def _step(move: Voice, before: Chord, after: Chord) -> str:
    start, end = before.spell(move.start).unicode, after.spell(move.end).unicode
    if not move.displacement:
        return f"{start} stays" + ("" if start == end else f" as {end}")
    verb = "rises" if move.displacement > 0 else "falls"
    return f"{start} {verb} to {end} ({abs(move.displacement)})"
