"""The first page: the idea, the shape and its four outcomes, the neck."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.front import clock_said, first_clock, front_page
from harmonykit.lesson.handout.turn import last_page
from harmonykit.lesson.plan.model import Lesson, LessonError
from harmonykit.paths import find_data
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


@pytest.fixture(scope="module")
def shipped() -> Lesson:
    return load_lesson(find_data("lessons", "stiff_dominant"))


@pytest.fixture(scope="module")
def walks() -> Lesson:
    return load_lesson(find_data("lessons", "scale_of_chords"))


def test_the_idea_is_the_text_of_the_first_section(shipped: Lesson) -> None:
    page = front_page(shipped, Figures())
    words = "".join(text for text, _ in page["idea"][0])
    assert words.startswith("Ropewalk Blues is a blues in D minor") and len(page["idea"]) == 1


def test_four_dominants(shipped: Lesson) -> None:
    """On g C E A: g A7 to D, C E♭7 to A♭, E F♯7 to B, A C7 to F (by arithmetic)."""
    figures = Figures()
    outcomes = front_page(shipped, figures)["lowered"]["outcomes"]
    assert [(one["label"], one["target"]) for one in outcomes] == [
        ("lower g", "D"), ("lower C", "A♭"), ("lower E", "B"), ("lower A", "F"),
    ]  # fmt: skip
    alts = [figures.table()[one["box"]]["alt"] for one in outcomes]
    assert [alt.split(":")[0] for alt in alts] == [
        "A seven", "E flat seven", "F sharp seven", "C seven",
    ]  # fmt: skip


def test_frets_with_two_names_are_told(shipped: Lesson) -> None:
    """F♯7 has A♯ where C♯°7 has B♭, and E♭7 has D♭ where A7 has C♯."""
    note = front_page(shipped, Figures())["lowered"]["note"]
    assert "A♯ and B♭, C♯ and D♭ share a fret" in note and "open string" not in note


def test_an_open_string_cannot_be_lowered(shipped: Lesson) -> None:
    front = replace(
        shipped.front, shape=Voicing.parse("0101", UKULELE), shape_chord=Chord.parse("C#dim7")
    )
    lowered = front_page(replace(shipped, front=front), Figures())["lowered"]
    assert len(lowered["outcomes"]) == 2 and "An open string cannot be lowered." in lowered["note"]


def test_the_clock_is_the_lessons_own(shipped: Lesson, lesson_path: Path) -> None:
    figures = Figures()
    page = front_page(shipped, figures)
    clock = figures.table()[page["clock"]["figure"]]
    own = first_clock(shipped)
    assert own is not None and own.drawings[0].alt == clock["alt"]
    assert {"root", "was"} <= set(clock["roles"])
    assert "#16243b" not in clock["svg"]  # the screen's ink is black in print
    # By hand: C sharp, E and G are in both, B flat falls to A.
    assert page["clock"]["caption"].startswith("From C♯°7 to A7 three notes stay and one moves. ")
    # A lesson without a clock has none on its sheet.
    assert front_page(load_lesson(lesson_path), Figures())["clock"] is None


def test_a_clock_says_what_it_shows_without_the_text() -> None:
    said = {
        ("F#dim7", ""): "The notes of F♯°7 lie three half steps apart, so its grip has the same "
        "notes three frets higher.",
        ("Eb7", "A7"): "From A7 to E♭7 two notes stay and two move.",
        ("D6", "C#dim7"): "From C♯°7 to D6 no note stays: all four move.",
        ("A7", "C#dim7"): "From C♯°7 to A7 three notes stay and one moves. Any of the four may be "
        "lowered: that gives four dominants, and no more.",
        ("F", "C"): "From C to F one note stays and two move.",
        ("C", ""): "",
    }
    for (chord, was), text in said.items():
        assert clock_said(Chord.parse(chord), Chord.parse(was) if was else None) == text


def test_each_outcome_leads_to_a_shape_that_is_drawn(shipped: Lesson) -> None:
    """A7 to D, E♭7 to A♭, F♯7 to B, C7 to F: the target's own shape under each."""
    figures = Figures()
    outcomes = front_page(shipped, figures)["lowered"]["outcomes"]
    alts = [figures.table()[one["home"]]["alt"].split(":")[0] for one in outcomes]
    assert alts == ["D", "A flat", "B", "F"]


