"""The verdict on one change, at either side of every bound: of what probabilities it is made.

A verdict of 85 in 100 or more is likely; what is unlike all that is known is nobody's chord.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from small_arrangements import Arranged

from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.listening import _Listener
from harmonykit.lesson.verdicts import Heard
from harmonykit.sound.recording import STEP
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet

UKULELE = Instrument.named("ukulele")
C = Voicing.parse("0003", UKULELE)
ASKED = Heard(3, "C", "0-0-0-3", "left out")


def pcs(name: str) -> PcSet:
    return PcSet.of(*Chord.parse(name).pcs)


def verdict(
    arranged: Arranged,
    ranked: dict[str, float],
    exact: float = 1.0,
    likeness: float = 1.0,
    typical: float = 1.0,
) -> Heard:
    """Return the verdict where these chords are as probable as that, and C is asked for."""
    found = [(pcs(name), chance) for name, chance in ranked.items()]
    listener = _Listener.__new__(_Listener)
    listener.way = arranged("C=0003 | F=2010 | Am=2000")
    listener.ear = SimpleNamespace(ranked=lambda *_: (found, exact, likeness))  # type: ignore[assignment]
    return listener._judged(ASKED, C, np.zeros(3), typical)


def test_a_chord_is_as_written_from_85_in_100_on(arranged: Arranged) -> None:
    one = verdict(arranged, {"C": 0.85, "F": 0.15})
    assert (one.verdict, one.names, one.chance) == ("as written", ("C",), 0.85)
    assert verdict(arranged, {"C": 0.849, "F": 0.151}).verdict == "unclear"
    # However little it is like any: it is the one that is asked for.
    assert verdict(arranged, {"C": 0.9, "F": 0.1}, likeness=0).verdict == "as written"


def test_its_octave_is_told_where_nine_tenths_of_the_chance_are_its_own(arranged: Arranged) -> None:
    assert verdict(arranged, {"C": 1.0}, exact=0.9).octave
    assert not verdict(arranged, {"C": 1.0}, exact=0.899).octave
    assert verdict(arranged, {"C": 0.9, "F": 0.1}, exact=0.82).octave


def test_another_chord_is_heard_where_it_is_like_what_is_known(arranged: Arranged) -> None:
    one = verdict(arranged, {"F": 0.85, "C": 0.15}, likeness=0.9701)
    assert (one.verdict, one.names, one.chance) == ("another chord", ("F",), 0.85)
    # More than three hundredths less like than usual: it is none that is known.
    one = verdict(arranged, {"F": 0.85, "C": 0.15}, likeness=0.9699)
    assert (one.verdict, one.names, one.chance) == ("not as written", ("F",), 0.85)
    assert verdict(arranged, {"F": 0.849, "C": 0.151}, likeness=1).verdict == "unclear"
    assert verdict(arranged, {"F": 0.849, "C": 0.151}, likeness=0).verdict == "unclear"
    # Less like than all, and the asked one is hardly probable: not as written, whichever it is.
    one = verdict(arranged, {"F": 0.5, "Am": 0.45, "C": 0.05}, likeness=0)
    assert (one.verdict, one.names) == ("not as written", ("F",))
    assert one.chance == pytest.approx(0.95)
    one = verdict(arranged, {"F": 0.6, "Am": 0.4}, likeness=0)
    assert (one.verdict, one.chance) == ("not as written", 1.0)


def test_what_cannot_be_told_names_as_many_as_it_takes(arranged: Arranged) -> None:
    """As many as are 97 in 100 together, and three at most."""
    one = verdict(arranged, {"F": 0.55, "C": 0.42, "Am": 0.02, "Dm": 0.01})
    assert (one.verdict, one.names) == ("unclear", ("F", "C"))
    assert one.chance == pytest.approx(0.99)
    one = verdict(arranged, {"C": 0.8, "F": 0.16, "Am": 0.02, "Dm": 0.02})
    assert (one.verdict, one.names) == ("unclear", ("C", "F", "Am"))
    assert one.chance == pytest.approx(0.98)
    one = verdict(arranged, {"F": 0.3, "C": 0.3, "Am": 0.2, "Dm": 0.2})
    assert one.names == ("F", "C", "Am") and one.chance == pytest.approx(0.8)


def test_a_chord_is_called_as_the_level_calls_it_or_by_its_notes(arranged: Arranged) -> None:
    def named(notes: PcSet) -> str:
        listener = _Listener.__new__(_Listener)
        listener.way = arranged("C=0003 | Am7=0000 | Ebm=3324")
        return listener._named(notes, "C/E", C.pcs)

    # What is asked for is called what it is called there.
    assert named(C.pcs) == "C/E"
    # 0-0-0-0 is C6 or Am7: the level has Am7.  A major triad is a usual shape.
    assert named(pcs("C6")) == "Am7" and named(pcs("D")) == "D"

    # Three notes that no chord has alone.
    assert named(PcSet.of(0, 1, 4)) in ("the notes C, C♯ and E", "the notes C, D♭ and E")


@pytest.mark.parametrize(
    ("long", "heard", "sounds"),
    [(20, 3, True), (20, 2, False), (20, 0, False), (2, 2, True), (2, 1, False), (3, 3, True)],
)
def test_a_chord_sounds_where_three_moments_do_or_all_that_there_are(
    long: int,
    heard: int,
    sounds: bool,  # noqa: FBT001
) -> None:
    """From 120 ms behind its start, when strings are struck, to 40 ms before its end."""
    first, over = 50 + round(0.12 / STEP), round(0.04 / STEP)
    listener = _Listener.__new__(_Listener)
    strengths = np.arange(200.0)[:, None] * np.ones(12)
    listener.sound = SimpleNamespace(strengths=strengths)  # type: ignore[assignment]
    listener.silent = np.ones(200, dtype=bool)
    listener.silent[first : first + heard] = False
    # What rings before and behind does not count.
    listener.silent[:first] = listener.silent[first + long :] = False
    found = listener._sounding(50, first + long + over)
    assert (found is not None) is sounds
    if found is not None:
        assert found == pytest.approx([first + (heard - 1) / 2] * 12)
