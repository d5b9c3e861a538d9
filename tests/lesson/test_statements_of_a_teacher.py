"""Sixty true and sixty false statements of a teacher, each with its reason worked by hand.

Negation, root, quantity, bass, count, omission, inversion, chart, fingering.  The notes are those
of any primer of harmony (common practice, no source); strings of the ukulele g4 C4 E4 A4.  The
chart is Gm6 | Bb7 | Eb6 D7 | Gm6 with a diminished seventh before each chord that follows: A before
Bb, D before Eb, C# before D, F# before G.
"""

from __future__ import annotations

import pytest

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements.calls import answer_call
from harmonykit.lesson.statements.functions import Functions
from harmonykit.lesson.statements.kinds import Untrue

TRUE = """
same_notes("Dm7/G", "G9sus4")  # D F A C over G: root, fifth, seventh, ninth, fourth
same_notes("C6", "Am7")  # C E G A
same_notes("G7b9 without its root", "Bdim7")  # B D F Ab
same_notes("Dm7 without its root", "F")  # F A C
same_notes("Bb9 without its root", "Dm7b5")  # D F Ab C
same_notes("Cm6", "Am7b5")  # C Eb G A
same_notes("F9 without its root and ninth", "Am7b5 without its seventh")  # A C Eb
not_so("same_notes", "C/D", "C")  # the D is heard
not_so("same_notes", "C", "Csus4")  # E against F
not_so("same_notes", "F7 without its fifth", "F7")  # C is missing
every("diminished seventh", "turns into", "dominant seventh")  # any note down a half step
every("notes of Bdim7", "falls to leave", "dominant seventh")  # Bb7, Db7, E7, G7
every("notes of Bdim7", "rises to leave", "m7b5")  # Dm7b5, Fm7b5, Abm7b5, Bm7b5
just(1, "notes of C7", "rises to leave", "diminished seventh")  # C up: C# E G Bb
none("notes of C7", "falls to leave", "dim7")  # B E G Bb, Cm7, C7b5, C6
not_so("every", "notes of C7", "rises to leave", "dim7")  # E up is C7sus4
exactly("diminished seventh", 3)  # twelve roots, four alike
exactly("augmented triad", 4)  # twelve roots, three alike
exactly("whole-tone scale", 2)  # twelve roots, six alike
exactly("tritone", 6)  # twelve roots, two alike
exactly("diminished scale", 3)  # each is all twelve but one diminished seventh
exactly("minor triad", 12)  # no two alike
how_many_notes("C9", 5)  # C E G Bb D
how_many_notes("C/D", 4)  # the bass counts
how_many_notes("C7 without its fifth", 3)  # C E Bb
how_many_notes("C major", 7)  # one of each letter
every("dominant seventh", "contains", "diminished triad")  # E G Bb in C7
every("major seventh chord", "contains", "minor triad")  # E G B in Cmaj7
none("augmented triad", "contains", "perfect fifth")  # steps of four half steps alone
some("dominant seventh", "holds", "B")  # B7
just(4, "dominant seventh", "holds", "B")  # as root, third, fifth and seventh: B7 G7 E7 C#7
just(2, "dominant seventh", "holds", "B", "F")  # G7 and Db7
contains("C9", "Gm")  # G Bb D
contains("C whole tone", "augmented triad")  # C E G#
contains("C major", "Bm7b5")  # B D F A
not_so("contains", "C6", "major seventh")  # no two of C E G A are a half step apart
not_so("contains", "G7 without its root", "G")  # G is missing
holds("G7", "B", "F")  # third and seventh
not_so("holds", "F7 without its fifth", "C")  # C is the fifth
lowest("C6 in third inversion", "A")  # C E G A: A is the fourth tone
lowest("G7 in third inversion", "F")  # G B D F
lowest("C/D", "D")  # as it is written
inversion("Am7/C", "first")  # A C E G
inversion("G7/D", "second")  # G B D F
not_so("inversion", "C/D", "first")  # D is not a tone of C
turns_into("C+", "Am")  # G# up to A
turns_into("C+", "E")  # C down to B
turns_into("C7", "C#dim7", "C")  # C up to C#
not_so("turns_into", "C+", "Cm")  # E and G# both have to move
just(3, "chords C E Ab F", "turns into", "C+")  # the fifth up: G#, B#, E; of F A C to F A C#
resolves_to("G7", "C")  # down a fifth
resolves_to("Db7", "C")  # tritone substitution: a half step down
resolves_to("C+", "A")  # E7 with a sharp fifth and without its seventh
alternates("C6", "Bdim7")  # C D E F G Ab A B
none("major seventh chord", "alternates with", "dim7")  # Cmaj7 has C, E and B, one of each
all_twelve("C6", "Bdim7", "F#6")  # C E G A, B D F Ab, F# A# C# D#
every("added chords of level 1", "lies a half step below what follows")  # see the chart above
every("added chords of level 1", "is", "diminished seventh")  # both moves add nothing else
none("shapes of level 1", "goes past fret", 7)  # small hands, a low tune
every("strings of 2213", "sounds", "F6")  # A D F C
every("strings E A of 2213", "sounds", "F", "C")  # fret 1 of E is F, fret 3 of A is C
just(3, "fingers from 2213 to 2212", "stays")  # the A string alone changes
not_so("sounds", "0003", "C/E")  # g C E C: its lowest note is C
sounds("2213", "G9sus4 without its root")  # A D F C
every("chords of the tune", "has notes", 4)  # Gm6, Bb7, Eb6, D7
"""
FALSE = """
same_notes("C/D", "C")  # the D is heard
same_notes("C6", "Am")  # G is missing
not_so("same_notes", "C6", "Am7")  # they are C E G A both
not_so("same_notes", "Dm7/G", "G9sus4")  # they are the same five notes
same_notes("Dm7/G", "G7sus4")  # A besides
same_notes("C7 without its root", "Edim7")  # E G Bb lacks Db
same_notes("Dm7 without its root", "Fm")  # F A C, not A flat
same_notes("E7b9 without its root", "Cdim7")  # G# B D F
same_notes("F7 without its fifth", "F")  # Eb is there and C is not
same_notes("Cm6", "Ebm7b5")  # a minor third below, not above
every("dominant seventh", "contains", "minor triad")  # C E G Bb: major and diminished
every("m7", "turns into", "dim7")  # C Eb G Bb: the fifth and the seventh both have to fall
every("notes of Bdim7", "rises to leave", "dominant seventh")  # half-diminished sevenths
every("notes of C7", "falls to leave", "dim7")  # the root has to rise
some("notes of C7", "falls to leave", "dim7")  # none does
just(2, "notes of C7", "rises to leave", "dim7")  # the root alone
exactly("diminished seventh", 4)  # three: C, C# and D
exactly("augmented triad", 3)  # four: C, C#, D and D#
exactly("whole-tone scale", 3)  # two
exactly("tritone", 12)  # six, each with two names
exactly("7b5", 12)  # C7b5 is F#7b5
how_many_notes("C9", 4)  # five
how_many_notes("C/D", 3)  # the bass counts
how_many_notes("C9 without its root", 5)  # E G Bb D
none("major seventh chord", "contains", "minor triad")  # Cmaj7 contains Em
some("augmented triad", "contains", "perfect fifth")  # no
every("dominant seventh", "holds", "B")  # C7 does not
none("dominant seventh", "holds", "B", "F")  # G7
just(3, "dominant seventh", "holds", "B", "F")  # two
just(12, "dim7", "holds", "C")  # one of three
most("dominant seventh", "holds", "C")  # four of twelve
contains("C9", "Dm")  # F and A are missing
contains("C7", "augmented triad")  # C E G: a major one
contains("C major", "D7")  # F sharp
not_so("contains", "Cmaj7", "Em")  # E G B are there
not_so("contains", "G7", "tritone")  # B and F
holds("F7 without its fifth", "C")  # left out
holds("C+", "G")  # G sharp
not_so("holds", "G7", "B", "F")  # it does
lowest("C6 in first inversion", "A")  # E
lowest("G7 in third inversion", "D")  # F
lowest("C/D", "C")  # D
lowest("Dm7/G", "D")  # G
inversion("Am7/C", "second")  # first: C is the third
inversion("G7/F", "first")  # third: F is the seventh
inversion("C/D", "third")  # D is not a tone of C
not_so("inversion", "G7/D", "second")  # D is the fifth
turns_into("C+", "Cm")  # two notes
turns_into("C7", "C#dim7", "E")  # C moves, not E
turns_into("Bdim7", "Bm7")  # F and Ab both rise
not_so("turns_into", "C+", "E")  # C down to B
resolves_to("C+", "D")  # F, A and D flat
resolves_to("Dm7", "G")  # it has no third and seventh of a dominant
resolves_to("Bdim7", "B")  # C, Eb, Gb and A
not_so("resolves_to", "G7", "C")  # down a fifth
just(4, "chords C E Ab F", "turns into", "C+")  # F A C has two notes to move
alternates("C7", "C#dim7")  # E, G and Bb are in both
alternates("Cmaj7", "Bdim7")  # B is in both
some("maj7", "alternates with", "dim7")  # none
all_twelve("C6", "Bdim7", "F#m6")  # A comes twice
all_twelve("Caug", "Daug", "Ebaug")  # three of the four
none("added chords of level 1", "lies a half step below what follows")  # all do
some("added chords of level 1", "is", "dominant seventh")  # diminished sevenths alone
every("shapes of level 1", "goes past fret", 7)  # low shapes
not_so("every", "added chords of level 1", "is", "dim7")  # they are
every("strings of 2213", "sounds", "Gm")  # A, F and C are not in G Bb D
some("strings of 2213", "is open")  # all are pressed
just(4, "fingers from 2213 to 2212", "stays")  # the one on the A string does not
most("fingers from 2213 to 0003", "stays")  # all have to lift or move
sounds("0003", "C6")  # A is missing
sounds("2213", "G9sus4")  # its root is missing
every("chords of the tune", "is", "dominant seventh")  # Gm6 and Eb6 are not
"""


