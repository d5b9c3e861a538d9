"""Sixty statements that are true and sixty that are not, of the same kinds.

False ones come of true ones by negation, another root, another quantity, another bass, an omission,
another spelling.  What is true is worked out here, from semitones and sets alone; the library's
chords, sets and shapes are not asked.  Intervals of chords: any primer of harmony; strings of the
ukulele: g4 C4 E4 A4.  Forte's names of the few sets here: Forte 1973, from memory.
"""

from __future__ import annotations

import ast
import re
from itertools import permutations, product

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.statements.calls import answer_call
from harmonykit.lesson.statements.functions import Functions

NOTES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
KINDS = {
    "": (0, 4, 7), "m": (0, 3, 7), "dim": (0, 3, 6), "aug": (0, 4, 8), "sus4": (0, 5, 7),
    "6": (0, 4, 7, 9), "m6": (0, 3, 7, 9), "7": (0, 4, 7, 10), "m7": (0, 3, 7, 10),
    "maj7": (0, 4, 7, 11), "dim7": (0, 3, 6, 9), "m7b5": (0, 3, 6, 10), "7b9": (0, 4, 7, 10, 1),
    "9": (0, 4, 7, 10, 2), "9sus4": (0, 5, 7, 10, 2), "m9": (0, 3, 7, 10, 2), "7b5": (0, 4, 6, 10),
    "7sus4": (0, 5, 7, 10), "add9": (0, 4, 7, 2), "6add9": (0, 4, 7, 9, 2),
    "maj9": (0, 4, 7, 11, 2), "mmaj7": (0, 3, 7, 11), "sus2": (0, 2, 7), "7#5": (0, 4, 8, 10),
}  # fmt: skip
OPEN = (67, 60, 64, 69)
FORTE = {
    "3-11": ((0, 3, 7),), "3-12": ((0, 4, 8),), "3-10": ((0, 3, 6),), "4-28": ((0, 3, 6, 9),),
    "4-26": ((0, 3, 5, 8),), "4-27": ((0, 2, 5, 8),), "4-20": ((0, 1, 5, 8),),
    "4-22": ((0, 2, 4, 7),), "5-35": ((0, 2, 4, 7, 9),), "3-9": ((0, 2, 7),),
}  # fmt: skip


def note(name: str) -> int:
    return (NOTES[name[0]] + name.count("#") - name[1:].count("b")) % 12


def chord(text: str) -> tuple[int, frozenset[int], int]:
    """Return root, all that sounds, and bass."""
    found = re.fullmatch(r"([A-G][#b]*)([^/]*)(?:/([A-G][#b]*))?", text)
    assert found is not None, text
    root = note(found[1])
    bass = note(found[3]) if found[3] else root
    return root, frozenset((root + n) % 12 for n in KINDS[found[2]]) | {bass}, bass


def shape(frets: str) -> tuple[frozenset[int], int]:
    pitches = [s + int(f) for s, f in zip(OPEN, frets, strict=True) if f != "x"]
    return frozenset(p % 12 for p in pitches), min(pitches) % 12


def movement(a: frozenset[int], b: frozenset[int]) -> int:
    """Return the least sum over all pairings of the notes, each used once at least."""

    def cost(x: int, y: int) -> int:
        return min((x - y) % 12, (y - x) % 12)

    few, many = sorted((sorted(a), sorted(b)), key=len)
    if len(few) == len(many):
        return min(sum(map(cost, few, turn)) for turn in permutations(many))
    ways = (w for w in product(few, repeat=len(many)) if set(w) == set(few))
    return min(sum(map(cost, way, many)) for way in ways)


def is_set(pcs: frozenset[int], name: str) -> bool:
    """Whether a set is a transposition or an inversion of the prime form that Forte lists."""
    (prime,) = FORTE[name]
    forms = [frozenset((s * n + t) % 12 for n in prime) for s in (1, -1) for t in range(12)]
    return pcs in forms


def same_notes(a: str, b: str) -> bool:
    return chord(a)[1] == chord(b)[1]


def sounds(frets: str, name: str) -> bool:
    heard, lowest = shape(frets)
    root, pcs, bass = chord(name)
    return heard == pcs and (bass == root or lowest == bass)


def leads_to(name: str, target: str) -> bool:
    """A diminished seventh stands a half step below where it goes, from any of its notes.

    A dominant seventh goes down a fifth, or as a tritone substitution a half step.
    """
    root, pcs, _ = chord(name)
    if {(root + 4) % 12, (root + 10) % 12} <= pcs:
        return (root - note(target)) % 12 in (1, 7)
    whole = frozenset((root + n) % 12 for n in (0, 3, 6, 9))
    return pcs == whole and (note(target) - 1) % 12 in pcs


