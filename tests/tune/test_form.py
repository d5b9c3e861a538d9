"""Signs that lead nowhere, and forms that contradict themselves."""

from __future__ import annotations

import pytest
from small_tunes import two_sections
from unfolded import bars

from harmonykit.tune.bar import TuneError
from harmonykit.tune.form import signs_fault


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
