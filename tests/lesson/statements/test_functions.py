"""Every call of a lesson's text: what it puts in, on two instruments."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.cues import cues_of, gather_cues
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.front import front_page
from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.plan.model import Chart, Lesson, Picture, Table, Text
from harmonykit.lesson.script import write_script
from harmonykit.lesson.statements.functions import Functions
from harmonykit.theory.alternation import alternate
from harmonykit.theory.sets.pcset import PcSet


@pytest.fixture(scope="module")
def stiff(root: Path) -> Functions:
    lesson = load_lesson(root / "data" / "lessons" / "stiff_dominant.md")
    return Functions(lesson.front, lesson.played)


@pytest.fixture(scope="module", params=["", pytest.param("guitar", marks=pytest.mark.long)])
def climbing(root: Path, request: pytest.FixtureRequest) -> Lesson:
    path = root / "data" / "lessons" / "scale_of_chords.md"
    return load_lesson(path, instrument=request.param or None)


def test_a_shape_as_digits_as_words_and_as_a_box(stiff: Functions) -> None:
    assert stiff.shape() == "3-4-3-4" == stiff.shape("3434")
    assert stiff.frets_aloud("2213") == "two, two, one, three"
    assert stiff.frets_aloud("x-0-1-12") == "muted, open, one, twelve"
    box = stiff.diagram("2434", "A7", was="3434")
    (drawing,) = box.drawings
    assert drawing.alt.startswith("A seven") and box.captions == ("2-4-3-4",)
    assert box.name == "box-2-4-3-4"


@pytest.mark.parametrize("shapes", [(), ("3433",), ("3433", "C7", "3434"), ("3433", "C7") * 20])
def test_shapes_beside_each_other_come_with_their_chords(
    stiff: Functions, shapes: tuple[str, ...]
) -> None:
    assert len(stiff.side_by_side("3433", "C7", "2434", "A7").drawings) == 2
    with pytest.raises(HarmonyError, match=f"{len(shapes)} texts"):
        stiff.side_by_side(*shapes)


def test_a_shape_of_the_lesson_that_lacks_a_tone_says_so(lesson_path: Path) -> None:
    """A7b9 is A, C sharp, E, G, B flat: 0-1-0-1 on g4 C4 E4 A4 has no A."""
    text = lesson_path.read_text().replace('"4545"\nchord = "Ddim7"', '"0101"\nchord = "A7b9"')
    lesson_path.write_text(text.partition("## The idea")[0])
    lesson = load_lesson(lesson_path)
    calls = Functions(lesson.front, lesson.played)
    assert calls.shape() == "0-1-0-1 (without its root)" and calls.shape("0101") == "0-1-0-1"
    lowered = front_page(lesson, Figures())["lowered"]
    assert lowered["note"] == "Without its root: A7♭9 (0-1-0-1)."


def test_a_slash_chord_over_another_lowest_note_says_so(stiff: Functions) -> None:
    assert stiff.diagram("0003", "C/E").captions == ("0-0-0-3; C/E with C lowest, not its bass E",)


def test_notes_of_a_shape_and_of_a_chord(stiff: Functions) -> None:
    # g C E A: 0-0-0-3 is G C E C; D7 is D F sharp A C.
    assert stiff.notes("0003") == "G, C, E and C"
    assert stiff.notes("D7") == "D, F♯, A and C"
    assert stiff.name("F#m7b5") == "F♯m7♭5"


def test_a_levels_changes_and_its_chart(stiff: Functions) -> None:
    changes = stiff.changes(5)
    assert isinstance(changes, Text)
    rows = changes.markdown.split("  \n")
    assert len(rows) == 3 and all(row.count("|") == 5 for row in rows)
    # By hand: the tune begins Dm6 | Gm6 | Dm6; F sharp leads to G, C sharp to D.
    assert rows[0].startswith("| Dm6 | Gm6 C♯°7 | Dm6 | D7 F♯°7 |")
    assert stiff.chart(3) == Chart(2)


def test_the_parents_of_a_diminished_seventh(stiff: Functions) -> None:
    table = stiff.four_dominants("C#dim7")
    # By arithmetic: B flat, E, G and C sharp lowered are the roots A, E flat, F sharp and C.
    assert {row[1:3] for row in table.rows} == {
        ("A7", "D"), ("E♭7", "A♭"), ("F♯7", "B"), ("C7", "F"),
    }  # fmt: skip


def test_the_scale_in_shapes_and_on_the_neck(stiff: Functions) -> None:
    # By hand: each string one note further in D E F G A B flat B C sharp, up to the twelfth fret.
    shapes = "2-2-1-2 3-4-3-4 4-5-5-5 6-7-6-7 7-9-7-8 9-10-9-10 10-11-10-12"
    table = stiff.scale_shapes()
    assert [row[1] for row in table.rows] == shapes.split()
    (neck,) = stiff.neck().drawings
    assert "D minor six" in neck.alt and neck.width_mm > 100


def test_a_clock_is_heard_in_the_lessons_own_shapes(stiff: Functions) -> None:
    assert stiff.clock("A7", was="C#dim7").heard == ("3-4-3-4", "2-4-3-4")
    assert stiff.clock("Dm6").heard == ("2-2-1-2",)
    # A chord that the lesson does not play gets the lowest movable shape of its notes.
    (digits,) = stiff.clock("Ebm7").heard
    assert stiff._voicing(digits).pcs == stiff.clock("Ebm7").clock_of.pcs  # type: ignore[union-attr]


def test_the_cube_is_a_figure(stiff: Functions) -> None:
    (drawing,) = stiff.cube().drawings
    assert "alternate with C sharp diminished seven" in drawing.alt
    assert stiff.cube().name == "cube-csharpdim7"
    # It is heard from one end to the other, one string a fret up each time.
    notes = [stiff._voicing(digits).pcs for digits in stiff.cube().heard]
    assert len(notes) == 5 and {notes[0], notes[-1]} == {
        PcSet.of(0, 3, 6, 9),
        PcSet.of(2, 5, 8, 11),
    }
    assert all(len(a & b) == 3 for a, b in zip(notes, notes[1:], strict=False))
    assert all(alternate(each, PcSet.of(1, 4, 7, 10)) for each in notes)
    assert "alternate with B diminished seven" in stiff.cube("Bdim7").drawings[0].alt
    with pytest.raises(HarmonyError, match="not a diminished seventh"):
        stiff.cube("C6")


def test_a_comparison_and_a_silent_proof(stiff: Functions) -> None:
    table = stiff.comparison()
    assert isinstance(table, Table) and len(table.rows) == 5
    known = len(stiff.facts)
    assert stiff.proved("same_notes", "C6", "Am7") == ""
    assert len(stiff.facts) == known + 1
    with pytest.raises(HarmonyError, match="C6 and Am6"):
        stiff.proved("same_notes", "C6", "Am6")


def test_a_staff_of_all_bars_of_one_or_of_some(stiff: Functions) -> None:
    alts = [stiff.staff(*which).drawings[0].alt for which in ((1,), (1, 3), (2, 5, 8))]
    spans = [alt.partition(", ")[2].partition(" on ")[0] for alt in alts]
    assert spans == ["bars 1 to 12", "bar 3", "bars 5 to 8"]
    names = [stiff.staff(*which).name for which in ((1,), (1, 3), (2, 5, 8))]
    assert names == ["staff-1", "staff-1-3", "staff-2-5-8"]
    # Some bars are heard shape by shape, a chord that lasts on once; a whole tune is its chart's.
    assert stiff.staff(5).heard == ()
    shown = stiff.played[1].arrangement.bars()[4:8]
    shapes = [step.voicing.digits for bar in shown for step in bar if step.voicing]
    heard = stiff.staff(2, 5, 8).heard
    assert set(heard) == set(shapes) and all(a != b for a, b in zip(heard, heard[1:], strict=False))


@pytest.mark.parametrize(
    ("which", "words"),
    [((9,), "unknown level 9"), ((1, 0), "bars 1 to 12"), ((1, 4, 13), "bars 1 to 12"),
     ((1, 1, 2, 3), "3 bars")],
)  # fmt: skip
def test_a_staff_that_cannot_be_is_refused(
    stiff: Functions, which: tuple[int, ...], words: str
) -> None:
    with pytest.raises(HarmonyError, match=words) as caught:
        stiff.staff(*which)
    assert caught.value.rule


def test_a_staff_is_on_page_and_screen_and_in_the_script(climbing: Lesson) -> None:
    blocks = [block for section in climbing.sections for block in section.blocks]
    (staff,) = [b for b in blocks if isinstance(b, Picture) and b.name.startswith("staff")]
    alt = staff.drawings[0].alt
    page, script = write_page(climbing), write_script(climbing)
    assert page.count(f'aria-label="{alt}"') == 1
    assert f"![{alt}](figures/{staff.name}.svg)" in script
    assert [cue for cue in cues_of(climbing).values() if cue.picture == staff]
    assert gather_cues(climbing).pdf()[:5] == b"%PDF-"
    # What is heard on the page are the shapes of this instrument.
    strings = len(climbing.front.instrument.strings)
    assert staff.heard and all(len(s.split("-")) == strings for s in staff.heard)
    assert f'data-frets="{" ".join(staff.heard)}"' in page


def test_six_shapes_stand_beside_each_other_at_most_and_the_first_two_name_them(
    stiff: Functions,
) -> None:
    stiff = Functions(stiff.front, stiff.played)
    pairs = ("3433", "C7", "2434", "A7", "3434", "C#dim7")
    beside = stiff.side_by_side(*pairs)
    assert beside.name == "beside-3433-2434" and len(beside.drawings) == 3
    assert beside.captions == ("3-4-3-3", "2-4-3-4", "3-4-3-4")
    assert len(stiff.side_by_side(*pairs, *pairs).drawings) == 6
    with pytest.raises(HarmonyError) as caught:
        stiff.side_by_side(*pairs, *pairs, "3433", "C7")
    assert (caught.value.what, caught.value.rule) == (
        "14 texts", "fret numbers and a chord, alternating, 6 pairs at most",
    )  # fmt: skip
    # Another picture of that name gets a number; the same one keeps its name.
    other = stiff.side_by_side("3433", "C7", "2434", "A7", was="before")
    assert other.name.startswith("beside-3433-2434-")
    assert stiff.side_by_side(*pairs).name == "beside-3433-2434"


def test_what_a_text_puts_in_by_itself(stiff: Functions) -> None:
    """Ropewalk Blues has twelve bars in D minor; C sharp dim7 has four notes; the scale eight."""
    assert (stiff.tune(), stiff.key(), stiff.open_strings()) == (
        "Ropewalk Blues", "D minor", "g C E A",
    )  # fmt: skip
    assert stiff.count() == "four" and stiff.count("strings", 4) == "no"
    assert (stiff.count("bars"), stiff.count("levels")) == ("twelve", "five")
    assert (stiff.count("scale"), stiff.count("C#dim7", less=1)) == ("eight", "three")
    for what, less, rule in (
        ("strings", 5, "from 0 to 4, the number of strings"),
        ("C9", -1, "from 0 to 5, the number of "),
    ):  # fmt: skip
        with pytest.raises(HarmonyError) as caught:
            stiff.count(what, less)
        assert caught.value.what == f"less = {less} is out of range"
        assert caught.value.rule.startswith(rule)
