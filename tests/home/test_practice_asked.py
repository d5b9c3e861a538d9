"""Three hundred questions: what is right is right by other code, and what is offered is wrong."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from music21.harmony import ChordSymbol
from music21.pitch import Pitch

from harmonykit.home.codes import ORDER
from harmonykit.home.practice import apart, questions_of
from harmonykit.practice.kinds import KINDS, USUAL
from harmonykit.practice.theme import Theme


@cache
def asked() -> list[dict[str, Any]]:
    return questions_of(Theme())


def pitch_class(name: str) -> int:
    return int(Pitch(name.replace("♭", "-").replace("♯", "#").replace("𝄫", "--")).pitchClass)


def tones(name: str) -> set[int]:
    """The pitch classes of a chord symbol, by music21."""
    text = name.replace("♭", "b").replace("♯", "#").replace("°7", "dim7")
    root = re.sub(r"^([A-G])b", r"\1-", text)
    return {int(each.pitchClass) for each in ChordSymbol(root).pitches}


def test_three_hundred_each_once_of_every_kind_with_one_item_for_what_is_remembered() -> None:
    found = asked()
    assert len(found) == 300
    assert len({(each["ask"], str(each["offers"])) for each in found}) == 300
    kinds = Counter(each["kind"] for each in found)
    assert len(kinds) == len(USUAL) and max(kinds.values()) < 80
    assert sum("hear" in each for each in found) > 30
    assert set(ORDER) == set(KINDS)


def test_each_has_one_right_answer_or_says_how_many_and_a_reason() -> None:
    for each in asked():
        right = [offer for offer in each["offers"] if offer.get("right")]
        names = [offer["say"] for offer in each["offers"]]
        assert right and len(set(names)) == len(names) and each["why"]
        assert len(right) == 1 or each["place"] == "clock", each
        assert len(each["offers"]) >= 2 and "Write" not in each["ask"]
        assert all(offer.get("right") or "why" in offer for offer in each["offers"])


def test_dominants_of_a_lowered_note_by_music21() -> None:
    """Lower one note of the diminished seventh: the notes are those of the one that is right."""
    tried = 0
    for each in asked():
        found = re.match(r"Lower (\S+) of (\S+) by a semitone\.", each["ask"])
        if not found or each["kind"] != "parents":
            continue
        note, chord = pitch_class(found[1]), tones(found[2])
        wanted = chord - {note} | {(note - 1) % 12}
        for offer in each["offers"]:
            name = offer["say"] if each["place"] == "list" else f"{offer['say']}7"
            assert (tones(name) == wanted) == bool(offer.get("right")), (each["ask"], offer)
        tried += 1
    assert tried >= 15


def test_spelled_chords_by_music21() -> None:
    tried = 0
    for each in asked():
        found = re.search(r"Spell ([A-G]\S*)\. Which are its notes\?$", each["ask"])
        if found and "♭5" not in found[1] and "m" not in found[1]:
            for offer in each["offers"]:
                same = {pitch_class(name) for name in offer["say"].split()} == tones(found[1])
                assert same or not offer.get("right")
            tried += 1
    assert tried >= 8


def test_shapes_sound_their_chords_by_brute_force() -> None:
    """Frets on g C E A by hand: 67, 60, 64, 69."""
    tried = 0
    for each in asked():
        found = re.fullmatch(r"Which shape is ([A-G][♭♯]?(?:m|7|m7|6)?)\?", each["ask"])
        if not found:
            continue
        for offer in each["offers"]:
            frets = [int(part) for part in offer["say"].split("-")]
            pitches = [open_ + fret for open_, fret in zip((67, 60, 64, 69), frets, strict=True)]
            assert offer["sound"] == [pitches]
            sounds = {pitch % 12 for pitch in pitches} == tones(found[1])
            assert sounds or not offer.get("right"), (each["ask"], offer)
        tried += 1
    assert tried >= 8


@pytest.mark.parametrize("lesson", ["stiff_dominant"])
def test_a_lesson_is_asked_about_what_it_teaches(lesson: str) -> None:
    from harmonykit.lesson.plan.source import read_lesson
    from harmonykit.paths import find_data
    from harmonykit.practice.themes import theme_of

    front, _ = read_lesson(find_data("lessons", lesson))
    found = questions_of(theme_of(front), 60)
    own = {chord for chord in theme_of(front).diminished}
    assert len(found) == 60 and own
    first = {each["item"].split(": ")[1] for each in found if each["kind"] == "parents"}
    assert first <= own


def test_a_lessons_page_links_to_the_questions_that_are_written_beside_it(
    tmp_path: Path, root: Path
) -> None:
    """Where they are asked for; without ``--practice`` neither file nor link is there."""
    from harmonykit.lesson.build import load_lesson
    from harmonykit.lesson.page.html import write_page
    from harmonykit.lesson.write import Writer

    lesson = load_lesson(root / "tests" / "data" / "0.1.0" / "draft.md")
    writer = Writer(lesson, tmp_path, (), lambda each: f"questions on {each.front.title}")
    dict(writer.tasks())["page"]()
    assert (tmp_path / "practice.html").read_text(
        "utf-8"
    ) == "questions on What Lantern Steps offers"
    assert 'href="practice.html"' in (tmp_path / "page.html").read_text("utf-8")
    assert set(writer.made) == {"page.html", "practice.html"}
    assert "practice.html" not in write_page(lesson)


def test_a_wrong_shape_is_drawn_with_the_notes_that_are_said_of_it() -> None:
    """One spelling in words and picture; a chord that is named there has these notes (music21)."""
    tried = named = 0
    for offer in (offer for each in asked() for offer in each["offers"]):
        figure, why = offer.get("figure") or {}, offer.get("why", "")
        found = re.search(r"sounds (.*?)(?:, which is (.*?))?\. ", f"{why} ")
        if "frets" not in figure or not found:
            continue
        said = set(re.split(r", | and ", found[1]))
        assert said == {mark[1] for mark in figure["marks"] if mark}, why
        tried += 1
        if re.fullmatch(r"[A-G][♭♯]?7?", found[2] or ""):
            assert {pitch_class(name) for name in said} == tones(found[2]), why
            named += 1
    assert tried > 100 and named > 30, (tried, named)


def test_an_answer_is_not_asked_for_just_after_it_was_told() -> None:
    """Nothing is lost or added; of one answer over and over the order is as it was."""
    found = apart(asked())
    assert sorted(each["item"] for each in found) == sorted(each["item"] for each in asked())
    answers = [each["why"] for each in found]
    near = [n for n, why in enumerate(answers) if why in answers[max(n - 4, 0) : n]]
    # Only at the end, where nothing else is left, may one come back sooner.
    assert not near or near[0] > len(found) - 10
    same = [{"item": str(n), "why": "so"} for n in range(5)]
    assert apart(same) == same
