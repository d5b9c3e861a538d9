"""Signs that lead nowhere, and forms that contradict themselves."""

from __future__ import annotations

import pytest
from small_tunes import two_sections
from unfolded import bars

from harmonykit.tune.bar import TuneError
from harmonykit.tune.form import Form, signs_fault
from harmonykit.tune.order import Repeat, Span


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("| C | D {D.S.} |", "D.S. without a segno"),
        ("| C | D {D.C. al fine} |", "D.C. al fine without a fine"),
        ("| C | D {D.C. al coda} | {coda} E |", "D.C. al coda without a 'to coda'"),
        ("| C {to coda} | D {D.C.} |", "to coda without a coda"),
    ],
)
def test_signs_that_lead_nowhere(text, message):
    assert signs_fault(bars(text))[1] == message
    with pytest.raises(TuneError, match=message) as caught:
        two_sections(text, "| C |")
    place = caught.value.place
    assert place.line == 8
    assert place.text[place.column - 1] == "{"


@pytest.mark.parametrize(
    ("repeats", "message"),
    [
        ((Repeat(0, 4, 2), Repeat(2, 6, 2)), "bars 3 to 6 overlaps the one before"),
        ((Repeat(4, 3, 2),), "bars 5 to 3 ends before it starts"),
        ((Repeat(0, 4, 0),), "bars 1 to 4 is played 0 times"),
        ((Repeat(-1, 4, 2),), "bars 0 to 4 starts before the tune"),
    ],
)
def test_a_repeat_that_cannot_stand_is_named_by_its_bars(repeats, message):
    with pytest.raises(TuneError, match=f"the repeat of {message}"):
        Form((Span("A", 0, 8),), repeats)
