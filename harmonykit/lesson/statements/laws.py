"""What holds of every root: said by kind and interval with no note named, and tried in all keys.

A law returns the sentence that says it and nothing, or nothing and a counter-example; a count
returns how many, and of what.

``always("same_notes", "Bb6", "Gm7")`` proves its statement from all twelve roots; what it says
then is true of all of them: a chord is told by its kind and by how its root lies from the first
chord's, a note by its place in the first chord.
"""

from collections.abc import Callable

from harmonykit.about.row import common_tones
from harmonykit.draw.base.marks import degree_word
from harmonykit.ideas.laws import called
from harmonykit.lesson.statements import turning
from harmonykit.theory.alternation import alternating, prove_alternation
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.diminished import parents, resolutions
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.words.numbers import join_words

# One name for each of the twelve, as charts write roots.
ROOTS = "C Db D Eb E F F# G Ab A Bb B".split()
Law = tuple[str, str]


def _diminished(root: int) -> PcSet:
    return PcSet.of(*(root + n for n in (0, 3, 6, 9)))


def _pcs(pcs: PcSet) -> str:
    return " ".join(map(str, pcs))


def _with(root: int, note: int, moved: int) -> PcSet:
    """Return a diminished seventh with one of its notes moved."""
    return PcSet.of(*(pc for pc in _diminished(root) if pc != note), note + moved)


def _lowering() -> Law:
    for root in range(12):
        for note in _diminished(root):
            left = _with(root, note, -1)
            if left != PcSet.of(*(note - 1 + n for n in (0, 4, 7, 10))):
                return "", f"lowering {note} of {_pcs(_diminished(root))} gives {_pcs(left)}"
    return "Lower any one note of any diminished seventh: it becomes the root of a dominant.", ""


def _raising() -> Law:
    for root in range(12):
        for note in _diminished(root):
            left = _with(root, note, 1)
            if left != PcSet.of(*(note + 6 + n for n in (0, 3, 7, 9))):
                return "", f"raising {note} of {_pcs(_diminished(root))} gives {_pcs(left)}"
    return (
        "Raise any one note of any diminished seventh: the chord becomes a minor sixth chord.",
        "",
    )


def _symmetry() -> Law:
    for root in range(12):
        if _diminished(root).transpose(3) != _diminished(root):
            return "", f"{_pcs(_diminished(root))} moved by three half steps is another set"
    return "Any diminished seventh moved by three half steps is the same four notes.", ""


def _third_and_seventh(chord: Chord) -> PcSet:
    return PcSet.of(*(chord.root.pitch_class + n for n in (4, 10)))


def _tritone_pairs() -> Law:
    for root in ROOTS:
        four = parents(Chord.of(root, "dim7"))
        for one in four:
            for other in four:
                apart = (one.root.pitch_class - other.root.pitch_class) % 12
                shared = _third_and_seventh(one) == _third_and_seventh(other)
                if one != other and shared != (apart == 6):
                    return "", f"{one.symbol} and {other.symbol} are {apart} half steps apart"
    return (
        "Of the four dominants of any diminished seventh those a tritone apart, and no others, "
        "have the same notes for third and seventh.",
        "",
    )


def _sixth_diminished() -> Law:
    for root in range(12):
        diminished = _diminished(root)
        # The scale's diminished seventh stands on its leading note, so any of its four notes is
        # the leading note of some tonic.
        tonics = [name for name in ROOTS if (Chord.of(name, "").root.pitch_class - 1) in diminished]
        made = {SixthDiminished(name, kind).chord.pcs for name in tonics for kind in KINDS}
        others = {pcs for pcs in alternating(diminished) if pcs.forte_name != "4-28"}
        if made != others or len(alternating(diminished)) - len(others) != 2:
            return "", f"the chords that alternate with {_pcs(diminished)}"
    return (
        "Of the chords that alternate with a diminished seventh some are diminished sevenths "
        "themselves; each of the others makes a sixth-diminished scale with it: "
        f"{', '.join(KINDS)}.",
        "",
    )


def _count_diminished() -> tuple[int, str]:
    return len({_diminished(root) for root in range(12)}), "different diminished sevenths"


def _count_targets() -> tuple[int, str]:
    targets = {len({w.target for w in resolutions(Chord.of(r, "dim7"))}) for r in ("C", "C#", "D")}
    (count,) = targets
    return count, "roots to which a diminished seventh resolves as a dominant"


def _count_kinds() -> tuple[int, str]:
    kinds = {len(prove_alternation(_diminished(root)).kinds) for root in (0, 1, 2)}
    (count,) = kinds
    return count, "kinds of four-note chord that alternate with a diminished seventh in a scale"


LAWS: dict[str, Callable[[], Law]] = {
    "lowering": _lowering,
    "raising": _raising,
    "symmetry": _symmetry,
    "tritone pairs": _tritone_pairs,
    "sixth-diminished": _sixth_diminished,
}

COUNTS: dict[str, Callable[[], tuple[int, str]]] = {
    "diminished sevenths": _count_diminished,
    "places": _count_targets,
    "alternating kinds": _count_kinds,
}


