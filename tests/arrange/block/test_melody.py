"""The melody as the highest pitch: by hand on four strings, and laws on drawn tunes."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from small_tunes import NOTHING, tune_of, tunes

from harmonykit.arrange.block.melody import OnTop, melody_on_top
from harmonykit.arrange.block.playing import ALONE, FEWER, LOW, OCTAVE, SEVENTH, SILENT, TRIAD
from harmonykit.arrange.line_figures import added_steps
from harmonykit.arrange.score import lead_sheet, shape_score
from harmonykit.arrange.told_changes import told_changes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.staircase import pair_semitones
from harmonykit.tune.tune import Tune

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


def on_top(changes: str, melody: str, instrument: Instrument = UKULELE, **more: str) -> OnTop:
    """Return a melody with a chord on every note that can have one."""
    tune = tune_of(changes, melody=melody, **more)
    return melody_on_top(tune, instrument, every_note=True)


def arranged(changes: str, melody: str, instrument: Instrument = UKULELE) -> OnTop:
    """Return a melody with chords where they stand, and notes alone between."""
    return melody_on_top(tune_of(changes, melody=melody), instrument)


def chords(found: OnTop) -> list[str]:
    return [str(step.chord) for step in found.arrangement.steps]


def test_the_scale_of_c_harmonised_by_turns() -> None:
    """The chord scale of C major sixth-diminished: sixth and diminished seventh in turn."""
    found = on_top("| C6 | C6 |", "| A4 B4 C5 D5 | E5 F5 G5 G#5 |")
    assert chords(found) == ["C6", "Bdim7"] * 4
    assert [step.voicing.top for step in found.arrangement.steps if step.voicing] == [
        69, 71, 72, 74, 76, 77, 79, 80,
    ]  # fmt: skip
    assert not found.listed and found.raised_by == 0


@pytest.mark.parametrize(
    ("chord", "note", "played"),
    [
        ("C", "A4", "C6"),  # triad: the sixth chord
        ("Cmaj7", "B4", "Bdim7"),  # the scale's other chord
        ("Am7", "C5", "Am7"),  # C major sixth-diminished: C6 is Am7
        ("Dm", "B4", "Dm6"),
        ("G7", "B4", "G7"),
        ("G7", "A4", "F#dim7"),  # G dominant seventh-diminished has A in F sharp diminished
    ],
)
def test_the_chord_under_a_note(chord: str, note: str, played: str) -> None:
    assert chords(on_top(f"| {chord} |", f"| {note}:4 |")) == [played]


def test_a_note_outside_the_scale_is_alone_unless_the_chord_has_it() -> None:
    found = on_top("| C6 | C7sus4 | N.C. |", "| C#5:4 | F5:4 | D5:4 |")
    assert [listed.done for listed in found.listed] == [ALONE, ALONE]
    first, second, third = found.arrangement.steps
    assert first.voicing is not None and first.voicing.sounding == (73,)
    assert str(second.chord) == "C7sus4" and second.voicing is not None
    assert third.voicing is not None and third.voicing.sounding == (74,)


def test_below_what_four_strings_top_there_are_fewer() -> None:
    """By arithmetic, four sounding strings on g C E A have no top below A4; G4 has the three of C.

    Below E4 there is C4 alone, which says no chord.
    """
    found = on_top("| C6 |", "| E4:2 G4:2 |")
    low, high = [step.voicing for step in found.arrangement.steps]
    assert low is not None and low.sounding == (64,)
    assert high is not None and sorted(high.sounding) == [60, 64, 67]
    assert [listed.done for listed in found.listed] == [LOW, f"{FEWER}, {TRIAD}"]
    assert found.raised_by == 5  # E4 to A4


def test_a_note_that_no_octave_of_the_tune_reaches_is_moved_alone() -> None:
    """From A3 to G6 is more than the neck of a ukulele has, C4 to C6 up to fret 15."""
    found = on_top("| C6 | C6 |", "| A4 C5 A4 E5 | C5:2 A3 G6 |")
    tops = [step.voicing.top for step in found.arrangement.steps if step.voicing]
    assert tops == [69, 72, 69, 76, 72, 69, 79]
    assert [(str(one.note), one.done) for one in found.listed] == [("A3", OCTAVE), ("G6", OCTAVE)]
    assert found.octave == 0


def test_a_tune_out_of_reach_is_played_in_another_octave_as_a_whole() -> None:
    """The lowest string of g C E A is C4: of four notes from A3 down one can be had."""
    found = on_top("| C6 |", "| A3 G3 E3 C4 |")
    tops = [step.voicing.top for step in found.arrangement.steps if step.voicing]
    assert found.octave == 1 and tops == [69, 67, 64, 72]
    # G4 and E4 lie below the open A string.
    assert [one.done for one in found.listed] == [f"{FEWER}, {TRIAD}", LOW]


def test_on_six_strings_four_that_lie_side_by_side_sound() -> None:
    found = on_top("| C6 | F6 |", "| E5 D5 C5 A4 | A4 C5 D5 F4 |", GUITAR)
    for step in found.arrangement.steps:
        assert step.voicing is not None
        places = [n for n, fret in enumerate(step.voicing.frets) if fret is not None]
        assert places == list(range(places[0], places[0] + 4))


def test_a_flat_ninth_over_a_dominant_has_the_diminished_seventh_below_it() -> None:
    """A7 with B flat and without its root is C sharp diminished (web, "Diminished Chord Patterns":
    the leading-tone chord is the dominant with a flat ninth and without its root)."""
    found = on_top("| A7 |", "| Bb4:2 A4:2 |")
    assert chords(found) == ["C#dim7", "A7"]
    assert not [one for one in found.listed if one.note.name == "Bb"]
    assert "without its root" in found.arrangement.steps[0].reason


def test_rests_are_silent_and_a_held_note_is_harmonised_anew() -> None:
    found = on_top("| C6 / Dm7 / | G7 |", "| r:1 A4:2 r:1 | r:4 |")
    spans = [(str(s.chord), s.onset, s.beats) for s in found.arrangement.steps]
    assert spans == [
        ("None", 0, 1),
        ("C6", 1, 1),
        ("Dm7", 2, 1),
        ("None", 3, 1),
        ("None", 4, 4),
    ]


def test_the_reasons_name_the_melodys_note() -> None:
    found = on_top("| C6 |", "| A4:2 B4:2 |")
    assert [step.reason for step in found.arrangement.steps] == [
        "",
        "B°7, the other chord of the C major sixth-diminished scale, has the melody's B on top.",
    ]


def test_a_written_bass_is_the_lowest_note_under_the_melody() -> None:
    """x-x-3-3-3-3 is F3 B♭3 D4 G4, Gm over F (by arithmetic from E A D G B E)."""
    changes, melody = "| Gm/F | Ebmaj7/Bb | C/E |", "| G4:2 r:2 | G4:2 r:2 | G4:2 r:2 |"
    struck = arranged(changes, melody, GUITAR).arrangement.sounding
    assert [str(step.chord) for step in struck] == ["Gm/F", "Ebmaj7/Bb", "C/E"]
    assert [step.voicing and min(step.voicing.sounding) % 12 for step in struck] == [5, 10, 4]


def test_a_bass_that_does_not_fit_is_told_and_counted_once() -> None:
    """Four strings from C4 up cannot have G, F, A and C below A4 (by arithmetic)."""
    found = arranged("| F/G | C6 |", "| A4:2 r:2 | C5:2 r:2 |").arrangement
    (told,) = told_changes(found)
    assert told.said == "F 2-0-1-0 for F/G"
    assert told.reason == "F is without the bass of F/G: G does not fit below the melody's A."
    assert len([*added_steps(found)]) == 1


def test_a_note_alone_rings_under_the_chord_that_was_struck() -> None:
    """No second name for one chord within the bar: A♭maj7 is A♭6 under its root."""
    found = arranged("| Abmaj7 | Ab6 |", "| Ab4:1 G4 r:2 | Eb4:2 r:2 |", GUITAR).arrangement
    assert [str(step.chord) for step in found.sounding] == ["Ab6", "Ab6", "Ab6"]
    assert found.sounding[1].alone


def test_rests_and_notes_alone_are_no_added_chords() -> None:
    found = arranged("| N.C. | C6 |", "| D5:4 | r:1 A4:2 r:1 |")
    assert not [*added_steps(found.arrangement)]
    chart = lead_sheet(found.arrangement)
    assert [str(one.chord) for bar in chart.bars for one in bar.changes] == ["None", "C6"]


def test_a_tune_without_melody_is_one_clear_error() -> None:
    with pytest.raises(HarmonyError, match="has no melody"):
        melody_on_top(tune_of("| C6 |"), UKULELE)


def test_the_row_is_the_cheapest_of_all_rows() -> None:
    """With the price of semitones alone, against trying all."""
    only = replace(NOTHING, semitone=1)
    tune = tune_of("| C6 |", melody="| A4 B4 C5 D5 |")
    found = melody_on_top(tune, UKULELE, weights=only, every_note=True)
    rows = [
        find_voicings(Chord.parse(name), UKULELE, wanted=Wanted(top=top))
        for name, top in (("C6", 69), ("Bdim7", 71), ("C6", 72), ("Bdim7", 74))
    ]
    costs = [
        sum(
            moved + moved**2 // 16
            for a, b in zip(row, row[1:], strict=False)
            for moved in [pair_semitones(tuple(sorted(a.sounding)), tuple(sorted(b.sounding)))]
        )
        for row in product(*rows)
    ]
    assert found.arrangement.cost == min(costs)


@given(tunes(bars=4))
@settings(max_examples=settings().max_examples // 2)
@pytest.mark.parametrize("most", [12, 15])
@pytest.mark.parametrize("instrument", [UKULELE, GUITAR], ids=["ukulele", "guitar"])
def test_the_melody_is_the_highest_pitch_wherever_it_is_not_listed(
    instrument: Instrument, most: int, tune: Tune
) -> None:
    if not tune.melody:
        return
    found = melody_on_top(tune, instrument, limits=Limits(max_fret=most), every_note=True)
    listed = {(one.onset, one.note) for one in found.listed}
    reached = Fraction(0)
    for step in found.arrangement.steps:
        assert step.onset == reached
        reached += step.beats
        sung = [s for s in tune.melody if s.onset <= step.onset < s.onset + s.beats]
        if bool(sung) != (step.voicing is not None):
            assert sung and any(one.done == SILENT for one in found.listed)
        if step.voicing is None or not sung:
            assert step.chord is None
            continue
        assert step.voicing.top % 12 == sung[0].note.pitch_class
        starts = {onset for onset, note in listed if note == sung[0].note}
        if not any(onset <= step.onset for onset in starts):
            assert step.voicing.top == sung[0].note.midi + 12 * found.octave
            assert len(step.voicing.sounding) == 4
        assert step.voicing.highest_fret <= most
    assert reached == tune.length


def test_a_note_alone_has_neither_symbol_nor_diagram_of_its_own() -> None:
    """C6 under C, B diminished under D in passing, C6 under E, then G alone."""
    tune = tune_of("| C6 |", melody="| C5 D5 E5 G5 |")
    score = shape_score(melody_on_top(tune, UKULELE).arrangement)
    (measure,) = score.measures
    symbols = measure.staves[0].symbols  # over the melody
    assert [str(symbol.chord) for symbol in symbols] == ["C6", "Bdim7", "C6"]
    assert [len(tone.notes) for tone in measure.staves[1].tones] == [4, 4, 4, 1]


@pytest.mark.parametrize("name", ["ukulele", "guitar open G", "five-string banjo"])
def test_a_seventh_chord_has_its_root_on_four_strings(name: str) -> None:
    """Without it the shape would be a triad of another name; a dominant may (common practice)."""
    way = melody_on_top("ropewalk_blues", name).arrangement
    for step in way.sounding:
        if step.chord and len(step.sounds) == 4 and len(step.chord.pcs) == 4:
            heard = {pitch % 12 for pitch in step.sounds}
            assert step.chord.root.pitch_class in heard or step.chord.is_dominant


def test_a_chord_loses_its_tensions_before_its_seventh() -> None:
    """On a low g no shape of G7 with a flat ninth has G4 on top; 4-5-3 sounds B F G, a G7."""
    found = arranged("| C6 | G7b9 |", "| E5:4 | G4:4 |", Instrument.named("ukulele low g"))
    step = next(step for step in found.arrangement.steps if step.onset == 4)
    assert str(step.chord) == "G7" and step.voicing is not None
    assert step.voicing.digits == "4-5-3-x"
    assert f"{FEWER}, {SEVENTH}" in [one.done for one in found.listed]
    assert "G7 is G7♭9 without its tensions" in step.reason


def test_where_strings_have_the_same_notes_chords_lie_low_on_the_neck() -> None:
    """A guitar joins its body at fret 12 or 14: low strings beyond are out of reach.

    Common practice, no source.
    """
    found = melody_on_top("lamp_for_the_late_boat", "guitar")
    shapes = [step.voicing for step in found.arrangement.sounding if step.voicing]
    chords = [shape for shape in shapes if len(shape.sounding) > 1]
    assert len(chords) > 40 and max(shape.highest_fret for shape in chords) <= 12
    assert not any(fret and fret > 12 for shape in shapes for fret in shape.frets[:2])
