"""Shapes along the neck."""

from __future__ import annotations

import pytest

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.draw.tree import Path, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
C6, B_DIM = Chord.parse("C6"), Chord.parse("Bdim7")
# The climb of C sixth-diminished on g C E A: theory, "On the strings" (common practice).
CLIMB = ("0000", "1212", "2433", "4545", "5757", "7878", "9-9-8-10")


def climb(left_handed: bool = False) -> Drawing:
    shapes = [(Voicing.parse(d, UKULELE), (C6, B_DIM)[i % 2]) for i, d in enumerate(CLIMB)]
    return draw_neck(UKULELE, shapes, passing=(1, 3, 5), left_handed=left_handed)


def places(drawing: Drawing, text: str) -> list[float]:
    """Return the x in mm of each run of text that reads so."""
    return [found.x for found in drawing.sheet.all(Text) if found.text == text]


def test_every_place_is_marked_once_under_its_id() -> None:
    ids = climb().sheet.ids
    assert len(ids) == len(set(ids)) == 28
    assert {"string-1-fret-0", "string-4-fret-10", "string-2-fret-9"} <= set(ids)


def test_wires_stand_in_true_proportion() -> None:
    """The distance to wire n is L (1 - 2^(-n/12)): Buckland 2021."""
    neck = climb()
    nut = neck.origin_mm[0]
    board = neck.sheet.all(Path)[0]
    wires = [stroke[0][0] - nut for stroke in board.strokes() if stroke[0][0] == stroke[1][0]]
    assert len(wires) == 12
    length = wires[11] * 2
    expected = [length * (1 - 2 ** (-n / 12)) for n in range(1, 13)]
    assert wires == pytest.approx(expected, abs=0.02)


def test_names_stand_over_the_last_string_of_their_shape() -> None:
    neck = climb()
    six, ten = places(neck, "C6"), places(neck, "10")
    assert len(six) == 4 and len(places(neck, "B°7")) == 3
    assert sorted(six)[-1] == pytest.approx(ten[0], abs=0.01)


def test_a_left_handed_neck_is_the_mirror_image() -> None:
    right, left = climb(), climb(left_handed=True)
    for text in ("C6", "B°7", "7", "g"):
        mirrored = sorted(right.width_mm - x for x in places(right, text))
        assert sorted(places(left, text)) == pytest.approx(mirrored, abs=0.01)
    assert "left hand" in left.alt


def test_passing_shapes_are_dashed_and_bear_no_letters() -> None:
    sheet = climb().sheet
    (dashed,) = [path for path in sheet.all(Path) if path.dash]
    assert len(dashed.strokes()) == 3
    assert not sheet.all(Text, within="string-1-fret-1")


def test_what_the_neck_says() -> None:
    alt = climb().alt
    assert alt.startswith(
        "The neck of the ukulele, tuned g C E A. C six: g string, open, the note G"
    )
    assert alt.count("on the way, B diminished seven") == 3


def test_names_that_would_touch_are_set_in_two_rows() -> None:
    shapes = [
        (Voicing.parse("8-10-10-9-8-8", GUITAR), Chord.parse("C")),
        (Voicing.parse("x-x-10-9-8-8", GUITAR), Chord.parse("Am7/C")),
    ]
    two, one = draw_neck(GUITAR, shapes), draw_neck(GUITAR, shapes[:1])
    assert two.height_mm > one.height_mm
    names = [text for text in two.sheet.all(Text) if text.text in ("C", "Am7/C")]
    assert len({text.baseline for text in names if text.size == 10.5}) == 2


def test_a_neck_shows_as_many_frets_as_its_shapes_need() -> None:
    high = [(Voicing.parse("x-x-x-14-15-15", GUITAR), None)]
    assert places(draw_neck(GUITAR, high), "15") and not places(draw_neck(GUITAR, []), "13")


def test_shapes_that_do_not_fit_are_refused() -> None:
    with pytest.raises(HarmonyError, match="strings"):
        draw_neck(GUITAR, [(Voicing.parse("0000", UKULELE), None)])
    with pytest.raises(HarmonyError, match="names"):
        draw_neck(UKULELE, [], names=["C"])


SHAPES = [
    (Voicing.parse("2323", UKULELE), Chord.parse("Adim7")),
    (Voicing.parse("0232", UKULELE), Chord.parse("G")),
]


def ids(drawing: Drawing) -> list[str]:
    return list(drawing.sheet.ids)