def statements(table: str) -> list[tuple[str, str]]:
    """Return each call with the reason beside it."""
    found = [line.split("  # ") for line in table.strip().splitlines()]
    return [(call, reason) for call, reason in found]


@pytest.fixture(scope="module")
def calls(tmp_path_factory: pytest.TempPathFactory, write_lesson: object) -> Functions:
    assert callable(write_lesson)
    lesson = load_lesson(write_lesson(tmp_path_factory.mktemp("teacher")))
    return Functions(lesson.front, lesson.played)


def refused(calls: Functions, call: str) -> bool:
    """Whether a statement is refused as untrue, rather than as one that cannot be read."""
    try:
        answer_call(calls.table(), call)
    except Untrue as error:
        return bool(error.rule)
    return False


def test_sixty_of_each_and_every_kind_among_both() -> None:
    kinds = []
    for table in (TRUE, FALSE):
        found = statements(table)
        assert len({call for call, _ in found}) == len(found) >= 60
        assert all(reason for _, reason in found)
        kinds.append({call.partition("(")[0] for call, _ in found})
    assert kinds[0] == kinds[1] - {"most"}


def test_no_true_statement_is_refused_and_no_false_one_passes(calls: Functions) -> None:
    for call, _ in statements(TRUE):
        sentence = answer_call(calls.table(), call)
        assert isinstance(sentence, str) and sentence.endswith("."), call
        assert calls.facts[-1].sentence == sentence and calls.facts[-1].proof
    assert [call for call, _ in statements(FALSE) if not refused(calls, call)] == []