def share(a: str, b: str, *names: str) -> bool:
    return chord(a)[1] & chord(b)[1] == {note(n) for n in names}


def repeats(up: int, frets: str) -> bool:
    heard, _ = shape(frets)
    room = 12 - max(int(f) for f in frets if f != "x")
    return 1 <= up <= room and frozenset((pc + up) % 12 for pc in heard) == heard


def exactly(kind: str, number: int) -> bool:
    return kind in KINDS and number == len(
        {frozenset((root + n) % 12 for n in KINDS[kind]) for root in range(12)}
    )


JUDGES = {
    "same_notes": same_notes, "sounds": sounds, "resolves_to": leads_to, "common_notes": share,
    "repeats": repeats, "exactly": exactly,
    "semitones_apart": lambda a, b, n: movement(chord(a)[1], chord(b)[1]) == n,
    "set_class": lambda a, name: is_set(chord(a)[1], name),
}  # fmt: skip

TRUE = [
    # Synonyms, basses among the notes and foreign.
    'same_notes("Eb6", "Cm7")', 'same_notes("Dm7/G", "G9sus4")', 'same_notes("C/Bb", "C7")',
    'same_notes("Am/F", "Fmaj7")', 'same_notes("Gm6", "Em7b5")', 'same_notes("C/E", "C")',
    'same_notes("Caug", "G#aug")', 'same_notes("Abdim7", "Bdim7")', 'same_notes("F#7", "Gb7")',
    'same_notes("Adim7/B", "B7b9")', 'same_notes("C7b5", "F#7b5")', 'same_notes("Asus4", "Dsus2")',
    'same_notes("Ebm/C", "Cm7b5")', 'same_notes("Am7/D", "D9sus4")',
    # Shapes.
    'sounds("0232", "G")', 'sounds("2213", "F6")',
    'sounds("2213", "Dm7")', 'sounds("0003", "C")', 'sounds("0003", "C/C")',
    'sounds("0100", "A7")', 'sounds("0232", "G/D")',
    'sounds("0212", "G7")', 'sounds("1202", "E7")', 'sounds("3333", "Eb6")',
    'sounds("3333", "Cm7")', 'sounds("2222", "D6")',
    # Set classes, bass included.
    'set_class("C", "3-11")', 'set_class("Fm", "3-11")', 'set_class("C/E", "3-11")',
    'set_class("C/D", "4-22")', 'set_class("C/Bb", "4-27")', 'set_class("Gm7", "4-26")',
    'set_class("Am/F", "4-20")', 'set_class("Dm7/G", "5-35")', 'set_class("Bbaug", "3-12")',
    'set_class("Esus4", "3-9")',
    # Resolutions.
    'resolves_to("Adim7", "Bb")', 'resolves_to("Adim7", "G")', 'resolves_to("F#dim7/A", "G")',
    'resolves_to("A7", "D")', 'resolves_to("A7", "Ab")',
    'resolves_to("Cdim7", "Db")', 'resolves_to("Cdim7", "C#")', 'resolves_to("G#dim7", "Gb")',
    # Distances.
    'semitones_apart("C", "Am", 2)', 'semitones_apart("C/Bb", "C7", 0)',
    'semitones_apart("Bdim7", "Bb7", 1)',
    'semitones_apart("C7", "F#7", 2)', 'semitones_apart("C6", "Am7", 0)',
    'semitones_apart("C", "Caug", 1)',
    # What is in common.
    'common_notes("C7", "F#7", "E", "Bb")', 'common_notes("C7", "Gb7", "Fb", "A#")',
    'common_notes("C", "F#")',
    'common_notes("C/D", "Dm", "D")', 'common_notes("C", "Am", "E", "C")',
    # Counts and turns.
    'exactly("aug", 4)', 'exactly("dim7", 3)', 'exactly("7b5", 6)', 'exactly("m7", 12)',
    'repeats(3, "2323")', 'repeats(9, "2323")', 'repeats(6, "1212")',
    'repeats(4, "1003")',
    # Others of the same kinds, from the reference of calls alone.
    'same_notes("Ebdim7", "Adim7")', 'same_notes("Dm7b5", "Fm6")', 'same_notes("Am7/C", "C6")',
    'same_notes("C7b5", "Gb7b5")', 'common_notes("Cdim7", "Gdim7")',
    'semitones_apart("Edim7", "Gdim7", 0)',
    'semitones_apart("C7", "Gb7", 2)', 'resolves_to("Gdim7", "D")', 'set_class("F/G", "4-22")',
    'sounds("0212", "G7/D")', 'sounds("0000", "Am7/C")',
]  # fmt: skip

