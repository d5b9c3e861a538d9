"""Which statement a claim is offered, word for word, and which words make a sentence a claim.

Sentences as a teacher says them, with the call that a reader would type; no source.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.statements.claims import claim_in, claims_of, nearest, pitches, told_of

OFFERED = {
    # Two chords.
    "C6 and Am7 have the same notes.": 'same_notes("C6", "Am7")',
    "A7 and E♭7 share C♯ and G.": 'common_notes("A7", "Eb7", "C#", "G")',
    "A7 and E♭7 have two notes in common.": 'common_notes("A7", "Eb7")',
    "Am7 turns into A7 where the third goes up.": 'turns_into("Am7", "A7")',
    "B°7 becomes B♭7 so.": 'turns_into("Bdim7", "Bb7")',
    "C9 contains Gm.": 'contains("C9", "Gm")',
    "C6 takes turns with B°7.": 'alternates("C6", "Bdim7")',
    # A chord and where it goes; the goal is told by its root.
    "B°7 resolves to C.": 'resolves_to("Bdim7", "C")',
    "G7 leads to Cm7.": 'resolves_to("G7", "C")',
    "D7 goes on to G6.": 'resolves_to("D7", "G")',
    "D7 is the dominant of G.": 'resolves_to("D7", "G")',
    # A chord and its notes.
    "C♯°7 contains E, G and B♭.": 'holds("C#dim7", "E", "G", "Bb")',
    "The lowest note of C6 is A.": 'lowest("C6", "A")',
    "E and G are in it.": 'holds("C6", "E", "G")',
    # A class of sets, and a melody.
    "Its class is 4-28.": 'set_class("C6", "4-28")',
    "G7 is of the class 4-27.": 'set_class("G7", "4-27")',
    "Over D7 the melody has the seventh.": 'melody_over("D7")',
    # Kinds and numbers.
    "There are three diminished sevenths.": 'exactly("diminished seventh", 3)',
    "There are 12 dominant sevenths.": 'exactly("dominant seventh", 12)',
    "C6 has four notes.": 'how_many_notes("C6", 4)',
    "The chord has three notes.": 'how_many_notes("C6", 3)',
    "C6 has two names.": 'same_notes("C6", "Am7")',
    "In this chart two strings never move.": "strings_stay(1, 2)",
    "No shape goes past fret 7.": 'none("shapes of level 1", "goes past fret", 7)',
    "All four of the places are dominants that resolve to it.": 'exactly("places", 4)',
    "Most fingers stay.": 'most("fingers of level 1", "stays")',
    "All strings lie open.": 'strings_move("2213", "2212")',
    "Lower any string, and that gives a dominant.": 'always("lowering")',
    "Raise any string, and each gives a minor sixth.": 'always("raising")',
    "Only the third and the seventh stay.": 'always("tritone pairs")',
    "None of the added chords lasts long.": "added(1)",
    "Each of them lies a half step below it.":
        'every("added chords of level 1", "lies a half step below what follows")',
    "All notes of the scale are here.": 'alternates("C6", "Bdim7")',
    "One voice never moves.": 'most("changes of level 1", "keeps strings", 1)',
    # A chord alone.
    "It becomes G7 again.": 'turns_into("C6", "G7")',
    "G7 without its root is a diminished triad.":
        'contains("G7 without its root", "diminished triad")',
    "G7 stays for two of them.": 'bars_of("G7")',
    "Both have it.": 'every("dominant seventh", "contains", "tritone")',
}  # fmt: skip


@pytest.mark.parametrize(("said", "call"), OFFERED.items())
def test_a_claim_is_offered_the_statement_that_a_reader_would_type(said: str, call: str) -> None:
    assert nearest(said) == call


def test_the_chord_of_the_lesson_stands_where_none_is_named() -> None:
    for said, call in (
        ("The chord has four notes.", 'how_many_notes("Gm6", 4)'),
        ("Its class is 4-27.", 'set_class("Gm6", "4-27")'),
        ("It becomes G7.", 'turns_into("Gm6", "G7")'),
        ("G and B♭ are the lowest.", 'lowest("Gm6", "G")'),
        # G B flat D E is E half-diminished, too.
        ("It has two names.", 'same_notes("Gm6", "Em7b5")'),
    ):
        assert nearest(said, "Gm6") == call


@pytest.mark.parametrize(
    ("word", "claims"),
    [
        # One note is none, unless a word of harmony stands beside it; two are.
        ("It stays on G.", False), ("G is the root.", True), ("G and B stay.", True),
        ("The root stays.", False), ("The root and the fifth stay.", True),
        ("It is a third above the other.", True), ("It is above the other.", False),
        ("It becomes C6.", True), ("That is a C6.", True), ("That is again C6.", True),
        ("Its class is 4-28.", True), ("On page 12-28-3 it is shown.", False),
        ("Two notes stay.", True), ("2 notes stay.", True), ("One note stays.", False),
        ("Two of them stay.", True), ("Two good old friends stay.", False),
        ("At bar 4 chords change.", False), ("At level 2 chords change.", False),
        ("In step 3 notes change.", False), ("Here 3 notes change.", True),
        ("Two notes, then silence.", False), ("Every chord stays.", True),
        ("It always stays.", True), ("It stays.", False), ("Exactly one stays.", True),
        ("There you have two notes that stay.", False), ("Every player has two notes.", False),
        ("Now, please play two notes that stay.", False),
        ("After the bridge, two notes stay.", True), ("Over C, play two notes that stay.", False),
        ("Two notes stay?", False), ("Two notes stay:", False), ("*Two notes stay?*", False),
        ("Play it; two notes stay.", True), ("Play it, and two notes stay.", True),
        ("Play it so that two notes stay.", False),
    ],
)  # fmt: skip
def test_what_makes_a_sentence_a_claim(word: str, claims: bool) -> None:  # noqa: FBT001
    assert bool(claim_in(word)) is claims


def test_the_first_clause_that_claims_is_the_claim_without_what_joins_it() -> None:
    assert claim_in("Play C6, and all four notes of it are in Am7.").startswith("all four")
    assert claim_in("Play it; two notes stay, but three notes move.") == "two notes stay"


def test_pitches_are_named_once_as_they_are_typed() -> None:
    assert pitches("C, C and C6, then C") == ["C", "C6"]
    assert pitches("A to B♭, then A") == ["A", "Bb"]
    assert pitches("A note, a grip, A is in it") == ["A"]
    assert pitches("Add Fog to Hm and Cab") == []
    assert pitches("F♯m7♭5 or G7(♭9)")[0] == "F#m7b5"


def claimed(folder: Path, write: Callable[[Path], Path], *lines: str) -> list[str]:
    path = write(folder)
    text = path.read_text("utf-8")
    path.write_text(text + "\n## Said\n\n" + "\n".join(lines) + "\n", "utf-8")
    lesson = load_lesson(path)
    found = claims_of(lesson)
    told = list(told_of(lesson))
    assert len(told) == bool(found)
    if found:
        count = "1 sentence rests" if len(found) == 1 else f"{len(found)} sentences rest"
        assert told[0].startswith(count) and found[0].call in told[0]
        assert f"in line {found[0].sentence.line}" in told[0]
    return [one.sentence.text for one in found]


def test_a_statement_covers_a_claim_on_its_own_line_or_the_next_and_no_further(
    tmp_path: Path, write_lesson: Callable[[Path], Path]
) -> None:
    proof, said = '{{ same_notes("C6", "Am7") }}', "C6 and Am7 stay alike."
    assert claimed(tmp_path, write_lesson, f"{said} {proof}") == []
    assert claimed(tmp_path, write_lesson, said, proof) == []
    assert claimed(tmp_path, write_lesson, proof, said) == []
    assert claimed(tmp_path, write_lesson, proof, "", said) == [said]
    assert claimed(tmp_path, write_lesson, said) == [said]
    # It names other chords, or it denies.
    other = "C6 and F stay alike."
    assert claimed(tmp_path, write_lesson, f"{other} {proof}") == [other]
    denied = "C6 and Am7 are not alike."
    assert claimed(tmp_path, write_lesson, f"{denied} {proof}") == [denied]
