"""Directions of a score, by the elements of MusicXML 4.0."""

from __future__ import annotations

from fractions import Fraction as Q
from xml.etree.ElementTree import Element

import pytest

from harmonykit.score.marks import Lyrics, add_notations, add_sign, add_tempo
from harmonykit.score.score import Staff, Tone
from harmonykit.score.signs import signs_of_measure
from harmonykit.score.written import Written, values_of
from harmonykit.theory.note import Note
from harmonykit.tune.bar import SIGNS
from harmonykit.tune.words import Syllable


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


def written(*, at: int = 0, tied: bool = False, held: bool = False) -> Written:
    tone = Tone(Q(0), Q(4), (Note.parse("C5"),), held=held)
    (value,) = values_of(Q(2))
    return Written(tone, Q(at), Q(2), value, tied_in=tied, tied_out=tied)


def test_ties_stop_before_they_start_and_a_fermata_stands_once():
    note = Element("note")
    add_notations(note, written(tied=True))
    assert [tied.get("type") for tied in note.iter("tied")] == ["stop", "start"]
    for one, first, expected in (
        (written(held=True), True, 1), (written(held=True, at=2), True, 0),
        (written(held=True), False, 0), (written(), True, 0),
    ):  # fmt: skip
        add_notations(note := Element("note"), one, 0 if first else 1)
        assert len(note.findall("notations/fermata")) == expected
    assert len(note) == 0


def test_a_line_is_drawn_under_what_is_held_and_hyphens_need_none():
    words = (Syllable("row", "begin"), Syllable("", "held"), Syllable("er", "end"),
             Syllable("", "held"), Syllable("", "held"), Syllable("on"))  # fmt: skip
    tones = [Tone(Q(n), Q(1), (Note.parse("C5"),), words=(one,)) for n, one in enumerate(words)]
    lyrics, found = Lyrics([Staff(tuple(tones))]), []
    for tone in tones:
        lyrics.add(note := Element("note"), tone)
        found.append([(n.tag, n.text or n.get("type")) for n in note.iterfind("lyric/*")])
    assert found == [
        [("syllabic", "begin"), ("text", "row")], [],
        [("syllabic", "end"), ("text", "er"), ("extend", "start")],
        [("extend", "continue")], [("extend", "stop")], [("syllabic", "single"), ("text", "on")],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("tempo", "meter", "unit", "dots", "said"),
    [
        # 90 quarters are 60 dotted ones, 93.75 are 62.5; 100 are 66 and two thirds: not exact.
        (90.0, (6, 8), "quarter", 1, "60"),
        (93.75, (12, 8), "quarter", 1, "62.5"),
        (100.0, (6, 8), "quarter", 0, "100"),
        (96.5, (4, 4), "quarter", 0, "96.5"),
    ],
)
def test_a_tempo_is_told_in_beats_where_they_are_exact(tempo, meter, unit, dots, said):
    measure = Element("measure")
    add_tempo(measure, tempo, meter)
    (mark,) = measure.iter("metronome")
    assert mark.findtext("beat-unit") == unit and len(mark.findall("beat-unit-dot")) == dots
    assert mark.findtext("per-minute") == said
    # MusicXML 4.0, sound: the attribute tempo counts quarters.
    assert float(measure.find("direction/sound").get("tempo")) == tempo
