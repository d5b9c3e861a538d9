"""The handout as a PDF: its pages, its text, its fonts; the same bytes twice.

Signs that the fonts lack: a square on the page and a word about it, never a gap.
"""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sheets import assert_well_set, fonts, outline, read, shipped_sheet, text_of

from harmonykit.draw.base.fonts import SEMIBOLD, printable, text_width
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.pdf import (
    MISSING,
    Variant,
    gather_handout,
    handout_data,
    legible,
    said_of,
)
from harmonykit.lesson.handout.typeset import Unset
from harmonykit.paths import find_data

A4, LETTER = (595.28, 841.89), (612.0, 792.0)


@pytest.fixture(scope="module")
def shipped() -> pypdf.PdfReader:
    return shipped_sheet("stiff_dominant")


def test_pages_title_language_and_bookmarks(shipped: pypdf.PdfReader) -> None:
    assert shipped.metadata is not None and shipped.metadata.title == "The stiff dominant"
    assert shipped.trailer["/Root"]["/Lang"] == "en"
    titles = [str(item.title) for item in outline(shipped)]
    # Its text never goes along the neck, so its sheet does not either.
    assert titles[:5] == [
        "The stiff dominant",
        "Lower one string by a fret",
        "Why there were no more",
        "Ropewalk Blues Level 1 · As written",
        "The shapes, in playing order Five shapes",
    ]
    assert "Ropewalk Blues Level 2 · First try: a tritone away" in titles
    assert {"Take care", "Two changes", "Two bars first", "What to watch"} <= set(titles)
    behind = titles[titles.index("Your turn") :]
    assert {"Your turn", "Why each chord was added", "Good to know", "Answers"} <= set(behind)
    assert behind.index("Good to know") < behind.index("Answers")
    pages = len(shipped.pages)
    for number, page in enumerate(shipped.pages, start=1):
        follow = ", answers follow" if number == pages - 1 else ""
        last = f"page {number} of {pages - 1}{follow}" if number < pages else "answers"
        assert text_of(page).endswith(last)
    size = shipped.pages[0].mediabox
    assert (float(size.width), float(size.height)) == pytest.approx(A4, abs=0.1)


def test_a_level_is_an_opening(shipped: pypdf.PdfReader) -> None:
    """Chart on a left page, so of even number, its shapes in playing order facing it."""
    pages = [text_of(page) for page in shipped.pages]
    for level in range(1, 6):
        (chart,) = (n for n, page in enumerate(pages, 1) if f"Level {level} ·" in page[:60])
        assert chart % 2 == 0 and "strum" in pages[chart - 1]
        assert pages[chart].startswith("The shapes, in playing order")
        assert "Two bars first" in pages[chart - 1] + pages[chart]


@pytest.mark.parametrize(
    "name, instrument",
    [
        ("stiff_dominant", ""),
        pytest.param("four_dominants", "", marks=pytest.mark.long),
        pytest.param("scale_of_chords", "baritone ukulele", marks=pytest.mark.long),
    ],
)
def test_a_shipped_lesson_takes_two_pages_a_level(name: str, instrument: str) -> None:
    """Two for the idea at most, and the answers apart; nothing under nine points."""
    reader = shipped_sheet(name, instrument)
    assert_well_set(reader)
    pages = [text_of(page) for page in reader.pages]
    levels = len(load_lesson(find_data("lessons", name)).played)
    asked = name != "scale_of_chords"
    last = len(pages) - asked
    follow = ", answers follow" if asked else ""
    assert last == 2 * levels + 2 and pages[last - 1].endswith(f"page {last} of {last}{follow}")
    assert pages[-1].startswith("Answers") == pages[-1].endswith("answers") == asked
    assert sum("Your turn" in page for page in pages) == asked


def test_symbols_copy_as_text(shipped: pypdf.PdfReader) -> None:
    first = text_of(shipped.pages[0])
    moves = " ".join(text_of(page) for page in shipped.pages[-2:])
    assert "C♯°7" in first and "B♭ falls to A" in first
    assert "F♯7 A♯ E F♯ C♯ B" in first and "C7 B♭ E G C 2 F" in first
    assert "C♯ rises to D" in moves and "B♭ falls to A A7 2-4-3-4 D" in moves


