"""Repeated bars played alike: laws, and a repeat that a score can keep."""

from __future__ import annotations

from dataclasses import replace

from harmonykit.arrange.passes import alike_each_time, in_its_form
from harmonykit.arrange.score import folded_score
from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune


def shape(digits: str) -> Voicing:
    return Voicing.parse(digits, Instrument.named("ukulele"))


def test_bars_have_the_shapes_of_the_last_time() -> None:
    tune = Tune.parse("|: C6 | F6 |1 G7 :|2 Dm7 |", key="C")
    way = reharmonise(tune, "ukulele", (), k=1)[0]
    rows = ["0000", "2213", "0212", "2433", "2213", "2213"]
    steps = [replace(s, voicing=shape(row)) for s, row in zip(way.steps, rows, strict=True)]
    way = replace(way, steps=tuple(steps))
    assert folded_score(way) is None
    alike, changed = alike_each_time(way)
    assert changed == (1,)
    assert [s.voicing for s in alike.steps] == [shape(row) for row in ["2433", *rows[1:]]]
    for before, after in zip(way.steps, alike.steps, strict=True):
        assert replace(after, voicing=before.voicing) == before
    folded = folded_score(alike)
    assert folded and [m.closes for m in folded.measures] == [0, 0, 2, 0]
    assert alike_each_time(alike) == (alike, ())


def test_chords_that_differ_stay() -> None:
    way = reharmonise(Tune.parse("|: C6 | G7 :|", key="C"), "ukulele", (), k=1)[0]
    first, *rest = way.steps
    other = replace(first, chord=way.steps[1].chord, voicing=shape("0212"))
    way = replace(way, steps=(other, *rest))
    alike, changed = alike_each_time(way)
    assert alike.steps[0] == other and 1 not in changed
    assert folded_score(alike) is None


def test_a_tune_keeps_its_form_where_chords_are_the_same_each_time() -> None:
    tune = Tune.parse("|: C6 | F6 |1 G7 :|2 Dm7 |", key="C")
    way = reharmonise(tune, "ukulele", ["passing diminished"], k=1)[0]
    plain = replace(way, steps=reharmonise(tune, "ukulele", (), k=1)[0].steps)
    assert in_its_form(plain).bars == tune.bars
    # By hand: the second time the first bar has Am7.
    *before, first, then, last = plain.steps
    other = replace(first, chord=Chord.parse("Am7"), voicing=shape("0000"))
    found = in_its_form(replace(plain, steps=(*before, other, then, last)))
    names = ["C6", "F6", "G7", "Am7", "F6", "Dm7"]
    assert [str(played.bar.changes[0].chord) for played in found.playing] == names
