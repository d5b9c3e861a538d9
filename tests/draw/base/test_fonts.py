"""How wide the fonts that ship set a text, as other libraries measure it; and what they lack."""

from __future__ import annotations

import runpy
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont
from PIL.ImageFont import Layout

from harmonykit.draw.base import fonts
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.fonts import (
    check_printable,
    index_of,
    lacking,
    printable,
    shortened,
    text_width,
)
from harmonykit.draw.shapes.sheet import sheet_pdf
from harmonykit.errors import HarmonyError


def test_the_width_of_a_text_is_what_another_library_measures() -> None:
    # Pillow reads the same font file by itself; 600 pixels to the em, so 1/600 em.
    file = "shared/fonts/source-sans-3/SourceSans3_600SemiBold.ttf"
    font = ImageFont.truetype(str(Path(__file__).resolve().parents[3] / file), 600)
    left, _, right, _ = font.getbbox("F7sus4")
    assert text_width("F7sus4", 13, 600) == pytest.approx(
        (right - left) / 600 * 13 * 25.4 / 72, abs=0.25
    )


@pytest.mark.parametrize("text", ["To", "AVATAR", "F7sus4", "Heron Landing, 12 bars", "Ty."])
@pytest.mark.parametrize(
    ("weight", "file"), [(400, "SourceSans3_400Regular"), (600, "SourceSans3_600SemiBold")]
)
def test_letters_are_kerned_as_a_shaper_of_text_kerns_them(
    text: str, weight: int, file: str
) -> None:
    """Pillow asks HarfBuzz; a thousand pixels to the em, without ligatures."""
    path = f"shared/fonts/source-sans-3/{file}.ttf"
    font = ImageFont.truetype(
        str(Path(__file__).resolve().parents[3] / path), 1000, layout_engine=Layout.RAQM
    )
    shaped = font.getlength(text, features=["-liga"])
    assert text_width(text, 10, weight) == pytest.approx(shaped / 1000 * 10 * 25.4 / 72, rel=2e-3)


def test_a_sign_of_the_other_font_takes_its_own_width_and_an_unknown_one_a_box() -> None:
    """Quay Signs has the double flat, which Source Sans 3 lacks."""
    file = Path(__file__).resolve().parents[3] / "shared/fonts/quay-signs/QuaySigns-Regular.ttf"
    wide = ImageFont.truetype(str(file), 1000).getlength("\U0001d12b") / 1000 * 10 * 25.4 / 72
    assert text_width("E\U0001d12b", 10) == pytest.approx(text_width("E", 10) + wide, rel=2e-3)
    assert text_width("潮", 10) > 1


FONTS = Path(__file__).resolve().parents[3] / "shared" / "fonts"


def test_the_signs_are_those_that_every_style_has() -> None:
    text = [set(TTFont(file).getBestCmap()) for file in (FONTS / "source-sans-3").glob("*.ttf")]
    signs = [set(TTFont(file).getBestCmap()) for file in (FONTS / "quay-signs").glob("*.ttf")]
    assert len(text) == 3 and len(signs) == 2
    assert printable() == set.intersection(*text) | set.intersection(*signs)


def test_what_is_read_beforehand_is_what_the_fonts_say() -> None:
    made = runpy.run_path(str(FONTS / "make_measures.py"))["text"]()
    assert (FONTS / "measures.json").read_text(encoding="utf-8") == made


@given(st.text(st.sampled_from("AVToyf, r.’♭♯𝄫7°ΔäŁØя潮"), max_size=9), st.sampled_from([400, 600]))
def test_usual_signs_are_as_wide_as_in_the_fonts(text: str, weight: int) -> None:
    wide = fonts.em_in_files(text, weight) * 10 * 25.4 / 72
    assert text_width(text, 10, weight) == pytest.approx(wide, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "sign", "index"),
    [
        ("", "", 0),
        ("Łódź – “Ebb” naïve Ωмя B♭°7 𝄫 Δ", "", 0),
        ("Ebb 潮汐", "潮", 4),
        ("wave \U0001f30a\ufe0f!", "\U0001f30a", 5),
        ("e\u0301bbe\u200d\ufe0e\tx", "", 0),
        ("مد", "م", 0),
    ],
)
def test_the_first_sign_that_is_lacking(text: str, sign: str, index: int) -> None:
    assert (lacking(text), index_of(text)) == (sign, index)


@given(st.text(alphabet=st.characters(categories=["L", "N", "P", "S"]), max_size=12))
def test_what_passes_has_a_sign_for_each_letter(text: str) -> None:
    import unicodedata

    composed = unicodedata.normalize("NFC", text)
    assert (lacking(text) == "") == all(ord(sign) in printable() for sign in composed)


def test_the_message_names_text_sign_and_what_to_do() -> None:
    with pytest.raises(HarmonyError) as caught:
        check_printable("Ebb 潮", "the title")
    said = str(caught.value)
    assert said.startswith("the title has '潮' (U+6F6E), which cannot be printed")
    assert "Latin, Greek and Cyrillic" in said and "try: write it in letters" in said


def test_a_sheet_is_refused_before_it_is_set() -> None:
    canvas = Canvas(40, 20)
    canvas.text(20, 10, "Ebb & 潮", 12)
    page = canvas.drawing("a page", "a page")
    with pytest.raises(HarmonyError, match="the sheet has '潮'"):
        sheet_pdf([page], title="Tide")
    with pytest.raises(HarmonyError, match="the title has '潮'"):
        sheet_pdf([Canvas(40, 20).drawing("a page", "a page")], title="潮")


def test_the_sixteen_variation_selectors_print_nothing() -> None:
    """Unicode: FE00 to FE0F; on either side stand Arabic and vertical forms, which fonts lack."""
    for code in range(0xFE00, 0xFE10):
        assert lacking(f"B{chr(code)}") == ""
    for code in (0xFDFC, 0xFE10):
        assert lacking(f"B{chr(code)}") == chr(code)


def test_several_pages_measure_at_once() -> None:
    """Panels that are opened together measure in threads of their own, in fonts not yet read."""
    texts = ("AVATAR To", "Wave Typ", "F♯m7♭5 AV", "LT Yo")
    alone = [fonts.em_in_files(text, 400) for text in texts]
    for each in (fonts.sign_of, fonts.kern_of, fonts._pairs, fonts.open_font):
        each.cache_clear()
    together = threading.Barrier(8)

    def measure(number: int) -> float:
        together.wait()
        return fonts.em_in_files(texts[number % 4], 400)

    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(measure, range(8)))
    assert found == alone * 2


def test_a_text_is_cut_to_as_much_as_there_is_room_for() -> None:
    """What fits to a hair stays; a blank before the sign of what is left out goes."""
    whole = "Heron Landing"
    assert shortened(whole, text_width(whole, 10), 10) == whole
    for count in range(1, len(whole)):
        cut = whole[:count] + "…"
        if text_width(cut, 10) < text_width(whole, 10):
            found = shortened(whole, text_width(cut, 10), 10)
            assert found == whole[:count].rstrip() + "…"
    assert shortened(whole, 0.0, 10) == "…"
    bold = shortened(whole, 20, 10, 600)
    assert text_width(bold, 10, 600) <= 20 < text_width(whole, 10, 600)
