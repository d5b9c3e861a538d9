"""What one moved note makes of a chord, and where a dominant resolves, against brute force.

Every note of every chord is moved by hand here, by one and two semitones either way.  Notes and
goals that are spelled out are worked out by hand (common practice, no source).
"""

from __future__ import annotations

from itertools import product

import pytest

from harmonykit.lesson.statements.sounding import read_kind
from harmonykit.lesson.statements.turning import move_said, moved, resolves_to, turns_into
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move
from harmonykit.theory.note import Note

KINDS = {
    "major triad": (0, 4, 7), "minor triad": (0, 3, 7), "diminished triad": (0, 3, 6),
    "augmented triad": (0, 4, 8), "dominant seventh": (0, 4, 7, 10), "dim7": (0, 3, 6, 9),
    "m7": (0, 3, 7, 10), "m7b5": (0, 3, 6, 10),
}  # fmt: skip
STEPS = {-2: "falls a whole", -1: "falls a half", 1: "rises a half", 2: "rises a whole"}


def sets_of(kind: str) -> set[frozenset[int]]:
    return {frozenset((pc + root) % 12 for pc in KINDS[kind]) for root in range(12)}


def ways(chord: str, kind: str) -> list[tuple[str, int]]:
    """Return each note and step that leaves one of a kind, by trying all."""
    notes = [note.plain() for note in Chord.parse(chord).notes]
    found = []
    for note, step in product(notes, STEPS):
        after = {n.pitch_class for n in notes} - {note.pitch_class} | {
            (note.pitch_class + step) % 12
        }
        if len(after) == len(notes) and frozenset(after) in sets_of(kind):
            found.append((note.unicode, step))
    return found


@pytest.mark.parametrize("chord", ["C", "G7"])
def test_one_moved_note_is_found_as_by_trying_all(chord: str) -> None:
    for kind in KINDS:
        by_hand = ways(chord, kind)
        stated = turns_into(chord, kind)
        assert stated.holds == bool(by_hand)
        if by_hand:
            # The shortest move first, and it is one of those.
            least = min(abs(step) for _, step in by_hand)
            said = [f"when {name} {STEPS[n]} step" for name, n in by_hand if abs(n) == least]
            assert any(stated.said.endswith(each) for each in said)
            assert " become " in stated.reason
            assert " → " in stated.label
        else:
            assert stated.said.endswith("when one note moves")
            assert stated.reason.startswith(f"no note of {Chord.parse(chord).unicode}, moved")
            assert "no move of one note gives" in stated.label
        for note in Chord.parse(chord).notes:
            plain = note.plain()
            own = [step for name, step in by_hand if name == plain.unicode]
            of_note = turns_into(chord, kind, plain.name)
            assert of_note.holds == bool(own)
            if not own:
                assert of_note.said.endswith(f"when {plain.unicode} moves")
                assert f"no move of {plain.unicode} gives" in of_note.label
                assert of_note.reason.startswith(f"{plain.unicode} of ")


@pytest.mark.parametrize("chord", ["C", "Bdim7"])
def test_a_note_moved_by_so_much(chord: str) -> None:
    for kind, way in product(KINDS, STEPS):
        told = read_kind(kind)
        assert told is not None
        by_hand = {name for name, step in ways(chord, kind) if step == way}
        for note in Chord.parse(chord).notes:
            holds, why = moved(Chord.parse(chord), note, way, told)
            assert holds == (note.plain().unicode in by_hand)
            pcs = {n.pitch_class for n in Chord.parse(chord).notes}
            if (note.pitch_class + way) % 12 in pcs:
                assert why.endswith("which the chord has already")
            else:
                assert f"{note.plain().unicode} {STEPS[way]} step: " in why


