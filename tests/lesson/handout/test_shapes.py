"""The shapes on paper: new ones beside known ones, and the easier grip beside what is hard."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from sheets import read, text_of

from harmonykit.fretboard.hands.difficulty import caution
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import ways_to_finger
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.levels import level_pages
from harmonykit.lesson.handout.pdf import gather_handout
from harmonykit.lesson.plan.model import Lesson
from harmonykit.paths import find_data
from harmonykit.theory.chord import Chord
from harmonykit.tune.class_file import ClassFile
from harmonykit.words.numbers import number


@pytest.fixture(scope="module")
def lesson() -> Lesson:
    return load_lesson(find_data("lessons", "stiff_dominant"))


@pytest.fixture(scope="module")
def pages(lesson: Lesson) -> list[dict[str, Any]]:
    return level_pages(lesson, Figures())


def test_level_one_says_nothing_and_later_ones_show_what_is_new(
    pages: list[dict[str, Any]],
) -> None:
    assert pages[0]["shapes"]["kin"] == [] and pages[0]["shapes"]["said"] == "Five shapes"
    names = {box["name"] for page in pages for box in page["shapes"]["boxes"]}
    for page in pages[1:]:
        kin, told = page["shapes"]["kin"], page["shapes"]["said"].partition(", ")[2]
        count = {"none": 0, "one": 1, "two": 2, "three": 3}[told.split()[0]]
        assert len(kin) <= count
        for one in kin:
            # A grip at another fret is another chord, and is called so.
            assert one["new"] in names
            assert one["name"] in names or " at fret " in one["words"]
            assert one["words"].startswith("your ")
        in_words = {box["name"] for box in page["shapes"]["boxes"] if box["kin"]}
        assert in_words == {one["new"] for one in kin}


def test_an_easier_grip_is_told_once_and_sounds_the_chord(pages: list[dict[str, Any]]) -> None:
    """Its notes are of the chord, three fingers at most; what it leaves out is said."""
    told = [(e["chord"], e["frets"], e["without"]) for page in pages for e in page["easier"]]
    assert len({name for name, _, _ in told}) == len(told) > 1
    for name, digits, without in told:
        shape, chord = Voicing.parse(digits, "ukulele"), Chord.parse(name)
        assert set(shape.pcs) <= set(chord.pcs)
        lost = [
            "root" if note == chord.root else note.unicode
            for note in chord.notes
            if note.pitch_class not in shape.pcs
        ]
        assert without.removeprefix("no ").replace(" and ", ", ") == ", ".join(lost)
        assert shape.highest_fret <= 4 and len(shape.fretted) <= 3


def test_the_sheet_shows_grips_that_are_known(lesson: Lesson) -> None:
    knows = ClassFile.of("Ours", "ukulele", "C 0003", "F 2010", "A7 0100", "Dm 2210", "G7 0212")
    ours = replace(lesson, front=replace(lesson.front, knows=knows), played=lesson.played[:3])
    texts = [text_of(page) for page in read(gather_handout(ours).pdf()).pages]
    assert "From grips you know" in texts[2] and "your Dm, fourth finger is added" in texts[2]
    assert "Five shapes, four of them new" in texts[2]
    # A known grip from which most fingers move helps nobody.
    assert "fingers change" not in " ".join(texts)
    assert "your Gm6, third finger lifts" in texts[6]


def test_what_asks_for_care_has_a_sentence_and_easier_grips_beside_it() -> None:
    """The frets are the subject of the sentence, of several shapes in the plural."""
    lesson = load_lesson(find_data("lessons", "scale_of_chords"))
    texts = [text_of(page) for page in read(gather_handout(lesson).pdf()).pages]
    cared = [text.partition("Take care ")[2] for text in texts if "Take care " in text]
    one, frets = r"needs a (barre|stretch)", r"(\d-){3}\d"
    several = rf"(, {frets})* and {frets} each need a (barre|stretch)"
    assert cared and all(re.match(rf"{frets}( {one}|{several})", text) for text in cared)
    assert any(re.search(rf" physiotherapist\. easier \S+ {frets} ", text) for text in cared)


def test_the_caution_is_about_the_fingers_that_are_shown() -> None:
    """2-2-2-3 takes four fingers, or one that lies flat over the others."""
    neck = Instrument.named("ukulele")
    shape = Voicing.parse("2223", neck)
    ways = [held for held, _ in ways_to_finger(shape.frets, neck, Limits())]
    assert {bool(held.barres) for held in ways} == {True, False}
    for held in ways:
        assert bool(caution(shape, held)) == bool(held.barres)
        for barre in held.barres:
            assert f"a barre over {number(barre.width)} strings" in caution(shape, held)
