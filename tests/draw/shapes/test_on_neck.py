"""Notes all over the neck: each place that sounds one has its mark, and no other place has."""

from __future__ import annotations

from itertools import product

import pytest
from lawful import lawful

import harmonykit as hk
from harmonykit.draw.shapes.board import Board
from harmonykit.draw.tree import Group, Mark, Path, Text

# Pitch classes by hand: the white keys (common practice, no source), a dominant seventh's 0 4 7 10.
SCALES = {"D dorian": {0, 2, 4, 5, 7, 9, 11}, "A7": {9, 1, 4, 7}, "C E G": {0, 4, 7}}


@pytest.mark.parametrize("name", SCALES)
@pytest.mark.parametrize("tuning", ["G4 C4 E4 A4", "E2 A2 D3 G3 B3 E4", "G4@5 D3 G3 B3 D4"])
def test_each_place_of_its_notes_is_marked_and_no_other(name: str, tuning: str) -> None:
    drawing = hk.draw.scale(tuning, name, look=hk.draw.NeckLook(frets=9))
    instrument = hk.Instrument.parse(tuning)
    wanted = {
        f"string-{string + 1}-fret-{fret}"
        for string in range(len(instrument.strings))
        for fret in range(10)
        if instrument.has_fret(string, fret)
        and (instrument.midi[string] + fret) % 12 in SCALES[name]
    }
    assert set(drawing.sheet.ids) == wanted


def test_marks_bear_notes_degrees_or_nothing() -> None:
    look = hk.draw.NeckLook(frets=3)
    said = {
        letters: [
            each.text
            for each in hk.draw.scale("C4 C4 C4", "C7", letters=letters, look=look).sheet.all(Text)
        ]
        for letters in ("notes", "degrees", "none")
    }
    assert "C" in said["notes"] and "1" in said["degrees"]
    # On each string the C alone is marked up to the third fret, open.
    assert len(said["none"]) == len(said["notes"]) - 3


def test_a_scale_is_said_with_its_notes_and_the_frets_of_each_string() -> None:
    drawing = hk.draw.scale("ukulele", "D dorian", look=hk.draw.NeckLook(frets=5))
    assert drawing.alt == (
        "The neck of the ukulele, tuned g C E A. D dorian: D, E, F, G, A, B and C. "
        "g string: frets 0, 2, 4, 5. C string: frets 0, 2, 4, 5. "
        "E string: frets 0, 1, 3, 5. A string: frets 0, 2, 3, 5"
    )


@pytest.mark.parametrize("wrong", ["D nonsense", "", 7, ["H"]])
def test_what_is_neither_scale_nor_notes_is_refused(wrong: object) -> None:
    with pytest.raises(hk.HarmonyError):
        hk.draw.scale("ukulele", wrong)  # type: ignore[arg-type]


# The roles of these notes: the first, third, fifth and seventh of a scale or a chord (common
# practice, no source); of mere notes none has one.
ROLES = {
    "D dorian": {2: "root", 5: "third", 9: "fifth", 0: "seventh", 4: "note", 7: "note", 11: "note"},
    "A7": {9: "root", 1: "third", 4: "fifth", 7: "seventh"},
    "C E G": {0: "note", 4: "note", 7: "note"},
}
DEGREES = {
    "D dorian": {2: "1", 4: "2", 5: "♭3", 7: "4", 9: "5", 11: "6", 0: "♭7"},
    "A7": {9: "1", 1: "3", 4: "5", 7: "♭7"},
    "C E G": {0: "", 4: "", 7: ""},
}


@pytest.mark.parametrize("name", ROLES)
@pytest.mark.parametrize("places", [False, True])
def test_every_mark_has_its_role_its_letter_and_its_place(name: str, places: bool) -> None:
    look = hk.draw.NeckLook(frets=5, places=places)
    instrument = hk.Instrument.named("guitar")
    board = Board(instrument, 5)
    for letters in ("notes", "degrees", "none"):
        sheet = hk.draw.scale(instrument, name, letters=letters, look=look).sheet
        lawful(hk.draw.scale(instrument, name, letters=letters, look=look), (4, 4, 4, 2))
        empty = 0
        for string, fret in product(range(6), range(6)):
            pc = (instrument.midi[string] + fret) % 12
            gid = f"string-{string + 1}-fret-{fret}"
            if pc not in ROLES[name]:
                empty += 1
                assert (gid in sheet.ids) == places
                continue
            (mark,) = sheet.all(Mark, within=gid)
            assert mark.role == ROLES[name][pc] and mark.d == 5.0
            assert mark.x == pytest.approx(board.x(fret, string))
            if letters != "notes":
                assert mark.letter == (DEGREES[name][pc] if letters == "degrees" else "")
            else:
                assert len(mark.letter) >= 1
        areas = [g for g in sheet.all(Group) if g.role == "place"]
        assert len(areas) == (empty if places else 0)
        for area in areas:
            (path,) = sheet.all(Path, within=area.id)
            string, fret = (int(word) for word in area.id.split("-")[1::2])
            left, _, wide, high = board.cell(string - 1, fret)
            assert (path.box.left, path.box.width) == pytest.approx((left, wide))
            assert path.box.height == pytest.approx(high) == 8.0


def test_the_title_stands_over_the_middle_of_the_figure() -> None:
    for width in (120.0, 174.0):
        for name, title in (("D dorian", "D dorian"), ("Bb7", "B♭7"), ("C E G", "C E G")):
            drawing = hk.draw.scale("ukulele", name, look=hk.draw.NeckLook(width=width))
            first = drawing.sheet.all(Text)[0]
            assert (first.text, first.x, first.size) == (title, width / 2, 10.5)
            assert first.weight == 600 and first.anchor == "center"
            assert drawing.origin_mm[1] - first.baseline == pytest.approx(5.3)
            # As many frets as there are, up to twelve.
            numbers = [t.text for t in drawing.sheet.all(Text) if t.size == 9.0]
            assert numbers == [str(n) for n in range(1, 13)]
            assert drawing.width_mm == width


def test_a_mere_set_is_named_plainly_and_a_neck_shows_no_frets_that_it_lacks() -> None:
    drawing = hk.draw.scale("ukulele", [1, 6], look=hk.draw.NeckLook(frets=36))
    assert "The notes: " in drawing.alt and drawing.sheet.texts[0] in ("C♯ F♯", "D♭ F♯", "D♭ G♭")
    frets = hk.Instrument.named("ukulele").frets
    assert [t.text for t in drawing.sheet.all(Text) if t.size == 9.0][-1] == str(frets)


def test_one_fret_and_no_note_are_said_so() -> None:
    look = hk.draw.NeckLook(frets=5)
    alt = hk.draw.scale("ukulele", [0], look=look).alt
    assert "g string: fret 5. C string: fret 0. " in alt and "frets" not in alt
    assert hk.draw.scale("ukulele", [], look=look).alt.endswith("The notes: none")
