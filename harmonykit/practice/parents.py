"""Name the parents: the dominant sevenths that a diminished seventh becomes, one note lowered.

Level 1 asks for one parent, level 2 for all four, level 3 for those that one of them has beside
it, level 4 for the diminished seventh of a parent.  On the neck a finger makes the parent: at level
1 it is told which, at level 3 the shape has no name, and at level 4 it makes the diminished
seventh.  By ear the parent is heard.  A dominant seventh with a flat ninth counts as its dominant
seventh, and any name of the same chord is right.
"""

from collections.abc import Sequence
from dataclasses import replace

from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice import question, shapes, targets, wording
from harmonykit.practice.question import Pitches, Question, Seen, Spec, Verdict
from harmonykit.practice.theme import Theme
from harmonykit.practice.wording import read_chords, read_dominants
from harmonykit.sound.chords import close_notes
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.diminished import Resolution, resolutions

_ACCEPTED = ((0, 4, 7, 10), (0, 1, 4, 7, 10))


def judge_parents(
    chord: Chord,
    wanted: Sequence[Resolution],
    given: Sequence[Chord],
    granted: Sequence[Resolution] = (),
) -> Verdict:
    """Judge chords that are to be some of the parents of a diminished seventh.

    Those that were granted with the question may be named again.

    Examples
    --------
    >>> ways = resolutions(Chord.parse("Bdim7"))
    >>> print(judge_parents(ways[0].chord, ways, read_chords("Gb7 G7")).said.split(" D♭7,")[0])
    Not yet. G7 is right. G♭7 holds none of the notes of B°7; each of its dominants holds three.
    """
    roots = {way.parent.root.pitch_class for way in wanted}
    told = {way.parent.root.pitch_class for way in granted}
    right = [c for c in given if _is_dominant(c) and c.root.pitch_class in roots]
    known = [c for c in given if _is_dominant(c) and c.root.pitch_class in told]
    others = [each for each in dict.fromkeys(given) if each not in (*right, *known)]
    wrong = [_why_not(chord, each) for each in others]
    named = {each.root.pitch_class for each in right}
    missing = [way for way in wanted if way.parent.root.pitch_class not in named]
    seen = _seen(chord, wanted)
    if not wrong and not missing:
        return Verdict(
            question.RIGHT,
            wording.sentences(wording.GOOD, wording.reasons([lowering(way) for way in wanted][:1])),
            seen,
        )
    why = f": l{lowering(missing[0])[1:]}" if missing else ""
    lost = wording.lacking([way.parent for way in missing], why)
    return Verdict(
        question.share(len(wanted) - len(missing), len(wrong), len(wanted)),
        wording.sentences(wording.NOT_YET, wording.granted(right), wording.reasons(wrong), lost),
        seen,
        tuple(each.symbol for each in others),
    )


def lowering(way: Resolution) -> str:
    """Return how a parent is made, its note named as in the diminished seventh.

    Examples
    --------
    >>> lowering(resolutions(Chord.parse("Ddim7"))[3])
    'Lower D of D°7 by a semitone to D♭: the chord becomes D♭7.'
    """
    return (
        f"Lower {lowered_note(way)} of {way.chord.unicode} by a semitone to "
        f"{way.lowered.end.unicode}: the chord becomes {way.parent.unicode}."
    )


def lowered_note(way: Resolution) -> str:
    """Return the name of the note that is lowered, as the diminished seventh has it."""
    return way.chord.spell(way.lowered.start.pitch_class).unicode


def _is_dominant(chord: Chord) -> bool:
    return chord.semitones in _ACCEPTED and chord.is_dominant


def _why_not(chord: Chord, given: Chord) -> str:
    name = given.unicode
    if not _is_dominant(given):
        return f"{name} is not a dominant seventh, which has a major third and a minor seventh."
    others = {way.parent.root.pitch_class: way for way in resolutions(chord)}
    if given.root.pitch_class in others:
        other = others[given.root.pitch_class]
        return f"{name} is one too, with another note lowered: l{lowering(other)[1:]}"
    common = len(PcSet.from_mask(chord.pcs.mask & Chord.of(given.root, "7").pcs.mask))
    held = f"{name} holds {wording.COUNTS[common]} of the notes of {chord.unicode}"
    return f"{held}; each of its dominants holds three."


def judge_diminished(way: Resolution, text: str, *, clock: bool) -> Verdict:
    """Judge an answer that is to name the diminished seventh of a parent."""
    chord, parent = way.chord, way.parent
    move = (way.lowered.end.pitch_class, way.lowered.start.pitch_class)
    seen = Seen(chord.unicode, chord.pcs, chord, parent.pcs, parent, (move,))

    def why_not(given: Chord) -> str:
        count = wording.COUNTS[len(PcSet.from_mask(given.pcs.mask & parent.pcs.mask))]
        return f"{given.unicode} shares {count} of the notes of {parent.unicode}."

    return targets.judge_seventh(chord, text, seen, lowering(way), None if clock else why_not)


