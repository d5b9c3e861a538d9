"""What was decided belongs to its tune, fits it, and comes back from the file that keeps it."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from harmonykit.arrange.slots import slots_of
from harmonykit.score.typed import read_typed
from harmonykit.theory.chord import Chord
from harmonykit.workbook.reharmonise.decisions import Decisions, from_plain, mark_of, to_plain
from harmonykit.workbook.reharmonise.state import ReharmoniseState, toggled, with_tune

BLUES = "| F7 | Bb7 | F7 | F7 |"
SONG = (
    'format = 1\ntitle = "{}"\nkey = "C"\nmeter = "4/4"\n[[sections]]\nname = "A"\nchanges = "{}"'
)
moments = st.fractions(0, 64, max_denominator=4)
chords = st.sampled_from([Chord.parse(name) for name in ("C6", "F#dim7", "Bbm7b5", "Eb7/G")])
rows = st.lists(st.tuples(chords | st.none(), moments, moments), min_size=1, max_size=3)
decisions = st.builds(
    Decisions,
    locked=st.frozensets(st.integers(0, 40)),
    wanted=st.lists(rows.map(tuple), max_size=3).map(tuple),
    refused=st.lists(st.tuples(moments, chords), max_size=3).map(tuple),
    contours=st.lists(st.sampled_from(["", "rise", "valley"]), max_size=4).map(tuple),
    key=st.sampled_from(["", "A minor"]),
)


@given(decisions)
def test_decisions_come_back_from_plain_values(decided: Decisions) -> None:
    assert from_plain(to_plain(decided)) == decided


def test_another_tune_has_other_locks_and_each_has_its_own_again() -> None:
    titled = SONG.format("Mooring", "| C6 | A7 |")
    first = toggled(ReharmoniseState(text=BLUES), 2)
    second = with_tune(first, titled, "mooring.toml")
    assert second.locked == frozenset()
    both = toggled(second, 1)
    assert with_tune(both, BLUES, "").locked == {2}
    assert with_tune(with_tune(both, BLUES, ""), titled, "").locked == {1}
    # A tune that is typed on is the same one; so is a titled one whose chords are changed.
    assert with_tune(first, f"{BLUES} Bb7 | Bb7 |", "").locked == {2}
    assert with_tune(both, SONG.format("Mooring", "| G6 | E7 | Am7 |"), "").locked == {1}


def test_what_cannot_be_read_is_no_other_tune() -> None:
    state = toggled(ReharmoniseState(text=BLUES), 2)
    faulty = with_tune(state, "| F7 | Hx |", "")
    assert faulty.locked == {2} and with_tune(faulty, BLUES, "").locked == {2}
    assert with_tune(faulty, "| Gm6 | Cm6 | D7 |", "").locked == frozenset()
    assert mark_of("| Hx |") == ""


def test_what_does_not_fit_the_tune_is_passed_over() -> None:
    slots = slots_of(read_typed("| C6 | A7 | Dm7 | G7 |"))
    chord, bar = Chord.parse("Bb7"), Fraction(4)
    fits = ((chord, bar, bar),)
    decided = Decisions(
        wanted=(fits, ((chord, bar, Fraction(2)),), ((chord, Fraction(1), bar),)),
        refused=((bar, chord), (Fraction(99), chord)),
    )
    fitting = decided.fitting(slots)
    assert (fitting.wanted, fitting.refused) == ((fits,), ((bar, chord),))


def test_what_is_wanted_stands_once_at_each_moment_in_order() -> None:
    late, early = ((None, Fraction(8), Fraction(4)),), ((None, Fraction(0), Fraction(4)),)
    other = ((Chord.parse("C6"), Fraction(8), Fraction(4)),)
    decided = Decisions().want([late]).want([early, other])
    assert decided.wanted == (early, other) and decided.at(Fraction(8)) == other
    slot = slots_of(read_typed("| C6 | A7 | Dm7 |"))[2]
    refused = decided.refuse(slot, Chord.parse("C6"))
    assert refused.wanted == (early,) and refused.allow(0).refused == ()


def test_a_contour_is_of_its_phrase() -> None:
    decided = Decisions().with_contour(2, "rise")
    assert decided.contours == ("", "", "rise")
    assert decided.with_contour(0, "fall").with_contour(2, "").contours == ("fall",)
