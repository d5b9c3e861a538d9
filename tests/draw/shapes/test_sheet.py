"""Many figures on one sheet."""

from __future__ import annotations

import io
from itertools import pairwise

import pytest
from pypdf import PdfReader

from harmonykit.draw import tree
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.draw.shapes.sheet import HIGH_MM, Group, draw_sheet, sheet_pdf
from harmonykit.draw.tree import Box
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

MM = 25.4 / 72
UKULELE = Instrument.named("ukulele")
DIM7 = Chord.parse("F#dim7")


def inner(page: Drawing) -> list[Box]:
    """Return where the strokes of each drawing on a page lie."""
    return [part.box for part in page.sheet.all(tree.Group, "drawing")]


def bare(drawing: Drawing) -> Box:
    """Return where the strokes of a drawing lie on its own sheet."""
    return tree.Group(drawing.sheet.parts).box


def texts(page: Drawing, word: str) -> list[tree.Text]:
    return [text for text in page.sheet.all(tree.Text) if word in text.text]


def group(count: int, head: str = "F♯°7") -> Group:
    shapes = find_voicings(DIM7, UKULELE)
    boxes = [draw_box(shapes[n % len(shapes)], DIM7, palette="print") for n in range(count)]
    return Group(head, tuple(boxes), f"{count} shapes")


def test_drawings_keep_their_size_and_do_not_touch() -> None:
    (page,) = draw_sheet([group(9)])
    placed = inner(page)
    assert len(placed) == 9
    for at, box in zip(placed, group(9).drawings, strict=True):
        assert (at.width, at.height) == pytest.approx((bare(box).width, bare(box).height))
        assert at.left >= -0.01 and at.right <= page.width_mm and at.bottom <= page.height_mm
    for i, one in enumerate(placed):
        for other in placed[:i]:
            beside = one.left >= other.right or other.left >= one.right
            assert beside or one.top >= other.bottom or other.top >= one.bottom


def test_the_nuts_of_a_row_are_level() -> None:
    shape = find_voicings(DIM7, UKULELE)[0]
    two = draw_box(shape, DIM7), draw_box(shape, DIM7, name="")
    assert two[0].origin_mm[1] > two[1].origin_mm[1]
    (page,) = draw_sheet([Group("two", two)])
    tops = [min(grid.box.top for grid in strings(page, place)) for place in (0, 1)]
    assert tops[0] == pytest.approx(tops[1])


def strings(page: Drawing, place: int) -> list[tree.Path]:
    """Return the lines of one drawing on a page."""
    drawing = page.sheet.all(tree.Group, "drawing")[place]
    return [p for p in tree.walk(drawing.parts) if isinstance(p, tree.Path) and len(p.points) > 9]


def test_a_full_page_goes_on_and_no_heading_stands_alone() -> None:
    groups = [group(30, f"chord {n}") for n in range(3)]
    pages = draw_sheet(groups, title="Shapes")
    assert len(pages) > 1
    assert sum(len(inner(page)) for page in pages) == 90
    for page in pages:
        last = max(box.top for box in inner(page))
        assert all(head.baseline < last for head in texts(page, "chord"))
        assert page.height_mm <= 268


