"""A chord as a harmony without a shape; ``tests/draw/staves/test_harmony.py`` has the kinds."""

from __future__ import annotations

from harmonykit.score.harmony_out import chord_harmony
from harmonykit.theory.chord import Chord


def test_root_kind_bass_and_degrees_stand_in_the_standards_order():
    # MusicXML 4.0, harmony: root, kind, inversion?, bass?, degree*.
    element = chord_harmony(Chord.parse("F#7b9/B"))
    assert [child.tag for child in element] == ["root", "kind", "bass", "degree"]
    assert element.findtext("root/root-alter") == "1"
    assert element.find("kind").get("text") == "7♭9"


def test_silence_is_the_kind_none():
    element = chord_harmony(None)
    assert element.findtext("kind") == "none"
    assert element.find("kind").get("text") == "N.C."
