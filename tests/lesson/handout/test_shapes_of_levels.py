"""What stands beside each shape of a level, and how many share a row, on levels written by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_arrangements import Arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import ways_to_finger
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.shapes import Told, easier_grips, level_shapes
from harmonykit.lesson.plan.grips import fingerings_of, names_of, new_grips
from harmonykit.lesson.plan.shown import Shown
from harmonykit.lesson.together.rescue import hard_changes

HURTS = "If pain, numbness or tingling lasts, see a doctor or physiotherapist."
ROW_MM = 174


def test_shapes_come_in_order_of_playing_with_where_they_come_first(arranged: Arranged) -> None:
    way = arranged("NC | C=0003 | Am7=0000 C6:2=0000 | C=0003 | F=2010")
    told = Told()
    page = level_shapes(way, told, Figures())
    assert page is not None
    rows = [(b["name"], b["digits"], b["from"], b["also"], b["new"]) for b in page["boxes"]]
    assert rows == [
        ("C", "0-0-0-3", "from bar 2", [], True),
        ("Am7", "0-0-0-0", "from bar 3", ["C6"], True),
        ("F", "2-0-1-0", "from bar 5", [], True),
    ]
    assert (page["said"], page["muted"], page["cautions"], page["kin"]) == (
        "Three shapes", "", [], [],
    )  # fmt: skip
    # What was shown before is known, and is shown small.
    again = level_shapes(way, told, Figures())
    assert again is not None and again["small"] and not page["small"]
    assert not any(box["new"] for box in again["boxes"])
    assert level_shapes(arranged("NC | NC"), Told(), Figures()) is None
    one = level_shapes(arranged("C=0003 | C=0003"), Told(), Figures(), ())
    assert one is not None and one["said"] == "One shape, not new"


def test_a_shape_of_a_pick_up_comes_from_there(arranged: Arranged) -> None:
    way = arranged("C=0003 | F=2010", pickup=Fraction(1))
    page = level_shapes(way, Told(), Figures())
    assert page is not None
    assert [box["from"] for box in page["boxes"]] == ["from the pick-up", "from bar 1"]


def test_new_grips_stand_beside_known_ones(arranged: Arranged) -> None:
    """Dm is F and a finger more; of F and Bb most fingers move: no help."""
    ways = [arranged("C=0003 | F=2010"), arranged("C=0003 | F=2010 | Bb=3211 | Dm=2210")]
    fresh = new_grips(ways)[1]
    told = Told(shapes=set(ways[0].shapes))
    page = level_shapes(ways[1], told, Figures(), fresh)
    assert page is not None and page["said"] == "Four shapes, two of them new"
    assert [(one["name"], one["new"]) for one in page["kin"]] == [("F", "Dm")]
    words = [box["kin"] for box in page["boxes"]]
    assert words[:3] == ["", "", ""] and words[3].startswith("your F (2-0-1-0), ")
    large = level_shapes(ways[1], told, Figures(large=True), fresh)
    assert large is not None and large["kin"] == [] and large["small"]


def test_a_grip_at_another_fret_and_other_fingers_are_counted_too(arranged: Arranged) -> None:
    """5-4-3-3 is 3-2-1-1 two frets up, and not new; 2-2-2-3 is held by three fingers or four."""
    ways = [arranged("Bb=3211 | D7=2223"), arranged("C=5433 | D7=2223 | Bb=3211")]
    told = Told()
    level_shapes(ways[0], told, Figures())
    page = level_shapes(ways[1], told, Figures(), new_grips(ways)[1])
    assert page is not None and page["said"].startswith(
        "Three shapes, none of them new, one at another fret"
    )
    (seventh,) = (shape for shape in ways[0].shapes if shape.digits == "2-2-2-3")
    others = [held for held, _ in ways_to_finger(seventh.frets, seventh.instrument, Limits())]
    told.held[seventh] = next(one for one in others if one != fingerings_of(ways[1])[seventh][0])
    page = level_shapes(ways[1], told, Figures(), ())
    assert page is not None and page["said"].endswith("none of them new, one with other fingers")
    # Where not all are shown, and none is new, what is held otherwise is.
    assert [box["digits"] for box in page["boxes"] if box["new"]] == ["2-2-2-3"]
    more = arranged("C=5433 | D7=2223 | F=2010")
    told.held[seventh] = next(one for one in others if one != fingerings_of(more)[seventh][0])
    page = level_shapes(more, told, Figures(), ())
    assert page is not None and [box["digits"] for box in page["boxes"] if box["new"]] == [
        "2-0-1-0"
    ]


def test_shapes_that_are_all_new_are_not_counted_twice(arranged: Arranged) -> None:
    ways = [arranged("C=0003"), arranged("F=2010 | E=4442 | Bb=3211"), arranged("D7=2223")]
    told, new = Told(), new_grips(ways)
    said = [
        page["said"]
        for way, fresh in zip(ways, new, strict=True)
        if (page := level_shapes(way, told, Figures(), fresh))
    ]
    assert said[1:] == ["Three shapes, all of them new", "One shape, a new one"]


def test_silent_strings_are_explained_where_there_are_any(arranged: Arranged) -> None:
    guitar = level_shapes(arranged("C=x32010 | G=320003", instrument="guitar"), Told(), Figures())
    assert guitar is not None and guitar["muted"] == "x: a string that is not played."
    # Six strings lie far enough apart when they are small.
    assert guitar["small"]


def test_how_hands_may_hurt_is_told_once_and_ends_last(arranged: Arranged) -> None:
    """4-4-4-2 has a barre over three strings, 3-2-1-1 over two, 2-2-2-3 over three."""
    told = Told()
    page = level_shapes(
        arranged("C=0003 | Am7=0000 | E=4442 | Bb=3211 | C=0003 | D7=2223"), told, Figures()
    )
    assert page is not None
    assert page["cautions"] == [
        {"shapes": "4-4-4-2 and 2-2-2-3",
         "text": "each need a barre over three strings."},
        {"shapes": "3-2-1-1",
         "text": f"needs a barre over two strings. If it hurts, stop. {HURTS}"},
    ]  # fmt: skip
    later = level_shapes(arranged("E=4442 | A=6454"), told, Figures())
    assert later is not None and all("4-4-4-2" not in one["shapes"] for one in later["cautions"])
    alone = level_shapes(arranged("Am7=0000 | Bb=3211 | C=0003"), Told(), Figures())
    assert alone is not None and [one["text"] for one in alone["cautions"]] == [
        f"needs a barre over two strings: if it hurts, stop. {HURTS}"
    ]


def drawn(way: Arrangement, size: str, figures: Figures) -> list[Drawing]:
    held = fingerings_of(way)
    return [
        figures.box(
            Shown(shape, chords[0]),
            BoxLook(size=size, notes=True, third=True, fingering=held[shape][0]),
            marks="fingers",
        )
        for shape, chords in names_of(way).items()
    ]


@pytest.mark.parametrize(
    "bars", ["C=0003 | F=2010", "Bbm(maj7)=3110 | C=0003", "C=0003 | Ebm7b5=2324"]
)
@pytest.mark.parametrize("size", ["play", "plain"])
def test_as_many_boxes_share_a_row_as_it_holds(arranged: Arranged, bars: str, size: str) -> None:
    """Strings lie 7 mm apart from the next box's, 6 where they are smaller; names 1.5 mm."""
    way = arranged(bars)
    page = level_shapes(way, Told(), Figures())
    assert page is not None
    boxes = drawn(way, size, Figures())
    narrow = min(box.origin_mm[0] for box in boxes)
    slots = []
    for box in boxes:
        slots.append(box.width_mm - 2 * box.origin_mm[0] + {"play": 7, "plain": 6}[size])
        if box.origin_mm[0] > narrow + 0.01:
            slots.append(box.width_mm + 1.5)
    count, widest = page["columns"][size], max(box.width_mm for box in boxes)
    assert (count - 1) * max(slots) + widest <= ROW_MM + 0.1
    assert count * max(slots) + widest > ROW_MM


