"""Our fonts as CSS, whole within it."""

from __future__ import annotations

import base64
import io
import re

from fontTools.ttLib import TTFont

from harmonykit.draw.base.faces import COLOPHON, font_faces

RULE = re.compile(
    r'@font-face\{font-family:"([^"]+)";font-weight:(\d+);font-style:(\w+);'
    r'src:url\(data:font/woff2;base64,([A-Za-z0-9+/=]+)\) format\("woff2"\)\}'
)


def test_each_rule_holds_the_font_that_it_names() -> None:
    found = RULE.findall(font_faces(italic=True))
    assert len(found) == 5
    for family, weight, style, data in found:
        font = TTFont(io.BytesIO(base64.b64decode(data)))
        assert font["name"].getBestFamilyName() == family
        assert font["OS/2"].usWeightClass == int(weight)
        assert bool(font["post"].italicAngle) == (style == "italic")


def test_the_fonts_makers_and_licence_are_said_in_a_comment() -> None:
    assert font_faces().startswith(f"/* Fonts: {COLOPHON} */\n")
    for part in ("Adobe", "Google", "SIL Open Font License 1.1"):
        assert part in COLOPHON
