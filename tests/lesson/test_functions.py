"""Every call of a lesson's text: what it puts in, on two instruments."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.cues import cues_of, write_cues
from harmonykit.lesson.functions import Functions
from harmonykit.lesson.model import Chart, Lesson, Picture, Table, Text
from harmonykit.lesson.page import write_page
from harmonykit.lesson.script import write_script
from harmonykit.theory.alternation import alternate
from harmonykit.theory.pcset import PcSet


@pytest.fixture(scope="module")
def bridge(root: Path) -> Functions:
    lesson = load_lesson(root / "data" / "lessons" / "diminished_bridge.md")
    return Functions(lesson.front, lesson.played)


@pytest.fixture(scope="module", params=["", "guitar"])
def climbing(root: Path, request: pytest.FixtureRequest) -> Lesson:
    path = root / "data" / "lessons" / "the_climb.md"
    return load_lesson(path, instrument=request.param or None)


def test_a_shape_as_digits_as_words_and_as_a_box(bridge: Functions) -> None:
    assert bridge.shape() == "2-3-2-3" == bridge.shape("2323")
    assert bridge.words("2213") == "two, two, one, three"
    assert bridge.words("x-0-1-12") == "muted, open, one, twelve"
    box = bridge.box("2223", "D7", was="2323")
    (drawing,) = box.drawings
    assert drawing.alt.startswith("D seven") and box.captions == ("2-2-2-3",)
    assert box.name == "box-2-2-2-3"


def test_notes_of_a_shape_and_of_a_chord(bridge: Functions) -> None:
    # g C E A: 0-0-0-3 is G C E C; D7 is D F sharp A C.
    assert bridge.notes("0003") == "G, C, E and C"
    assert bridge.notes("D7") == "D, F♯, A and C"
    assert bridge.name("F#m7b5") == "F♯m7♭5"


def test_a_levels_changes_and_its_chart(bridge: Functions) -> None:
    changes = bridge.changes(1)
    assert isinstance(changes, Text)
    rows = changes.markdown.split("  \n")
    assert len(rows) == 8 and all(row.count("|") == 5 for row in rows)
    # By hand: the tune begins C6 | Am7, and G♯°7 leads to A from below.
    assert rows[0].startswith("| C6 G♯°7 | Am7 ")
    assert bridge.chart(3) == Chart(2)


def test_the_parents_of_a_diminished_seventh(bridge: Functions) -> None:
    table = bridge.parents("Adim7")
    # Theory (i): lowering a note of 2-3-2-3 gives A♭7, D7, F7 and B7, to D♭, G, B♭ and E.
    assert {row[1:3] for row in table.rows} == {
        ("A♭7", "D♭"), ("D7", "G"), ("F7", "B♭"), ("B7", "E"),
    }  # fmt: skip


def test_the_scale_in_shapes_and_on_the_neck(bridge: Functions) -> None:
    # Theory (i): sixth and diminished seventh in turn.
    shapes = "0-0-0-0 1-2-1-2 2-4-3-3 4-5-4-5 5-7-5-7 7-8-7-8 9-9-8-10 10-11-10-11 12-12-12-12"
    table = bridge.scale()
    assert [row[1] for row in table.rows] == shapes.split()
    (neck,) = bridge.neck().drawings
    assert "C six" in neck.alt and neck.width_mm > 100


def test_a_clock_is_heard_in_the_lessons_own_shapes(bridge: Functions) -> None:
    assert bridge.clock("D7", was="Adim7").heard == ("2-3-2-3", "2-2-2-3")
    assert bridge.clock("C6").heard == ("0-0-0-0",)
    # A chord that the lesson does not play gets the lowest movable shape of its notes.
    (digits,) = bridge.clock("Ebm7").heard
    assert bridge._voicing(digits).pcs == bridge.clock("Ebm7").clock_of.pcs  # type: ignore[union-attr]


def test_the_cube_is_a_figure(bridge: Functions) -> None:
    (drawing,) = bridge.cube().drawings
    assert "alternate with A diminished seven" in drawing.alt and bridge.cube().name == "cube-adim7"
    # It is heard from one end to the other, one string a fret up each time.
    notes = [bridge._voicing(digits).pcs for digits in bridge.cube().heard]
    assert len(notes) == 5 and {notes[0], notes[-1]} == {
        PcSet.of(1, 4, 7, 10),
        PcSet.of(2, 5, 8, 11),
    }
    assert all(len(a & b) == 3 for a, b in zip(notes, notes[1:], strict=False))
    assert all(alternate(each, PcSet.of(0, 3, 6, 9)) for each in notes)
    assert "alternate with B diminished seven" in bridge.cube("Bdim7").drawings[0].alt
    with pytest.raises(HarmonyError, match="not a diminished seventh"):
        bridge.cube("C6")


def test_a_comparison_and_a_silent_proof(bridge: Functions) -> None:
    table = bridge.comparison()
    assert isinstance(table, Table) and len(table.rows) == 3
    known = len(bridge.facts)
    assert bridge.proved("same_notes", "C6", "Am7") == ""
    assert len(bridge.facts) == known + 1
    with pytest.raises(HarmonyError, match="C6 and Am6"):
        bridge.proved("same_notes", "C6", "Am6")


def test_a_staff_of_all_bars_of_one_or_of_some(bridge: Functions) -> None:
    alts = [bridge.staff(*which).drawings[0].alt for which in ((1,), (1, 3), (2, 5, 8))]
    spans = [alt.partition(", ")[2].partition(" on ")[0] for alt in alts]
    assert spans == ["bars 1 to 32", "bar 3", "bars 5 to 8"]
    names = [bridge.staff(*which).name for which in ((1,), (1, 3), (2, 5, 8))]
    assert names == ["staff-1", "staff-1-3", "staff-2-5-8"]
    # Some bars are heard shape by shape, a chord that lasts on once; a whole tune is its chart's.
    assert bridge.staff(1).heard == ()
    shown = bridge.played[1].arrangement.bars()[4:8]
    shapes = [step.voicing.digits for bar in shown for step in bar if step.voicing]
    heard = bridge.staff(2, 5, 8).heard
    assert set(heard) == set(shapes) and all(a != b for a, b in zip(heard, heard[1:], strict=False))


@pytest.mark.parametrize(
    ("which", "words"),
    [((9,), "no level 9"), ((1, 0), "bars 1 to 32"), ((1, 4, 33), "bars 1 to 32"),
     ((1, 1, 2, 3), "3 bars")],
)  # fmt: skip
def test_a_staff_that_cannot_be_is_refused(
    bridge: Functions, which: tuple[int, ...], words: str
) -> None:
    with pytest.raises(HarmonyError, match=words) as caught:
        bridge.staff(*which)
    assert caught.value.rule


def test_a_staff_is_on_page_and_screen_and_in_the_script(climbing: Lesson) -> None:
    blocks = [block for section in climbing.sections for block in section.blocks]
    (staff,) = [b for b in blocks if isinstance(b, Picture) and b.name.startswith("staff")]
    alt = staff.drawings[0].alt
    page, script = write_page(climbing), write_script(climbing)
    assert page.count(f'aria-label="{alt}"') == 1
    assert f"![{alt}](figures/{staff.name}.svg)" in script
    assert [cue for cue in cues_of(climbing).values() if cue.picture == staff]
    assert write_cues(climbing)[:5] == b"%PDF-"
    # What is heard on the page are the shapes of this instrument.
    strings = len(climbing.front.instrument.strings)
    assert staff.heard and all(len(s.split("-")) == strings for s in staff.heard)
    assert f'data-frets="{" ".join(staff.heard)}"' in page
