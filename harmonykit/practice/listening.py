"""By ear alone: which kind of chord it is, which diminished seventh over a drone, what it does.

Only what sound decides is asked.  The root of a chord is named, since nobody is asked for absolute
pitch; a diminished seventh is told by a note that goes on below it, and is right by each of its
four names; what a chord does is heard after the cadence of its key.

Kind: level 1 has triads, level 2 sevenths, level 3 also those with a flat fifth and the sixths, at
level 4 the chord is turned.  Drone: level 1 has two choices, level 2 three, from level 3 on the
drone is any note, and at level 4 the chord is turned.  Key: level 1 has I, IV and V, level 2 the
minor chords too, level 3 a minor key, level 4 the dominants of other degrees.
"""

from collections.abc import Sequence

from harmonykit.about.names import count
from harmonykit.practice import question, wording
from harmonykit.practice.question import Question, Seen, Spec, Verdict
from harmonykit.practice.theme import ROOTS, Theme, up_to
from harmonykit.practice.wording import read_chords
from harmonykit.sound.chords import close_notes
from harmonykit.theory import interval, spelling
from harmonykit.theory.chord import Chord, Note
from harmonykit.words.numbers import join_words

_LOWEST, _DRONE = 55, 36
# Kinds of chord by level (common practice, no source).
_KINDS = (("", "m", "mb5", "+"), ("7", "maj7", "m7", "6"), ("m7b5", "dim7", "m6", "7b5"))
# In a major key and a minor one: interval above the tonic, kind, numeral (common practice, no
# source).
_MAJOR = (("P1", "", "I"), ("P4", "", "IV"), ("P5", "7", "V7"))
_MINORS = (("M2", "m7", "ii7"), ("M6", "m", "vi"), ("M3", "m", "iii"))
_MINOR = (
    ("P1", "m", "i"),
    ("P4", "m", "iv"),
    ("P5", "7", "V7"),
    ("m6", "", "♭VI"),
    ("M2", "m7b5", "iiø7"),
)
_OTHERS = (
    ("M2", "7", "V7 of V"),
    ("M6", "7", "V7 of ii"),
    ("P1", "7", "V7 of IV"),
    ("M7", "dim7", "vii°7"),
)
_CADENCES = {
    "major": (("P1", ""), ("P4", ""), ("P5", "7"), ("P1", "")),
    "minor": (("P1", "m"), ("P4", "m"), ("P5", "7"), ("P1", "m")),
}
Place = tuple[str, str, str]


def qualities(level: int) -> tuple[str, ...]:
    """Return the kinds of chord of a level, the new ones first.

    Examples
    --------
    >>> qualities(1), len(qualities(4))
    (('', 'm', 'mb5', '+'), 8)
    """
    if level == question.LEVELS:
        return _KINDS[1] + _KINDS[2]
    return _KINDS[level - 1]


def ask_quality(spec: Spec, theme: Theme) -> Question:
    """Return a question about the kind of a chord that is heard."""
    chance = spec.chance()
    root = Note.parse(chance.pick(up_to(ROOTS, spec.level)))
    suffixes = qualities(spec.level)
    suffix = chance.pick(theme.wanted(suffixes, kind_name))
    right = Chord.of(root, suffix)
    others = [each for each in suffixes if Chord.of(root, each).pcs != right.pcs]
    choices = sorted([suffix, *chance.some(others, 3)], key=suffixes.index)
    chords = [Chord.of(root, each) for each in choices]
    turn = 1 + chance.below(len(right.tones) - 1) if spec.level == question.LEVELS else 0
    where = "which is not the lowest note" if turn else "which is the lowest note"
    pitches = close_notes(right.tones, _LOWEST, turn)
    return Question(
        spec,
        f"You hear {root.unicode}, then a chord on {root.unicode}, {where}. "
        f"Is it {_either(chords)}?",
        "chords",
        right.symbol,
        (
            f"It has {count(len(right.tones), 'note')}.",
            "; ".join(f"{each.unicode}: {wording.listed(each.tones)}" for each in chords) + ".",
            f"Its third is {right.tones[1].unicode}.",
        ),
        Seen(root.unicode),
        lambda text: _judge(right, text, f"The notes are {wording.listed(right.tones)}."),
        theme.neck,
        ((pitches[[p % 12 for p in pitches].index(root.pitch_class)],), pitches),
        kind_name(suffix),
        tuple(each.symbol for each in chords),
    )


def kind_name(suffix: str) -> str:
    """Return what a kind of chord is called where it is what is asked about."""
    return f"on C {Chord.of('C', suffix).symbol}"


