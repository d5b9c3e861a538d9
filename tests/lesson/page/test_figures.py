"""The figures of a page: ids and sizes, what is heard of them, and what the key explains."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.marks import roles_drawn
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.sets.clock import draw_clock
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.page.figures import Figures, Styles, heard, view_figures
from harmonykit.lesson.plan.model import Front, Picture
from harmonykit.lesson.plan.shown import Shown, along_the_neck
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.lesson.plan.starts import climb
from harmonykit.theory.chord import Chord


@pytest.fixture
def front(lesson_path: Path) -> Front:
    return read_lesson(lesson_path)[0]


@pytest.mark.parametrize("frets", ["2-3-2-3", "0-0-0-3", "10-x-12-12", "x-x-x-5"])
@pytest.mark.parametrize("left_handed", [False, True])
def test_a_box_sounds_its_shape(front: Front, frets: str, left_handed: bool) -> None:
    shape = Voicing.parse(frets, front.instrument)
    assert heard(draw_box(shape, look=BoxLook(left_handed=left_handed)), front) == (frets,)


def test_the_neck_sounds_the_scale_shape_by_shape(front: Front) -> None:
    shapes = climb(front)
    found = heard(along_the_neck(shapes), front)
    # By hand on g C E A: Gm6 as 0-2-0-1, then each string one note up G A Bb C D Eb E F#; the
    # eighth shape is 11-12-11-12, and the one after it would reach fret 14.
    assert found[:3] == ("0-2-0-1", "2-3-2-3", "3-4-3-5") and len(found) == len(shapes) == 8


def test_muted_strings_of_the_scale_stay_silent(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    for old, new in (('"ukulele"', '"guitar"'), ('"4545"', '"xx3434"'), ('"0201"', '"xx2333"')):
        assert old in text
        text = text.replace(old, new)
    lesson_path.write_text(text, encoding="utf-8")
    front = read_lesson(lesson_path)[0]
    found = heard(along_the_neck(climb(front)), front)
    # By hand: Gm6 as E Bb D G on D G B E, then each string one note up G A Bb C D Eb E F#.
    assert found[:3] == ("x-x-2-3-3-3", "x-x-4-5-4-5", "x-x-5-7-5-6")


def test_a_neck_of_other_shapes_and_a_clock_are_not_guessed_at(front: Front) -> None:
    other = [(Voicing.parse("0003", front.instrument), Chord.parse("C"))] * 1
    other.append((Voicing.parse("2010", front.instrument), Chord.parse("F")))
    assert heard(draw_neck(front.instrument, other), front) == ()
    assert heard(draw_clock(Chord.parse("D7")), front) == ()


def test_a_caption_has_a_line_for_each_part(front: Front) -> None:
    box = draw_box(Voicing.parse("2223", front.instrument), Chord.parse("D7"))
    picture = Picture((box,), ("lower C; resolves to G",), "one")
    (view,) = view_figures(picture, front, Figures(Styles()))
    assert view.captions == ("lower C", "resolves to G")
    assert (view.frets, view.heard, view.wide) == ("2-2-2-3", "D seven", False)


def test_the_key_explains_what_is_drawn_and_nothing_else(front: Front) -> None:
    shape, chord = Voicing.parse("2223", front.instrument), Chord.parse("D7")
    plain = draw_box(shape, chord)
    study = draw_box(shape, chord, marks="roles", was=front.shape)
    assert roles_drawn([]) == ()
    assert roles_drawn([plain]) == ("note",)
    assert roles_drawn([study]) == ("root", "third", "fifth", "seventh", "was")
    # B, D, F and A flat: of G7b9 all but the root.
    ninth = draw_box(front.shape, Chord.parse("G7b9"), marks="roles")
    assert "tension" in roles_drawn([plain, ninth])


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


def test_a_shape_for_the_left_hand_is_the_mirror_image_at_the_same_size() -> None:
    """The fret's number stands at the right then, and no more room is left for it there."""
    for frets, name in (("0003", "C"), ("10-12-10-12", "Dm7")):
        sides = {}
        for left in (False, True):
            own = Figures(Styles(), left_handed=left)
            symbol = own.symbol(Shown(Voicing.parse(frets, UKULELE), Chord.parse(name)))
            ((_, body),) = own.symbols
            strings = re.findall(r'data-part="string-(\d)-(?:fret|open)[^>]*>.*?M(-?[\d.]+)', body)
            shift = float((re.findall(r"translate\((-?[\d.]+) 0\)", body) or ["0"])[0])
            places = {string: float(x) + shift for string, x in strings}
            numbers = [float(x) + shift for x in re.findall(r'<text x="([\d.]+)"', body)]
            sides[left] = symbol, places, numbers
        (right, there, told), (left_one, here, turned) = sides[False], sides[True]
        assert right.view == left_one.view and right.size == left_one.size
        assert list(there) == list(here)
        wide = float(right.view.split()[2])
        for string, x in there.items():
            assert here[string] != pytest.approx(x, abs=1)
        assert max(turned) < wide and min(told) >= 0


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
