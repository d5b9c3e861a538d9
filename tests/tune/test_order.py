"""The order of play with jumps, by hand and against music21's own expansion."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_tunes import two_sections
from unfolded import bars, expanded, played, stepped, turns

from harmonykit.tune.bar import TuneError
from harmonykit.tune.form import Form, Section


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # Worked out by hand by the rules of notation (common practice, no source).
        ("| C {fine} | D {D.C. al fine} |", "C D C"),
        ("| C | {segno} D {fine} | E {D.S. al fine} |", "C D E D"),
        ("| C {to coda} | D {D.C. al coda} | {coda} E |", "C D C E"),
        ("| C | {segno} D | E {to coda} | F {D.S. al coda} | {coda} G |", "C D E F D E G"),
        # A plain D.C. minds whatever stands there; a fine is passed the first time.
        ("| C {fine} | D {DC} |", "C D C"),
        ("| C | D {D.C.} |", "C D C D"),
        ("| C | D {D.C.} | E |", "C D C D E"),
        # No repeats after a jump, and the last ending; repeats count again in the coda.
        ("|: C :| D {fine} | E {D.C. al fine} |", "C C D E C D"),
        ("|: C | [1 D :| [2 E {fine} || F {D.C. al fine} |", "C D C E F C E"),
        ("| C {to coda} | D {D.C. al coda} |: {coda} E | F :|", "C D C E F E F"),
        # Endings for several passes; one that is played alone is left out of the next pass; after a
        # jump the last pass is played; an ending may leave by the jump itself.
        ("|: C | [1,3 D :| [2 E :| [4 F || G |", "C D C E C D C F G"),
        ("|: C | [1 D :| E |", "C D C E"),
        ("|: C | [1,2 D :| E |", "C D C D C E"),
        ("|: C | [1 D :| E {fine} | F {D.C. al fine} |", "C D C E F C E"),
        ("| {segno} C | [1 D {D.S. al fine} | [2 E {fine} |", "C D C E"),
        # The jump is taken when its repeated part is through.
        ("|: C | D {D.C. al fine} :| {fine} E |", "C D C D C D E"),
        # A vamp is played as often as its repeat says.
        ("| C |: {vamp} D :|x4 E |", "C D D D D E"),
        # Of two segnos the nearest before counts.
        ("| {segno} C | {segno} D {fine} | E {D.S. al fine} |", "C D E D"),
    ],
)
def test_jumps_by_hand(text, expected):
    assert played(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "| C | D {fine} | E | F {D.C. al fine} |",
        "| C | {segno} D {fine} | E | F {D.S. al fine} |",
        "| C | D {to coda} | E | F {D.C. al coda} | {coda} G | A |",
        "| C | {segno} D | E {to coda} | F | G {D.S. al coda} | {coda} A | B |",
        "|: C | D :| E {fine} | F | G {D.C. al fine} |",
    ],
)
def test_jumps_as_music21_expands_them(text):
    assert played(text) == expanded(text)


ROOTS = [letter + sign for sign in ("", "#", "b") for letter in "CDFGA"]

Row = tuple[str, ...]
Parts = tuple[Row, ...]
PLAIN, REPEATED = ("_",), ("|: _", "_ :|")
JUMPS = ("D.C. al fine", "D.S. al fine", "D.C. al coda", "D.S. al coda")
ENDINGS = (
    ("|: _", "_", "[1 _ :|", "[2 _ ||"),
    ("|: _", "[1,2 _ :|", "[3 _ ||"),
    ("|: _", "_", "[1 _ :|", "[2 _ :|", "[3 _ ||"),
)
OWN_ENDINGS = (
    ("|: _", "[1 _ :|"),
    ("|: _", "[1,2 _ :|"),
    ("|: _", "[1,3 _ :|", "[2 _ :|", "[4 _ | _ ||"),
)


@st.composite
def forms(draw: st.DrawFn, parts: Parts, jumps: Row = ("", *JUMPS)) -> str:
    """Draw a form as text, every bar with a root of its own; mostly with a jump of some kind.

    The signs stand where engravers put them: outside of repeats, but for a segno at the start of
    one, and what ends the tune after it.
    """
    bars: list[str] = ["_"]
    firsts, lasts = [0], [0]
    for part in draw(st.lists(st.sampled_from(parts), min_size=1, max_size=3)):
        firsts.append(len(bars))
        bars += [*part, "_"]
        lasts.append(len(bars) - 1)
    jump = draw(st.sampled_from(jumps))
    first = draw(st.sampled_from(firsts)) if jump.startswith("D.S.") else 0
    if jump.startswith("D.S."):
        bars[first] += " {segno}"
    if jump:
        late = draw(st.sampled_from([last for last in lasts if last >= first]))
        bars[late] += " {fine}" if jump.endswith("fine") else " {to coda}"
        bars += ["_", f"_ {{{jump}}}"]
    if jump.endswith("coda"):
        bars += ["_ {coda}", "_"]
    text = "| " + " | ".join(_with_signs_inside(bar) for bar in bars) + " |"
    names = iter(ROOTS)
    return re.sub("_", lambda _: next(names, "E"), text)


def _with_signs_inside(bar: str) -> str:
    """Return a bar with its braces before its closing sign."""
    body, brace, sign = bar.partition(" {")
    head, root, tail = body.rpartition("_")
    return f"{head}{root} {{{sign} {tail}" if brace else bar


@given(forms((PLAIN, REPEATED, *ENDINGS, *OWN_ENDINGS)))
def test_generated_forms_as_a_finger_on_the_page_reads_them(text):
    written = bars(text)
    assert [turn.bar for turn in Form.of([Section("A", written)]).turns] == stepped(written)


@settings(max_examples=settings().max_examples // 2)
@given(forms((PLAIN, REPEATED)) | forms((REPEATED, *ENDINGS), jumps=("",)))
def test_generated_forms_as_music21_expands_them(text):
    # music21 loses endings in a score that jumps too, and cannot expand 1, 3 and 2, or one alone.
    assert played(text) == expanded(text)


def order(a: str, b: str, head: str = "") -> str:
    tune = two_sections(a, b, head)
    return " ".join(c.chord.symbol for p in tune.playing for c in p.bar.changes)


def test_a_jump_goes_over_sections_and_leaves_a_silent_pickup_out():
    assert order("| C | D {fine} |", "| E {D.C. al fine} |") == "C D E C D"
    assert order("| C | D {fine} |", "| E {D.C. al fine} |", "pickup = 1") == "C D E C D"
    tune = two_sections("| C |", "| D {D.C.} |", "pickup = 1")
    # The silent quarter stands at the beginning alone.
    assert tune.length == 1 + 4 * 4


def test_a_pickup_comes_round_where_the_bar_before_has_room():
    # By hand: 1 + 4 + 3, then from the pick-up again; with a full last bar from bar 1.
    short = "| {1 quarter} G7 | C {fine} | {3 quarters} D {D.C. al fine} |"
    assert played(short) == "G7 C D G7 C"
    assert played(short.replace("{3 quarters} ", "")) == "G7 C D C"
    # A repeat too, unless a sign opens it there.
    assert played("| {1 quarter} G7 | C | {3 quarters} D :|") == "G7 C D G7 C D"
    assert played("| {1 quarter} G7 | C | D :|") == "G7 C D C D"
    assert played("|: {1 quarter} G7 | C | D :|") == "G7 C D G7 C D"
    assert played("| {1 quarter} G7 | C | [1 D :| [2 E |") == "G7 C D C E"


def test_jumps_that_never_end_are_cut_off(monkeypatch):
    monkeypatch.setattr("harmonykit.tune.order.MOST_PLAYED_BARS", 3)
    with pytest.raises(TuneError, match="more than 3 bars"):
        list(turns(bars("| C | D {D.C.} |")))
