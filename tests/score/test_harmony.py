"""Chord symbols of MusicXML at their positions, worked out by hand from the cursor's rules."""

from __future__ import annotations

from xml.etree.ElementTree import fromstring

import pytest

from harmonykit.score.harmony import read_harmonies, take_out_harmonies


def harmony(root: str, kind: str = "major", more: str = "", attributes: str = "") -> str:
    return (
        f"<harmony><root><root-step>{root}</root-step></root>"
        f"<kind {attributes}>{kind}</kind>{more}</harmony>"
    )


def note(duration: int, more: str = "<rest/>") -> str:
    return f"<note>{more}<duration>{duration}</duration></note>"


def measures(*contents: str) -> list:
    body = "".join(f"<measure>{content}</measure>" for content in contents)
    part = fromstring(f"<part>{body}</part>")
    part[0].insert(0, fromstring("<attributes><divisions>2</divisions></attributes>"))
    return [part]


def found(*contents: str) -> list[list[tuple[str, str, str | None]]]:
    return [
        [(c.get("root", "-"), c["at"], c.get("room")) for c in bar["chords"]]
        for bar in read_harmonies(measures(*contents))
    ]


def test_notes_rests_and_forward_move_on_and_backup_goes_back():
    content = (
        harmony("C") + note(2) + harmony("D") + "<forward><duration>3</duration></forward>"
        + harmony("E") + note(3) + "<backup><duration>8</duration></backup>"
        + note(4) + harmony("F") + note(4)
    )  # fmt: skip
    assert found(content) == [
        [("C", "0", "1"), ("D", "1", "3/2"), ("F", "2", "2"), ("E", "5/2", "3/2")]
    ]


def test_chord_notes_and_grace_notes_take_no_time():
    content = note(4, "<pitch/>") + note(4, "<chord/><pitch/>") + "<note><grace/></note>"
    assert found(content + harmony("G") + note(4)) == [[("G", "2", "2")]]


def test_an_offset_shifts_one_symbol():
    assert found(harmony("C", more="<offset>3</offset>") + note(8)) == [[("C", "3/2", "4")]]
    assert found(note(8) + harmony("C", more="<offset>-2</offset>")) == [[("C", "3", None)]]


def test_two_symbols_on_one_note_are_both_kept_and_the_same_in_two_staves_once():
    content = harmony("C") + harmony("G") + note(8)
    again = "<backup><duration>8</duration></backup>" + harmony("C", more="<staff>2</staff>")
    # The staff is no part of the chord: what is written above both staves sounds once.
    assert found(content + again + note(8)) == [[("C", "0", "4"), ("G", "0", "4")]]


def test_divisions_hold_until_they_change():
    change = "<attributes><divisions>4</divisions></attributes>"
    bars = found(note(2) + harmony("C"), change + note(2) + harmony("D"), note(2) + harmony("E"))
    assert [bar[0][1] for bar in bars] == ["1", "1/2", "1/2"]


@pytest.mark.parametrize(
    "content",
    [
        harmony("C", "none"),
        "<harmony><kind>none</kind></harmony>",
        "<direction><direction-type><words>N.C.</words></direction-type></direction>",
    ],
)
def test_silence(content):
    (bar,) = read_harmonies(measures(note(4) + content + note(4)))
    assert bar["chords"] == [{"silence": True, "at": "2", "room": "2"}]


def test_all_that_is_said_of_a_chord():
    content = (
        "<harmony><root><root-step>E</root-step><root-alter>-1</root-alter></root>"
        '<kind text="7(b9)">dominant</kind><inversion>1</inversion>'
        "<bass><bass-step>F</bass-step><bass-alter>1</bass-alter></bass>"
        "<degree><degree-value>9</degree-value><degree-alter>-1</degree-alter>"
        "<degree-type>add</degree-type></degree></harmony>"
    )
    assert read_harmonies(measures(content))[0]["chords"] == [
        {
            "root": "Eb",
            "kind": "dominant",
            "text": "7(b9)",
            "degrees": [["add", 9, -1]],
            "bass": "F#",
            "inversion": 1,
            "at": "0",
        }
    ]


def test_a_chord_by_function_is_not_read_and_not_lost():
    (bar,) = read_harmonies(measures("<harmony><function>V</function><kind>major</kind></harmony>"))
    assert "function" in bar["chords"][0]["unread"]


def test_symbols_are_taken_out():
    parts = measures(harmony("C") + note(8))
    take_out_harmonies(parts)
    assert parts[0].find(".//harmony") is None
    assert parts[0].find(".//note") is not None