FALSE = [
    'same_notes("C/D", "C")', 'same_notes("C", "C/D")', 'same_notes("Eb6", "Cm6")',
    'same_notes("Dm7/G", "Dm7")', 'same_notes("C/Bb", "C")', 'same_notes("Am/F", "Am")',
    'same_notes("Gm6", "Em7")', 'same_notes("Caug", "Aaug")', 'same_notes("Abdim7", "Adim7")',
    'same_notes("F#7", "G#7")', 'same_notes("Adim7/B", "Adim7")', 'same_notes("C9", "C7")',
    'same_notes("C7b5", "F#7")', 'same_notes("Cmaj9", "C9")',
    'sounds("0003", "C/Bb")', 'sounds("0003", "C/E")', 'sounds("0003", "Cm")',
    'sounds("0003", "C6")', 'sounds("0003", "Am7")', 'sounds("0232", "G7")',
    'sounds("0232", "Gm")', 'sounds("2213", "G9sus4")', 'sounds("2213", "F")',
    'sounds("0100", "A")', 'sounds("0000", "Gb7")', 'sounds("0212", "Bdim")',
    'sounds("0232", "G/B")', 'sounds("3333", "Eb6/Bb")',
    'set_class("C/D", "3-11")', 'set_class("C", "3-12")', 'set_class("C/Bb", "3-11")',
    'set_class("Gm7", "4-27")', 'set_class("Dm7/G", "4-26")', 'set_class("C7", "4-28")',
    'set_class("Am/F", "3-11")', 'set_class("Esus4", "3-11")',
    'resolves_to("Adim7", "A")', 'resolves_to("Adim7/B", "G")', 'resolves_to("Adim7", "F")',
    'resolves_to("Cdim7", "C")', 'resolves_to("Am7b5", "C")', 'resolves_to("Am6", "Bb")',
    'resolves_to("A7", "G")', 'resolves_to("F#dim7/G", "G")',
    'semitones_apart("C", "Am", 1)', 'semitones_apart("C/Bb", "C7", 2)',
    'semitones_apart("Bdim7", "Bb7", 0)',
    'semitones_apart("Bdim7", "Bb7", -1)', 'semitones_apart("C7", "F#7", 3)',
    'semitones_apart("C6", "Am7", 3)',
    'common_notes("C7", "F#7", "E")', 'common_notes("C7", "F#7", "E", "Bb", "G")',
    'common_notes("C", "F#", "C")',
    'common_notes("C/D", "Dm")', 'common_notes("C", "Am", "E", "Cb")',
    'exactly("aug", 3)', 'exactly("dim7", 4)', 'exactly("m7", -12)', 'exactly("#5", 12)',
    'repeats(0, "2323")', 'repeats(2, "2323")', 'repeats(-3, "6565")', 'repeats(3, "0003")',
    'repeats(60, "2323")',
    # Others of the same kinds, from the reference of calls alone.
    'same_notes("Em7", "C6")', 'same_notes("Dm7b5", "Bbm6")', 'same_notes("Am/G", "Am")',
    'common_notes("C7", "F#7")', 'common_notes("G7/F", "G7", "G", "B", "D")',
    'semitones_apart("Edim7", "Gdim7", 1)',
    'semitones_apart("C/D", "C", 0)', 'resolves_to("F#dim7", "F")', 'resolves_to("Bdim7/C", "C")',
    'set_class("F/G", "3-11")', 'exactly("7b5", 12)', 'exactly("dim7", 12)',
    'sounds("0003", "C/G")', 'sounds("0000", "C6/A")',
]  # fmt: skip


@pytest.fixture(scope="module")
def calls(tmp_path_factory: pytest.TempPathFactory, write_lesson: object) -> Functions:
    assert callable(write_lesson)
    lesson = load_lesson(write_lesson(tmp_path_factory.mktemp("false")))
    return Functions(lesson.front, lesson.played)


def judged(source: str) -> bool:
    """Return what arithmetic says of a statement."""
    tree = ast.parse(source, mode="eval").body
    assert isinstance(tree, ast.Call) and isinstance(tree.func, ast.Name)
    return bool(JUDGES[tree.func.id](*map(ast.literal_eval, tree.args)))


