"""Rescue grips and hard changes: by brute force, and by what players say of them."""

from __future__ import annotations

from itertools import product

import pytest
from small_arrangements import Arranged

from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.together.rescue import hard_changes, rescue
from harmonykit.theory.chord import Chord
from harmonykit.theory.guides import guide_degrees

UKULELE = Instrument.named("ukulele")


def fingers(shape: Voicing) -> int:
    return len({finger for finger in shape.fingers if finger})


@pytest.mark.parametrize("name", ["D7", "F#dim7", "Bb", "E7", "Gm7", "Bm7b5", "F6", "Ebmaj7", "B9"])
def test_a_rescue_sounds_the_chord_and_nothing_else_with_fewer_fingers(name: str) -> None:
    chord = Chord.parse(name)
    needed = {
        (chord.root.pitch_class + degree.pitch_class) % 12
        for degree in guide_degrees(chord)
        if degree is not None
    }
    for shape in find_voicings(chord, UKULELE, 5)[:8]:
        found = rescue(chord, shape)
        if found is None:
            continue
        assert set(found.pcs) <= set(chord.pcs) and needed <= set(found.pcs)
        assert found.fingering is not None and not found.fingering.barres
        assert fingers(found) < fingers(shape) or shape.fingering is None or shape.fingering.barres


def test_no_grip_of_four_sounding_strings_has_fewer_fingers() -> None:
    """Every fretting up to fret 5 is tried for D7, whose guide tones are F sharp and C."""
    found = rescue(Chord.parse("D7"), Voicing.parse("2223"))
    assert found is not None and found.digits == "2-0-2-0"
    for frets in product(range(6), repeat=4):
        pcs = {(open_ + fret) % 12 for open_, fret in zip((7, 0, 4, 9), frets, strict=True)}
        if {6, 0} <= pcs <= {2, 6, 9, 0}:
            assert sum(map(bool, frets)) >= 2


@pytest.mark.parametrize("name", ["F#m7", "Eb7", "Bb6", "A7", "Dbmaj7", "Am7", "C7"])
def test_a_rescue_can_be_strummed(name: str) -> None:
    """Three strings of four sound, with three notes, the silent one at an edge (common practice, no
    source)."""
    chord = Chord.parse(name)
    for shape in find_voicings(chord, UKULELE, 5)[:8]:
        found = rescue(chord, shape)
        if found is not None:
            assert found.frets.count(None) <= 1 and None not in found.frets[1:3]
            assert len(set(found.pcs)) >= 3


def test_an_easy_shape_needs_no_rescue() -> None:
    """C and Am have one finger on the ukulele (common practice, no source)."""
    assert rescue(Chord.parse("C"), Voicing.parse("0003")) is None
    assert rescue(Chord.parse("Am"), Voicing.parse("2000")) is None


def test_one_finger_is_easier_than_a_silent_string_and_three_frets_than_four() -> None:
    """Am is 2-0-0-0 to a beginner, not x-0-0-0; Dm6 4-2-1-0 is no help beside 2-2-1-2."""
    found = rescue(Chord.parse("Am"), Voicing.parse("2453"))
    assert found is not None and found.digits == "2-0-0-0"
    other = rescue(Chord.parse("Dm6"), Voicing.parse("2212"))
    assert other is None or other.digits != "4-2-1-0"


@pytest.mark.parametrize("name", ["four_dominants", "stiff_dominant"])
def test_hard_changes_are_of_the_arrangement_and_fall_in_effort(name: str) -> None:
    for played in load_lesson(name).played:
        way = played.arrangement
        found = hard_changes(way, played.level.tempo, count=50)
        pairs = {
            frozenset((a.voicing, b.voicing))
            for a, b in zip(way.steps, way.steps[1:], strict=False)
            if a.voicing != b.voicing and a.voicing and b.voicing
        }
        assert {frozenset((one.before.voicing, one.after.voicing)) for one in found} == pairs
        assert [one.effort for one in found] == sorted((one.effort for one in found), reverse=True)
        faster = hard_changes(way, 2 * played.level.tempo, count=50)
        assert faster[0].effort == pytest.approx(2 * found[0].effort)


def test_a_change_weighs_by_the_time_that_there_is_for_it(arranged: Arranged) -> None:
    """Half the time is twice the effort, down to a tenth of a second, below which none counts."""
    way = arranged("C=0003 C#:1=10-8-9-8 C:2=0003 | C#=10-8-9-8")

    def effort(tempo: float) -> float:
        changes = (one for one in hard_changes(way, tempo, None) if one.after.onset == 1)
        return next(changes).effort

    # The first chord lasts one quarter.
    for tempo in (30, 60, 150, 250, 400, 600):
        assert effort(tempo) * 60 / tempo == pytest.approx(effort(60))
    assert effort(1200) == pytest.approx(effort(600))


@pytest.mark.parametrize("instrument", ["guitar", "ukulele", "baritone ukulele", "mandolin"])
@pytest.mark.parametrize("root", ["C#", "D", "F#", "Ab", "B"])
def test_a_rescue_of_a_diminished_seventh_has_its_leading_tone(root: str, instrument: str) -> None:
    """E, B flat and G without C sharp are part of C7, not of A7 (common practice, no source)."""
    neck, chord = Instrument.named(instrument), Chord.parse(f"{root}dim7")
    for shape in find_voicings(chord, neck, 9)[:12]:
        found = rescue(chord, shape)
        assert found is None or chord.root.pitch_class in found.pcs