def test_the_key_lists_what_the_page_uses(shipped: pypdf.PdfReader) -> None:
    """On a page to play from a plain mark is a finger."""
    first, chart, shapes = (text_of(shipped.pages[n]) for n in (0, 3, 2))
    assert "third fifth sixth or seventh earlier note page 1" in first
    # The first chord added on that page is the sample: by hand, A♭7 is a tritone from D7.
    assert chart.endswith(f"finger A♭7 added chord page 4 of {len(shipped.pages) - 1}")
    assert "finger finger on the third" in shapes and "added chord" not in shapes


def test_set_well(shipped: pypdf.PdfReader) -> None:
    assert_well_set(shipped)
    assert {name for page in shipped.pages for name in fonts(page["/Resources"])} >= {
        "SourceSans3-Regular", "QuaySigns-SemiBold",
    }  # fmt: skip


def test_the_same_bytes_in_another_process(lesson_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from harmonykit.lesson.build import load_lesson; "
        "from harmonykit.lesson.handout.pdf import gather_handout; "
        "sys.stdout.buffer.write(gather_handout(load_lesson(Path(sys.argv[1]))).pdf())"
    )
    there = subprocess.run(
        [sys.executable, "-c", code, str(lesson_path)], capture_output=True, check=True
    )
    assert there.stdout == gather_handout(load_lesson(lesson_path)).pdf()


HOSTILE = '#1 $x_1$ *a* _b_ @c <d> \\n "q" `e` ~ [f](g) #include("/etc") // /* {h}'