def test_what_is_read_of_a_turn() -> None:
    """C E G: C down to B is E minor, G up to A is A minor; F sharp has none of C, E, G."""
    assert turns_into("C", "Am").long == (
        "C turns into Am when G rises a whole step: C, E and G become C, E and A, Am."
    )
    assert turns_into("C", "Am").label == "C → Am: G rises to A"
    assert turns_into("C", "Am", "C").long == (
        "C does not turn into Am when C moves: C is C, E and G; Am keeps C and E of them."
    )
    assert turns_into("C", "F#").long == (
        "C does not turn into F♯ when one note moves: C is C, E and G; F♯ keeps none of them."
    )
    assert turns_into("Cdim7", "dominant seventh").reason == (
        "C, E♭, G♭ and A become B, E♭, G♭ and A, B7"
    )
    # What is offered instead is true.
    for first, second in (("C", "F#"), ("Bdim7", "Bdim7"), ("Am", "G7")):
        mend = turns_into(first, second).mend
        assert mend.startswith(f'turns_into("{first}", "')
        assert turns_into(first, mend.split('"')[3]).holds
    assert move_said(Move(Note.parse("Bbb"), Note.parse("Ab"))) == "A falls to A♭"


# Chords and their goals as dominants: a fifth down, and of a dominant seventh a half step down.
GOALS = {
    "G7": ["C", "F♯"], "G9": ["C", "F♯"], "D7b9": ["G", "D♭"], "G": ["C"], "G7sus4": ["C"],
    "G9sus4": ["C"], "Gm7": [], "Gmaj7": [], "Gm11": [], "Gsus4": [], "G6": [], "Am": [],
    "C5": [],
}  # fmt: skip


def ascii_of(name: str) -> str:
    return name.replace("♯", "#").replace("♭", "b")


@pytest.mark.parametrize("chord", GOALS)
def test_goals_of_dominants(chord: str) -> None:
    goals = GOALS[chord]
    shown = Chord.parse(chord).unicode
    for n, goal in enumerate(goals):
        stated = resolves_to(chord, ascii_of(goal))
        assert stated.holds
        assert stated.label == f"{shown} → {goal}"
        role = "tritone substitution" if n else "dominant"
        assert stated.said.startswith(f"As a {role} {shown} resolves to {goal}: ")
        falls = "a half step" if n else "a fifth"
        assert stated.reason == f"its root falls {falls} to {goal}"
        # Every voice is told, and lands on a note of the goal's triad.
        steps = stated.said.partition(": ")[2].replace(" and ", ", ").split(", ")
        assert len(steps) == len(Chord.parse(chord).notes)
        triad = {note.pitch_class for note in Chord.of(ascii_of(goal)).notes}
        for step, note in zip(steps, Chord.parse(chord).notes, strict=True):
            assert step.startswith(f"{note.plain().unicode} ")
            last = step.split()[0] if step.endswith(" stays") else step.split()[-1]
            assert Note.parse(ascii_of(last)).pitch_class in triad
    wrong = resolves_to(chord, "A")
    assert not wrong.holds
    assert wrong.denied == f"As a dominant {shown} does not resolve to A"
    if goals:
        assert wrong.label == f"{shown} → {' and '.join(goals)}"
        assert wrong.reason == f"it resolves to {' and '.join(goals)}"
        assert wrong.mend == f'resolves_to("{chord}", "{goals[0]}")'
    else:
        assert wrong.label == f"{shown} → nowhere as a dominant"
        assert wrong.reason == f"{shown} is not a dominant"
        assert wrong.mend == ""


def test_a_diminished_seventh_has_four_goals() -> None:
    """Each of its notes lowered is the root of a dominant: Bdim7 is G7, B flat 7, D flat 7, E7."""
    for goal, parent in {"C": "G7", "Eb": "B♭7", "Gb": "D♭7", "A": "E7"}.items():
        stated = resolves_to("Bdim7", goal)
        assert stated.holds
        assert stated.reason == f"{parent} falls a fifth to {goal.replace('b', '♭')}"
    assert not resolves_to("Bdim7", "D").holds
    assert resolves_to("Bm7b5", "C").reason.endswith(" falls a fifth to C")


@pytest.mark.parametrize(
    ("chord", "note", "way", "said"),
    [
        ("C7", "Bb", 2, "B♭ would move to C, which the chord has already"),
        ("C7", "C", -2, "C would move to B♭, which the chord has already"),
        ("Ebsus2", "F", -2, "F would move to E♭, which the chord has already"),
        ("Asus4", "D", 2, "D would move to E, which the chord has already"),
    ],
)
def test_a_note_that_moves_onto_another_leaves_no_chord(
    chord: str, note: str, way: int, said: str
) -> None:
    kind = read_kind("major triad")
    assert kind is not None
    assert moved(Chord.parse(chord), Note.parse(note), way, kind) == (False, said)
