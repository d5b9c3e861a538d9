"""Which grips are new at a level, counted anew from frets and fingers; and the known one beside."""

from __future__ import annotations

import pytest
from small_arrangements import Arranged

from harmonykit.fretboard.hands.hand import Fingering, held_by
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.grips import NewGrip, first_bars, names_of, new_grips
from harmonykit.lesson.plan.model import Lesson
from harmonykit.paths import find_data
from harmonykit.tune.class_file import ClassFile


@pytest.fixture(scope="module")
def lesson() -> Lesson:
    return load_lesson(find_data("lessons", "stiff_dominant"))


def _form(digits: str) -> str:
    """Frets without their place on the neck, where none is open."""
    frets = [None if f == "x" else int(f) for f in digits.split("-")]
    low = min((f for f in frets if f is not None), default=0)
    return f"{0 in frets} {[None if f is None else f - low for f in frets]}"


def _ways(lesson: Lesson) -> list[list[str]]:
    return [
        [s.voicing.digits for s in one.arrangement.sounding if s.voicing] for one in lesson.played
    ]


def test_a_form_is_new_once_in_the_order_of_playing(lesson: Lesson) -> None:
    found = new_grips([one.arrangement for one in lesson.played])
    seen: set[str] = set()
    for level, digits in zip(found, _ways(lesson), strict=True):
        wanted = []
        for one in digits:
            if _form(one) not in seen:
                seen.add(_form(one))
                wanted.append(one)
        assert [one.shown.shape.digits for one in level] == wanted
    assert [one.kin for one in found[0]] == [None] * len(found[0])
    assert sum(bool(level) for level in found[1:]) > 1


def _moved(a: Voicing, held: Fingering, b: Voicing, then: Fingering) -> int:
    """How many fingers are not on one and the same fret and strings in both."""
    before, after = held_by(a.frets, held), held_by(b.frets, then)
    return sum(before.get(finger) != after.get(finger) for finger in before.keys() | after.keys())


def test_no_known_grip_is_left_by_fewer_fingers(lesson: Lesson) -> None:
    """Each as its level holds it: the fingers that are told are those that are shown."""
    levels = new_grips([one.arrangement for one in lesson.played])
    known: list[NewGrip] = []
    for level in levels:
        for one in level if known else ():
            assert one.held is not None and one.kin is not None
            assert one.kin.change.after == one.held
            told = len(one.kin.fingers)
            others = [
                _moved(k.shown.shape, k.held, one.shown.shape, one.held) for k in known if k.held
            ]
            assert told <= min(others)
            start = one.kin.start
            assert told == _moved(start, one.kin.change.before, one.shown.shape, one.held)
        known += level


def test_a_class_knows_what_its_file_says(lesson: Lesson) -> None:
    """Gm6 is 0201 and C7 0001 on g C E A: the finger on the C string lifts, the other stays."""
    knows = ClassFile.of("Ours", "ukulele", "C 0003", "Dm6 2212")
    ways = [one.arrangement for one in lesson.played]
    found = new_grips(ways, knows)
    digits = [one.shown.shape.digits for level in found for one in level]
    assert "2-2-1-2" not in digits and "2-2-1-2" in _ways(lesson)[0]
    assert all(one.kin is not None for level in found for one in level)
    (seventh,) = (o for level in found for o in level if o.shown.shape.digits == "0-0-0-1")
    assert str(seventh.kin) == "your Gm6 (0-2-0-1), third finger lifts"
    assert sum(map(len, found)) < sum(map(len, new_grips(ways)))


def test_a_shape_is_named_by_the_chords_that_it_stands_for(arranged: Arranged) -> None:
    """0-0-0-0 on g C E A is C6 and Am7; a note of the melody alone stands for no chord."""
    way = arranged("C6=0000 | Am7=0000 | NC | F=2010 C6:2=0000 | C=xxx3")
    names = {shape.digits: [str(chord) for chord in chords]
             for shape, chords in names_of(way).items()}  # fmt: skip
    assert list(names) == ["0-0-0-0", "2-0-1-0"]
    assert names["0-0-0-0"] == ["C6", "Am7"] and names["2-0-1-0"] == ["F"]
    bars = {shape.digits: bar for shape, bar in first_bars(way).items()}
    assert bars == {"0-0-0-0": 1, "2-0-1-0": 4, "x-x-x-3": 5}