def test_titles_are_never_read_as_markup(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace('"A small lesson"', f"'{HOSTILE}'").replace('"Leading"', f"'{HOSTILE}'")
    text = text.replace('group = "Quay"', f"group = '{HOSTILE}'\nsubtitle = '{HOSTILE}'")
    lesson_path.write_text(text, encoding="utf-8")
    tune = lesson_path.with_name("fog.toml")
    changed = tune.read_text(encoding="utf-8").replace('"Four Bars of Fog"', f"'{HOSTILE}'")
    tune.write_text(changed, encoding="utf-8")
    reader = read(gather_handout(load_lesson(lesson_path)).pdf())
    assert reader.metadata is not None and reader.metadata.title == HOSTILE
    texts = [text_of(page) for page in reader.pages]
    assert texts[0].count(HOSTILE) == 3
    assert [f"Level 1 · {HOSTILE}" in text and text.count(HOSTILE) for text in texts].count(2) == 1
    assert_well_set(reader)


def test_a_word_longer_than_the_page_is_broken(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8").replace("A small lesson", "o" * 120)
    lesson_path.write_text(text, encoding="utf-8")
    page = read(gather_handout(load_lesson(lesson_path)).pdf()).pages[0]
    lines = page.extract_text().replace("\u200b", "").splitlines()
    title = [line.strip() for line in lines if line.strip() and set(line.strip()) == {"o"}]
    assert "".join(title) == "o" * 120
    assert max(text_width(line, 27, SEMIBOLD) for line in title) < 174


LETTER_PAPER = ('group = "Quay"', 'group = "Quay"\npaper = "letter"')
GUITAR = [
    ('instrument = "ukulele"', 'instrument = "guitar"'),
    ('shape = "4545"', 'shape = "xx3434"'), ('from = "0201"', 'from = "xx2333"'),
    ('shape("4545")', 'shape("xx3434")'), ('notes("4545")', 'notes("xx3434")'),
]  # fmt: skip
BARITONE = [
    ('instrument = "ukulele"', 'instrument = "baritone ukulele"'),
    ('shape = "4545"', 'shape = "3434"'), ('from = "0201"', 'from = "2333"'),
    ('shape("4545")', 'shape("3434")'), ('notes("4545")', 'notes("3434")'),
]  # fmt: skip


@pytest.mark.parametrize(
    "changes", [GUITAR, pytest.param(BARITONE, marks=pytest.mark.long), [LETTER_PAPER]]
)
def test_other_instruments_and_paper(lesson_path: Path, changes: list[tuple[str, str]]) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    lesson_path.write_text(text, encoding="utf-8")
    reader = read(gather_handout(load_lesson(lesson_path)).pdf())
    assert_well_set(reader)
    size = reader.pages[0].mediabox
    paper = LETTER if changes == [LETTER_PAPER] else A4
    assert (float(size.width), float(size.height)) == pytest.approx(paper, abs=0.1)


@pytest.mark.parametrize(
    "changes, meter, moves, least",
    [
        ("| Gm6 |", "4/4", False, 3),
        ("| Gm6 | N.C. | Cm / D7 |", "3/4", False, 3),
        ("| Gm6 F7 Cm6 D7 | Abmaj7 Am7b5 Bbm6 D7#9 |" + " Gm6 Bb7 Eb6 D7 |" * 22, "4/4", True, 5),
        pytest.param(
            "| Gm6 F7 Cm6 D7 | Abmaj7 Am7b5 Bbm6 D7#9 |" + " Gm6 Bb7 Eb6 D7 |" * 62,
            "4/4",
            True,
            6,
            marks=pytest.mark.long,
        ),
    ],
)
def test_tunes_of_one_bar_to_sixty_four(
    lesson_path: Path, changes: str, meter: str, moves: bool, least: int
) -> None:
    if not moves:  # the first two have no place for any
        lesson = lesson_path.read_text(encoding="utf-8")
        plain = lesson.replace(
            'moves = ["leading-tone diminished", "rootless dominant"]', "moves = []"
        )
        lesson_path.write_text(plain, encoding="utf-8")
    tune = lesson_path.with_name("fog.toml")
    text = tune.read_text(encoding="utf-8").replace('"4/4"', f'"{meter}"')
    tune.write_text(text.replace("| Gm6 | Bb7 | Eb6 D7 | Gm6 |", changes), encoding="utf-8")
    reader = read(gather_handout(load_lesson(lesson_path)).pdf())
    assert len(reader.pages) >= least
    assert_well_set(reader)
    level = " ".join(text_of(page) for page in reader.pages[1:-1])
    bars = changes.count("|") - 1
    assert all(f" {number} " in level for number in range(1, bars + 1))


def test_one_ink_has_no_colour(lesson_path: Path) -> None:
    data = handout_data(load_lesson(lesson_path), Variant("one ink"))
    colours = {c for figure in data["figures"] for c in re.findall("#[0-9a-f]{6}", figure["svg"])}
    assert colours <= {"#000000", "#ffffff"}


def test_every_figure_has_its_fact_in_words(lesson_path: Path) -> None:
    data = handout_data(load_lesson(lesson_path))
    assert all(figure["alt"] for figure in data["figures"])
    # PDF/UA-1 (ISO 14289-1:2014): headings in order, alt text, tags; typst refuses what it can see.
    reader = read(Unset.of("handout", data, standard="ua-1").pdf())
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]


@pytest.mark.parametrize(
    "text, printed, lacking",
    [
        ("Łódź – “Ebb” naïve Ωмя B♭°7", "Łódź – “Ebb” naïve Ωмя B♭°7", []),
        ("潮汐 tide", "□□ tide", ["潮", "汐"]),
        ("wave \U0001f30a\ufe0f!", "wave □!", ["\U0001f30a"]),
        ("e\u0301bbe", "ébbe", []),
        ("a\tb\x00c\u200dd", "a bcd", []),
    ],
)
def test_what_is_printed(text: str, printed: str, lacking: list[str]) -> None:
    found: dict[str, None] = {}
    made = legible(text, found).replace("\u200d", "")
    assert (made, list(found)) == (printed, lacking)


@given(st.text(max_size=20))
def test_everything_that_is_printed_has_a_sign(text: str) -> None:
    found: dict[str, None] = {}
    made = legible({"a": [text, 1]}, found)
    assert all(ord(sign) in printable() for sign in made["a"][0]) and made["a"][1] == 1
    assert (MISSING in made["a"][0]) >= bool(found)


def test_many_signs_are_not_all_told() -> None:
    assert said_of({}) == ""
    said = said_of(dict.fromkeys("一丁丂七丄丅丆万"))
    assert said.endswith("U+4E00, U+4E01, U+4E02, U+4E03, U+4E04, U+4E05 and others.")


def test_on_the_page(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    lesson = replace(lesson, front=replace(lesson.front, title="Ebb 潮 🌊"))
    reader = read(gather_handout(lesson).pdf())
    assert_well_set(reader)
    pages = [text_of(page) for page in reader.pages]
    assert "Ebb □ □" in pages[0]
    assert any("fonts of this sheet lack: U+6F6E, U+1F30A." in page for page in pages)
    assert reader.metadata is not None and reader.metadata.title == "Ebb 潮 🌊"
