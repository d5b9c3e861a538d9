"""The command ``sheet``: which file it makes, with which chords, and what it refuses."""

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from harmonykit import cli


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        cli.main(["sheet", *arguments])
    assert isinstance(left.value.code, int)
    return left.value.code


def texts(path: Path) -> list[str]:
    root = ElementTree.fromstring(path.read_bytes())
    return ["".join(found.itertext()) for found in root.iter("{http://www.w3.org/2000/svg}text")]


@pytest.mark.parametrize(("paper", "points"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_a_pdf_has_the_paper_that_is_asked_for(
    paper: str, points: tuple[int, int], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # ISO 216 and ANSI Y14.1, in points.
    out = tmp_path / "shapes.pdf"
    assert run("C6", "Dm7", "--paper", paper, "--out", str(out)) == 0
    assert "shapes.pdf" in capsys.readouterr().out
    (page,) = PdfReader(io.BytesIO(out.read_bytes())).pages
    assert (round(page.mediabox.width), round(page.mediabox.height)) == points
    said = page.extract_text()
    assert "C6" in said and "Dm7" in said and "g C E A" in said


def test_the_open_chord_of_c6_stands_first_with_its_notes(tmp_path: Path) -> None:
    # g C E A open is C6 (common practice, no source).
    out = tmp_path / "shapes.svg"
    assert run("C6", "--most", "1", "--out", str(out)) == 0
    assert texts(out)[-4:] == ["G", "C", "E", "A"]
    assert "1 of" in " ".join(texts(out))


@pytest.mark.parametrize("typed", [["C6,", "Dm7"], ["C6 Dm7"], ["C6, Dm7;"]])
def test_symbols_may_be_pasted_in_one(typed: list[str], tmp_path: Path) -> None:
    plain, pasted = tmp_path / "plain.svg", tmp_path / "pasted.svg"
    assert run("C6", "Dm7", "--most", "1", "--out", str(plain)) == 0
    assert run(*typed, "--most", "1", "--out", str(pasted)) == 0
    assert pasted.read_bytes() == plain.read_bytes()


def test_two_names_of_the_same_notes_are_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Am7 is C6 from another root, and D#dim7 is Cdim7 (common practice, no source).
    symbols = ("C6", "G7", "Cdim7", "Am7", "D#dim7")
    assert run(*symbols, "--most", "1", "--out", str(tmp_path / "a.svg")) == 0
    *said, _ = capsys.readouterr().out.splitlines()
    assert said == ["C6 and Am7 have the same notes.", "C°7 and D♯°7 have the same notes."]


def test_fingers_stand_in_the_marks_and_roles_have_a_key(tmp_path: Path) -> None:
    # x32010 is fingered 3, 2, 1 (common practice, no source).
    fingers, roles = tmp_path / "fingers.svg", tmp_path / "roles.svg"
    for path, marks in ((fingers, "fingers"), (roles, "roles")):
        asked = ("C", "--instrument", "guitar", "--most", "1", "--marks", marks)
        assert run(*asked, "--out", str(path)) == 0
    assert {"1", "2", "3"} <= set(texts(fingers))
    assert "third" not in texts(fingers) and "third" in texts(roles)
    assert not {"2", "3"} & set(texts(roles))


def test_a_left_handed_sheet_is_the_mirror_image(tmp_path: Path) -> None:
    # The notes of C, 0-0-0-3, from the left: on a mirrored ukulele the A string, with c, is first.
    right, left = tmp_path / "right.svg", tmp_path / "left.svg"
    assert run("C", "--most", "1", "--out", str(right)) == 0
    assert run("C", "--most", "1", "--left-handed", "--out", str(left)) == 0
    assert texts(right)[-4:] == ["G", "C", "E", "C"]
    xs = [
        {found.text: float(found.get("x", "0")) for found in ElementTree.parse(path).iter()
         if found.text in ("G", "E")} for path in (right, left)
    ]  # fmt: skip
    assert xs[0]["G"] < xs[0]["E"] and xs[1]["G"] > xs[1]["E"]
    assert any("left-handed" in text for text in texts(left))


def test_pages_after_the_first_have_a_number(tmp_path: Path) -> None:
    symbols = [f"{root}7" for root in "CDEFGAB"]
    assert run(*symbols, "--out", str(tmp_path / "all.svg"), "--most", "12") == 0
    names = sorted(path.name for path in tmp_path.glob("all*.svg"))
    assert {"all.svg", "all-2.svg"} <= set(names)
    said = " ".join(text for name in names for text in texts(tmp_path / name))
    assert all(symbol in said for symbol in symbols)


def test_a_chord_that_is_named_twice_is_drawn_once(tmp_path: Path) -> None:
    out = tmp_path / "twice.svg"
    assert run("C6", "C6", "--out", str(out)) == 0
    assert texts(out).count("C6") == 1


def test_a_file_of_the_users_is_kept_beside(tmp_path: Path) -> None:
    out = tmp_path / "mine.pdf"
    out.write_bytes(b"my notes")
    assert run("C6", "--out", str(out)) == 0
    others = [path for path in tmp_path.iterdir() if path.name != "mine.pdf" and path.is_file()]
    assert [path.read_bytes() for path in others if path.stat().st_size] == [b"my notes"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["C6", "--out", "shapes.png"], "a PDF or an SVG"),
        (["Hq", "--out", "shapes.pdf"], "root, A to G"),
        (["2213", "--out", "shapes.pdf"], "--frets 2213"),
        (["C6", "--out", "nowhere/shapes.pdf"], "nowhere"),
        (["C6", "--out", "s.pdf", "--instrument", "ukelele"], "ukulele"),
        (["C6"], "--out"),
    ],
)
def test_what_cannot_be_done_is_said(
    arguments: list[str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert run(*arguments) == 2
    output, message = capsys.readouterr()
    assert output == "" and said in message and "Traceback" not in message
    assert list(tmp_path.iterdir()) == []
