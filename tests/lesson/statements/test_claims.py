"""Prose is read for claims: what asserts something of notes and chords is marked, the rest is not.

Sentences as a teacher says them, sorted by hand; no source.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.script import write_script
from harmonykit.lesson.statements.calls import read_call
from harmonykit.lesson.statements.claims import SAID, claim_in, claims_of, nearest, pitches
from harmonykit.lesson.statements.functions import Functions
from harmonykit.lesson.statements.kinds import Untrue
from harmonykit.lesson.statements.sentences import sentences_of
from harmonykit.lesson.write import fact_rows

# A claim, and the statement that a reader would try first.
CLAIMS = {
    "C6 and Am7 have the same notes.": "same_notes",
    "A6 is the same grip as F♯m7.": "same_notes",
    "The chord has four notes, and three of them stay.": "how_many_notes",
    "B°7 goes to C.": "resolves_to",
    "A7 and E♭7 share two notes.": "common_notes",
    "No shape goes past fret 5.": "none",
    "There are three diminished sevenths and four augmented triads.": "exactly",
    "Its class is 4-28.": "set_class",
    "G7 without its root is a diminished triad.": "contains",
    "The third of D7 is F♯.": "holds",
    "Most fingers stay where they are.": "most",
    "C♯°7 contains E, G and B♭.": "holds",
    "In this chart two strings never move.": "strings_stay",
    "None of the added chords lasts longer than two beats.": "added",
    "Raise its fifth and it becomes C+.": "turns_into",
    "Over D7 and B♭7 the melody has the seventh.": "melody_over",
    "Lower any string, and that gives a dominant with no other note.": "always",
    "Only the root moves.": "every",
    "Both chords contain a tritone.": "every",
    "Neither of them has a root.": "every",
    "All the notes of this scale lie in B°7 or C6.": "same_notes",
    "Any of its notes may be the root, and each of them gives a dominant.": "always",
    "The seventh of the first chord becomes the third of the second, and F stays.": "every",
    "The note C is in all four of them.": "bars_of",
    "The other note is a half step above the root.": "every",
}
OTHERS = """
Play it twice, and hum the melody.
Which two notes do C6 and F share?
Take C7 and raise its root.
You have heard all but one of them.
The tune is old and slow.
Keep the strum as it was: only the hand is new.
Now we play it in two groups.
Try every root, and listen.
Say the name of the dominant while you play it.
Look for a dominant seventh that holds both notes of the melody.
What would you put there?
Tap your foot and count to four.
Look at the next shape before you leave this one.
First alone, then with all four voices.
I like the second one best.
Rest for a minute.
Hold F♯°7 and let it ring.
Start at bar 4, level 2.
Swap roles after eight bars.
A slow tempo is better here.
Are all four of them dominants?
Practise the change from C to F for a minute.
A7 is the stiff one.
At level 3 the tempo is faster.
Each group sings the note of its own string and stays on it.
Players call them the four dominants.
"""


def test_a_claim_is_read_and_a_request_a_question_or_an_opinion_is_not() -> None:
    assert [said for said in CLAIMS if not claim_in(said)] == []
    others = OTHERS.strip().splitlines()
    assert [said for said in others if claim_in(said)] == []


def test_the_nearest_statement_is_offered_and_can_be_typed(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    functions = Functions(lesson.front, lesson.played)
    for said, name in CLAIMS.items():
        call = nearest(claim_in(said))
        assert call.startswith(f"{name}("), call
        called, given = read_call(call)
        try:
            functions.judge(called, *(one.value for one in given))
        except Untrue:
            pytest.fail(call)
        except HarmonyError as error:
            # A chord that this tune does not have, a melody that it lacks.
            assert called in ("bars_of", "melody_over"), error


def test_a_claim_about_the_lowest_note_names_chord_and_note() -> None:
    assert nearest("The lowest note of C6 is A.") == 'lowest("C6", "A")'
    assert nearest("A is in the bass of C6 and G.") == 'lowest("C6", "A")'


def test_articles_bars_and_numbers_that_a_call_put_in_are_no_pitches_and_no_counts() -> None:
    assert pitches("A chord goes from A to B♭m7, in bar 4 of A.") == ["A", "Bbm7"]
    for number in ("two", "three", "twelve"):
        assert not claim_in(f"It has {number} bars.", (number,))
        assert claim_in(f"It has {number} bars.")
    assert not claim_in("The shape is at fret 5.")


PROSE = """
## What is said

{{ same_notes("Gm6", "Em7b5") }} Gm6 and Bb7 share two notes.

Every chord here has four notes. {{ proved("every", "chords of the tune", "has notes", 4) }}

The tune has {{ count("bars") }} bars. Play all of them, and listen to G.

It is not so that {{ same_notes("Eb6", "Cm7") }}

{{ contains("C9", "Gm") }} C9 does not contain Gm.

{{ resolves_to("G7", "C") }} All dominants resolve to C.

C6 and Am share four notes. {{ proved("same_notes", "C6", "Am7") }}
"""
UNPROVED = [
    "Gm6 and Bb7 share two notes.",
    # What stands beside them names as much, and says something else.
    "C9 does not contain Gm.",
    "All dominants resolve to C.",
    "C6 and Am share four notes.",
]


@pytest.fixture
def prose(tmp_path: Path, write_lesson: Callable[[Path], Path]) -> Lesson:
    path = write_lesson(tmp_path)
    text = path.read_text(encoding="utf-8")
    path.write_text(text + PROSE, encoding="utf-8")
    return load_lesson(path)


def test_what_no_statement_covers_is_marked_in_the_script_and_told_in_the_table(
    prose: Lesson,
) -> None:
    """Marks stop nothing; what a statement beside it proves, and what is turned, has no mark."""
    found = claims_of(prose)
    assert [each.sentence.text for each in found] == UNPROVED
    assert found[0].call.startswith('common_notes("Gm6", "Bb7"')
    notes = {row[2]: row[5] for row in fact_rows(prose)}
    assert notes["Gm6 and Bb7 share two notes."].startswith(SAID)
    script = write_script(prose)
    assert "Gm6 and Bb7 share two notes. ‡" in script and script.count("‡") == 5
    turned = [one for one in sentences_of(prose) if one.turned]
    assert [one.text[:17] for one in turned] == ["It is not so that"]
    assert "have the same notes. ‡" not in script


def test_what_is_offered_of_added_chords_is_of_a_level_that_has_some(
    tmp_path: Path, write_lesson: Callable[[Path], Path]
) -> None:
    """A call that is offered is answered where it is typed: it never lacks what it is about."""
    path = write_lesson(tmp_path)
    text = path.read_text(encoding="utf-8") + "\nOne note of the four chord falls a half step.\n"
    plain = '[[levels]]\nname = "Plain"\nmoves = []\n\n[[levels]]'
    for levels, offered in (
        (text.replace("[[levels]]", plain, 1), 'every("added chords of level 2", '),
        (
            text.replace('moves = ["leading-tone diminished", "rootless dominant"]', "moves = []")
            .replace("{{ added_chords(1) }}", ""),
            'most("changes of level 1", ',
        ),
    ):  # fmt: skip
        path.write_text(levels, encoding="utf-8")
        (claim,) = claims_of(load_lesson(path))
        assert claim.call.startswith(offered)