def moves(drawing: Drawing) -> dict[str, float]:
    """Return for each string that moves how far its arrow goes to the right, in mm."""
    found = {}
    for name in (name for name in ids(drawing) if name.endswith("-move")):
        shaft, head = drawing.sheet.all(Path, within=name)
        found[name] = head.points[0][0] - shaft.points[0][0]
    return found


def test_arrows_lead_from_rings_to_marks_on_the_strings_that_move() -> None:
    neck = draw_neck(UKULELE, SHAPES, arrows=True)
    # 2323 to 0232: g 2 to 0, C 3 to 2, E 2 to 3, A 3 to 2: all four move.
    assert sorted(i for i in ids(neck) if "was" in i) == [
        *("string-1-was-2", "string-2-was-3", "string-3-was-2", "string-4-was-3")
    ]
    assert {"string-1-fret-0", "string-2-fret-2", "string-3-fret-3"} < set(ids(neck))
    right = {gid: way > 0 for gid, way in moves(neck).items()}
    assert right == {
        "string-1-move": False,
        "string-2-move": False,
        "string-3-move": True,
        "string-4-move": False,
    }
    turned = moves(draw_neck(UKULELE, SHAPES, arrows=True, left_handed=True))
    assert {gid: way > 0 for gid, way in turned.items()} == {g: not r for g, r in right.items()}
    assert "g string goes down 2 semitones from A to open, G, the root" in neck.alt


def test_a_string_that_stays_has_its_mark_and_nothing_else() -> None:
    held = [SHAPES[0], (Voicing.parse("2223", UKULELE), Chord.parse("D7"))]
    neck = draw_neck(UKULELE, held, arrows=True)
    assert [i for i in ids(neck) if "was" in i] == ["string-2-was-3"]
    assert list(moves(neck)) == ["string-2-move"]
    assert neck.alt.count(" stays: ") == 3


def test_letters_may_be_degrees_or_none() -> None:
    shape = [(Voicing.parse("x32010", GUITAR), Chord.parse("C"))]
    assert len(places(draw_neck(GUITAR, shape, letters="degrees"), "1")) == 3  # two roots, fret 1
    bare = draw_neck(GUITAR, shape, letters="none")
    assert len(places(bare, "C")) == 1  # the name
    assert len(places(bare, "G")) == 1  # the string


def test_muted_strings_of_one_shape_are_crossed_out() -> None:
    shape = (Voicing.parse("x32010", GUITAR), Chord.parse("C"))
    assert "string-1-muted" in ids(draw_neck(GUITAR, [shape]))
    assert "string-1-muted" not in ids(draw_neck(GUITAR, [shape, shape]))


def test_the_order_of_strings_turns_without_the_nut() -> None:
    shape = [(Voicing.parse("2433", UKULELE), C6)]
    for left in (False, True):
        plain, turned = (
            draw_neck(UKULELE, shape, left_handed=left, reverse_strings=order)
            for order in (False, True)
        )
        assert places(plain, "g") == places(turned, "g")
        assert plain.svg != turned.svg


def test_large_print_is_larger_in_all_its_parts() -> None:
    plain, large = (draw_neck(UKULELE, SHAPES[:1], size=size) for size in ("plain", "large"))
    assert large.height_mm > 1.4 * plain.height_mm and large.width_mm == plain.width_mm
    assert min(text.size for text in large.sheet.all(Text)) >= 13


def test_every_place_has_its_id_where_they_are_asked_for() -> None:
    neck = draw_neck(UKULELE, SHAPES[:1], places=True)
    wanted = {f"string-{s}-fret-{f}" for s in range(1, 5) for f in range(13)}
    assert {i for i in ids(neck) if "-fret-" in i} == wanted
    assert len(ids(neck)) == len(set(ids(neck)))
    assert {"line-1", "line-4", "wire-1", "wire-12"} < set(ids(neck))


def test_a_short_neck_is_shown_whole() -> None:
    raised = UKULELE.with_capo(5)
    neck = draw_neck(raised, [(Voicing.parse("0003", raised), None)])
    assert places(neck, "10") and not places(neck, "11")


def test_settings_that_contradict_each_other_are_refused() -> None:
    with pytest.raises(HarmonyError, match="arrows between 1 shapes"):
        draw_neck(UKULELE, SHAPES[:1], arrows=True)
    with pytest.raises(HarmonyError, match="are not letters"):
        draw_neck(UKULELE, SHAPES, letters="colours")
