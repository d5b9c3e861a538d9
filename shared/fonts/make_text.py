"""Make the Harmonykit Sans fonts: the Latin letters of Source Sans 3, small enough for a web page.

Source Sans 3 has 1,615 characters in 380 kB a weight.  A page that carries its own fonts needs a
few hundred.  A font that was cut down is a modified version: the licence (SIL OFL 1.1) lets it be
shared, but not under the name that its makers reserved, so it has a name of its own.

Run it where fontTools and brotli are installed::

    python shared/fonts/make_text.py

The same source gives the same bytes: the fonts' own dates stay as they were.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FONTS = Path(__file__).resolve().parent
FAMILY = "Harmonykit Sans"
# Source file, style, and whether the style is one of the four that every program knows.
STYLES = (
    ("SourceSans3_400Regular.ttf", "Regular", True),
    ("SourceSans3_400Regular_Italic.ttf", "Italic", True),
    ("SourceSans3_600SemiBold.ttf", "SemiBold", False),
)
CHANGED = "Modified for harmonykit: cut down to Latin letters and signs, and renamed."
# Latin of Europe, punctuation, superscripts, arrows, and the signs of chord symbols and counts.
WANTED = (
    *range(0x20, 0x7F), *range(0xA0, 0x180), *range(0x218, 0x21C), 0x2BB, 0x2BC, 0x2C6, 0x2DA,
    0x2DC, 0x2009, *range(0x2010, 0x2028),
    *range(0x2070, 0x208F), *range(0x2190, 0x2194), 0x202F, 0x2030, 0x2032, 0x2033, 0x2039,
    0x203A, 0x2044, 0x20AC, 0x2113, 0x2122, 0x2153, 0x2154, 0x0394, 0x2212, 0x2215, 0x221E,
    0x2248, 0x2260, 0x2264, 0x2265, 0x25CB, 0x25CF,
)  # fmt: skip
FEATURES = ["kern", "ccmp", "locl", "lnum", "tnum", "pnum"]


def cut(source: Path, style: str, *, common: bool) -> TTFont:
    """Return a font cut down to ``WANTED`` under our own name."""
    options = Options(layout_features=FEATURES, name_IDs=["*"], hinting=False, notdef_outline=True)
    font = TTFont(source, recalcTimestamp=False)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=WANTED)
    subsetter.subset(font)
    rename(font["name"], style, common=common)
    # The axes of the whole family are named there, and the maker's vendor code stands for it.
    del font["STAT"]
    font["OS/2"].achVendID = "NONE"
    return font


def rename(table: Any, style: str, *, common: bool) -> None:
    """Give a name table our family; the makers' copyright line and licence stand as they were."""
    kept = {number: table.getDebugName(number) for number in (13, 14)}
    names = {
        0: f"{table.getDebugName(0)} {CHANGED}",
        1: FAMILY if common else f"{FAMILY} {style}",
        2: style if common else "Regular",
        3: f"{FAMILY} {style}, cut down",
        4: f"{FAMILY} {style}",
        5: "Version 1.000",
        6: f"{FAMILY.replace(' ', '')}-{style}",
        **kept,
    }
    if not common:
        names |= {16: FAMILY, 17: style}
    table.names = []
    for number, text in sorted(names.items()):
        table.setName(text, number, 3, 1, 0x409)


def main() -> None:
    """Write the three styles as WOFF2."""
    for file, style, common in STYLES:
        font = cut(FONTS / "source-sans-3" / file, style, common=common)
        font.flavor = "woff2"
        font.save(FONTS / "harmonykit-sans" / f"HarmonykitSans-{style}.woff2")


if __name__ == "__main__":
    main()
