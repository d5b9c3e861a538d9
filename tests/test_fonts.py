"""The vendored fonts have the signs of chord symbols, and carry their licences."""

from __future__ import annotations

import hashlib
import re
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


def test_no_third_family_lies_among_those_that_typst_reads() -> None:
    families = {TTFont(p)["name"].getBestFamilyName() for p in FONTS.rglob("*.[to]tf")}
    assert families == {"Source Sans 3", "Quay Signs"}


FILES = sorted(p for p in FONTS.rglob("*") if p.suffix in (".ttf", ".otf", ".woff", ".woff2"))
# SHA-256 of the three files of the npm package @expo-google-fonts/source-sans-3 0.4.1.
UNALTERED = {
    "SourceSans3_400Regular.ttf": "393fb5b878ceed04aebc34b097e853ae"
    "5138c51d0c34b496ce8e2b47e0d0b94a",
    "SourceSans3_400Regular_Italic.ttf": "f17facaa9ed293bb38526db3638e2405"
    "10b7393c37ffa70e5c48f39575de44ab",
    "SourceSans3_600SemiBold.ttf": "bd2550fce2d295b0bf20bd8b1b7f1477"
    "da834f1066bd850aafdb4787a67a63ca",
}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
class TestLicence:
    """SIL Open Font License 1.1, conditions 2 and 3, for every font that ships."""

    def test_the_licence_beside_it_opens_with_its_own_copyright_line(self, path: Path) -> None:
        text = (path.parent / "OFL.txt").read_text(encoding="utf-8")
        assert text.splitlines()[0] == TTFont(path)["name"].getDebugName(0)
        for part in ("SIL OPEN FONT LICENSE Version 1.1", "PERMISSION & CONDITIONS", "DISCLAIMER"):
            assert part in text

    def test_its_name_table_names_the_licence(self, path: Path) -> None:
        names = TTFont(path)["name"]
        assert "SIL Open Font License, Version 1.1" in names.getDebugName(13)

    def test_what_was_altered_bears_no_reserved_name(self, path: Path) -> None:
        names = TTFont(path)["name"]
        reserved = re.findall("Reserved Font Names? [‘\"'](.+?)[’\"']", names.getDebugName(0))
        if path.name in UNALTERED:
            assert hashlib.sha256(path.read_bytes()).hexdigest() == UNALTERED[path.name]
            assert reserved == ["Source"]
            return
        # Family, subfamily, unique id, full name, PostScript name, typographic family and style.
        for number in (1, 2, 3, 4, 6, 16, 17, 21, 22, 25):
            named = names.getDebugName(number) or ""
            assert not [word for word in (*reserved, "Source") if word.lower() in named.lower()]


@pytest.mark.parametrize("style", ["Regular", "Italic", "SemiBold"])
def test_the_cut_has_the_letters_of_europe_as_the_whole_face_draws_them(style: str) -> None:
    whole = {"Regular": "400Regular", "Italic": "400Regular_Italic", "SemiBold": "600SemiBold"}
    cut = font(f"harmonykit-sans/HarmonykitSans-{style}.woff2")
    source = font(f"source-sans-3/SourceSans3_{whole[style]}.ttf")
    assert cut["name"].getBestFamilyName() == "Harmonykit Sans"
    assert cut["OS/2"].usWeightClass == source["OS/2"].usWeightClass
    for letter in "AgÉßłőşțŽ°øΔ−×·→½":
        assert bounds(cut, letter) == bounds(source, letter)
        assert advance(cut, letter) == advance(source, letter)
    # Three of them, with the signs, in a page of some hundred kB.
    assert (FONTS / f"harmonykit-sans/HarmonykitSans-{style}.woff2").stat().st_size < 20_000


def test_the_readme_names_every_folder() -> None:
    readme = (FONTS / "README.md").read_text(encoding="utf-8")
    assert {f"`{path.parent.name}/`" for path in FILES} == set(re.findall("`[a-z0-9-]+/`", readme))
