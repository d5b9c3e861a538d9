"""The neck as part of a scene: wires in true proportion, marks where strings have the notes."""

from __future__ import annotations

import pytest
from tables import rows

from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.panels.neck_scene import Neck, place_of

UKULELE = Instrument.named("ukulele")


def test_wires_stand_in_true_proportion() -> None:
    """The equal-tempered rule, as printed for a published scale; see tests/data/README.md."""
    table = [row for row in rows("fret_positions") if row["scale_mm"] == "330.2"]
    printed = {int(row["fret"]): float(row["nut_to_fret_mm"]) for row in table}
    neck = Neck(UKULELE)
    nut, last = neck.wire(0), neck.wire(12)
    for fret in range(1, 12):
        part = (neck.wire(fret) - nut) / (last - nut)
        assert part == pytest.approx(printed[fret] / printed[12], abs=0.002)


def test_the_last_string_is_on_top_and_open_notes_lie_beyond_the_nut() -> None:
    neck = Neck(UKULELE)
    assert neck.place(3, 1)[1] < neck.place(0, 1)[1]
    assert neck.place(0, 0)[0] < neck.wire(0) < neck.place(0, 1)[0] < neck.wire(1)


def test_a_shape_is_marked_its_notes_elsewhere_are_dots_and_what_was_is_a_ring() -> None:
    seventh, before = Chord.parse("D7"), Voicing.parse("2323", UKULELE)
    looks = Neck(UKULELE).looks(seventh.pcs, seventh, Voicing.parse("2223", UKULELE), before)
    roles = [looks[f"string-{s}-fret-{f}"].role for s, f in ((1, 2), (2, 2), (3, 2), (4, 3))]
    assert roles == ["fifth", "root", "third", "seventh"]
    assert looks["string-2-fret-3"].role == "was" and not looks["string-2-fret-3"].on
    assert looks["string-4-fret-0"].role == "passing"  # A, open
    assert looks["string-4-fret-1"].role == "none" and "off" in looks["string-4-fret-1"].name


def test_given_names_go_before_usual_ones() -> None:
    looks = Neck(UKULELE).looks(PcSet.of(8), spelled={8: Note.parse("G#")})
    assert looks["string-1-fret-1"].text == "G♯"
    assert place_of("string-4-fret-12") == (3, 12)
