"""Choose the smoother path: two or three ways between the same chords, as shapes.

Levels 1 and 2 and every question by ear ask for the fewest semitones that the strings move in all,
levels 3 and 4 for the shortest way of the hand (``travel_mm``); the even levels have three ways.
Ways that are as good as one another are never asked about: the best is better by 2 semitones or
by 5 mm.
"""

from collections.abc import Sequence
from itertools import product

from harmonykit.about.names import count
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice import question, shapes
from harmonykit.practice.question import Chance, Pitches, Question, Seen, Spec, Verdict, Way
from harmonykit.practice.theme import Theme, change_name
from harmonykit.practice.wording import COUNTS, GOOD, NOT_YET, read_letter, sentences
from harmonykit.theory.chord import Chord
from harmonykit.words.numbers import join_words

LETTERS = "ABC"
_TRIES, _NEAREST = 120, 5
_HOW_TO_COUNT = "On each string, count the frets from note to note; add them up."
_HOW_FAR_THE_HAND = "Look at how far each finger moves along the neck and across the strings."
_HOW_TO_LISTEN = "Listen for voices that stay and for voices that leap."
CLEAR_SEMITONES, CLEAR_MM = 2, 5.0


def ask_smoother(spec: Spec, theme: Theme) -> Question:
    """Return a question about ways from a shape to a shape."""
    heard = spec.medium == "ear"
    by_hand = spec.level >= 3 and not heard
    start, end, ways = _picked(spec.chance(), spec, theme, by_hand=by_hand)
    costs = [_cost(way, by_hand=by_hand) for way in ways]
    best = LETTERS[costs.index(min(costs))]
    heading = f"{start.unicode} – {end.unicode}"
    how = _HOW_TO_LISTEN if heard else _HOW_FAR_THE_HAND if by_hand else _HOW_TO_COUNT
    return Question(
        spec,
        _put(start, end, ways, heard=heard, by_hand=by_hand),
        "letter",
        best,
        (
            how,
            f"Way A moves {_measure(costs[0], by_hand=by_hand)}.",
            _last_hint(costs, best, by_hand=by_hand),
        ),
        Seen(heading, ways=() if heard else ways),
        lambda text: judge_way((start, end), ways, by_hand=by_hand, given=_letter(text, ways)),
        theme.neck,
        _heard(ways),
        f"{start.symbol}>{end.symbol}",
    )


def _put(start: Chord, end: Chord, ways: Sequence[Way], *, heard: bool, by_hand: bool) -> str:
    """Return the question in words."""
    if heard:
        return (
            f"You hear {COUNTS[len(ways)]} ways from {start.unicode} to {end.unicode}, one after "
            "another. In which do the voices move least, counted in semitones?"
        )
    asked = "moves the hand least, in mm" if by_hand else "moves the voices least, in semitones"
    listed = ",\n".join(f"{a}: {_said(way)}" for a, way in zip(LETTERS, ways, strict=False))
    return f"From {start.unicode} to {end.unicode}: which way {asked}?\n{listed}."


def _last_hint(costs: Sequence[float], best: str, *, by_hand: bool) -> str:
    others = [letter for letter in LETTERS[: len(costs)] if letter != best]
    if len(others) > 1:
        return f"It is neither {' nor '.join(others)}."
    return f"{others[0]} moves {_measure(max(costs), by_hand=by_hand)}; the other moves less."


def _picked(
    chance: Chance, spec: Spec, theme: Theme, *, by_hand: bool
) -> tuple[Chord, Chord, tuple[Way, ...]]:
    """Return two chords and ways between them of which one is clearly the best.

    Two of them where a hand has no three.
    """
    limits = theme.limits(spec.level)
    clear = CLEAR_MM if by_hand else CLEAR_SEMITONES
    changes = theme.wanted(theme.changes(spec.level), change_name)
    numbers = (3, 2) if spec.level % 2 == 0 else (2,)
    for number, _ in product(numbers, range(_TRIES)):
        before, after = (each.over(None) for each in chance.pick(changes))
        starts = shapes.shapes_of(before, theme.neck, limits)
        ends = shapes.shapes_of(after, theme.neck, limits)
        if not starts or len(ends) < number:
            continue
        start = chance.pick(starts)
        near = sorted(((start, end) for end in ends if _same_strings(start, end)), key=semitones)
        ways = tuple(chance.some(near[:_NEAREST], number))
        costs = sorted(_cost(way, by_hand=by_hand) for way in ways)
        if len(ways) == number and costs[1] - costs[0] >= clear:
            return before, after, ways
    raise HarmonyError(f"no ways to compare on the {theme.neck.name}")


def _heard(ways: Sequence[Way]) -> tuple[Pitches, ...]:
    """Return the shapes of one way after another, a silence between them."""
    heard = [(*(shape.sounding for shape in way), question.SILENCE) for way in ways]
    return tuple(pitches for way in heard for pitches in way)[:-1]


def _same_strings(start: Voicing, end: Voicing) -> bool:
    pairs = zip(start.frets, end.frets, strict=True)
    return all((a is None) == (b is None) for a, b in pairs)


def semitones(way: Way) -> int:
    """Return how many semitones the strings move in all.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> uke = Instrument.named("ukulele")
    >>> semitones((Voicing.parse("2323", uke), Voicing.parse("0212", uke)))
    5
    """
    start, end = way
    pairs = zip(start.frets, end.frets, strict=True)
    return sum(abs(a - b) for a, b in pairs if a is not None and b is not None)


def _cost(way: Way, *, by_hand: bool) -> float:
    return travel_mm(*way) if by_hand else semitones(way)


def _measure(cost: float, *, by_hand: bool) -> str:
    return f"{cost:.0f} mm" if by_hand else count(int(cost), "semitone")


def _said(way: Way) -> str:
    return " to ".join(shape.digits for shape in way)


def _letter(text: str, ways: Sequence[Way]) -> str:
    """Return the letter of a way; its last shape's digits will do."""
    letters = LETTERS[: len(ways)]
    for letter, way in zip(letters, ways, strict=True):
        if text.strip() in (way[-1].digits, way[-1].digits.replace("-", ""), _said(way)):
            return letter
    return read_letter(text, letters)


def judge_way(
    chords: tuple[Chord, Chord], ways: tuple[Way, ...], *, by_hand: bool, given: str
) -> Verdict:
    """Judge which way between two chords is said to be the smoothest.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> uke = Instrument.named("ukulele")
    >>> a, b, c = (Voicing.parse(digits, uke) for digits in ("2323", "0212", "2223"))
    >>> chords = Chord.parse("Adim7"), Chord.parse("D7")
    >>> judge_way(chords, ((a, b), (a, c)), by_hand=False, given="A").said
    'Not yet. A is 5 semitones and B is 1 semitone: the least is B, by 4 semitones.'
    """
    costs = [_cost(way, by_hand=by_hand) for way in ways]
    best = costs.index(min(costs))
    told = join_words(
        [f"{a} is {_measure(c, by_hand=by_hand)}" for a, c in zip(LETTERS, costs, strict=False)]
    )
    first, second = sorted(costs)[:2]
    heading = f"{chords[0].unicode} – {chords[1].unicode}"
    seen = Seen(heading, chord=chords[1], old=chords[0], ways=ways, best=best)
    if LETTERS.index(given) == best:
        return Verdict(question.RIGHT, sentences(GOOD, f"{told}."), seen)
    by = _measure(second - first, by_hand=by_hand)
    return Verdict(
        question.WRONG,
        sentences(NOT_YET, f"{told}: the least is {LETTERS[best]}, by {by}."),
        seen,
        (given,),
    )