def test_three_easier_grips_are_told_at_most_and_each_once(arranged: Arranged) -> None:
    way = arranged("D7=2223 | E=4442 | Bb=3211 | B7=2322 | Eb=3331 | C=0003")
    told, figures = Told(), Figures()
    hard = hard_changes(way, 120, 2)
    first = easier_grips(way, hard, told, figures)
    assert len(first) == 3 and len({one["chord"] for one in first}) == 3
    second = easier_grips(way, hard, told, figures)
    names = {one["chord"] for one in first}
    assert not names & {one["chord"] for one in second} and len(second) <= 3
    assert first[0]["chord"] == "D7" and first[0]["frets"] == "2-0-2-0"
    # A, C and F sharp sound: the root is left to the others.
    assert first[0]["without"] == "no root"
    # A shape that asks for no care has none, but where a change breaks down.
    plain = arranged("C=0003 | Am=2000 | F=2010 | C=0003")
    assert easier_grips(plain, [], Told(), figures) == []


def test_an_easier_grip_that_is_known_is_held_as_it_was(arranged: Arranged) -> None:
    """No page shows one shape with two sets of fingers: what the row has, the easier grip has."""
    way, figures = arranged("D7=2223 | C=0003"), Figures()
    shape = Voicing.parse("2020", way.instrument)
    ways = [held for held, _ in ways_to_finger(shape.frets, way.instrument, Limits())]
    keys = []
    for held in ways:
        (one, *_) = easier_grips(way, hard_changes(way, 120, 2), Told(held={shape: held}), figures)
        look = BoxLook(size="over", notes=False, fingering=held)
        assert one["frets"] == "2-0-2-0"
        assert one["box"] == figures.add_box(figures.box(shape, look, marks="fingers"))
        keys.append(one["box"])
    assert len(set(keys)) == len(ways) >= 2
    # Of a level's own fingers those of the row come first.
    both = arranged("D7=2223 | D7=2020 | C=0003")
    own = fingerings_of(both)[shape][0]
    other = next(held for held in ways if held != own)
    found = easier_grips(both, hard_changes(both, 120, 2), Told(held={shape: other}), figures)
    look = BoxLook(size="over", notes=False, fingering=own)
    drawn = figures.add_box(figures.box(shape, look, marks="fingers"))
    assert [one["box"] for one in found if one["frets"] == "2-0-2-0"] == [drawn]
