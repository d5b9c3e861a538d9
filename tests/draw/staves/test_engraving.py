"""Engraved scores: our fonts, our signs, nothing from elsewhere."""

from __future__ import annotations

import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import to_musicxml
from harmonykit.arrange.search import reharmonise
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.staves.engraving import TREBLE_CLEF, engrave
from harmonykit.draw.tree import Group, Mark, Path, Text, walk
from harmonykit.errors import HarmonyError
from harmonykit.tune.tune import Tune

Arranged = Callable[..., Arrangement]
BARS = "C6/9=2233 F#m7b5:2=2423 | Bb7=1211 C#dim7:2=0101 | Eb7b9=0212"


def symbols(drawing: Drawing) -> list[str]:
    groups = drawing.sheet.all(Group, "harm")
    return ["".join(p.text for p in walk([g]) if isinstance(p, Text)) for g in groups]


def test_symbols_are_printed_as_we_print_them(arranged: Arranged) -> None:
    drawing = engrave(to_musicxml(arranged(BARS)))
    assert symbols(drawing) == ["C6/9", "F♯m7♭5", "B♭7", "C♯°7", "E♭7♭9"]


def test_no_glyph_of_a_private_font_is_left(arranged: Arranged) -> None:
    svg = engrave(to_musicxml(arranged(BARS))).svg
    assert not [c for c in svg if 0xE000 <= ord(c) <= 0xF8FF]
    assert "@font-face" not in svg and "data:" not in svg
    assert "'Harmonykit Sans', 'Source Sans 3', 'Quay Signs', sans-serif" in svg
    assert not re.search(r"(href|src)=\"?(http|//)", svg)


@pytest.mark.parametrize("sign", ["_", "\u203f"])
def test_syllables_that_share_a_note_are_joined_by_an_arc_of_our_fonts(sign: str) -> None:
    # SMuFL 1.4 has elisions of its own, U+E551, which no font of letters has; Unicode's is U+203F.
    score = (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part>'
        '</part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions>'
        "</attributes><note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration>"
        f"<type>whole</type><lyric><text>te{sign}amo</text></lyric></note></measure></part>"
        "</score-partwise>"
    )
    said = [part.text for part in walk(engrave(score).sheet.parts) if isinstance(part, Text)]
    assert "te\u203famo" in "".join(said)
    assert not [letter for letter in "".join(said) if 0xE000 <= ord(letter) <= 0xF8FF]


def test_a_score_has_its_size_and_its_name(arranged: Arranged) -> None:
    drawing = engrave(to_musicxml(arranged(BARS)), width_mm=120)
    assert drawing.width_mm == 120 and drawing.height_mm > 10
    assert drawing.alt == drawing.sheet.title == "Ebb at the Weir"


def test_a_staff_has_five_lines_and_its_glyphs_stand_on_it(arranged: Arranged) -> None:
    """The em of a music font is the height of a staff: SMuFL 1.4, metrics."""
    sheet = engrave(to_musicxml(arranged("C=0003"))).sheet
    level = [p.ends for p in sheet.all(Path) if p.stroke and p.box.height == 0]
    heights = sorted(round(start[1], 6) for start, end in level if end[0] - start[0] > 9)
    assert len(heights) == 5
    spaces = [b - a for a, b in zip(heights, heights[1:], strict=False)]
    assert spaces == pytest.approx([heights[1] - heights[0]] * 4, abs=1e-6)
    (clef,) = sheet.all(Mark, TREBLE_CLEF)
    # The treble clef stands on the second line from below.
    assert clef.y == pytest.approx(heights[3]) and clef.d == pytest.approx(4 * spaces[0], rel=0.01)
    assert {mark.role for mark in sheet.all(Mark)} >= {"E050", "E0A2"}


def test_the_same_score_gives_the_same_bytes(arranged: Arranged) -> None:
    score = to_musicxml(arranged(BARS))
    assert engrave(score) == engrave(score)


def test_it_engraves_in_every_thread(arranged: Arranged) -> None:
    """Verovio keeps where its fonts are for each thread apart."""
    score = to_musicxml(arranged(BARS))
    here = engrave(score)
    for _ in range(2):
        with ThreadPoolExecutor(1) as pool:
            assert pool.submit(engrave, score).result() == here


@pytest.mark.parametrize("bad", ["", "no score", "<score-partwise>", "<html/>"])
def test_what_is_no_score_is_refused(bad: str) -> None:
    with pytest.raises(HarmonyError, match="not XML|cannot be engraved|nothing to engrave"):
        engrave(bad)


def test_the_box_of_a_section_stands_over_its_system_and_clear_of_chord_symbols() -> None:
    tune = Tune.parse("Introduction: | C | F |\nVerse: | G | C |\nInterlude: | C | F | G | C |")
    drawing = engrave(to_musicxml(reharmonise(tune, "ukulele", [], k=1)[0]), width_mm=60)
    boxes = drawing.sheet.all(Group, "reh")
    assert len(boxes) == 3
    heard = [group.box for group in drawing.sheet.all(Group, "harm")]
    for box in (group.box for group in boxes):
        assert box.left >= 0 and box.right <= drawing.width_mm
        for other in heard:
            apart = other.left >= box.right or other.right <= box.left
            assert apart or other.top >= box.bottom or other.bottom <= box.top
