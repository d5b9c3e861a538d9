"""Figures on a page: no style in place, ids of their own, each shape drawn once."""

from __future__ import annotations

import re

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


def test_styles_become_classes_with_the_same_declarations() -> None:
    own = figures()
    drawing = Drawing(
        '<svg x="1"><g style="fill: #16243b"/><g style="fill: #16243b"/></svg>', "", 1, 2
    )
    svg = own.inline(drawing)
    assert "style=" not in svg
    assert re.findall(r'<g class="(\w+)"/>', svg) == ["k0", "k0"]
    # The ink of a drawing follows the page, light or dark.
    assert ".k0{fill: var(--ink)}" in own.styles.css
    assert "width:1mm;height:2mm" in own.styles.css


def test_ids_are_behind_a_prefix_a_repeated_one_only_a_part() -> None:
    own = figures()
    svg = '<svg><g id="a"/><g id="a"/><use href="#a"/><g fill="url(#a)"/></svg>'
    first, second = (own.inline(Drawing(svg, "", 1, 1)) for _ in range(2))
    assert re.findall(r'\bid="([^"]*)"', first + second) == ["f1-a", "f2-a"]
    assert first.count('data-part="a"') == 2
    assert 'href="#f1-a"' in first and "url(#f2-a)" in second


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


def test_no_mark_of_a_shape_is_cropped() -> None:
    own = figures()
    for frets, name in (("0003", "C"), ("10-12-10-12", "Dm7"), ("x-4-x-3", "Cno5")):
        symbol = own.symbol(Shown(Voicing.parse(frets, UKULELE), Chord.parse(name)))
        body = dict((s.name, text) for s, text in own.symbols)[symbol.name]
        width = float(symbol.view.split()[2])
        marks = body[body.index("data-part") :]
        # Points of the marks' outlines, as pairs behind M, L and C.
        points = [float(x) for x in re.findall(r"(-?[\d.]+) -?[\d.]+(?= |\")", marks)]
        assert points and max(points) < width
