"""How wide the fonts that ship set a text, as other libraries measure it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import ImageFont
from PIL.ImageFont import Layout

from harmonykit.draw.base.fonts import text_width


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