def ask_drone(spec: Spec, theme: Theme) -> Question:
    """Return a question about which diminished seventh sounds over a drone."""
    chance = spec.chance()
    low = Note.parse(chance.pick(up_to(ROOTS, spec.level))) if spec.level > 2 else Note.parse("C")
    step = int(chance.pick(theme.wanted(DRONES, str))[-1])
    right = _diminished(low, step)
    steps = sorted([step, *chance.some([s for s in range(3) if s != step], min(spec.level, 2))])
    chords = [_diminished(low, each) for each in steps]
    turn = chance.below(4) if spec.level == question.LEVELS else 0
    drone = _DRONE + low.pitch_class
    pitches = close_notes(right.tones, _LOWEST, turn)
    holds = low.pitch_class in right.pcs
    reason = (
        f"{right.unicode} is {wording.listed([note.plain() for note in right.tones])}: "
        f"{'it holds the drone' if holds else 'the drone is not in it'}."
    )
    return Question(
        spec,
        f"A low {low.unicode} goes on. Over it you hear a diminished seventh: is it "
        f"{_either(chords)}? Any of its four names will do.",
        "chords",
        right.symbol,
        (
            "One of the three holds the drone, and sounds as its chord; the others clash with it.",
            f"The drone is {'a' if holds else 'no'} note of the chord.",
            f"One of its notes is {right.tones[1].plain().unicode}.",
        ),
        Seen(low.unicode),
        lambda text: _judge(right, text, reason),
        theme.neck,
        ((drone,), (drone, *pitches)),
        DRONES[step],
        tuple(each.symbol for each in chords),
    )


DRONES = ("semitones above 0", "semitones above 1", "semitones above 2")
"""What is asked about over a drone: how far above it the chord is built."""


def _diminished(low: Note, step: int) -> Chord:
    return Chord.of(spelling.usual_root((low.pitch_class + step) % 12), "dim7")


def places(level: int) -> tuple[Place, ...]:
    """Return the degrees of a level: interval above the tonic, kind of chord, numeral."""
    rows = (_MAJOR, _MAJOR + _MINORS, _MINOR, _MAJOR + _OTHERS)
    return rows[level - 1]


def numeral_of(place: Place) -> str:
    """Return the numeral of a degree."""
    return place[2]


def ask_function(spec: Spec, theme: Theme) -> Question:
    """Return a question about what a chord does in a key, heard after the key's cadence."""
    chance = spec.chance()
    mode = "minor" if spec.level == 3 else "major"
    tonic = Note.parse(chance.pick(up_to(ROOTS[:2], spec.level)))
    place = chance.pick(theme.wanted(places(spec.level), numeral_of))
    right = _at(tonic, place[0], place[1])
    others = [each for each in places(spec.level) if _at(tonic, each[0], each[1]).pcs != right.pcs]
    chosen = sorted([place, *chance.some(others, 3)], key=places(spec.level).index)
    named = [f"{_at(tonic, up, kind).unicode} ({numeral})" for up, kind, numeral in chosen]
    by_numeral = {numeral: _at(tonic, up, kind).symbol for up, kind, numeral in chosen}
    cadence = tuple(_pitches(_at(tonic, up, kind)) for up, kind in _CADENCES[mode])
    return Question(
        spec,
        f"You hear the cadence of {tonic.unicode} {mode}, then a chord. "
        f"Is it {join_words(named, 'or')}?",
        "chords",
        right.symbol,
        (
            "Sing the tonic after the chord, and hear whether the chord holds it.",
            f"The tonic is {'a' if tonic.pitch_class in right.pcs else 'no'} note of the chord.",
            f"Its lowest note is {right.root.unicode}.",
        ),
        Seen(f"{tonic.unicode} {mode}"),
        lambda text: _judge(
            right,
            by_numeral.get(text.strip(), text),
            f"It is {place[2]} of {tonic.unicode} {mode}: {right.unicode}.",
        ),
        theme.neck,
        (*cadence, question.SILENCE, _pitches(right)),
        place[2],
        tuple(_at(tonic, up, kind).symbol for up, kind, _ in chosen),
    )


def _at(tonic: Note, up: str, kind: str) -> Chord:
    return Chord.of(tonic.transpose(interval.Interval.parse(up)).plain(), kind)


def _pitches(chord: Chord) -> tuple[int, ...]:
    """Return a chord over its root in the bass."""
    upper = close_notes(chord.tones, _LOWEST)
    return (_DRONE + chord.root.pitch_class, *upper)


def _either(chords: Sequence[Chord]) -> str:
    return join_words([chord.unicode for chord in chords], "or")


def _judge(right: Chord, text: str, reason: str) -> Verdict:
    """Judge the name of a chord that was heard: each name of the same notes is right."""
    given = read_chords(text)
    wrong = [each for each in dict.fromkeys(given) if each.pcs != right.pcs]
    seen = Seen(right.unicode, right.pcs, right)
    if not wrong:
        return Verdict(question.RIGHT, wording.sentences(wording.GOOD, reason), seen)
    said = [f"{each.unicode} has {wording.listed(each.tones)}." for each in wrong]
    return Verdict(
        question.WRONG,
        wording.sentences(wording.NOT_YET, reason, wording.reasons(said)),
        seen,
        tuple(each.symbol for each in wrong),
    )
