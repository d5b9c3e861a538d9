"""Directions of a score, by the elements of MusicXML 4.0."""

from __future__ import annotations

from xml.etree.ElementTree import Element

import pytest

from harmonykit.score.marks import add_sign
from harmonykit.score.signs import signs_of_measure
from harmonykit.tune.bar import SIGNS


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
