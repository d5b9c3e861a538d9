"""Statements about chords as a reader meets them: label, sentence, reason, and the call that holds.

The notes of each chord are worked out by hand (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import kinds
from harmonykit.lesson.statements.kinds import Stated
from harmonykit.theory.chord import Chord

# A call, what is printed shortest, what is printed with its reason, and the call that holds.
SAID: tuple[tuple[Callable[..., Stated], str, str, str, str], ...] = (
    (kinds.same_notes, "Dm7 F6", "Dm7 = F6",
     "Dm7 and F6 have the same notes: both are D, F, A and C.", "F6"),
    (kinds.same_notes, "Dm7 C", "Dm7 ≠ C",
     "Dm7 and C do not have the same notes: Dm7 is D, F, A and C; C is C, E and G.", "F6"),
    (kinds.same_notes, "C/D C", "C/D ≠ C",
     "C/D and C do not have the same notes: C/D is D, C, E and G; C is C, E and G.", "Cadd9"),
    (kinds.contains, "C7 F", "the triad F not in C7",
     "C7 does not contain the triad F: C7 lacks F and A.", "major triad"),
    (kinds.contains, "Am7 Em", "Em not in Am7",
     "Am7 does not contain Em: Am7 lacks B.", "major triad"),
    (kinds.contains, "C C7", "C7 not in C", "C does not contain C7: C lacks B♭.", "major triad"),
    (kinds.contains, "Am7 C", "the triad C in Am7",
     "Am7 contains the triad C: C, E and G are notes of Am7.", "major triad"),
    (kinds.contains, "Gsus4 Csus2", "Csus2 in Gsus4",
     "Gsus4 contains Csus2: C, D and G are notes of Gsus4.", ""),
    (kinds.contains, "C7 tritone", "a tritone in C7",
     "C7 contains a tritone: E and B♭ are notes of C7.", "major triad"),
    (kinds.contains, "C5 aug", "an augmented triad not in C5",
     "C5 does not contain an augmented triad: C5 is C and G.", ""),
    (kinds.contains, "Cm7b5 aug", "an augmented triad not in Cm7♭5",
     "Cm7♭5 does not contain an augmented triad: Cm7♭5 is C, E♭, G♭ and B♭.", "minor triad"),
    (kinds.contains, "Bdim7 m", "a minor triad not in B°7",
     "B°7 does not contain a minor triad: B°7 is B, D, F and A♭.", "diminished triad"),
    (kinds.contains, "Caug m", "a minor triad not in C+",
     "C+ does not contain a minor triad: C+ is C, E and G♯.", "augmented triad"),
    (kinds.lowest, "C/E E", "C/E: E lowest",
     "C/E has E in the bass: E, its major third, is lowest.", "E"),
    (kinds.lowest, "C/E C", "C/E: E lowest",
     "C/E does not have C in the bass: E, its major third, is lowest.", "E"),
    (kinds.lowest, "C/D D", "C/D: D lowest",
     "C/D has D in the bass: D, not one of its tones, is lowest.", "D"),
    (kinds.lowest, "C7/Bb Bb", "C7/B♭: B♭ lowest",
     "C7/B♭ has B♭ in the bass: B♭, its flat seventh, is lowest.", "Bb"),
    (kinds.inversion, "C root", "C: root position",
     "C is C in root position: its root, C, is lowest.", "root"),
    (kinds.inversion, "C/E first", "C/E: first inversion",
     "C/E is C in first inversion: its major third, E, is lowest.", "first"),
    (kinds.inversion, "C/E second", "C/E: first inversion",
     "C/E is not C in second inversion: its major third, E, is lowest.", "first"),
    (kinds.inversion, "C6/A third", "C6/A: third inversion",
     "C6/A is C6 in third inversion: its sixth, A, is lowest.", "third"),
    (kinds.inversion, "C/D first", "C/D: non-chord bass",
     "C/D is not C in first inversion: its bass, D, is not one of its tones.", ""),
    # A ninth below: a tone of the chord, and no inversion has a number for it.
    (kinds.inversion, "C9/D third", "C9/D: non-chord bass",
     "C9/D is not C9 in third inversion: its ninth, D, is lowest.", ""),
    (kinds.set_class, "C 3-11", "C: 3-11",
     "C is a member of set class 3-11: prime form of 0 4 7.", "3-11"),
    (kinds.set_class, "C 3-11B", "C: 3-11",
     "C is a member of set class 3-11B: prime form of 0 4 7.", "3-11"),
    (kinds.set_class, "C 3-12", "C: 3-11",
     "C is not a member of 3-12: C, E and G are 3-11 or 3-11B.", "3-11"),
    (kinds.set_class, "Caug 3-11", "C+: 3-12",
     "C+ is not a member of 3-11: C, E and G♯ are 3-12.", "3-12"),
)  # fmt: skip


@pytest.mark.parametrize("case", SAID, ids=lambda case: f"{case[0].__name__} {case[1]}")
def test_what_a_reader_is_told(case: tuple[Callable[..., Stated], str, str, str, str]) -> None:
    state, words, label, long, right = case
    arguments = words.split()
    stated = state(*arguments)
    assert (stated.label, stated.long) == (label, long)
    name = state.__name__
    assert stated.mend == (f'{name}("{arguments[0]}", "{right}")' if right else "")
    assert not right or state(arguments[0], right).holds
    assert stated.holds == (f"{stated.said}." == stated.sentence)
    # What is said where it holds and where it does not are each other's contrary.
    assert stated.holds == (" not " not in stated.sentence)


def notes_of(symbol: str) -> set[int]:
    return {note.pitch_class for note in Chord.parse(symbol).notes}


PAIRS = [("C", "Am"), ("C", "Db"), ("C7", "Gb7"), ("Dm7", "G7"), ("C6", "Am7"), ("F", "Fm6")]


@pytest.mark.parametrize(("first", "second"), PAIRS)
def test_what_two_chords_share_is_what_is_in_both(first: str, second: str) -> None:
    both = [n for n in Chord.parse(first).notes if n.pitch_class in notes_of(second)]
    names = [note.plain().name for note in both]
    right = kinds.common_notes(first, second, *names)
    assert right.holds
    assert right.mend == kinds.call_text("common_notes", first, second, *names)
    told = right.label.partition(": ")[2].replace(" and ", ", ").split(", ")
    assert told == ([note.plain().unicode for note in both] or ["no note"])
    assert f"share {right.label.partition(': ')[2]}" in right.said
    for wrong in (names[1:] if names else ["C"], [*names, "B"]):
        refused = kinds.common_notes(first, second, *wrong)
        assert not refused.holds
        assert refused.mend == right.mend
        assert refused.label == right.label
        assert refused.reason == f"they share {right.label.partition(': ')[2]}"
        ends = "do not share just" if wrong else "have notes in common"
        assert ends in refused.sentence
    # The notes in any order, and under other names.
    assert kinds.common_notes(first, second, *reversed(names)).holds


def test_a_scale_shares_notes_with_a_chord() -> None:
    stated = kinds.common_notes("C major", "D7", "C", "D", "A")
    assert stated.holds
    assert stated.label == "C major, D7: C, D and A"
    assert not kinds.common_notes("D7", "C major", "F#").holds


@pytest.mark.parametrize(
    ("first", "second", "steps"),
    # C E G to C Eb G; to C E A; to Db F Ab; C E G A is A C E G; C7 to C#dim7.
    [("C", "Cm", 1), ("C", "Am", 2), ("C", "Db", 3), ("C6", "Am7", 0), ("C7", "C#dim7", 1)],
)
def test_how_far_voices_move_is_said_in_words(first: str, second: str, steps: int) -> None:
    words = {0: "no half steps", 1: "one half step", 2: "two half steps", 3: "three half steps"}
    right = kinds.semitones_apart(first, second, steps)
    assert right.holds
    assert right.label.endswith(f": {words[steps]}")
    assert right.said.endswith(f"the voices move {words[steps]} in all")
    assert "smallest total" in right.reason
    assert right.mend == f'semitones_apart("{first}", "{second}", {steps})'
    wrong = kinds.semitones_apart(first, second, steps + 4)
    assert not wrong.holds
    assert wrong.label == right.label
    assert wrong.reason.startswith(f"they are {steps} apart")
    assert wrong.mend == right.mend


@pytest.mark.parametrize(("chord", "count"), [("C5", 2), ("C", 3), ("C6", 4), ("C/D", 4)])
def test_how_many_notes_a_chord_has(chord: str, count: int) -> None:
    words = {1: "one note", 2: "two notes", 3: "three notes", 4: "four notes"}
    right, wrong = kinds.how_many_notes(chord, count), kinds.how_many_notes(chord, 1)
    spelled = kinds.heard(chord).spelled
    assert right.long == f"{chord} has {words[count]}: {spelled}."
    assert wrong.long == (
        f"{chord} does not have one note: it has {words[count].split()[0]}, {spelled}."
    )
    assert right.label == wrong.label == f"{chord}: {words[count]}"
    assert wrong.mend == f'how_many_notes("{chord}", {count})'


def test_notes_that_a_chord_holds_and_lacks() -> None:
    """G7 is G, B, D, F; a note is told as the chord has it, a missing one as it was typed."""
    assert kinds.holds("G7", "B", "E#").long == "G7 has B and F: G7 is G, B, D and F."
    stated = kinds.holds("G7", "E#", "C")
    assert stated.long == "G7 does not have E♯ and C: G7 is G, B, D and F."
    assert stated.label == "E♯ and C not in G7"
    assert stated.mend == 'holds("G7", "G")'
    assert kinds.holds("C major", "E").label == "E in C major"


def test_chords_that_alternate_are_a_scale_between_them() -> None:
    right = kinds.alternates("C6", "Bdim7")
    assert right.holds
    assert right.long == (
        "C6 and B°7 alternate in a scale of eight notes: C, D, E, F, G, A♭, A and B."
    )
    assert right.label == "C6, B°7 alternate"
    # From the first chord's root on, not from C.
    assert kinds.alternates("Bdim7", "C6").reason == "B, C, D, E, F, G, A♭ and A"
    assert kinds.alternates("C", "F").long == "C and F do not alternate in a scale: both have C."
    # Two notes and three cannot alternate.
    stated = kinds.alternates("C5", "D")
    assert stated.label == "C5, D do not alternate"
    assert stated.reason == "in order their notes are C, D, F♯, G and A"


def test_all_twelve_notes_each_once() -> None:
    right = kinds.all_twelve("Cdim7", "C#dim7", "Ddim7")
    assert right.holds
    assert right.label == "C°7 + C♯°7 + D°7 = 12"
    assert right.long == (
        "C°7, C♯°7 and D°7 have all twelve notes between them, each once: "
        "C°7: C, E♭, G♭ and A; C♯°7: C♯, E, G and B♭; D°7: D, F, A♭ and C♭."
    )
    wrong = {
        ("Cdim7", "C#dim7"): "D, F, A♭ and B are missing",
        ("Cdim7", "C#dim7", "Ddim7", "C"): "C, E and G come twice",
        ("Cdim7", "C#dim7", "Ddim7", "C", "C"): "C, E and G come more than once",
        ("Cdim7", "C#dim7", "D7"): "F, A♭ and B are missing; C, G♭ and A come twice",
        ("Cdim7", "C#dim7", "Ddim7 without its root"): "D is missing",
        ("Cdim7", "C#dim7", "Ddim7", "A without its third and fifth"): "A comes twice",
        ("C whole tone", "C# whole tone", "C"): "C, E and G come twice",
    }
    for chords, reason in wrong.items():
        stated = kinds.all_twelve(*chords)
        assert not stated.holds
        assert " ≠ 12" in stated.label
        assert stated.reason == reason
    with pytest.raises(LessonError, match="fewer than two"):
        kinds.all_twelve("C")


def test_what_cannot_be_asked() -> None:
    asked: list[tuple[Callable[[], Stated], str]] = [
        (lambda: kinds.holds("G7"), "names no note"),
        (lambda: kinds.lowest("C major", "C"), "C major is a scale"),
        (lambda: kinds.inversion("C major", "first"), "C major is a scale"),
        (lambda: kinds.inversion("C", "fourth"), "'fourth' is not an inversion"),
    ]
    for state, words in asked:
        with pytest.raises(LessonError, match=words) as caught:
            state()
        # What is offered instead can be typed.
        assert eval(caught.value.mend, vars(kinds)).holds
