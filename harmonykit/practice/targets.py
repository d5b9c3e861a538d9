"""Find where it leads: the roots that a diminished seventh goes to as a dominant.

Level 1 asks for one target, level 2 for all four, level 3 for the dominant that the chord stands
for before a target, level 4 for the chord that leads to a target; by ear the target is heard.  A
root may be written as a note or as a chord on it.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from harmonykit.practice import wording
from harmonykit.practice.question import RIGHT, WRONG, Question, Seen, Spec, Verdict, share
from harmonykit.practice.theme import Theme
from harmonykit.practice.wording import read_chords, read_dominants, read_notes, read_roots
from harmonykit.sound.chords import close_notes
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.diminished import Move, Resolution, approach, resolutions
from harmonykit.theory.uses import Use, use_before


def ask_targets(spec: Spec, theme: Theme) -> Question:
    """Return a question about targets."""
    chance = spec.chance()
    chord = chance.pick(theme.wanted(theme.diminished_sevenths(spec.level), str))
    ways = resolutions(chord)
    way = chance.pick(ways)
    if spec.medium == "ear":
        four = tuple(each.target.name for each in ways)
        asked = replace(_heard(spec, theme, way), choices=four)
    elif spec.level >= 3:
        asked = (_as_which if spec.level == 3 else _backwards)(spec, theme, way)
    else:
        asked = _named(spec, theme, chord, (way,) if spec.level == 1 else ways)
    return replace(asked, about=chord.symbol)


def _named(spec: Spec, theme: Theme, chord: Chord, ways: Sequence[Resolution]) -> Question:
    way, clock = ways[0], spec.medium == "clock"
    one = len(ways) == 1
    asked = ("Press" if clock else "Name") + (" the root." if one else " the four roots.")
    # Its root is the leading tone of where it resolves.
    as_parent = f"{approach(way.target).unicode} replaces {way.parent.unicode}♭9, without its root"
    where = (
        f"{as_parent}. Where does it resolve?" if one else f"Where does {chord.unicode} resolve?"
    )
    return Question(
        spec,
        f"{'' if one else 'As a dominant: '}{where[0].lower() if not one else where[0]}"
        f"{where[1:]} {asked}".replace("dominant: where", "dominant, where"),
        "notes",
        wording.typed(each.target for each in ways),
        _hints_of_one(way) if one else _hints_of_four(chord, ways),
        Seen(chord.unicode, chord.pcs, chord),
        lambda text: judge_targets(chord, ways, read_roots(text)),
        theme.neck,
        (close_notes(chord.tones),),
    )


def _hints_of_one(way: Resolution) -> tuple[str, ...]:
    leading = way.moves[0].start.unicode
    return (
        "A dominant resolves to the root a fifth below its own.",
        f"The third of {way.parent.unicode} is {leading}, and it rises by a semitone.",
        f"A fifth below {way.parent.root.unicode}, or a semitone above {leading}.",
    )


def _hints_of_four(chord: Chord, ways: Sequence[Resolution]) -> tuple[str, ...]:
    return (
        "Each note of the chord can be a leading tone: it rises by a semitone to a root.",
        f"Its notes are {wording.listed(chord.tones)}.",
        f"Three of the four are {wording.listed(way.target for way in ways[:3])}.",
    )


def _as_which(spec: Spec, theme: Theme, way: Resolution) -> Question:
    """Return a question about the dominant that a diminished seventh stands for."""
    chord, clock = way.chord, spec.medium == "clock"
    asked = "Press its root." if clock else "Name it."
    return Question(
        spec,
        f"{chord.unicode} resolves to {way.target.unicode} in place of a dominant seventh. {asked}",
        "notes" if clock else "chords",
        way.parent.root.name if clock else way.parent.symbol,
        (
            "The dominant of a root lies a fifth above it.",
            f"It holds three of the notes {wording.listed(chord.tones)}, and its own root.",
            f"Its third is {way.moves[0].start.unicode}, the leading tone of {way.target.unicode}.",
        ),
        Seen(chord.unicode, chord.pcs, chord),
        lambda text: _judge_dominant(way, text, clock=clock),
        theme.neck,
        (close_notes(chord.tones),),
    )


def _judge_dominant(way: Resolution, text: str, *, clock: bool) -> Verdict:
    """Judge which dominant a diminished seventh is said to stand for."""
    given = read_dominants(text, clock=clock)
    right = [
        c for c in given if c.is_dominant and c.root.pitch_class == way.parent.root.pitch_class
    ]
    wrong = [each for each in dict.fromkeys(given) if each not in right]
    seen = _seen(way.chord, (way,))
    if right and not wrong:
        return Verdict(RIGHT, wording.sentences(wording.GOOD, way.reason), seen)
    said = [
        f"{each.unicode} is not the dominant of {way.target.unicode}, "
        f"which lies a fifth above it: {way.parent.unicode}."
        for each in wrong
    ]
    return Verdict(
        WRONG,
        wording.sentences(wording.NOT_YET, wording.reasons(said[:1]), way.reason),
        seen,
        tuple(each.symbol for each in wrong),
    )


def _backwards(spec: Spec, theme: Theme, way: Resolution) -> Question:
    target, clock = way.target, spec.medium == "clock"
    chord = approach(target)
    asked = "Press its four notes." if clock else "Any of its four names will do."
    return Question(
        spec,
        f"Which diminished seventh acts as a dominant and resolves to {target.unicode}? {asked}",
        "notes" if clock else "chords",
        wording.typed(chord.tones) if clock else chord.symbol,
        (
            f"It has the leading tone of {target.unicode}.",
            f"It replaces {way.parent.unicode}♭9, without its root.",
            f"Its root, {chord.root.unicode}, is a semitone below {target.unicode}.",
        ),
        Seen(f"to {target.unicode}", PcSet.of(target.pitch_class)),
        lambda text: _judge_approach(chord, target, text, clock=clock),
        theme.neck,
    )


def _heard(spec: Spec, theme: Theme, way: Resolution) -> Question:
    chord = way.chord
    turn = spec.level - 1
    tones = chord.tones[turn:] + chord.tones[:turn]
    before = close_notes(tones, 55)
    steps = {move.start.pitch_class: move.semitones for move in way.moves}
    after = tuple(pitch + steps[pitch % 12] for pitch in before)
    rising, falling = way.moves[0].start, way.moves[2]
    return Question(
        spec,
        f"You hear {chord.unicode} and the major chord to which it resolves. What is its root?",
        "notes",
        way.target.name,
        (
            f"One note of {chord.unicode} is the leading tone: it rises by a semitone.",
            f"The notes are {wording.listed(tones)}, from the lowest up. {falling}, the third.",
            f"The note that rises to the root is {rising.unicode}.",
        ),
        Seen(chord.unicode, chord.pcs, chord),
        lambda text: judge_targets(chord, (way,), read_roots(text)),
        theme.neck,
        (before, after),
    )


def judge_targets(chord: Chord, wanted: Sequence[Resolution], given: Sequence[Note]) -> Verdict:
    """Judge roots that are to be targets of a diminished seventh.

    Examples
    --------
    >>> ways = resolutions(Chord.parse("Bdim7"))
    >>> judge_targets(ways[0].chord, ways, read_roots("C D Gb")).said.split(", and")[0]
    'Not yet. C and G♭ are right. Before D, B°7 embellishes it and keeps its root'
    """
    roots = {way.target.pitch_class for way in wanted}
    wrong = {n.pitch_class: n for n in given if n.pitch_class not in roots}
    named = {note.pitch_class for note in given}
    missing = [way for way in wanted if way.target.pitch_class not in named]
    seen = _seen(chord, wanted)
    if not wrong and not missing:
        return Verdict(RIGHT, wording.sentences(wording.GOOD, wanted[0].reason), seen)
    said = [_why_not(chord, note) for note in wrong.values()]
    lost = wording.lacking(
        [way.target for way in missing], f". {missing[0].reason}" if missing else ""
    )
    good = wording.granted([note for note in given if note.pitch_class in roots])
    return Verdict(
        share(len(wanted) - len(missing), len(wrong), len(wanted)),
        wording.sentences(wording.NOT_YET, good, wording.reasons(said), lost),
        seen,
        tuple(note.name for note in wrong.values()),
    )


def _why_not(chord: Chord, note: Note) -> str:
    """Return what a diminished seventh does before a root that is not asked for."""
    others = {way.target.pitch_class: way for way in resolutions(chord)}
    if note.pitch_class in others:
        other = others[note.pitch_class]
        return f"It resolves to {note.unicode} as {other.parent.unicode}♭9 without its root."
    use = use_before(chord, Chord.of(note.plain(), ""))
    does = {
        "same": "embellishes it and keeps its root",
        "above": "passes down to it from a half step above",
    }
    return (
        f"Before {note.unicode}, {chord.unicode} {does[use.side]}, and is not a dominant: "
        f"{_moves(use, chord)}."
    )


def _moves(use: Use, named: Chord) -> str:
    """Say how the notes move, spelled as in the chord that is named, and easy to read."""
    own = {tone.pitch_class: tone.plain() for tone in named.tones}
    return ", ".join(str(Move(own[one.start.pitch_class], one.end)) for one in use.moves)


def _judge_approach(chord: Chord, target: Note, text: str, *, clock: bool) -> Verdict:
    use = use_before(chord, Chord.of(target, ""))
    moves = tuple((m.start.pitch_class, m.end.pitch_class) for m in use.moves)
    seen = Seen(target.unicode, use.target.pcs, use.target, chord.pcs, chord, moves)

    def why_not(given: Chord) -> str:
        named = wording.listed(way.target for way in resolutions(given))
        return f"{given.unicode} resolves to {named}, not to {target.unicode}."

    return judge_seventh(chord, text, seen, use.reason, why_not if not clock else None)


def judge_seventh(
    chord: Chord, text: str, seen: Seen, reason: str, why_not: Callable[[Chord], str] | None
) -> Verdict:
    """Judge an answer that is to be one diminished seventh: its notes, or any of its names.

    Parameters
    ----------
    chord : Chord
        The right one.
    text : str
    seen : Seen
        What is shown of it.
    reason : str
        Why it is right.
    why_not : callable, optional
        Says of another diminished seventh why it is not right; notes are read where not given.
    """
    if why_not is None:
        notes = read_notes(text)
        pcs = PcSet.of(*(note.pitch_class for note in notes))
        said = "" if pcs == chord.pcs else wording.faults(pcs, chord, notes)
        wrong: list[Chord] = []
    else:
        wrong = [each for each in read_chords(text) if each.pcs != chord.pcs]
        said = wording.reasons(
            [
                why_not(each)
                if each.is_diminished_seventh
                else f"{each.unicode} is not a diminished seventh."
                for each in wrong
            ]
        )
    if not said:
        return Verdict(RIGHT, wording.sentences(wording.GOOD, reason), seen)
    names = tuple(each.symbol for each in wrong)
    return Verdict(WRONG, wording.sentences(wording.NOT_YET, said, reason), seen, names)


def _seen(chord: Chord, ways: Sequence[Resolution]) -> Seen:
    if len(ways) == 1:
        goal = Chord.of(ways[0].target, "")
        moves = tuple((m.start.pitch_class, m.end.pitch_class) for m in ways[0].moves)
        # Spelled as the reason spells it: D°7 that resolves to A has a G♯.
        return Seen(goal.unicode, goal.pcs, goal, chord.pcs, approach(ways[0].target), moves)
    roots = PcSet.of(*(way.target.pitch_class for way in ways))
    moves = tuple((way.moves[0].start.pitch_class, way.target.pitch_class) for way in ways)
    names = tuple(way.target for way in ways)
    return Seen(chord.unicode, roots, None, chord.pcs, chord, moves, names=names)