def _seen(chord: Chord, ways: Sequence[Resolution]) -> Seen:
    moves = tuple((w.lowered.start.pitch_class, w.lowered.end.pitch_class) for w in ways)
    if len(ways) == 1:
        parent = ways[0].parent
        return Seen(parent.unicode, parent.pcs, parent, chord.pcs, chord, moves)
    roots = PcSet.of(*(end for _, end in moves))
    names = tuple(way.parent.root for way in ways)
    return Seen(chord.unicode, roots, None, chord.pcs, chord, moves, names=names)


def ask_parents(spec: Spec, theme: Theme) -> Question:
    """Return a question about parents."""
    chance = spec.chance()
    chord = chance.pick(theme.wanted(theme.diminished_sevenths(spec.level), str))
    way = chance.pick(resolutions(chord))
    if spec.medium == "neck":
        shape = chance.pick(shapes.movable_shapes(chord, theme, spec.level))
        return replace(_on_the_neck(spec, theme, shape, way), about=chord.symbol)
    if spec.medium == "ear":
        four = tuple(each.parent.symbol for each in resolutions(chord))
        return replace(_heard(spec, theme, chord, way), about=chord.symbol, choices=four)
    if spec.level in (1, 4):
        asked = _one(spec, theme, chord, way) if spec.level == 1 else _backwards(spec, theme, way)
    else:
        asked = _all(spec, theme, chord) if spec.level == 2 else _others(spec, theme, chord, way)
    return replace(asked, about=chord.symbol)


def _one(spec: Spec, theme: Theme, chord: Chord, way: Resolution) -> Question:
    clock = spec.medium == "clock"
    asked = "Press the root of the dominant seventh" if clock else "Which dominant seventh"
    start = lowered_note(way)
    return Question(
        spec,
        f"Lower {start} of {chord.unicode} by a semitone. {asked} {'that ' if clock else ''}results"
        + ("." if clock else "?"),
        "notes" if clock else "chords",
        way.parent.root.name if clock else way.parent.symbol,
        (
            f"Three of the notes of {chord.unicode} stay: {wording.listed(_kept(way))}.",
            "The note that falls becomes the root of the dominant seventh.",
            f"{start} falls to {way.lowered.end.unicode}, and that is the root.",
        ),
        Seen(chord.unicode, chord.pcs, chord),
        lambda text: judge_parents(chord, (way,), read_dominants(text, clock=clock)),
        theme.neck,
        (close_notes(chord.tones),),
    )


def _all(spec: Spec, theme: Theme, chord: Chord) -> Question:
    ways, clock = resolutions(chord), spec.medium == "clock"
    asked = "Press the roots of the" if clock else "Name the"
    three = [way.parent.root if clock else way.parent for way in ways[:3]]
    return Question(
        spec,
        f"{asked} four dominants of {chord.unicode}: "
        "the dominant sevenths that hold three of its notes.",
        "notes" if clock else "chords",
        " ".join(way.parent.root.name if clock else way.parent.symbol for way in ways),
        (
            f"Lower the notes of {chord.unicode} by a semitone, one at a time; the others stay.",
            f"Its notes are {wording.listed(chord.tones)}; the note that falls becomes the root.",
            f"Three of the four are {wording.listed(three)}.",
        ),
        Seen(chord.unicode, chord.pcs, chord),
        lambda text: judge_parents(chord, ways, read_dominants(text, clock=clock)),
        theme.neck,
        (close_notes(chord.tones),),
    )


def _others(spec: Spec, theme: Theme, chord: Chord, way: Resolution) -> Question:
    """Return a question about the three dominants that share their diminished seventh with one."""
    parent, clock = way.parent, spec.medium == "clock"
    ways = [other for other in resolutions(chord) if other != way]
    asked = "Press the roots of the other three" if clock else "Name the other three"
    return Question(
        spec,
        f"{parent.unicode} is one of the four dominants of a diminished seventh. {asked}.",
        "notes" if clock else "chords",
        " ".join(each.parent.root.name if clock else each.parent.symbol for each in ways),
        (
            f"Raise the root of {parent.unicode} by a semitone: that is the diminished seventh.",
            f"It is {chord.unicode}; its notes are {wording.listed(chord.tones)}.",
            f"Two of the three are {wording.listed([each.parent for each in ways[:2]])}.",
        ),
        Seen(parent.unicode, parent.pcs, parent),
        lambda text: judge_parents(chord, ways, read_dominants(text, clock=clock), granted=(way,)),
        theme.neck,
        (close_notes(parent.tones),),
    )