def test_the_contrary_of_each_is_judged_the_other_way(calls: Functions) -> None:
    """Exactly one of a statement and its denial holds, and a denial denied is the statement."""
    for table, holds in ((TRUE, True), (FALSE, False)):
        for call, _ in statements(table):
            name, _, rest = call.partition("(")
            contrary = f'not_so("{name}", {rest}'
            assert refused(calls, contrary) is holds, contrary
            twice = f'not_so("not_so", "{name}", {rest}'
            assert refused(calls, twice) is not holds, twice


def test_each_is_worded_in_three_lengths(calls: Functions) -> None:
    for call, _ in statements(TRUE):
        name, _, rest = call.partition("(")
        label, sentence, long = (
            str(answer_call(calls.table(), text))
            for text in (f'label("{name}", {rest}', call, f'because("{name}", {rest}')
        )
        assert long.startswith(sentence[:-1]) and len(long) > len(sentence)
        assert label and not label.endswith(".") and len(label) <= len(long), call
    with pytest.raises(LessonError, match="is not a statement"):
        answer_call(calls.table(), 'label("chart", 1)')


def test_a_chord_holds_the_melody_or_lacks_what_is_sung() -> None:
    """Over A7 of the blues B flat and G are sung: B flat is not among A, C sharp, E and G."""
    lesson = load_lesson("stiff_dominant")
    calls = Functions(lesson.front, lesson.played)
    stated = calls.judge("every", "chords of level 1", "holds the melody")
    assert not stated.holds and stated.reason.startswith("A7 in bar 9 lacks B♭")
    assert calls.judge("every", "added chords of level 2", "holds the melody").holds


def test_a_tune_without_a_melody_is_told(calls: Functions) -> None:
    with pytest.raises(LessonError, match="has no melody"):
        calls.judge("every", "chords of level 1", "holds the melody")