# How a root lies from another, by semitones upward.
_AWAY = (
    "on the same root", "a half step above", "a whole step above", "a minor third above",
    "a major third above", "a fourth above", "a tritone away", "a fifth above",
    "a major third below", "a minor third below", "a whole step below", "a half step below",
)  # fmt: skip


def kind_word(chord: Chord) -> str:
    """Return the kind of a chord in words, its bass by interval.

    Examples
    --------
    >>> [kind_word(Chord.parse(name)) for name in ("C6", "F#m7b5", "Bb13", "C/D")]
    ['sixth chord', 'half-diminished seventh', 'thirteenth chord', 'major triad over a bass a whole step above']
    """  # noqa: E501
    word = called(chord.quality, 1)
    if chord.bass == chord.root:
        return word
    return f"{word} over a bass {_away(chord.root, chord.bass)}"


def same_notes(first: Chord, second: Chord) -> str:
    """Say that two chords have the same notes on every root.

    Examples
    --------
    >>> same_notes(Chord.parse("Bb6"), Chord.parse("Gm7"))
    'Every sixth chord has the same notes as the minor seventh chord a minor third below.'
    """
    return f"Every {kind_word(first)} has the same notes as {_other(first, second)}."


def set_class(chord: Chord, name: str) -> str:
    """Say the set class of a kind of chord."""
    return f"Every {kind_word(chord)} is a member of set class {name}."


def leads_to(chord: Chord, target: Note) -> str:
    """Say to which root a diminished seventh resolves, from its own.

    Examples
    --------
    >>> leads_to(Chord.parse("Bdim7"), Note.parse("C"))
    'As a dominant every diminished seventh resolves to the root a half step above its own.'
    """
    kind, away = kind_word(chord), _away(chord.root, target)
    where = "its own root" if away == _AWAY[0] else f"the root {away} its own"
    return f"As a dominant every {kind} resolves to {where.replace('away its', 'away from its')}."


def apart(first: Chord, second: Chord, words: str) -> str:
    """Say how far two kinds of chord are apart, given the distance in words.

    Examples
    --------
    >>> apart(Chord.parse("C7"), Chord.parse("F#7"), "two half steps")
    'From every dominant seventh to the dominant seventh a tritone away the voices move two half steps in all.'
    """  # noqa: E501
    return (
        f"From every {kind_word(first)} to {_other(first, second)} the voices move {words} in all."
    )


def share(first: Chord, second: Chord) -> str:
    """Say what two kinds of chord have in common, by places in the first.

    Examples
    --------
    >>> share(Chord.parse("C7"), Chord.parse("F#7"))
    'Every dominant seventh shares its major third and flat seventh with the dominant seventh a tritone away.'
    >>> share(Chord.parse("C"), Chord.parse("F#"))
    'Every major triad shares no note with the major triad a tritone away.'
    """  # noqa: E501
    common = common_tones(first, second)
    words = [degree_word(first, note.pitch_class).removeprefix("the ") for note in common]
    said = f"its {join_words(words)}" if words else "no note"
    return f"Every {kind_word(first)} shares {said} with {_other(first, second)}."


def contains(first: Chord, second: Chord) -> str:
    """Say that every chord of a kind contains another.

    Examples
    --------
    >>> contains(Chord.parse("C7"), Chord.parse("Em7b5"))
    'Every dominant seventh contains the half-diminished seventh a major third above.'
    """
    return f"Every {kind_word(first)} contains {_other(first, second)}."


def turns_into(first: Chord, second: Chord) -> str:
    """Say what one moved note makes of every chord of a kind.

    Examples
    --------
    >>> turns_into(Chord.parse("C+"), Chord.parse("Am"))
    'Every augmented triad turns into the minor triad a minor third below when one note rises a half step.'
    """  # noqa: E501
    _, _, moves = turning.turns_into(first.symbol, second.symbol).said.partition(" when ")
    how = " ".join(moves.split()[1:])
    return f"Every {kind_word(first)} turns into {_other(first, second)} when one note {how}."


def alternates(first: Chord, second: Chord) -> str:
    """Say that two kinds of chord alternate in a scale.

    Examples
    --------
    >>> alternates(Chord.parse("C6"), Chord.parse("Bdim7"))
    'Every sixth chord and the diminished seventh a half step below alternate in a scale.'
    """
    return f"Every {kind_word(first)} and {_other(first, second)} alternate in a scale."


def _other(first: Chord, second: Chord) -> str:
    return f"the {kind_word(second)} {_away(first.root, second.root)}"


def _away(start: Note, end: Note) -> str:
    return _AWAY[(end.pitch_class - start.pitch_class) % 12]


SAID: dict[str, Callable[..., str]] = {
    "same_notes": same_notes,
    "set_class": set_class,
    "resolves_to": leads_to,
    "semitones_apart": apart,
    "common_notes": share,
    "contains": contains,
    "turns_into": turns_into,
    "alternates": alternates,
}
"""How each statement about chords is said of every root."""