def test_there_are_sixty_of_each_and_all_kinds_among_both() -> None:
    for statements in (TRUE, FALSE):
        assert len(set(statements)) == len(statements) >= 60
        assert {source.partition("(")[0] for source in statements} == set(JUDGES)


@pytest.mark.parametrize("source", TRUE)
def test_a_true_statement_is_proved(calls: Functions, source: str) -> None:
    assert judged(source)
    sentence = answer_call(calls.table(), source)
    assert isinstance(sentence, str) and sentence.endswith(".")
    assert calls.facts[-1].sentence == sentence


@pytest.mark.parametrize("source", FALSE)
def test_a_false_statement_is_refused_with_the_reason(calls: Functions, source: str) -> None:
    assert not judged(source)
    with pytest.raises(HarmonyError) as caught:
        answer_call(calls.table(), source)
    assert caught.value.rule or caught.value.mend


ABOUT_CHORDS = ("same_notes", "set_class", "resolves_to", "semitones_apart", "common_notes")


def always(source: str) -> str:
    name, _, rest = source.partition("(")
    return f'always("{name}", {rest}'


@pytest.mark.parametrize("source", [s for s in TRUE if s.startswith(ABOUT_CHORDS)])
def test_what_is_true_of_one_root_is_true_of_all_and_names_no_note(
    calls: Functions, source: str
) -> None:
    """Transposition changes neither sets of intervals nor distances: the same from every root."""
    said = str(answer_call(calls.table(), always(source)))
    said = re.sub(r"set class \S+", "", said)
    # No capital letter from A to G stands alone as a note's name but the article.
    assert not re.search(r"\b[B-G][♯♭]?\b|\bA[♯♭]", said)
    assert said.startswith(("Every ", "From every ", "As a dominant every "))


@pytest.mark.parametrize("source", [s for s in FALSE if s.startswith(ABOUT_CHORDS)])
def test_what_is_false_of_one_root_is_not_always_true(calls: Functions, source: str) -> None:
    with pytest.raises(HarmonyError):
        answer_call(calls.table(), always(source))


@pytest.mark.parametrize(
    "source", [*FALSE, *(always(s) for s in FALSE if s.startswith(ABOUT_CHORDS))]
)
def test_the_call_that_is_suggested_is_true_when_it_is_typed(calls: Functions, source: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        answer_call(calls.table(), source)
    mend = caught.value.mend
    if re.fullmatch(r"\w+\(.*\)", mend):
        assert mend.partition("(")[0] == source.partition("(")[0]
        assert isinstance(answer_call(calls.table(), mend), str)


COUNTS = [
    ('count("strings", less=-3)', "less = -3 is out of range"),
    ('count("C7", less=5)', "less = 5 is out of range"),
    ('count("bars", less=True)', "less of count is true"), ('count("H7")', "H7"),
    ('count("")', "is empty"), ('exactly("", 12)', "is empty"), ('exactly("aug", True)', "true"),
    ('exactly("/E", 12)', "cannot be counted"), ('exactly("b5", 6)', "cannot be counted"),
    ('sounds("00000", "C")', "strings"), ('sounds("00", "C")', "strings"),
    ('sounds("0-0-0-99", "C")', "99"), ('frets_aloud("")', "is empty"), ("notes(0)", "not text"),
    ('semitones_apart("C", "Am", "2")', "whole number"), ('resolves_to("Bdim7", "H")', "H"),
    ('common_notes("C", "Am", "x")', "x"), ("added(0)", "unknown level 0"),
    ("strings_stay(1, 0)", "0 strings"),
    ("strings_stay(True)", "true"), ('bars_of("Gb13")', "no Gb13"), ("staff(1, 0)", "bars 1 to"),
    ('set_class("C", "")', "is empty"), ('always("angels")', "not a law"),
    ('proved("same_notes", "C", "D")', "same notes"), ('proved("chart", 1)', "not a statement"),
    ('proved("semitones_apart", "C", "Am", True)', "true"),
    ('always("lowering", "C7")', "takes no other arguments"),
    ('diagram("3434", "C7")', "does not sound C7"), ('diagram("0000", "Gb7")',
    "does not sound Gb7"),
]  # fmt: skip


@pytest.mark.parametrize(("source", "words"), COUNTS)
def test_wrong_quantities_and_arguments_are_refused(
    calls: Functions, source: str, words: str
) -> None:
    with pytest.raises(HarmonyError) as caught:
        answer_call(calls.table(), source)
    assert words in str(caught.value)
