"""One chord symbol of a score as plain data, element by element of MusicXML 4.0."""

from __future__ import annotations

from xml.etree.ElementTree import Element, fromstring

import pytest

from harmonykit.score.signs import harmony_of, int_of, says_silence, text_of


def harmony(inside: str, attributes: str = "") -> Element:
    return fromstring(f"<harmony{attributes}>{inside}</harmony>")


ROOT = "<root><root-step> F </root-step><root-alter>1</root-alter></root>"
KIND = '<kind text="m7b5">half-diminished</kind>'


def test_root_kind_and_printed_text() -> None:
    assert harmony_of(harmony(ROOT + KIND)) == {
        "root": "F#", "kind": "half-diminished", "text": "m7b5", "degrees": [], "bass": "",
        "inversion": 0,
    }  # fmt: skip


def test_bass_degrees_inversion_and_what_is_played_instead() -> None:
    more = (
        "<inversion>2</inversion>"
        "<bass><bass-step>B</bass-step><bass-alter>-1</bass-alter></bass>"
        "<degree><degree-value>9</degree-value><degree-alter>-1</degree-alter>"
        "<degree-type>add</degree-type></degree>"
        "<degree><degree-value>5</degree-value><degree-type>subtract</degree-type></degree>"
    )
    found = harmony_of(harmony(ROOT + KIND + more, ' type="alternate"'))
    assert (found["bass"], found["inversion"], found["alternate"]) == ("Bb", 2, True)
    assert found["degrees"] == [["add", 9, -1], ["subtract", 5, 0]]
    assert "alternate" not in harmony_of(harmony(ROOT + KIND, ' type="explicit"'))


@pytest.mark.parametrize(
    ("alter", "name"),
    [("-2", "Fbb"), ("-1", "Fb"), ("0", "F"), ("", "F"), ("1", "F#"), ("2", "F##"), ("3", "F?")],
)
def test_accidentals_of_a_root(alter: str, name: str) -> None:
    root = f"<root><root-step>F</root-step><root-alter>{alter}</root-alter></root>"
    assert harmony_of(harmony(root + KIND))["root"] == name


def test_silence_is_a_kind_or_words() -> None:
    assert harmony_of(harmony(ROOT + "<kind> none </kind>")) == {"silence": True}
    for words, silent in (
        ("N.C.", True), ("NC", True), (" N. C. ", True), ("N.C. here", False), ("C", False),
    ):  # fmt: skip
        element = fromstring(
            f"<direction><direction-type><words>{words}</words></direction-type></direction>"
        )
        assert says_silence(element) is silent
    assert harmony_of(element) == {"silence": True}
    assert not says_silence(harmony("<direction-type><words>N.C.</words></direction-type>"))


def test_a_chord_without_a_root_is_not_read() -> None:
    numeral = "<numeral><numeral-root>5</numeral-root></numeral>"
    for inside in (numeral + KIND, ROOT, "<root/>" + KIND):
        assert set(harmony_of(harmony(inside))) == {"unread"}


def test_texts_and_numbers() -> None:
    assert text_of(harmony("<kind> minor </kind>"), "kind") == "minor"
    assert text_of(harmony("<kind/>"), "kind") == text_of(harmony(""), "kind") == ""
    assert [int_of(text) for text in ("2", "-1", "1.0", "", "two", "inf")] == [2, -1, 1, 0, 0, 0]
    assert int_of("", 4) == 4
