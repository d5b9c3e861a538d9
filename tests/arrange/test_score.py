"""Scores: valid by the standard's schema, and the same chords and notes when read again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import groupby, pairwise
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.block.melody import melody_on_top
from harmonykit.arrange.score import to_musicxml
from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.files import read_tune, write_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.tune.bar import BarNote
from harmonykit.tune.tune import Bar, Section, Tune
from harmonykit.tune.words import Syllable

Arranged = Callable[..., Arrangement]

# Chords on and off the beat, a foreign bass, silence, altered notes, a tie inside the bar.
MANY = (
    "C=0003 F#m7b5:2=2423 | Bb7=1211 C#dim7:5/2=0101 | Ebm7b5=2222 D7/F#:2=2223 NC:3 "
    "| G7b9=1212 C6/9:3=2233 | C6/9=2233"
)


def xml(arrangement: Arrangement) -> Element:
    root: Element = fromstring(to_musicxml(arrangement))
    return root


def with_melody(arrangement: Arrangement) -> Arrangement:
    """Return it with a melody that is tied over the first bar line."""
    first, *rest = arrangement.tune.bars
    held = BarNote(Note.parse("E5"), Fraction(1), first.length - 1, tied=True)
    opens = replace(first, melody=(held,))
    second = replace(rest[0], melody=(BarNote(Note.parse("E5"), Fraction(0), Fraction(3, 2)),))
    sections = (Section("A", (opens, second, *rest[1:])),)
    return replace(arrangement, tune=replace(arrangement.tune, sections=sections))


def test_the_score_is_valid(arranged: Arranged, schema: Any) -> None:
    for arrangement in (
        arranged(MANY, key="Bb"),
        with_melody(arranged(MANY, key="F#m")),
        arranged("C=0003 | F=2010 | NC", (6, 8), pickup=Fraction(1, 2)),
        arranged("E=022100 | A=x02220", (5, 4), 97.5, "guitar"),
    ):
        schema.validate(to_musicxml(arrangement))


def test_its_chords_read_back_through_the_library(arranged: Arranged, tmp_path: Path) -> None:
    arrangement = arranged(MANY, key="Bb")
    path = tmp_path / "score.musicxml"
    path.write_text(to_musicxml(arrangement), encoding="utf-8")
    tune = read_tune(path)
    found = [(str(c.chord), c.onset, c.beats) for c in tune.changes]
    meant = [(str(s.chord), s.onset, s.beats) for s in arrangement.steps]
    # The last chord lasts on over a bar line: one change, two steps.
    *meant, before, last = meant
    assert before[0] == last[0]
    assert found == [*meant, (before[0], before[1], before[2] + last[2])]
    assert (tune.title, str(tune.key), tune.meter, tune.tempo) == (
        *("Ebb at the Weir", "Bb major", (4, 4), 120),
    )


def test_its_notes_are_those_of_the_shapes(arranged: Arranged) -> None:
    """Read by music21: the notes that start with each symbol are those of its shape."""
    from music21 import converter

    arrangement = arranged(MANY, key="Bb")
    score = converter.parseData(to_musicxml(arrangement), format="musicxml")
    found = score.parts[-1].flatten().getElementsByClass("Chord")
    chords = [c for c in found if "ChordSymbol" not in c.classes]
    sounding = {Fraction(c.offset): tuple(sorted(p.midi for p in c.pitches)) for c in chords}
    for step in arrangement.steps:
        if step.voicing is not None:
            assert sounding[step.onset] == step.sounds
    names = [p.nameWithOctave for p in chords[0].pitches]
    assert names == ["C4", "E4", "G4", "C5"]


@pytest.mark.parametrize("bars", [MANY, "C=0003 | F=2010 F#dim7:7/2=2323 | C=0003"])
def test_every_bar_is_full(arranged: Arranged, bars: str) -> None:
    root = xml(arranged(bars))
    divisions = int(root.findtext("part/measure/attributes/divisions") or 0)
    for measure in root.iterfind("part/measure"):
        lengths = [
            int(n.findtext("duration") or 0)
            for n in measure.findall("note")
            if n.find("chord") is None
        ]
        assert sum(lengths) == 4 * divisions
    # RP-001 cannot hold more ticks a quarter: the standard's own advice on divisions.
    assert divisions <= 16383


def test_a_symbol_stands_before_its_own_notes_and_once(arranged: Arranged) -> None:
    measures = xml(arranged("C=0003 | C=0003 | C=5433 F:2=2010")).findall("part/measure")
    symbols = [[h.findtext("root/root-step") for h in m.findall("harmony")] for m in measures]
    # The same chord in another shape is another symbol with another frame.  Both shapes have two
    # strings at one pitch, which is written once.
    assert symbols == [["C"], [], ["C", "F"]]
    last = [child.tag for child in measures[2] if child.tag in ("harmony", "note")]
    assert last == ["harmony", *["note"] * 3, "harmony", *["note"] * 3]


def test_a_pickup_is_bar_0_and_not_counted(arranged: Arranged) -> None:
    measures = xml(arranged("C=0003 | F=2010", pickup=Fraction(1))).findall("part/measure")
    assert [(m.get("number"), m.get("implicit")) for m in measures] == [("0", "yes"), ("1", "no")]


def test_a_low_instrument_is_written_an_octave_up(arranged: Arranged) -> None:
    guitar = xml(arranged("E=022100", instrument="guitar"))
    assert guitar.findtext(".//clef/clef-octave-change") == "-1"
    assert guitar.findtext(".//note/pitch/octave") == "2"
    assert xml(arranged("C=0003")).find(".//clef/clef-octave-change") is None


def test_a_melody_has_a_part_of_its_own_and_is_tied_over_the_bar(arranged: Arranged) -> None:
    root = xml(with_melody(arranged(MANY)))
    assert [p.text for p in root.iterfind("part-list/score-part/part-name")] == [
        *("Melody", "Ukulele"),
    ]
    melody = root.find("part")
    # Symbols and frames stand over the melody, where a player reads.
    assert melody is not None and len(melody.findall(".//harmony/frame")) == 8
    ties = [t.get("type") for n in melody.iter("note") for t in n.findall("tie")]
    assert ties == ["start", "stop"]
    assert len(root.findall("part[1]//harmony")) == 9
    assert root.find("part[2]//harmony") is None


def test_the_tempo_counts_the_metres_beats_and_sounds_in_quarters(arranged: Arranged) -> None:
    root = xml(arranged("C=0003", (6, 8), tempo=90))
    metronome = root.find(".//metronome")
    assert metronome is not None and metronome.find("beat-unit-dot") is not None
    assert metronome.findtext("per-minute") == "60"
    assert float(root.find(".//sound[@tempo]").get("tempo")) == 90  # type: ignore
    assert 'tempo="84"' in to_musicxml(arranged("C=0003"), tempo=84)


def test_sections_are_marked_and_metres_change(arranged: Arranged) -> None:
    arrangement = arranged("C=0003 | F=2010 | C=0003")
    one, two, last = arrangement.tune.bars
    three = Bar.of((3, 4), [(Chord.parse("F"), Fraction(0))])
    sections = (Section("Verse", (one,)), Section("Bridge", (three,)), Section("End", (last,)))
    tune = replace(arrangement.tune, sections=sections, order=("Verse", "Bridge", "End"))
    first, second, third = arrangement.steps
    steps = (
        first,
        replace(second, beats=Fraction(3)),
        replace(third, onset=Fraction(7)),
    )
    root = xml(replace(arrangement, tune=tune, steps=steps))
    assert [r.text for r in root.iter("rehearsal")] == ["Verse", "Bridge", "End"]
    assert [b.text for b in root.iter("beats")] == ["4", "3", "4"]


def test_the_same_arrangement_gives_the_same_bytes_without_a_date(arranged: Arranged) -> None:
    one, other = (to_musicxml(with_melody(arranged(MANY))) for _ in range(2))
    assert one == other
    assert "encoding-date" not in one and "Music21" not in one


def test_title_composer_and_rights_are_those_of_the_tune(arranged: Arranged) -> None:
    arrangement = arranged("C=0003")
    tune = replace(arrangement.tune, composer="the quay class", rights="free to copy")
    root = xml(replace(arrangement, tune=tune))
    assert root.findtext("work/work-title") == "Ebb at the Weir"
    assert [c.text for c in root.iterfind("identification/creator")] == ["the quay class"]
    assert root.findtext("identification/rights") == "free to copy"
    assert (
        fromstring(to_musicxml(arrangement, title="Low Water")).findtext("work/work-title")
        == "Low Water"
    )


def test_a_step_cut_into_tied_values_stays_one_length(arranged: Arranged) -> None:
    # Five eighths cannot be one note: half and eighth, tied.
    root = xml(arranged("C=0003 F:5/2=2010"))
    notes = [n for n in root.iter("note") if n.find("chord") is None]
    kinds = [(n.findtext("type"), [t.get("type") for t in n.findall("tie")]) for n in notes]
    assert [k for k, _ in groupby(kinds)] == [
        ("half", ["start"]),
        ("eighth", ["stop"]),
        ("quarter", []),
    ]


def test_a_fermata_is_held_by_the_shape_and_by_the_melody(arranged: Arranged) -> None:
    arrangement = with_melody(arranged("C=0003 | F=2010"))
    first, second = arrangement.tune.bars
    bars = (replace(first, fermatas=(Fraction(2),)), second)
    tune = replace(arrangement.tune, sections=(Section("A", bars),))
    for part in xml(replace(arrangement, tune=tune)).findall("part"):
        notes = [n for n in part[0].findall("note") if n.find("chord") is None]
        held = [n.find("notations/fermata") is not None for n in notes]
        # The note is cut and tied where the fermata stands, on the third quarter.
        lengths = [n.findtext("type") for n in notes[held.index(True) :]]
        assert held.count(True) == 1 and lengths == ["half"]


def test_what_completes_a_bar_bears_its_number(arranged: Arranged) -> None:
    arrangement = arranged("C=0003 | F=2010 | C=0003")
    one, two, three = arrangement.tune.bars
    short = replace(one, length=Fraction(3), changes=(replace(one.changes[0], beats=Fraction(3)),))
    rest = replace(two, length=Fraction(1), changes=(replace(two.changes[0], beats=Fraction(1)),))
    tune = replace(arrangement.tune, sections=(Section("A", (three, short, rest, three)),))
    first, second, third = arrangement.steps
    steps = (
        first,
        replace(second, bar=1, onset=Fraction(4), beats=Fraction(3)),
        replace(third, bar=2, onset=Fraction(7), beats=Fraction(1)),
        replace(third, bar=3, onset=Fraction(8), beats=Fraction(4)),
    )
    measures = xml(replace(arrangement, tune=tune, steps=steps)).findall("part/measure")
    numbers = [(m.get("number"), m.get("implicit")) for m in measures]
    assert numbers == [("1", "no"), ("2", "no"), ("2", "yes"), ("3", "no")]


@pytest.mark.parametrize(
    ("strings", "frets", "clef"),
    [
        # Common practice, no source: what the clefs of these instruments are.
        ("G4 C4 E4 A4", "0003", ("G", None)),
        ("E2 A2 D3 G3 B3 E4", "x32010", ("G", "-1")),
        ("E1 A1 D2 G2", "3200", ("F", "-1")),
    ],
)
def test_an_instrument_has_the_clef_of_its_range(
    arranged: Arranged, strings: str, frets: str, clef: tuple[str, str | None]
) -> None:
    instrument = Instrument.parse(strings)
    arrangement = arranged("C=0003")
    step = replace(arrangement.steps[0], voicing=Voicing.parse(frets, instrument))
    found = xml(replace(arrangement, instrument=instrument, steps=(step,))).find(".//clef")
    assert found is not None
    assert (found.findtext("sign"), found.findtext("clef-octave-change")) == clef


def test_words_stand_under_the_melody_and_once_at_a_tied_note(arranged: Arranged) -> None:
    arrangement = with_melody(arranged("C=0003 | F=2010"))
    first, second = arrangement.tune.bars
    sung = replace(first.melody[0], words=(Syllable("tide"),))
    bars = (replace(first, melody=(sung,)), second)
    tune = replace(arrangement.tune, sections=(Section("A", bars),))
    melody, shapes = xml(replace(arrangement, tune=tune)).findall("part")
    assert [text.text for text in melody.iter("text")] == ["tide"]
    assert shapes.find(".//lyric") is None


def _alike(arrangement: Arrangement) -> Arrangement:
    """Return an arrangement that plays each chord in one shape, as it does first."""
    first: dict[Chord | None, Voicing | None] = {}
    steps = (
        replace(step, voicing=first.setdefault(step.chord, step.voicing))
        for step in arrangement.steps
    )
    return replace(arrangement, steps=tuple(steps))


def test_repeats_and_endings_are_those_of_the_tune(schema: Any, tmp_path: Path) -> None:
    """Read by music21 and played out: the same notes at the same moments."""
    from music21 import converter, repeat

    tune = Tune.parse("|: C6 | F6 |1 G7 | C6 :|2 Dm7 G7 | C6 |", key="C")
    arrangement = _alike(reharmonise(tune, "ukulele", (), k=1)[0])
    text = to_musicxml(arrangement)
    schema.validate(text)
    root = fromstring(text)
    assert len(root.findall("part[1]/measure")) == 6
    assert [e.get("number") for e in root.iter("ending") if e.get("type") == "start"] == ["1", "2"]
    assert len(root.findall(".//sound[@tempo]")) == len(root.findall(".//metronome")) == 1
    played = repeat.Expander(converter.parseData(text, format="musicxml").parts[0]).process()
    chords = [
        (Fraction(c.getOffsetInHierarchy(played)), tuple(sorted(p.midi for p in c.pitches)))
        for c in played.flatten().getElementsByClass("Chord")
        if "ChordSymbol" not in c.classes
    ]
    assert [each for each, _ in groupby(chords)] == [(s.onset, s.sounds) for s in arrangement.steps]
    path = tmp_path / "weir.musicxml"
    path.write_text(text, encoding="utf-8")
    read = read_tune(path)
    assert [c.chord for c in read.changes] == [c.chord for c in tune.changes]
    assert len(read.bars) == len(tune.bars)


def test_passes_that_differ_are_written_out() -> None:
    tune = Tune.parse("|: C6 | G7 :|", key="C")
    arrangement = _alike(reharmonise(tune, "ukulele", (), k=1)[0])
    *steps, last = arrangement.steps
    other = replace(last, voicing=Voicing.parse("4-5-3-5", Instrument.named("ukulele")))
    root = xml(replace(arrangement, steps=(*steps, other)))
    assert len(root.findall("part/measure")) == 4 and root.find(".//repeat") is None
    assert len(xml(arrangement).findall("part/measure")) == 2


# Invented: with a pick-up, a repeat with two endings, and words to sing.
SUNG = """X:1
T:Ebb at the Weir
M:3/4
L:1/4
K:G
D|"G"G2 B|"Am7"c2 A|1 "D7"F2 A|"G"G2 D:|2 "D7"A2 F|"G"G3|]
"""


@pytest.mark.parametrize("given", ["ropewalk_blues", SUNG])
def test_the_melody_is_read_again_from_the_score(given: str, tmp_path: Path) -> None:
    typed, path = tmp_path / "typed.abc", tmp_path / "score.musicxml"
    typed.write_text(given, encoding="utf-8")
    tune = read_tune(typed if "\n" in given else given)
    path.write_text(to_musicxml(reharmonise(tune, "ukulele", (), k=1)[0]), encoding="utf-8")
    read = read_tune(path)
    sung = [(note.note, note.onset, note.beats) for note in tune.melody]
    assert sung and [(note.note, note.onset, note.beats) for note in read.melody] == sung
    # A chord that goes on is not written again.
    once = [[chord for chord, _ in groupby(c.chord for c in t.changes)] for t in (read, tune)]
    assert once[0] == once[1]


def test_words_without_a_melody_stand_at_the_first_notes_of_their_bars(tmp_path: Path) -> None:
    """Read by music21: a song of which only chords and words are known."""
    from music21 import converter, harmony

    tune = Tune.parse("|: C | F G7 :|\n| row to | the lee |\n| sail to | |")
    (plain,) = reharmonise(tune, "ukulele", (), k=1)
    read = converter.parse(to_musicxml(plain), format="musicxml")
    notes = [n for n in read.recurse().notes if not isinstance(n, harmony.ChordSymbol)]
    said = [(n.measureNumber, n.offset, [one.text for one in n.lyrics]) for n in notes if n.lyrics]
    assert said == [(1, 0, ["row to", "sail to"]), (2, 0, ["the lee"])]
    # As a lead sheet the words stand under rests, and come back.
    path = tmp_path / "song.musicxml"
    write_tune(tune, path)
    again = read_tune(path)
    assert [bar.lyric for bar in again.bars] == [("row to", "sail to"), ("the lee",)]
    assert again.form.turns == tune.form.turns


TIED = """
format = 1
title = "Bollard"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "| C6 | G7 | {early} C6@4 | Dm7 | C6 |"
melody = "| C5:2 B4:2~ | B4:2 D5:2 | A4:2 C5:2~ | C5:4 | C5:4 |"
""".replace("{early}", "G7@1")


def test_a_chord_melody_ties_the_note_that_the_melody_holds() -> None:
    """As the melody's staff has it: B4 over the bar line, C5 over G7, C6 and Dm7, struck once."""
    way = melody_on_top(Tune.parse(TIED), "ukulele").arrangement
    sung, played = xml(way).findall("part")
    for part in (sung, played):
        struck = [
            note.findtext("pitch/step")
            for measure in part.iterfind("measure")
            for note in _tops(measure)
            if "stop" not in [tie.get("type") for tie in note.findall("tie")]
        ]
        assert struck == list("CBDACC")
    ends = [tie.get("type") for note in played.iter("note") for tie in note.findall("tie")]
    assert ends.count("start") == ends.count("stop") > 1
    drawn = [tie.get("type") for tie in played.iter("tied")]
    assert drawn == ends


def _tops(measure: Element) -> list[Element]:
    """Return the last note of each chord: notes come from the lowest."""
    notes = [note for note in measure.findall("note") if note.find("pitch") is not None]
    return [
        note
        for note, after in pairwise([*notes, None])
        if note is not None and (after is None or after.find("chord") is None)
    ]
