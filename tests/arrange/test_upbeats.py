"""Repeats with pick-ups of every kind keep their signs on paper: music21 unfolds them alike."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby
from pathlib import Path

import pytest
from music21 import converter, harmony, stream

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.passes import in_its_form, on_paper
from harmonykit.arrange.score import folded_score, to_musicxml
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.written import has_signs, otherwise_again
from harmonykit.cli.comparing import write_way
from harmonykit.paths import shipped
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune

# Each form with what is played, bar after bar, by hand: "-" for a pick-up without a chord.
FORMS = {
    "inside": ("|: {1 quarter} - | C | F | {3 quarters} G7 :|", "- C F G7 - C F G7"),
    "before": ("| {1 quarter} - |: C | F | G7 :|", "- C F G7 C F G7"),
    "no sign, with room": ("| {1 quarter} - | C | F | {3 quarters} G7 :|", "- C F G7 - C F G7"),
    "no sign, no room": ("| {1 quarter} - | C | F | G7 :|", "- C F G7 C F G7"),
    "endings": (
        "| {1 quarter} - |: C | F | [1 G7 :| [2 Am |", "- C F G7 C F Am",
    ),
    "endings, inside": (
        "|: {1 quarter} - | C | F | [1 {3 quarters} G7 :| [2 {3 quarters} Am |",
        "- C F G7 - C F Am",
    ),
    "both strains": (
        "|: {1 quarter} - | C | F | {3 quarters} G7 :"
        "|: {1 quarter} - | Am | Dm | {3 quarters} E7 :|",
        "- C F G7 - C F G7 - Am Dm E7 - Am Dm E7",
    ),
    "with a chord": (
        "|: {1 quarter} G7 | C | F | {3 quarters} C :|", "G7 C F C G7 C F C",
    ),
    "three times": (
        "|: {1 quarter} - | C | F | {3 quarters} G7 :| x3", "- C F G7 - C F G7 - C F G7",
    ),
    "from the top": (
        "| {1 quarter} - |: C | F {fine} :| Dm | {3 quarters} G7 {D.C. al fine} |",
        "- C F C F Dm G7 - C F",
    ),
    "coda": (
        "| {1 quarter} - | C | F {to coda} | Dm | {3 quarters} G7 {D.C. al coda} | {coda} Am | C |",
        "- C F Dm G7 - C F Am C",
    ),
}  # fmt: skip


def of_form(name: str) -> Tune:
    return Tune.parse(FORMS[name][0], key="C")


def heard(text: str) -> list[list[tuple[int, ...]]]:
    """Return the pitches of each bar of the shapes as music21 plays the score, rests left out."""
    part = converter.parseData(text, format="musicxml").parts[-1]
    return [
        [
            tuple(sorted(pitch.midi for pitch in each.pitches))
            for each in bar.recurse().notes
            if not isinstance(each, harmony.ChordSymbol)
        ]
        for bar in part.expandRepeats().getElementsByClass(stream.Measure)
    ]


def chords_of(tune: Tune) -> list[tuple[Chord | None, object]]:
    rows = [(change.chord, change.onset) for change in tune.changes]
    return [next(each) for _, each in groupby(rows, key=lambda row: row[0])]


@pytest.mark.parametrize("name", FORMS)
def test_a_repeat_with_a_pickup_keeps_its_signs(name: str) -> None:
    tune = of_form(name)
    way = on_paper(reharmonise(tune, "ukulele", (), k=1)[0])[0]
    folded = folded_score(way)
    assert folded and len(folded.measures) == len(tune.bars)
    hand = FORMS[name][1].split()
    bars = heard(to_musicxml(way))
    assert len(bars) == len(hand)
    for chord, bar, steps in zip(hand, bars, way.bars(), strict=True):
        if chord == "-":
            assert bar == []
        else:
            assert {pitch % 12 for each in bar for pitch in each} == set(Chord.parse(chord).pcs)
            assert bar == [tuple(sorted(set(step.sounds))) for step in steps]


@pytest.mark.parametrize("name", FORMS)
def test_a_tune_keeps_its_form_over_a_pickup(name: str) -> None:
    tune = of_form(name)
    way = reharmonise(tune, "ukulele", (), k=1)[0]
    again = Tune.parse(write_text(in_its_form(way)))
    assert len(again.bars) == len(tune.bars)
    assert [p.onset for p in again.playing] == [p.onset for p in tune.playing]
    assert chords_of(again) == chords_of(tune)


def test_what_differs_at_the_end_has_endings_and_elsewhere_is_written_out() -> None:
    way = reharmonise(
        Tune.parse("|: {1 quarter} - | C | F | Am | {3 quarters} G7 :|"), "ukulele", (), k=1
    )[0]
    last = [step for step in way.bars()[-1] if step.voicing][0]
    first = [step for step in way.bars()[1] if step.voicing][0]
    ended = swapped(way, last, first)
    paper = on_paper(ended)[0]
    score = folded_score(paper)
    assert score and [measure.ending for measure in score.measures] == [(), (), (), (), (1,), (2,)]
    assert heard(to_musicxml(paper))[-1] == [tuple(sorted(set(first.sounds)))]
    early = swapped(way, [step for step in way.bars()[6] if step.voicing][0], last)
    assert on_paper(early)[0].tune == way.tune
    assert otherwise_again(early) == (1,)
    assert folded_score(on_paper(early)[0]) is None


def swapped(way: Arrangement, step: Step, other: Step) -> Arrangement:
    """Return an arrangement in which a step has the chord and the shape of another."""
    new = replace(step, chord=other.chord, voicing=other.voicing)
    return replace(way, steps=tuple(new if one is step else one for one in way.steps))


def test_every_shipped_tune_is_written_as_it_is_played() -> None:
    for name in shipped("tunes"):
        way = on_paper(reharmonise(name, "ukulele", (), k=1)[0])[0]
        score = folded_score(way)
        assert (score is None) == (not has_signs(way.tune)), name
        assert score is None or len(heard(to_musicxml(way))) == len(way.tune.playing)
        again = Tune.parse(write_text(in_its_form(way)))
        assert len(again.bars) == len(way.tune.bars), name
        assert chords_of(again) == chords_of(way.tune), name


def test_what_became_of_the_repeats_is_said(tmp_path: Path) -> None:
    tune = Tune.parse("|: {1 quarter} - | C | F | Am | {3 quarters} G7 :|")
    way = reharmonise(tune, "ukulele", (), k=1)[0]
    said = write_way(way, tmp_path / "same.toml") + write_way(way, tmp_path / "same.musicxml")
    assert "differ" not in said and "written out" not in said
    steps = [step for step in way.steps if step.voicing]
    ended = swapped(way, steps[-1], steps[0])
    for name in ("end.toml", "end.musicxml"):
        assert "repeats and endings are not the tune's own" in write_way(ended, tmp_path / name)
    assert [b.ending for b in read_tune(tmp_path / "end.toml").bars][-2:] == [(1,), (2,)]
    said = write_way(swapped(way, steps[5], steps[-1]), tmp_path / "out.musicxml")
    assert "Bar 1 is not played alike each time: all is written out" in said


def test_a_title_names_the_last_arrangement_alone(tmp_path: Path) -> None:
    tune = replace(Tune.parse("| C | F |"), title="Tar Barrel (old) (walking) (plain)")
    way = replace(reharmonise(tune, "ukulele", (), k=1)[0], name="rich")
    for name in ("way.toml", "way.musicxml"):
        write_way(way, tmp_path / name)
        assert read_tune(tmp_path / name).title == "Tar Barrel (old) (rich)"
