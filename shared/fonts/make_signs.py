"""Make the Quay Signs fonts: the accidentals of chord symbols, cut to stand beside Source Sans 3.

Noto Music draws ♭ ♮ ♯ 𝄫 𝄪 for staves: set in a line of text they hang below it, and beside semibold
letters they are thin.  Here each is scaled, its outline grown by a few units with round joins, and
stood on the line at the height where a reader of chord symbols looks for it.  Δ is drawn anew.

Run it where fontTools, shapely and brotli are installed, with the path of Noto Music 2.000::

    python shared/fonts/make_signs.py /usr/share/fonts/truetype/noto/NotoMusic-Regular.ttf

(Debian: package ``fonts-noto-core``.)  Lengths are in font units, 1000 to the em, heights from the
baseline.  The same source gives the same bytes: the fonts' own dates are fixed.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

from fontTools.fontBuilder import FontBuilder
from fontTools.misc.bezierTools import splitQuadraticAtT
from fontTools.pens.basePen import BasePen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from shapely import MultiPolygon, Polygon, affinity, unary_union
from shapely.geometry.polygon import orient

HERE = Path(__file__).resolve().parent / "quay-signs"
# Seconds since 1904: 1 January 2026, whenever the script is run.
DATE = 3_850_070_400
ASCENDER, DESCENDER, CAP_HEIGHT, X_HEIGHT = 1024, -400, 660, 491
LEFT, RIGHT = 34, 38
CHORDS_IN_A_CURVE = 12
TOLERANCE = 0.6

Shape: TypeAlias = Polygon | MultiPolygon


@dataclass(frozen=True, slots=True)
class Sign:
    """How one sign of the source is refitted; ``grow`` is given for Regular and SemiBold."""

    code: int
    name: str
    scale: tuple[float, float]
    bottom: int
    grow: tuple[int, int]


SIGNS = (
    Sign(0x266D, "flat", (1.09, 1.09), 100, (8, 17)),
    Sign(0x266E, "natural", (1.20, 1.02), 36, (6, 15)),
    Sign(0x266F, "sharp", (0.80, 0.80), 40, (6, 16)),
    Sign(0x1D12B, "doubleflat", (0.975, 0.92), 100, (9, 16)),
    Sign(0x1D12A, "doublesharp", (1.25, 1.25), 170, (4, 14)),
)
DELTA = 0x0394
DELTA_SIZE, DELTA_STROKE = (560, 650), (62, 92)
WEIGHTS = (("Regular", 400), ("SemiBold", 600))


class FlatPen(BasePen):  # type: ignore[misc]
    """Collect a glyph's contours as plain polygons."""

    def __init__(self, glyphs: Any) -> None:
        super().__init__(glyphs)
        self.contours: list[list[tuple[float, float]]] = []

    def _moveTo(self, point: tuple[float, float]) -> None:
        self.contours.append([point])

    def _lineTo(self, point: tuple[float, float]) -> None:
        self.contours[-1].append(point)

    def _qCurveToOne(self, middle: tuple[float, float], end: tuple[float, float]) -> None:
        start = self.contours[-1][-1]
        cuts = [i / CHORDS_IN_A_CURVE for i in range(1, CHORDS_IN_A_CURVE)]
        self.contours[-1] += [part[-1] for part in splitQuadraticAtT(start, middle, end, *cuts)]


def outline(font: TTFont, code: int) -> Shape:
    """Return the filled area of one glyph: outer contours less the holes."""
    glyphs = font.getGlyphSet()
    pen = FlatPen(glyphs)
    glyphs[font.getBestCmap()[code]].draw(pen)
    rings = [Polygon(contour) for contour in pen.contours]
    # TrueType outer contours run clockwise, holes the other way.
    outer = unary_union([ring for ring in rings if not ring.exterior.is_ccw])
    return outer.difference(unary_union([ring for ring in rings if ring.exterior.is_ccw]))


def refit(shape: Shape, sign: Sign, weight: int) -> Shape:
    """Scale a sign, thicken it and stand it at its height."""
    scaled = affinity.scale(shape, *sign.scale, origin=(0, 0))
    return place(scaled.buffer(sign.grow[weight], join_style="round", quad_segs=6), sign.bottom)


def place(shape: Shape, bottom: float) -> Shape:
    """Move a shape to the left bearing and to its height, with few points left in its outline."""
    x, y, _, _ = shape.bounds
    return affinity.translate(shape, LEFT - x, bottom - y).simplify(TOLERANCE)


