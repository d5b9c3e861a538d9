"""Directions of a score, by the elements of MusicXML 4.0."""

from __future__ import annotations

from fractions import Fraction as Q
from xml.etree.ElementTree import Element

import pytest

from harmonykit.score.marks import add_notations, add_sign, add_tuplet
from harmonykit.score.signs import signs_of_measure
from harmonykit.tune.bar import SIGNS
from harmonykit.tune.values import values_of


@pytest.mark.parametrize("sign", SIGNS)
def test_every_sign_reads_back_as_itself(sign):
    measure = Element("measure")
    add_sign(measure, sign)
    assert signs_of_measure(measure) == ([sign], [])


@pytest.mark.parametrize(
    ("sign", "attribute"),
    [("segno", "segno"), ("coda", "coda"), ("to coda", "tocoda"), ("fine", "fine"),
     ("D.C. al fine", "dacapo"), ("D.S.", "dalsegno")],
)  # fmt: skip
def test_player_programs_are_told(sign, attribute):
    # MusicXML 4.0, sound: the attributes that send a player elsewhere.
    measure = Element("measure")
    add_sign(measure, sign)
    assert list(measure.find("direction/sound").keys()) == [attribute]


def test_ties_stop_before_they_start():
    note = Element("note")
    add_notations(note, True, True, False)
    assert [tied.get("type") for tied in note.find("notations")] == ["stop", "start"]
    add_notations(bare := Element("note"), False, False, False)
    assert len(bare) == 0


def test_a_tuplet_is_bracketed_from_its_first_note_to_the_one_that_fills_it():
    reached, found = Q(0), []
    for beats in (Q(1, 3), Q(1, 3), Q(1, 3), Q(1), Q(2, 3), Q(1, 3)):
        note = Element("note")
        (value,) = values_of(beats)
        reached = add_tuplet(note, value, reached)
        found.append([mark.get("type") for mark in note.iter("tuplet")])
    assert found == [["start"], [], ["stop"], [], ["start"], ["stop"]]
