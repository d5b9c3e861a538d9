"""The vendored fonts have the signs of chord symbols, and carry their licences."""

from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

FONTS = Path(__file__).resolve().parents[1] / "shared" / "fonts"
ACCIDENTALS = "♭♮♯𝄫𝄪"
SIGNS = ACCIDENTALS + "Δ"
WEIGHTS = [("Regular", 400), ("SemiBold", 600)]


def font(path: str) -> TTFont:
    return TTFont(FONTS / path)


@pytest.mark.parametrize(("style", "weight"), WEIGHTS)
class TestQuaySigns:
    """Weights 400 and 600 of one family that stands in a line of Source Sans 3."""

    def test_it_has_each_sign_and_nothing_else(self, style: str, weight: int) -> None:
        signs = font(f"quay-signs/QuaySigns-{style}.ttf")
        assert set(signs.getBestCmap()) == {ord(sign) for sign in SIGNS}
        assert signs["OS/2"].usWeightClass == weight
        assert signs["name"].getBestFamilyName() == "Quay Signs"

    def test_every_sign_stands_on_or_above_the_line(self, style: str, weight: int) -> None:
        signs = font(f"quay-signs/QuaySigns-{style}.ttf")
        cap = font("source-sans-3/SourceSans3_600SemiBold.ttf")["OS/2"].sCapHeight
        for sign in SIGNS:
            left, bottom, right, top = bounds(signs, sign)
            assert 0 <= bottom < top < cap * 1.15, sign
            # Bearings, so that neighbours in a symbol do not touch.
            assert left == pytest.approx(34, abs=1)
            assert advance(signs, sign) - right == pytest.approx(38, abs=1)

    def test_line_heights_are_those_of_the_text(self, style: str, weight: int) -> None:
        signs = font(f"quay-signs/QuaySigns-{style}.ttf")
        text = font("source-sans-3/SourceSans3_400Regular.ttf")
        for field in ("ascent", "descent", "lineGap"):
            assert getattr(signs["hhea"], field) == getattr(text["hhea"], field)

    def test_the_first_makers_line_is_kept(self, style: str, weight: int) -> None:
        names = font(f"quay-signs/QuaySigns-{style}.ttf")["name"]
        assert names.getDebugName(0).startswith("Copyright 2018 Google Inc. All Rights Reserved.")
        assert "SIL Open Font License, Version 1.1" in names.getDebugName(13)


def bounds(signs: TTFont, sign: str) -> tuple[float, float, float, float]:
    glyphs = signs.getGlyphSet()
    pen = BoundsPen(glyphs)
    glyphs[signs.getBestCmap()[ord(sign)]].draw(pen)
    return pen.bounds


def advance(signs: TTFont, sign: str) -> int:
    return signs["hmtx"][signs.getBestCmap()[ord(sign)]][0]


def test_the_semibold_is_the_darker() -> None:
    regular, semibold = (font(f"quay-signs/QuaySigns-{style}.ttf") for style, _ in WEIGHTS)
    for sign in ACCIDENTALS:
        assert advance(semibold, sign) > advance(regular, sign)


@pytest.mark.parametrize("name", ["400Regular", "400Regular_Italic", "600SemiBold"])
def test_the_text_font_has_the_other_signs_and_lacks_the_accidentals(name: str) -> None:
    known = set(font(f"source-sans-3/SourceSans3_{name}.ttf").getBestCmap())
    assert {ord(sign) for sign in "°øΔ−×·"} <= known
    assert not {ord(sign) for sign in ACCIDENTALS} & known


def test_no_third_family_lies_among_them() -> None:
    families = {TTFont(p)["name"].getBestFamilyName() for p in FONTS.rglob("*.[to]tf")}
    assert families == {"Source Sans 3", "Quay Signs"}


@pytest.mark.parametrize(
    "file", ["source-sans-3/LICENSE_FONT", "source-sans-3/LICENSE_WOFF2", "quay-signs/OFL.txt"]
)
def test_each_licence_is_there(file: str) -> None:
    text = (FONTS / file).read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
