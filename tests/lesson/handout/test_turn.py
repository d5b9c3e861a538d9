"""The last page: what moves, the exercise and its answers."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.turn import easiest, last_page, nearest
from harmonykit.lesson.plan.model import Lesson
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


def said(page: dict[str, object]) -> str:
    return "".join(text for runs in page["small"] for text, _ in runs)  # type: ignore[attr-defined]


def test_nearest_is_least_by_brute_force() -> None:
    """Against every fretting of g C E A up to the sixth fret that sounds the triad whole."""
    for start, target in (("2223", "G"), ("1323", "Db"), ("2313", "Bb"), ("2322", "E")):
        before, chord = Voicing.parse(start, UKULELE), Chord.parse(target)
        found = nearest(before, chord)
        assert found is not None
        ways = [
            sum(abs(a - b) for a, b in zip(frets, before.frets, strict=True) if b is not None)
            for frets in product(range(7), repeat=4)
            if {(m + f) % 12 for m, f in zip(UKULELE.midi, frets, strict=True)} == set(chord.pcs)
        ]
        moves = zip(found.frets, before.frets, strict=True)
        assert sum(abs(a - b) for a, b in moves if a is not None and b is not None) == min(ways)


def test_the_moves_are_told_string_by_string(lesson_path: Path) -> None:
    """Worked by hand: A flat 7 (1-3-2-3) to D flat (1-1-1-4), the g string keeps its A flat."""
    moves = last_page(load_lesson(lesson_path), Figures())["moves"]
    texts = [runs[0][0] for runs in moves["text"]]
    assert texts[0] == "From A°7 to A♭7 one finger moves, on the g string."
    assert texts[1].startswith("From A♭7 to D♭ the g string holds its A♭ and the other three move.")


def test_the_exercise_and_its_answers(lesson_path: Path) -> None:
    """3-4-3-4 sounds B flat, E, G and C sharp; each note a semitone lower is a dominant's root,
    and each dominant falls a fifth (theory of the diminished seventh, Cohn 2012, ch. 7)."""
    turn = last_page(load_lesson(lesson_path), Figures(), "upside down")["turn"]
    assert turn["digits"] == "3-4-3-4" and "answers" not in turn
    assert "from g to A" in turn["note"] and "at fret 3" in turn["note"]
    assert turn["said"] == (
        "Check yourself: A7 (2-4-3-4) to D, E♭7 (3-3-3-4) to A♭, F♯7 (3-4-2-4) to B, "
        "C7 (3-4-3-3) to F."
    )
    assert [one["label"] for one in turn["outcomes"]] == [
        f"lower {s}" for s in ("g", "C", "E", "A")
    ]


def test_the_answers_drawn(lesson_path: Path) -> None:
    figures = Figures()
    turn = last_page(load_lesson(lesson_path), figures)["turn"]
    assert "said" not in turn and all(one["target"] == "" for one in turn["outcomes"])
    drawn = turn["answers"]["outcomes"]
    assert [one["target"] for one in drawn] == ["D", "A♭", "B", "F"]
    alts = [figures.table()[one["box"]]["alt"].split(":")[0] for one in drawn]
    assert alts == ["A seven", "E flat seven", "F sharp seven", "C seven"]


def test_the_parents_as_a_table(lesson_path: Path) -> None:
    """Each note of A C E♭ G♭ lowered is the root of a dominant, which falls a fifth; the semitone
    steps to the triad of arrival by hand."""
    parents = last_page(load_lesson(lesson_path), Figures())["parents"]
    assert [row[:4] for row in parents["rows"]] == [
        ["C falls to B", "B7", "2-3-2-2", "E"],
        ["E♭ falls to D", "D7", "2-2-2-3", "G"],
        ["G♭ falls to F", "F7", "2-3-1-3", "B♭"],
        ["A falls to A♭", "A♭7", "1-3-2-3", "D♭"],
    ]
    assert parents["rows"][1][4] == "F♯ rises to G, A falls to G, C falls to B, E♭ falls to D"


def test_a_shape_at_the_end_of_the_neck_is_moved_down(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    frets = lesson.front.instrument.frets
    top = Voicing(UKULELE, (frets - 1, frets, frets - 1, frets))
    chord = easiest(top)
    lesson = replace(lesson, front=replace(lesson.front, shape=top, shape_chord=chord))
    turn = last_page(lesson, Figures())["turn"]
    assert turn["digits"] == "-".join(str(f - 1) for f in top.frets if f)


def test_another_chord_has_no_exercise(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    front = replace(
        lesson.front, shape=Voicing.parse("0000", UKULELE), shape_chord=Chord.parse("C6")
    )
    page = last_page(replace(lesson, front=front), Figures())
    assert page["moves"] is None and page["turn"] is None and page["parents"] is None
    assert "permission" in said(page)


@pytest.mark.parametrize(
    "shape, name",
    # The fewest accidentals, then the root nearest to C on the line of fifths.  By hand: A C E♭ G♭,
    # E G B♭ D♭ and B D F A♭.
    [("2323", "A°7"), ("0101", "E°7"), ("1212", "B°7")],
)
def test_the_easiest_name(shape: str, name: str) -> None:
    assert easiest(Voicing.parse(shape, UKULELE)).unicode == name


def test_cautions_name_the_shapes(lesson_path: Path) -> None:
    lesson: Lesson = load_lesson(lesson_path)
    (played,) = lesson.played
    barre = Voicing.parse("3211", UKULELE)
    first = replace(played.arrangement.steps[0], chord=Chord.parse("Bb"), voicing=barre)
    steps = (first, *played.arrangement.steps[1:])
    arrangement = replace(played.arrangement, steps=steps)
    page = last_page(replace(lesson, played=(replace(played, arrangement=arrangement),)), Figures())
    assert said(page).startswith("3-2-1-1: This shape needs a barre over 2 strings: if it hurts")
    assert said(page).count("for a teacher or a clinician.") == 1