def triangle(weight: int) -> Shape:
    """Return Δ, the sign of the major seventh: a triangle with an even stroke."""
    width, height = DELTA_SIZE
    outer = Polygon([(0, 0), (width / 2, height), (width, 0)])
    inner = outer.buffer(-DELTA_STROKE[weight], join_style="mitre", mitre_limit=10)
    return place(outer.difference(inner), 0)


def to_glyph(shape: Shape) -> tuple[Any, int]:
    """Return a TrueType glyph and its advance."""
    pen = TTGlyphPen(None)
    for part in getattr(shape, "geoms", [shape]):
        turned = orient(part, sign=-1.0)
        for ring in (turned.exterior, *turned.interiors):
            points = [(round(x), round(y)) for x, y in ring.coords[:-1]]
            pen.moveTo(points[0])
            for point in points[1:]:
                pen.lineTo(point)
            pen.closePath()
    return pen.glyph(), round(shape.bounds[2]) + RIGHT


def build(source: TTFont, weight: int) -> TTFont:
    """Return one weight of the family as a font."""
    shapes = {sign.name: refit(outline(source, sign.code), sign, weight) for sign in SIGNS}
    shapes["Delta"] = triangle(weight)
    glyphs = {name: to_glyph(shape) for name, shape in shapes.items()}
    glyphs = {".notdef": (TTGlyphPen(None).glyph(), 500), **glyphs}
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupCharacterMap({sign.code: sign.name for sign in SIGNS} | {DELTA: "Delta"})
    builder.setupGlyf({name: glyph for name, (glyph, _) in glyphs.items()})
    table = builder.font["glyf"]
    builder.setupHorizontalMetrics(
        {name: (advance, getattr(table[name], "xMin", 0)) for name, (_, advance) in glyphs.items()}
    )
    describe(builder, source, weight)
    return builder.font


def describe(builder: FontBuilder, source: TTFont, weight: int) -> None:
    """Add names, heights and fixed dates."""
    style, number = WEIGHTS[weight]
    builder.setupHorizontalHeader(ascent=ASCENDER, descent=DESCENDER, lineGap=0)
    builder.setupNameTable(names(style, source["name"]))
    builder.setupOS2(
        usWeightClass=number,
        sTypoAscender=ASCENDER,
        sTypoDescender=DESCENDER,
        sTypoLineGap=0,
        usWinAscent=ASCENDER,
        usWinDescent=-DESCENDER,
        sCapHeight=CAP_HEIGHT,
        sxHeight=X_HEIGHT,
        version=4,
        fsSelection=1 << 6 | 1 << 7,
        fsType=0,
        achVendID="NONE",
    )
    builder.setupPost()
    builder.updateHead(created=DATE, modified=DATE, fontRevision=1.0)
    builder.font.recalcTimestamp = False


def names(style: str, source: Any) -> dict[str, str]:
    """Return the name table; the source's copyright line and licence stand as they were."""
    family = "Quay Signs" if style == "Regular" else f"Quay Signs {style}"
    changed = "Modified for harmonykit: scaled, thickened and placed; Δ is new."
    return {
        "copyright": f"{source.getDebugName(0)} {changed}",
        "familyName": family,
        "styleName": "Regular",
        "uniqueFontIdentifier": f"1.000;QuaySigns-{style}",
        "fullName": f"Quay Signs {style}",
        "version": "Version 1.000",
        "psName": f"QuaySigns-{style}",
        "licenseDescription": source.getDebugName(13),
        "licenseInfoURL": source.getDebugName(14),
        "typographicFamily": "Quay Signs",
        "typographicSubfamily": style,
    }


def main(path: str) -> None:
    """Write both weights as TrueType (page layout, figures) and WOFF2 (HTML)."""
    with TTFont(path) as source:
        version = source["name"].getDebugName(5)
        if version != "Version 2.000":
            sys.exit(f"{path} is {version}; the table above fits Noto Music, Version 2.000")
        for weight, (style, _) in enumerate(WEIGHTS):
            font = build(source, weight)
            font.save(HERE / f"QuaySigns-{style}.ttf")
            font.flavor = "woff2"
            font.save(HERE / f"QuaySigns-{style}.woff2")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python make_signs.py PATH/TO/NotoMusic-Regular.ttf")
    main(sys.argv[1])
