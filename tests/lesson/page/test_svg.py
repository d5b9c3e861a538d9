"""Figures on a page: no style in place, ids of their own, each shape drawn once."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box import draw_box
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.page.svg import Figures, Styles
from harmonykit.lesson.plan.shown import Shown
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


def figures() -> Figures:
    return Figures(Styles())


def disc() -> Drawing:
    canvas = Canvas(1, 2)
    with canvas.group("a"):
        canvas.circle(0.5, 0.5, 1, fill="ink")
    with canvas.group("a"):
        canvas.circle(0.5, 1.5, 1, fill="ink")
    return canvas.drawing("discs", "two discs")


def test_a_size_is_a_class_and_the_ink_follows_the_page() -> None:
    own = figures()
    svg = own.inline(disc())
    assert "style=" not in svg and 'class="drawing k0"' in svg
    # The ink of a drawing follows the page, light or dark.
    assert svg.count('fill="var(--ink)"') == 2
    assert ".k0{width:1mm;height:2mm}" in own.styles.css


def test_ids_are_behind_a_prefix_a_repeated_one_only_a_part() -> None:
    own = figures()
    first, second = (own.inline(disc()) for _ in range(2))
    assert re.findall(r'\bid="([^"]*)"', first + second) == ["f1-a", "f2-a"]
    assert first.count('data-part="a"') == 2


def test_the_words_of_a_figure_are_its_label() -> None:
    box = draw_box(Voicing.parse("2223", UKULELE), Chord.parse("D7"))
    svg = figures().inline(box)
    assert f'role="img" aria-label="{box.alt}"' in svg
    assert "<title>" not in svg and "<desc>" not in svg and "xmlns" not in svg


def test_a_shape_is_drawn_once_whatever_it_is_called() -> None:
    own = figures()
    shape = Voicing.parse("2213", UKULELE)
    # One shape with two names: Dm7 and F6 have the same notes.
    assert own.symbol(Shown(shape, Chord.parse("Dm7"))) is own.symbol(
        Shown(shape, Chord.parse("F6"))
    )
    own.symbol(Shown(Voicing.parse("0003", UKULELE), Chord.parse("C")))
    assert [symbol.name for symbol, _ in own.symbols] == ["shape-0", "shape-1"]


def test_a_shape_held_otherwise_is_drawn_anew() -> None:
    own, shown = figures(), Shown(Voicing.parse("0003", UKULELE), Chord.parse("C"))
    plain, held = own.symbol(shown), shown.shape.fingering
    assert held is not None and own.symbol(shown, held) is plain
    little = replace(held, fingers=(0, 0, 0, 4))
    assert little != held and own.symbol(shown, little) is not plain


def test_no_mark_of_a_shape_is_cropped() -> None:
    own = figures()
    for frets, name in (("0003", "C"), ("10-12-10-12", "Dm7"), ("x-4-x-3", "Cno5")):
        symbol = own.symbol(Shown(Voicing.parse(frets, UKULELE), Chord.parse(name)))
        body = dict((s.name, text) for s, text in own.symbols)[symbol.name]
        width = float(symbol.view.split()[2])
        marks = body[body.index("data-part") :]
        # Points of the marks' outlines, as pairs behind M, L and C.
        points = [float(x) for x in re.findall(r"(-?[\d.]+) -?[\d.]+", marks)]
        assert points and max(points) < width


def test_a_symbol_is_a_bare_box_at_the_size_of_a_chart() -> None:
    """A chart's strings are 0.74 of 5 mm apart; there are 96 pixels and 72 points an inch."""
    own = figures()
    shown = Shown(Voicing.parse("2223", UKULELE), Chord.parse("D7"))
    symbol = own.symbol(shown)
    ((_, body),) = own.symbols
    # The chord's name stands in the chart already: there are fingers alone.
    assert sorted(re.findall(r"<text[^>]*>([^<]*)<", body)) == ["1", "1", "1", "2"]
    _, _, wide, high = map(float, symbol.view.split())
    assert symbol.width / wide == pytest.approx(96 / 72, abs=0.01)
    assert symbol.height / high == pytest.approx(96 / 72, abs=0.01)
    strings = 3 * 0.74 * 5 * 96 / 25.4
    # A third of a string's gap at least and a gap at most is left at the right.
    assert strings / 9 < symbol.width - symbol.left - strings < strings / 3
    assert 5 < symbol.left < strings / 2
    assert f".{symbol.size}{{width:{symbol.width}px;height:{symbol.height}px}}" in own.styles.css
    assert own.symbol(shown) is symbol


def test_figures_without_ids_have_none() -> None:
    bare = Figures(Styles("x"), ids=False)
    assert " id=" not in bare.inline(disc()) and 'class="drawing xk0"' in bare.inline(disc())