def _backwards(spec: Spec, theme: Theme, way: Resolution) -> Question:
    parent, clock = way.parent, spec.medium == "clock"
    asked = "Press its four notes." if clock else "Any of its four names will do."
    raised = way.lowered
    return Question(
        spec,
        f"{parent.unicode} is one of the four dominants of a diminished seventh. Which? {asked}",
        "notes" if clock else "chords",
        wording.typed(way.chord.tones) if clock else way.chord.symbol,
        (
            "Its third, fifth and seventh stay; one note moves by a semitone.",
            f"The root moves, and it rises: what stays is {wording.listed(parent.tones[1:])}.",
            f"{raised.end.unicode} rises to {raised.start.unicode}: "
            f"the diminished seventh is built on {parent.tones[1].unicode}.",
        ),
        Seen(parent.unicode, parent.pcs, parent),
        lambda text: judge_diminished(way, text, clock=clock),
        theme.neck,
        (close_notes(parent.tones),),
    )


def _on_the_neck(spec: Spec, theme: Theme, shape: Voicing, way: Resolution) -> Question:
    """Return a question about a finger that makes a dominant, at level 4 about the way back.

    From level 3 on the shape that is held has no name.
    """
    back, chord, parent = spec.level == 4, way.chord, way.parent
    (string,) = (
        s for s, pitch in enumerate(shape.midi)
        if pitch is not None and pitch % 12 == way.lowered.start.pitch_class
    )  # fmt: skip
    lower = Voicing(
        theme.neck,
        tuple(
            fret - 1 if s == string and fret is not None else fret
            for s, fret in enumerate(shape.frets)
        ),
    )
    start, goal = (lower, shape) if back else (shape, lower)
    before, after = (parent, chord) if back else (chord, parent)
    held = f"{start.digits} is {before.unicode}" if spec.level < 3 else f"{start.digits} is held"
    becomes = "a diminished seventh" if back else after.unicode
    move = f"Lower its {lowered_note(way)}" if spec.level == 1 else "Move one finger"
    label, seen = theme.neck.labels[string], Seen(before.unicode, before.pcs, before, shape=start)
    if spec.level >= 3:
        seen = Seen("?", before.pcs, shape=start, nameless=True)
    goes, way_on, note = ("rises", "up", way.lowered.end.unicode) if back else (
        "falls", "down", lowered_note(way)
    )  # fmt: skip
    return Question(
        spec,
        f"{held}. {move} by one fret, so that it becomes {becomes}.",
        "shape",
        goal.digits,
        (
            f"Three strings stay as they are; one goes {way_on} by a fret.",
            f"The note that {goes} is {note}.",
            f"It is on the {label} string: from fret {start.frets[string]} {way_on} by one.",
        ),
        seen,
        lambda text: shapes.hold(text, after, theme.neck, start, one=goal),
        theme.neck,
        (start.sounding,),
    )


def _heard(spec: Spec, theme: Theme, chord: Chord, way: Resolution) -> Question:
    # From level 2 on the root is not the lowest note.
    turn = spec.level - 1
    tones = chord.tones[turn:] + chord.tones[:turn]
    pitches = close_notes(tones, 55)
    place = [pitch % 12 for pitch in pitches].index(way.lowered.start.pitch_class)
    return Question(
        spec,
        f"You hear {chord.unicode}, then one of its four dominants. Which one?",
        "chords",
        way.parent.symbol,
        (
            f"The notes of {chord.unicode} are {wording.listed(tones)}, from the lowest up; "
            "one of them falls by a semitone.",
            f"It is the {wording.RANKS[place]} of the four that falls.",
            f"{lowered_note(way)} falls to {way.lowered.end.unicode}, and that is the root.",
        ),
        Seen(chord.unicode, chord.pcs, chord),
        lambda text: judge_parents(chord, (way,), read_chords(text)),
        theme.neck,
        (pitches, lowered(pitches, place)),
    )


def lowered(pitches: Pitches, place: int, by: int = 1) -> Pitches:
    """Return pitches with one of them lowered by some semitones.

    Examples
    --------
    >>> lowered((71, 74, 77, 80), 3)
    (71, 74, 77, 79)
    """
    return tuple(pitch - by * (n == place) for n, pitch in enumerate(pitches))


def _kept(way: Resolution) -> tuple[Note, ...]:
    return tuple(n for n in way.parent.tones if n.pitch_class in way.chord.pcs)
