"""What is said of a recording, word for word, at either side of every bound."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.lesson.verdicts import ALIKE, Heard, Hearing

C = Heard(3, "C", "0-0-0-3", "as written", ("C",), 1.0, 65.9)


@pytest.mark.parametrize(
    ("seconds", "clock"),
    [(0, "0:00"), (9.99, "0:09"), (59.9, "0:59"), (60, "1:00"), (65.9, "1:05"), (600, "10:00")],
)
def test_a_place_is_told_in_minutes_and_seconds(seconds: float, clock: str) -> None:
    assert replace(C, seconds=seconds).clock == clock


@pytest.mark.parametrize(
    ("verdict", "names", "told"),
    [
        ("as written", ("C",), "C heard (sure)"),
        ("another chord", ("F", "Dm"), "F heard, not C (sure)"),
        ("not as written", ("F",), "not C (sure); it resembles F"),
        ("unclear", ("F", "C"), "F or C, cannot tell"),
        ("unclear", (), "several chords, cannot tell"),
        ("nothing", (), "nothing heard"),
        ("left out", (), "left out"),
    ],
)
def test_every_verdict_has_its_words(verdict: str, names: tuple[str, ...], told: str) -> None:
    one = replace(C, verdict=verdict, names=names)
    assert one.told == told
    assert one.right == (verdict == "as written")
    if "(sure)" in told:
        assert one.sure
        less = replace(one, chance=0.1)
        assert not less.sure and less.told == told.replace("sure", "likely")
        # Doubted it is likely, however probable it was; and never more probable than before.
        assert one.doubted.told == told.replace("sure", "likely") and one.doubted.chance < 1
        assert less.doubted == less
    else:
        assert not one.sure


def test_an_octave_that_is_not_told_is_said() -> None:
    assert replace(C, octave=False).told == "C heard (sure), in some octave"
    other = replace(C, verdict="another chord", names=("F",), octave=False)
    assert other.told == "F heard, not C (sure)"


def test_a_recording_is_summed_up() -> None:
    heard = (
        C, replace(C, bar=4), replace(C, verdict="unclear"), replace(C, verdict="another chord"),
        replace(C, verdict="nothing"), replace(C, verdict="left out"),
    )  # fmt: skip
    found = Hearing("Leading", heard, 95.6, -3.0, fits=True)
    assert (found.right, found.unclear) == (2, 1)
    assert found.summary == (
        "Leading: 2 of 6 changes heard as written, 3 not, 1 unclear; tempo about 96"
    )
    one = Hearing("Leading", (C,), 95.4, 0.0, fits=True)
    assert one.summary == (
        "Leading: 1 of 1 change heard as written, 0 not, 0 unclear; tempo about 95"
    )
    assert found.remarks == () and ALIKE.endswith(".")


@pytest.mark.parametrize(
    ("verdict", "bound"), [("as written", 0.97), ("another chord", 0.99), ("not as written", 0.97)]
)
def test_sure_is_what_is_as_probable_as_that_or_more(verdict: str, bound: float) -> None:
    one = replace(C, verdict=verdict)
    assert replace(one, chance=bound).sure and not replace(one, chance=bound - 1e-9).sure
    assert replace(one, chance=1.0).doubted.chance == 0.9


@pytest.mark.parametrize("verdict", ["unclear", "nothing", "left out"])
def test_what_was_not_heard_is_never_sure(verdict: str) -> None:
    assert not replace(C, verdict=verdict, chance=1.0).sure