def test_a_last_page_with_little_is_filled_as_the_others() -> None:
    """As few pages as five rows a page need; where two or less would be left, all within a row."""
    groups = [group(6, f"chord {number}") for number in range(23)]
    for count in range(1, 24):
        rows = [page.alt.count("chord") for page in draw_sheet(groups[:count])]
        assert len(rows) == -(-count // 5) and sum(rows) == count and max(rows) <= 5
        if count > 5 and count % 5 in (1, 2):
            assert max(rows) - min(rows) <= 1
        else:
            assert rows[:-1] == [5] * (len(rows) - 1)


def test_a_heading_stands_again_where_its_group_goes_on() -> None:
    pages = draw_sheet([group(60, "long one"), group(3, "short one")])
    assert len(pages) > 1
    heads = [[text.text for text in texts(page, " one")] for page in pages]
    assert all(first[0] == "long one" for first in heads)
    assert sum(head.count("short one") for head in heads) == 1
    assert [len(texts(page, "continued")) for page in pages] == [0] + [1] * (len(pages) - 1)
    assert "60 shapes" in pages[0].alt and "60 shapes" not in pages[1].alt


def test_a_page_of_letter_holds_less() -> None:
    # ANSI Y14.1: letter is 279 mm high; ISO 216: A4 is 297 mm.
    for paper, high in (("a4", 297), ("letter", 279.4)):
        pages = draw_sheet([group(90)], height=HIGH_MM[paper])
        (size, *_) = PdfReader(io.BytesIO(sheet_pdf(pages, paper=paper))).pages
        assert float(size.mediabox.height) * MM == pytest.approx(high, abs=0.1)
        assert all(page.height_mm <= high - 27 for page in pages)


def test_unknown_paper_is_refused() -> None:
    with pytest.raises(HarmonyError, match="'a5'"):
        sheet_pdf(draw_sheet([group(1)]), paper="a5")


def test_ids_are_unique_over_all_pages() -> None:
    pages = draw_sheet([group(30), group(30)])
    ids = [gid for page in pages for gid in page.sheet.ids]
    assert len(ids) == len(set(ids)) and ids


def test_the_pdf_has_its_pages_text_and_bytes() -> None:
    pages = draw_sheet([group(3, "B♭m7♭5")], title="Ukulele", note="Four strings")
    pdf = sheet_pdf(pages, title="Shapes")
    read = PdfReader(io.BytesIO(pdf))
    assert len(read.pages) == len(pages)
    text = read.pages[0].extract_text()
    assert all(said in text for said in ("Ukulele", "Four strings", "B♭m7♭5"))
    width, height = (float(v) * MM for v in read.pages[0].mediabox[2:])
    assert (width, height) == pytest.approx((210, 297), abs=0.1)
    assert pdf == sheet_pdf(pages, title="Shapes")


def test_what_fits_on_no_page_is_refused() -> None:
    with pytest.raises(HarmonyError, match="mm wide"):
        draw_sheet([group(1)], width=20)
    with pytest.raises(HarmonyError, match="mm high"):
        draw_sheet([group(1)], height=30)
    with pytest.raises(HarmonyError, match="at least one page"):
        sheet_pdf(())


def test_a_long_note_is_set_in_lines_and_pushes_the_rest_down() -> None:
    plain, noted = (draw_sheet([group(1)], title="T", note=note)[0] for note in ("", "word " * 60))
    lines = texts(noted, "word")
    assert len(lines) == 3 and " ".join(line.text for line in lines).count("word") == 60
    assert inner(noted)[0].top == pytest.approx(inner(plain)[0].top + 12)


def test_a_group_without_a_heading_or_without_drawings_is_set_too() -> None:
    (page,) = draw_sheet([Group("none", ()), Group("", group(1).drawings)])
    assert "none" in page.sheet.texts and len(inner(page)) == 1
    assert draw_sheet([]) == ()


def test_pages_are_filled_row_by_row_and_headings_leave_their_room() -> None:
    """By hand: a heading takes 9.5 mm, 2 more where something is above it; rows are 2 mm apart."""
    (page,) = draw_sheet([group(6), group(6)])
    box = group(1).drawings[0]
    per_row = int((174 + 1.5) // (box.width_mm + 1.5))
    assert per_row == 6
    lines = [p for p in page.sheet.all(tree.Path) if p.box.height == 0 and p.box.width == 174]
    heads = texts(page, "F♯°7")
    heads = [h for h in heads if h.size == 13 and h.box.left == 0]
    assert [line.box.top for line in lines] == pytest.approx([0, 9.5 + box.height_mm + 2 + 2])
    assert [h.baseline - line.box.top for h, line in zip(heads, lines, strict=True)] == [6.0, 6.0]
    assert all(line.width == 0.2 for line in lines)
    notes = texts(page, "6 shapes")
    for head, note in zip(heads, notes, strict=True):
        assert note.box.left - head.box.right == pytest.approx(4, abs=0.01)
        assert note.baseline == head.baseline and note.colour == "soft"
    assert page.height_mm == pytest.approx(lines[1].box.top + 9.5 + box.height_mm)
    placed = inner(page)
    own = [bare(drawing).left for drawing in group(6).drawings]
    lefts = [at.left - left for at, left in zip(placed[:6], own, strict=True)]
    steps = [b - a for a, b in zip(lefts, lefts[1:], strict=False)]
    assert steps == pytest.approx([box.width_mm + 1.5] * 5)


def test_a_group_without_a_heading_goes_on_without_one() -> None:
    bare = Group("", group(70).drawings)
    pages = draw_sheet([bare])
    assert len(pages) == 2
    for page in pages:
        assert not [p for p in page.sheet.all(tree.Path) if p.box.width == 174]
        assert min(b.top for b in inner(page)) < 7 and page.height_mm <= 268
    # As many rows as fit: one more would not have.
    high = group(1).drawings[0].height_mm
    assert pages[0].height_mm + 2 + high > 268
    headed = draw_sheet([group(70)])
    assert len([p for p in headed[1].sheet.all(tree.Path) if p.box.width == 174]) == 1


def test_title_and_note_stand_above_the_first_page_alone() -> None:
    pages = draw_sheet([group(80)], title="Ukulele", note="Four strings")
    (title,) = texts(pages[0], "Ukulele")
    (note,) = texts(pages[0], "Four strings")
    assert title.box.left == note.box.left == 0 and title.size == 17 and title.weight == 600
    assert 3 < note.baseline - title.baseline < 6
    assert min(b.top for b in inner(pages[0])) > note.baseline + 5
    line = next(p for p in pages[0].sheet.all(tree.Path) if p.box.width == 174)
    assert line.box.top == pytest.approx(12 + 4)
    assert not texts(pages[1], "Ukulele") and not texts(pages[1], "Four strings")
    assert pages[0].sheet.title == "Ukulele"
    assert draw_sheet([group(1)])[0].sheet.title == "sheet"


def test_a_drawing_may_fill_a_page_but_for_a_heading() -> None:
    box = group(1).drawings[0]
    fits = box.height_mm + 9.5
    assert len(draw_sheet([group(1)], height=fits)) == 1
    assert len(draw_sheet([group(1)], width=box.width_mm)) == 1
    with pytest.raises(HarmonyError, match="mm high"):
        draw_sheet([group(1)], height=fits - 0.01)
    with pytest.raises(HarmonyError, match="mm wide"):
        draw_sheet([group(1)], width=box.width_mm - 0.01)


def test_a_group_goes_on_in_even_rows_and_begins_pages_at_their_top() -> None:
    """By hand: rows are as high as their boxes and 2 mm apart; a page begins with a heading."""
    box = group(1).drawings[0]
    first, second = draw_sheet([group(60)])
    for page in (first, second):
        tops = sorted({round(strings(page, n)[0].box.top, 2) for n in range(len(inner(page)))})
        assert tops[0] == pytest.approx(9.5 + box.origin_mm[1], abs=0.01)
        steps = [b - a for a, b in zip(tops, tops[1:], strict=False)]
        assert steps == pytest.approx([box.height_mm + 2] * len(steps), abs=0.011)


SIZES = ("plain", "source", "large")


def bottoms(highs: list[float], top: float) -> float:
    """Return where groups of one row each end: 9.5 mm for a heading, 4 mm from row to heading."""
    return top + sum(9.5 + high for high in highs) + 4.0 * (len(highs) - 1)


@pytest.mark.parametrize("sizes", [(0,) * 6, (2, 0, 1, 0, 0, 2, 1), (1, 1, 0, 2, 0, 0, 0, 1, 0)])
@pytest.mark.parametrize("title", ["", "Shapes"])
def test_pages_are_as_few_and_as_evenly_filled_as_any(sizes: tuple[int, ...], title: str) -> None:
    """By brute force over every way to part the groups, where the last page had little."""
    shape = find_voicings(DIM7, UKULELE)[0]
    boxes = [draw_box(shape, DIM7, look=BoxLook(size=SIZES[n])) for n in sizes]
    groups = [Group(f"head {n}", (box,)) for n, box in enumerate(boxes)]
    top = 12.0 if title else 0.0
    for height in range(130, 269, 6):
        best: list[tuple[int, float]] = []
        for marks in range(2 ** (len(boxes) - 1)):
            cuts = [n + 1 for n in range(len(boxes) - 1) if marks >> n & 1]
            parts = [boxes[a:b] for a, b in pairwise([0, *cuts, len(boxes)])]
            ends = [
                bottoms([box.height_mm for box in part], 0.0 if n else top)
                for n, part in enumerate(parts)
            ]
            if max(ends) <= height:
                best.append((len(parts), sum((height - end) ** 2 for end in ends)))
        pages = draw_sheet(groups, title=title, height=float(height))
        assert len(pages) == min(best)[0]
        # Greedily filled, the last page may be half full or more: then nothing is evened.
        filled: list[list[Drawing]] = [[]]
        for box in boxes:
            highs = [each.height_mm for each in (*filled[-1], box)]
            if filled[-1] and bottoms(highs, 0.0 if len(filled) > 1 else top) > height:
                filled.append([])
            filled[-1].append(box)
        last = bottoms([box.height_mm for box in filled[-1]], 0.0 if len(filled) > 1 else top)
        if len(pages) > 1 and 2 * last < height:
            free = sum((height - page.height_mm) ** 2 for page in pages)
            assert free == pytest.approx(min(best)[1], rel=1e-6)
        elif len(pages) > 1:
            assert pages[-1].height_mm == pytest.approx(last)


def test_a_group_that_need_not_be_parted_stands_on_one_page() -> None:
    """Five boxes of six strings stand in rows of three and two, two groups of them on a page."""
    digits = {"A": "x02010", "B": "xx0212", "C": "320002", "D": "x32000"}
    guitar = Instrument.named("guitar")
    groups = [Group(name, (draw_box(Voicing.parse(frets, guitar)),) * 5)
              for name, frets in digits.items()]  # fmt: skip
    pages = draw_sheet(groups, height=250.0)
    heads = [
        [t.text for t in texts(page, "") if t.text in digits and t.size > 12] for page in pages
    ]
    assert heads == [["A", "B"], ["C", "D"]]
    assert not any(texts(page, "continued") for page in pages)
    tops = [round(box.top) for box in inner(pages[0])]
    assert [tops.count(top) for top in dict.fromkeys(tops)] == [3, 2, 3, 2]
