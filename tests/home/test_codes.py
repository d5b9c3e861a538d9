"""Codes with results: what the page writes is what Python reads, and nothing else is believed."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any
from zlib import crc32

import pytest
from playwright.sync_api import Browser
from script_in_browser import opened

from harmonykit.cli import main
from harmonykit.errors import HarmonyError
from harmonykit.home import codes
from harmonykit.home.class_table import read_codes
from harmonykit.home.codes import ORDER, SIGNS, read_code

BEGUN = date(1970, 1, 1)
NAMES = ("", "Ada", "Ben K.", "Zoë", "mia", "Jean-Luc d'Or", "日本", "X" * 30, "O'Neil Mc Gee")


def kept(name: str, **other: Any) -> dict[str, Any]:
    day = (date(2031, 5, 4) - BEGUN).days
    return {"name": name, "kinds": {}, "mixed": {}, "ms": 0, "day": day} | other


CLASS = [
    kept("Ada", ms=754_000, kinds={"parents": [20, 17.5], "hear": [4, 4]},
         mixed={"B7|A♭7": 3, "D7|F7": 1}),
    kept("Ben", ms=120_000, kinds={"parents": [10, 5]}, mixed={"A♭7|B7": 2, "E♭ to E|C to D♭": 1}),
    kept("Zoë", ms=60_000, kinds={"spelling": [300, 0]}, mixed={"A B𝄫|A C": 9}),
    kept("", kinds={"scale": [1, 1]}),
    kept("Cy", ms=10**9, kinds={kind: [3, 2] for kind in ORDER}, mixed={"~|B": 4}),
]  # fmt: skip


@pytest.fixture(scope="module")
def write(browser: Browser) -> Callable[[dict[str, Any]], str]:
    with opened(browser, "practice/code.js") as page:
        page.evaluate("(order) => { window.page = { mark: 'K7M', order }; }", list(ORDER))
        rows = [*CLASS, *(kept(name) for name in NAMES)]
        made = page.evaluate("(rows) => rows.map((each) => kit.codeOf(each, window.page))", rows)
        same = page.evaluate("[kit.SIGNS, kit.LETTERS, kit.PRINTED, kit.crc32('123456789')]")
    found = dict(zip(map(repr, rows), made, strict=True))
    # The check value that descriptions of CRC-32 give for these nine digits: from memory.
    assert same == [codes.SIGNS, codes.LETTERS, codes.PRINTED, 0xCBF43926]
    return lambda row: str(found[repr(row)])


def test_what_the_page_writes_is_read(write: Callable[[dict[str, Any]], str]) -> None:
    ada, ben, zoe, nobody, cy = (read_code(write(each)) for each in CLASS)
    assert (ada.student, ada.page, ada.day, ada.minutes) == ("Ada", "K7M", date(2031, 5, 4), 13)
    assert [(k.kind, k.asked, k.right) for k in ada.kinds] == [("parents", 20, 18), ("hear", 4, 4)]
    assert [str(each) for each in ada.confusions] == ["A♭7 for B7, 3 times", "F7 for D7"]
    assert [str(each) for each in ben.confusions] == ["B7 for A♭7, 2 times", "C to D♭ for E♭ to E"]
    assert (zoe.student, zoe.asked, zoe.right) == ("Zoë", 300, 0)
    assert str(zoe.confusions[0]) == "A C for A B𝄫, 7 times or more"
    assert (nobody.student, nobody.asked, nobody.minutes) == ("", 1, 0)
    assert cy.minutes == 1023 and cy.asked == 3 * len(ORDER) and cy.confusions == ()


@pytest.mark.parametrize("name", NAMES)
def test_any_name_is_read_as_it_was_typed(
    write: Callable[[dict[str, Any]], str], name: str
) -> None:
    assert read_code(write(kept(name))).student == name[:20]


def test_a_code_of_an_hour_is_short(write: Callable[[dict[str, Any]], str]) -> None:
    assert [len(write(each).replace("-", "")) for each in CLASS[:2]] < [50, 60]


def test_a_changed_or_lost_sign_is_found(write: Callable[[dict[str, Any]], str]) -> None:
    """A check of twenty bits finds every change of one sign, and every two exchanged neighbours."""
    code = write(CLASS[0]).replace("-", "")
    for place in range(len(code)):
        other = SIGNS[(SIGNS.index(code[place]) + 1 + place) % 32]
        bad = [code[:place] + code[place + 1 :]]
        bad += [code[:place] + other + code[place + 1 :]] if other != code[place] else []
        swapped = code[:place] + code[place : place + 2][::-1] + code[place + 2 :]
        bad += [swapped] if swapped != code else []
        for each in bad:
            with pytest.raises(HarmonyError):
                read_code(each)
    assert read_code(f"  {code.lower()[:9]} {code[9:]}").student == "Ada"


def test_hostile_codes_are_refused_and_never_crash() -> None:
    """Any signs whose check is right, as somebody may write them: refused or read within bounds."""
    draw = random.Random(3)
    read = 0
    for _ in range(4000):
        body = "B" + "".join(draw.choices(SIGNS, k=draw.randrange(8, 60)))
        check = crc32(body.encode()) % 2**20
        signs = body + "".join(SIGNS[(check >> shift) % 32] for shift in (15, 10, 5, 0))
        try:
            found = read_code(signs)
        except HarmonyError as error:
            assert "is not a code with results" in error.what
        else:
            read += 1
            assert found.right <= found.asked and found.student.isprintable()
    assert read < 400
    for text in (
        "",
        "B76O-0000-0000-0000",
        "<script>",
        "=1+1",
        "A" * 10_000,
        "é" * 20,
        "\x00" * 20,
    ):
        with pytest.raises(HarmonyError):
            read_code(text)


def test_five_codes_are_a_table(
    write: Callable[[dict[str, Any]], str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sent = tmp_path / "sent.txt"
    lines = [f"Hello, my code: {write(each)}" for each in CLASS] + ["Dee: B76O-BBBB-CCCC"]
    sent.write_text("\n".join(lines), encoding="utf-8")
    for name in ("class.csv", "class.html"):
        with pytest.raises(SystemExit) as left:
            main(["results", str(sent), "--out", str(tmp_path / name)])
        assert left.value.code == 0
    said = capsys.readouterr()
    assert "class.csv: 5 rows" in said.out
    assert "Ada, page K7M: 22 of 24 right, 13 minutes, last 2031-05-04" in said.out
    assert "taken for one another by 2 students: A♭7 and B7" in said.out
    assert "no code has 0, O, 1 or I" in said.err
    rows = (tmp_path / "class.csv").read_text("utf-8").splitlines()
    assert len(rows) == 6 and rows[0].startswith("student,page,last answer,minutes,answers,right")
    assert rows[1].startswith("no name,K7M,2031-05-04,0,1,1,100")
    assert "Zoë" in (tmp_path / "class.html").read_text("utf-8")


def test_a_name_before_a_code_is_the_student_s_where_the_code_has_none(
    write: Callable[[dict[str, Any]], str],
) -> None:
    names = {
        "Gudrun: ": "Gudrun", "Old Tom  ": "Old Tom", "anna: ": "anna", "2) Jo – ": "Jo",
        "Anna van Dyk, ": "Anna van Dyk", "Hello, my code: ": "", "Code: ": "", "": "",
        "from my phone ": "",
    }  # fmt: skip
    code = write(kept(""))
    for before, name in names.items():
        for typed in (code, code.lower(), code.replace("-", " ").lower()):
            (found,) = read_codes([f"{before}{typed}"]).results
            assert found.student == name, (before, typed)
    code = write(kept("Ada"))
    assert [each.student for each in read_codes([f"Gudrun: {code}"]).results] == ["Ada"]
    nameless = write(kept(""))
    assert [r.student for r in read_codes([nameless, f"Jo: {nameless}"]).results] == ["Jo"]


def test_one_code_is_one_row(
    write: Callable[[dict[str, Any]], str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(["results", write(CLASS[0]), "--out", str(tmp_path / "class.csv")])
    assert capsys.readouterr().out.endswith("class.csv: 1 row\n")


def test_of_one_student_the_fullest_code_counts(write: Callable[[dict[str, Any]], str]) -> None:
    table = read_codes([write(CLASS[0]), write(kept("Ada"))])
    assert [each.asked for each in table.results] == [24] and table.older == 1
    assert list(table.told())[-1] == "left out: 1 earlier code of the same students"


def test_a_code_that_is_pasted_twice_counts_once(write: Callable[[dict[str, Any]], str]) -> None:
    for name in ("Ada", ""):
        code = write(kept(name))
        table = read_codes([code, f"From my phone {code.lower()}, Miss!", f"Jo: {code}"])
        assert len(table.results) == 1 and (table.older, table.again) == (0, 2)
        assert list(table.told())[-1] == "left out: 2 codes that stood here before"
    nameless = read_codes([write(CLASS[0]), write(kept("")), write(kept("Ada"))])
    assert len(nameless.results) == 2 and nameless.again == 0


def test_nothing_readable_is_said_by_the_exit_status(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["results", "AAAA-BBBB-CCCC-DDDD"])
    assert left.value.code == 2 and "copy it once more" in capsys.readouterr().err


def test_a_file_without_a_code_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = tmp_path / "codes.txt"
    empty.write_text("\n \n", encoding="utf-8")
    with pytest.raises(SystemExit) as left:
        main(["results", str(empty)])
    said = capsys.readouterr().err
    assert left.value.code == 2
    assert "no code in" in said and "codes.txt" in said and "paste the codes" in said


def test_a_table_of_one_student_has_one_row(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # The code that the help of "results" has.
    with pytest.raises(SystemExit) as left:
        main(["results", "B76J-BBHA-AABA-GUKD-J6T6-QXPH-X", "--out", str(tmp_path / "c.csv")])
    assert left.value.code == 0
    assert capsys.readouterr().out.endswith("c.csv: 1 row\n")
