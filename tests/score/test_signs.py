"""Jumps in foreign scores.  Expected orders worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from xml.etree.ElementTree import fromstring

import pytest

from harmonykit.score.child import answer
from harmonykit.score.signs import (
    looks_like_a_jump,
    settle_endings,
    sign_in_words,
    signs_of_measure,
)
from harmonykit.score.tune import build_tune
from harmonykit.tune.bar import Bar
from harmonykit.tune.tune import Tune


def words(text: str, sound: str = "") -> str:
    return f"<direction><direction-type><words>{text}</words></direction-type>{sound}</direction>"


def glyph(name: str, sound: str = "") -> str:
    return f"<direction><direction-type><{name}/></direction-type>{sound}</direction>"


SEGNO, CODA = glyph("segno", '<sound segno="s"/>'), glyph("coda", '<sound coda="c"/>')


def tune(*bars: tuple[str, str, str]) -> Tune:
    """Return the tune of bars of one chord each, with what stands before and after its note."""
    measures = []
    for number, (before, root, after) in enumerate(bars, 1):
        harmony = f"<harmony><root><root-step>{root}</root-step></root><kind>major</kind></harmony>"
        note = "<note><rest/><duration>4</duration></note>"
        time = "<time><beats>4</beats><beat-type>4</beat-type></time>" if number == 1 else ""
        head = f"<attributes><divisions>1</divisions>{time}</attributes>"
        content = f"{head}{before}{harmony}{note}{after}"
        measures.append(f'<measure number="{number}">{content}</measure>')
    text = (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part>'
        f'</part-list><part id="P1">{"".join(measures)}</part></score-partwise>'
    )
    return build_tune(answer(text.encode(), ".xml", None)["score"], "x.xml")


def order(found: Tune) -> str:
    return "".join(c.chord.symbol for p in found.playing for c in p.bar.changes)


@pytest.mark.parametrize(
    ("bars", "expected"),
    [
        # Words alone.
        ([("", "C", words("Fine")), ("", "D", words("D.C. al Fine"))], "CDC"),
        # Playback marks alone (MusicXML 4.0, sound: dacapo, dalsegno, tocoda, fine, segno, coda).
        (
            [("", "C", '<sound fine="yes"/>'), ("", "D", '<sound dacapo="yes"/>')],
            "CDC",
        ),
        # Words, glyph and mark for one and the same sign.
        (
            [
                ("", "C", ""),
                (SEGNO, "D", glyph("coda", '<sound tocoda="c"/>')),
                ("", "E", words("D.S. al Coda", '<sound dalsegno="s"/>')),
                (CODA, "F", ""),
            ],
            "CDEDF",
        ),
        # Two coda glyphs that nothing tells apart: the first is where the player leaves.
        (
            [("", "C", glyph("coda")), ("", "D", words("D.C. al Coda")), (glyph("coda"), "E", "")],
            "CDCE",
        ),
        ([("", "C", words("To Coda")), ("", "D", words("Da Capo")), (CODA, "E", "")], "CDCE"),
        # On a bar line (MusicXML 4.0, barline).
        (
            [
                ('<barline location="left"><segno/></barline>', "C", words("Fine")),
                ("", "D", words("Dal Segno al Fine")),
            ],
            "CDC",
        ),
    ],
)
def test_jumps_are_followed(bars, expected):
    found = tune(*bars)
    assert order(found) == expected
    assert not [doubt for doubt in found.doubts if "followed" in doubt]


def test_a_jump_that_leads_nowhere_is_a_doubt():
    found = tune(("", "C", ""), ("", "D", words("D.S. al Fine")))
    assert order(found) == "CD"
    assert "D.S. al fine without a segno: it is ignored" in found.doubts


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("D.C.", "D.C."),
        ("DC al fine", "D.C. al fine"),
        ("D. S. al Coda", "D.S. al coda"),
        ("Dal  segno al coda", "D.S. al coda"),
        ("dacapo", "D.C."),
        ("dacoda", "to coda"),
        ("al Coda", "to coda"),
        ("FINE", "fine"),
        ("finely", ""),
        ("C", ""),
    ],
)
def test_words(text, sign):
    assert sign_in_words(text) == sign


def test_of_two_jumps_the_one_that_says_most_is_kept():
    measure = fromstring(f"<measure>{words('D.C. al Coda')}<sound dacapo='yes'/></measure>")
    assert signs_of_measure(measure) == (["D.C. al coda"], [])


@pytest.mark.parametrize(
    ("closes", "jump", "expected"),
    [
        # However it is drawn, what another ending follows goes back once (ABC 2.1, 4.10).
        (0, "", 2),
        (2, "", 2),
        (3, "", 3),
        # What a sign sends elsewhere does not go back as well.
        (0, "D.C.", 0),
    ],
)
def test_an_ending_goes_back_where_another_follows(closes: int, jump: str, expected: int) -> None:
    plain = Bar.of((4, 4), [])
    first = replace(plain, ending=(1,), closes=closes, signs=(jump,) if jump else ())
    (_, before, last), doubts = settle_endings([plain, first, replace(plain, ending=(2,))])
    assert before.closes == expected and before.jump == jump
    assert last.closes == 0 and not doubts


@pytest.mark.parametrize(
    ("words", "jump"),
    [("D.S. when you like", True), ("then the Coda", True), ("finely", False), ("slower", False)],
)
def test_words_that_speak_of_a_jump(words: str, jump: bool) -> None:
    assert looks_like_a_jump(words) is jump
