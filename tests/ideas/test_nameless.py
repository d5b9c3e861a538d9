"""Notes that no usual chord has: what is said of them is true, and something is said or told.

Which sets of four hold each interval once: Forte 1973, appendix 1, names 4-Z15 and 4-Z29.
"""

from __future__ import annotations

from pathlib import Path

from harmonykit.draw.sets.clock import draw_clock
from harmonykit.fretboard.shapes.voicing import Instrument
from harmonykit.ideas.finder import discover
from harmonykit.ideas.finding import Finding
from harmonykit.ideas.nameless import nameless
from harmonykit.ideas.source import Source, as_source
from harmonykit.lesson.draft.of_finding import write_lesson_of
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.sets.setclass import set_classes

_ONCE = "occurs just once"
# Half steps above the tonic: common practice, no source.
_STEPS = {"major": (0, 2, 4, 5, 7, 9, 11), "harmonic minor": (0, 2, 3, 5, 7, 8, 11),
          "melodic minor": (0, 2, 3, 5, 7, 9, 11), "whole tone": (0, 2, 4, 6, 8, 10),
          "octatonic half-whole": (0, 1, 3, 4, 6, 7, 9, 10)}  # fmt: skip


def of_notes(*pcs: int) -> tuple[Source, list[Finding]]:
    source = as_source(" ".join(map(str, pcs)), None)
    return source, list(nameless(source))


def test_what_the_notebook_asks_has_an_answer_that_can_be_shown_and_drafted(tmp_path: Path) -> None:
    found = discover("0 1 4 6", "ukulele")
    assert {each.kind for each in found} >= {"turns into", "within", "how even"}
    tune, ukulele = read_tune("heron_landing"), Instrument.named("ukulele")
    for each in found:
        source = as_source(each.teach.source, None)
        assert source.pcs == PcSet.of(0, 1, 4, 6)
        assert draw_clock(source.pcs).svg
        assert write_lesson_of(each, tmp_path, tune, "heron_landing", ukulele).is_file()


def test_just_two_classes_of_four_notes_hold_each_interval_once() -> None:
    once = {
        each.prime_form
        for each in set_classes()
        if each.size == 4 and any(_ONCE in one.statement for one in of_notes(*each.prime_form)[1])
    }
    assert once == {(0, 1, 4, 6), (0, 1, 3, 7)}


def test_each_chord_near_differs_by_one_note_and_a_half_step() -> None:
    told = 0
    for pcs in [each.prime_form for each in set_classes() if 3 <= each.size <= 4]:
        source, found = of_notes(*pcs)
        for one in found:
            for symbol in one.teach.target.split() if one.kind == "turns into" else ():
                sounds = set(Chord.parse(symbol).pcs)
                (gone,), (come,) = set(pcs) - sounds, sounds - set(pcs)
                assert (come - gone) % 12 in (1, 11), (source.name, symbol)
                told += 1
    assert told > 5


def test_each_scale_that_is_told_holds_the_notes_and_none_is_left_out() -> None:
    for pcs in ((0, 1, 4, 6), (0, 1, 3, 7), (0, 1, 6, 7), (0, 1, 3, 4), (0, 2, 4, 6)):
        _, found = of_notes(*pcs)
        held = {
            frozenset((tonic + step) % 12 for step in steps)
            for steps in _STEPS.values()
            for tonic in range(12)
        }
        count = sum(set(pcs) <= scale for scale in held)
        (told,) = [one for one in found if one.kind == "within"] or [None]
        if told is None:
            assert count == 0 or count > 6
        else:
            assert told.proof.count(": ") == count
