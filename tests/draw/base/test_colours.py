"""Colours, the finished drawing, and names for the ear."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest

from harmonykit.draw.base.colours import PALETTES, palette
from harmonykit.draw.base.given import spoken
from harmonykit.errors import HarmonyError
from harmonykit.theory.note import Note
from harmonykit.words.numbers import join_words, ordinal


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("name", PALETTES)
def test_text_and_marks_reach_the_contrast_that_wcag_asks_of_text(name: str) -> None:
    colours = palette(name)
    for token in ("ink", "soft", "third", "seventh", "tension"):
        # WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
        assert contrast(getattr(colours, token), colours.paper) >= 4.5, token
    # 1.4.11: 3 to 1 for graphics; the thin line carries no meaning and still reaches it.
    assert contrast(colours.hair, colours.paper) >= 3


def test_one_ink_has_one_ink() -> None:
    tokens = palette("one ink").tokens
    assert {tokens[t] for t in tokens if t != "paper"} == {"#000000"}


def test_print_keeps_only_the_accents_in_colour() -> None:
    printed, light = palette("print").tokens, palette("colour").tokens
    assert {t for t in printed if printed[t] != light[t]} == {"ink", "soft", "hair"}


def test_an_unknown_palette_is_refused_with_the_known_ones() -> None:
    with pytest.raises(HarmonyError, match="one ink"):
        palette("sepia")


@pytest.mark.parametrize(
    ("name", "said"),
    [("C", "C"), ("Bb", "B flat"), ("F#", "F sharp"), ("Ebb", "E double flat"), ("Cbbb", "C bbb")],
)
def test_a_note_is_said_without_its_octave(name: str, said: str) -> None:
    assert spoken(Note.parse(name + "4")) == said


def test_numbers_and_lists_are_said_as_in_english() -> None:
    assert [ordinal(n) for n in (1, 12, 20, 21, 22, 23, 24, 111)] == [
        *("first", "twelfth", "twentieth", "21st", "22nd", "23rd", "24th", "111th"),
    ]
    assert [join_words(list(w)) for w in ("", "A", "AB", "ABC")] == [
        *("", "A", "A and B", "A, B and C"),
    ]


# Machado, Oliveira & Fernandes 2009, severity 1, for linear RGB (from memory).
SIGHT = {
    "normal": np.eye(3),
    "red-blind": [
        *([0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216]),
        [-0.003882, -0.048116, 1.051998],
    ],
    "green-blind": [
        *([0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413]),
        [-0.011820, 0.042940, 0.968881],
    ],
    "blue-blind": [
        *([1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602]),
        [0.004733, 0.691367, 0.303900],
    ],
}
# sRGB to XYZ, IEC 61966-2-1, over the white of D65.
XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
) / np.array([[0.9505], [1.0], [1.089]])


def lab(colour: str, sight: object) -> tuple[float, float, float]:
    """CIE 1976 L*a*b* of a colour as someone sees it."""
    parts = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    x, y, z = (
        float(np.cbrt(v) if v > 216 / 24389 else (24389 / 27 * v + 16) / 116)
        for v in XYZ @ np.clip(np.asarray(sight) @ linear, 0, 1)
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def ciede2000(one: tuple[float, float, float], two: tuple[float, float, float]) -> float:
    """The difference of Sharma, Wu & Dalal 2005."""
    (l1, a1, b1), (l2, a2, b2) = one, two
    mean = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = 1.5 - 0.5 * math.sqrt(mean**7 / (mean**7 + 25**7))
    c1, c2 = math.hypot(g * a1, b1), math.hypot(g * a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, g * a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    turn = (h2 - h1 + 180) % 360 - 180 if c1 * c2 else 0.0
    c, h = (c1 + c2) / 2, (h1 + turn / 2) % 360 if c1 * c2 else h1 + h2
    light = ((l1 + l2) / 2 - 50) ** 2
    t = 1.0
    for share, times, off in ((-0.17, 1, -30), (0.24, 2, 0), (0.32, 3, 6), (-0.2, 4, -63)):
        t += share * math.cos(math.radians(times * h + off))
    dl = (l2 - l1) / (1 + 0.015 * light / math.sqrt(20 + light))
    dc = (c2 - c1) / (1 + 0.045 * c)
    dh = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn / 2)) / (1 + 0.015 * c * t)
    angle = math.radians(60 * math.exp(-(((h - 275) / 25) ** 2)))
    rotate = -math.sin(angle) * 2 * math.sqrt(c**7 / (c**7 + 25**7))
    return math.sqrt(dl**2 + dc**2 + dh**2 + rotate * dc * dh)


@pytest.mark.parametrize(
    ("one", "two", "apart"),
    [
        ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
        ((50, -1, 2), (50, 0, 0), 2.3669),
        ((50, 2.5, 0), (73, 25, -18), 27.1492),
        ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)
def test_the_measure_is_the_published_one(
    one: tuple[float, float, float], two: tuple[float, float, float], apart: float
) -> None:
    """Rows of the test data of Sharma, Wu & Dalal 2005 (from memory)."""
    assert ciede2000(one, two) == pytest.approx(apart, abs=1e-4)


@pytest.mark.parametrize("sight", SIGHT)
@pytest.mark.parametrize("name", ["colour", "dark"])
def test_accents_are_told_apart_by_every_kind_of_sight(name: str, sight: str) -> None:
    # From 15 on nobody takes one for the other side by side: common practice, no source.
    tokens = palette(name).tokens
    seen = [lab(tokens[token], SIGHT[sight]) for token in ("ink", "third", "seventh", "tension")]
    assert min(ciede2000(a, b) for a, b in combinations(seen, 2)) >= 15
