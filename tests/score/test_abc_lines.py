"""ABC text made plain (ABC standard 2.1)."""

from __future__ import annotations

import pytest

from harmonykit.score.abc_lines import fields, plain, split_tunes


def lines(text: str) -> list[str]:
    return [line.strip() for line in plain(text)[0].split("\n") if line.strip()]


@pytest.mark.parametrize(
    ("music", "expected"),
    [
        ("C2|D2|", ["C2 |", "N:harmonykit line |", "D2 |", "N:harmonykit line |"]),
        ("C:|2 D|]", ["C |", "N:harmonykit line :|", "N:harmonykit ending 2", "D |",
                      "N:harmonykit line |]"]),
        ("C|[1,3 D:|[2 E", ["C |", "N:harmonykit line |", "N:harmonykit ending 1,3", "D |",
                            "N:harmonykit line :|", "N:harmonykit ending 2", "E"]),
        ("C [1-3 D", ["C", "N:harmonykit ending 1-3", "D"]),
        ("C::D", ["C |", "N:harmonykit line ::", "D"]),
        ("[K:D]C[M:3/4]D[r:no]", ["K:D", "C", "M:3/4", "D"]),
        ("x2 Z2|y", ["z2", "N:harmonykit rests 2", "|", "N:harmonykit line |"]),
        ("{ga}C !trill!D +upbow+E .F ~G vB", ["C D E F G B"]),
        ("C +fermata+E HA", ["C", "N:harmonykit fermata", "E", "N:harmonykit fermata", "A"]),
        ("!segno!C!D.C.! D", ["N:harmonykit sign segno", "C", "N:harmonykit sign D.C.", "D"]),
        ('"^Fine"C "D.S. al Coda"', ["N:harmonykit sign fine", "C",
                                     "N:harmonykit sign D.S. al coda"]),
        ('"Am"[CEG]2 (3abc a>b a-a', ['"Am"[CEG]2 (3abc a>b a-a']),
        ('"a|b"C % "no"', ['"a|b"C']),
        ("D:|", ["D |", "N:harmonykit line :|"]),
        ("w: la la", ["N:harmonykit words la la"]),
        ("w: la\n+: more", ["N:harmonykit words la more"]),
        ("C\n+: more", ["C"]),
        ("SC OD", ["N:harmonykit sign segno", "C", "N:harmonykit sign coda", "D"]),
        ("K:G % comment", ["K:G"]),
    ],
)  # fmt: skip
def test_a_line_of_music(music, expected):
    assert [line.replace("  ", " ") for line in lines(music)] == expected


def test_signs_are_told():
    assert plain('C!D.C.!D !trill! "open\nE & F|')[1] == ("trill", "&")


def test_an_empty_line_ends_a_tune_with_a_number():
    assert lines("X:1\nK:C\nC\n\nfree text") == ["K:C", "C"]
    assert lines("K:C\nC\n\nD") == ["K:C", "C", "D"]


def test_tunes_are_told_apart_and_share_the_header():
    tunes = split_tunes("M:3/4\r\nX:2\r\nT:One\r\nT:again\r\nK:C\r\nX: 10\r\nK:D\r\n")
    assert [(t.number, t.title) for t in tunes] == [(2, "One"), (10, "")]
    assert all(fields(t.text, "M") == ["3/4"] for t in tunes)
    assert fields(tunes[0].text, "T") == ["One", "again"]
    assert fields(tunes[1].text, "K") == ["D"]