def test_the_author_says_what_stands_on_paper(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    more = '{{ four_dominants("Ddim7", paper="yes") }}\n\n{{ clock("E7", paper="no") }}\n\n'
    more += '{{ diagram("0202", "G6", paper="yes") }}'
    lesson_path.write_text(text.replace('{{ four_dominants("Ddim7") }}', more), encoding="utf-8")
    figures = Figures()
    page = front_page(load_lesson(lesson_path), figures)
    (own,) = page["own"]
    table, diagram = own["parts"]
    assert page["clock"] is None and own["title"] == "The idea" and len(table["rows"]) == 4
    assert figures.table()[diagram["figures"][0]]["alt"].startswith("G six")
    wrong = {
        'clock("E7", paper="maybe")': "paper is 'maybe'",
        'sounds(paper="no")': "neither a figure nor a table",
    }
    for call, said in wrong.items():
        lesson_path.write_text(text.replace('{{ always("lowering") }}', f"{{{{ {call} }}}}"))
        with pytest.raises(LessonError, match=said):
            load_lesson(lesson_path)


def test_the_neck_in_order(walks: Lesson) -> None:
    """D E F♯ G A B♭ B C♯, every string one scale step up (by arithmetic)."""
    page = front_page(walks, figures := Figures())
    order = page["neck"]["order"]
    assert [digits for digits, _ in order] == (
        "2-2-2-2 3-4-3-4 4-6-5-5 6-7-6-7 7-9-7-9 9-10-9-10 11-11-10-12".split()
    )
    assert "D six" in figures.table()[page["clock"]["figure"]]["alt"]
    assert [style for _, style in order] == ["b", ""] * 3 + ["b"]


def test_a_sheet_shows_only_what_the_text_speaks_of(shipped: Lesson, walks: Lesson) -> None:
    """A lesson on lowering one string has no neck; one on walks no four dominants."""
    page, end = front_page(shipped, Figures()), last_page(shipped, Figures())
    assert page["lowered"]["outcomes"] and page["neck"] is None
    assert all(end[part] is not None for part in ("moves", "parents", "turn"))
    page, end = front_page(walks, Figures()), last_page(walks, Figures())
    assert page["lowered"] is None and page["neck"]
    assert all(end[part] is None for part in ("moves", "parents", "turn"))


def test_a_text_that_speaks_of_neither_shows_the_shape_alone(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8").replace('{{ four_dominants("Ddim7") }}', "")
    lesson_path.write_text(text, encoding="utf-8")
    page = front_page(load_lesson(lesson_path), Figures())
    assert page["lowered"]["title"] == "The shape" and page["lowered"]["outcomes"] == []
    for call in ("neck", "scale"):
        lesson_path.write_text(text + f"\n{{{{ {call}() }}}}\n", encoding="utf-8")
        page = front_page(load_lesson(lesson_path), Figures())
        assert page["lowered"] is None and page["neck"]["title"].startswith(
            "The scale of chords on "
        )


def test_the_head_says_for_whom_the_sheet_is(shipped: Lesson) -> None:
    """The class, the number of the sheet where it has one, the tuning; a hand that differs."""

    def head(lesson: Lesson, part: str = "head", **asked: bool) -> str:
        return str(front_page(lesson, Figures(**asked))[part]).replace("\u00a0", " ")

    plain = replace(shipped.front, group="Quay", sheet="")
    assert "Lesson" not in head(replace(shipped, front=plain))
    said = head(replace(shipped, front=replace(plain, sheet="3")))
    assert said.startswith("Quay · Lesson 3 · tuned ") and "left-handed" not in said
    assert "ukulele" not in said
    # A line of its own, and there how it is tuned: once on a sheet is enough.
    assert head(shipped, left_handed=True) + " · tuned g C E A" == head(shipped)
    assert head(shipped, "hand") == ""
    hand = head(shipped, "hand", left_handed=True)
    assert "left-handed" in hand and hand.endswith(" g C E A")
