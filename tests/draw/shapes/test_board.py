"""Where strings, wires and places of a neck stand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from lawful import lawful

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.board import BOARD_SIZES, Board, NeckLook, all_places, draw_board
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.draw.tree import Path, Point, Sheet, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument, as_instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
BANJO = Instrument.named("five-string banjo")


def drawn(board: Board) -> Sheet:
    canvas = Canvas(board.width, board.top + board.high + 20)
    draw_board(canvas, board, named=True)
    return canvas.drawing("b", "b").sheet


def strokes(sheet: Sheet, name: str) -> list[Point]:
    """Return the points of the lines under an id."""
    return [point for path in sheet.all(Path, within=name) for point in path.points]


def weights(sheet: Sheet) -> dict[str, int]:
    return {text.text: text.weight for text in sheet.all(Text)}


@pytest.mark.parametrize("size", BOARD_SIZES)
@pytest.mark.parametrize("left_handed", [False, True])
def test_wires_stand_in_true_proportion(size: str, left_handed: bool) -> None:
    """The distance to wire n is L (1 - 2^(-n/12)): Buckland 2021."""
    board = Board(GUITAR, 19, left_handed, size=size)
    nut, octave = board.x_of_wire(0), board.x_of_wire(12)
    for fret in range(1, 20):
        share = (board.x_of_wire(fret) - nut) / (2 * (octave - nut))
        assert share == pytest.approx(1 - 2 ** (-fret / 12))
    assert (octave < nut) is left_handed
    assert 0 < min(board.x(f) for f in range(20)) and max(board.x(f) for f in range(20)) < 174


def test_hand_and_order_are_two_settings() -> None:
    for left in (False, True):
        for order in (False, True):
            board = Board(UKULELE, 12, left, order)
            assert (board.x_of_wire(0) > board.width / 2) is left
            # As players see it the last string is on top: common practice, no source.
            assert (board.y(0) < board.y(3)) is order
    strung = Board(replace(UKULELE, left_handed=True))
    assert strung.turned and not Board(UKULELE).turned


def test_a_short_string_begins_at_its_own_fret() -> None:
    """The fifth string of a banjo starts at fret 5: common practice, no source."""
    board = Board(BANJO)
    sheet = drawn(board)
    assert min(x for x, _ in strokes(sheet, "line-1")) == pytest.approx(
        board.x_of_wire(5), abs=0.01
    )
    for wire, lowest in ((4, 1), (5, 0), (9, 0)):
        bottom = max(y for _, y in strokes(sheet, f"wire-{wire}"))
        assert bottom == pytest.approx(board.y(lowest), abs=0.2)
    # Its open place and its name lie before its own nut, where the neck is narrower.
    assert board.x_of_wire(4) < board.x(0, 0) < board.x_of_wire(5)
    assert board.x(0, 1) < board.x_of_wire(0)
    assert [fret for string, fret in all_places(board) if string == 0] == [0, *range(6, 13)]


def test_the_nut_spares_a_string_that_begins_at_the_first_fret() -> None:
    board = Board(as_instrument("G4@1 C4 E4 A4"))
    sheet = drawn(board)
    nut = next(path for path in sheet.all(Path) if path.fill)
    ys = [y for string in (2, 3, 4) for _, y in strokes(sheet, f"line-{string}")]
    assert (nut.box.top, nut.box.bottom) == pytest.approx((min(ys), max(ys)), abs=0.2)


@pytest.mark.parametrize("name", ["ukulele", "guitar", "mandolin", "five-string banjo"])
@pytest.mark.parametrize("left_handed", [False, True])
def test_what_is_filled_is_the_nut_and_the_pieces_of_short_strings(
    name: str, left_handed: bool
) -> None:
    """A neck has one nut, where the first fret begins; a banjo's fifth string has its own peg."""
    board = Board(Instrument.named(name), 12, left_handed)
    sheet = drawn(board)
    bars = [path for path in sheet.all(Path) if path.fill]
    nut, *pegs = bars
    assert len(pegs) == (name == "five-string banjo")
    assert nut.width == 0 and 0.5 < nut.box.width < 2
    # Its inner side is where the strings' lengths begin: left of it there is no fret.
    inner = nut.box.left if left_handed else nut.box.right
    assert inner == pytest.approx(board.x_of_wire(0))
    whole = range(len(pegs), len(board.instrument.strings))
    ys = [y for string in whole for _, y in strokes(sheet, f"line-{string + 1}")]
    assert (nut.box.top, nut.box.bottom) == pytest.approx((min(ys), max(ys)), abs=0.2)
    wires = [name for name in sheet.ids if name.startswith("wire-")]
    lines = [name for name in sheet.ids if name.startswith("line-")]
    assert len(wires) == 12 and len(lines) == len(board.instrument.strings)
    assert len(sheet.all(Path)) == len(bars) + len(wires) + len(lines)


def test_a_neck_cut_before_a_short_string_has_one_string_less() -> None:
    sheet = drawn(Board(BANJO, 5))
    assert "g" not in sheet.texts
    assert "line-1" not in sheet.ids
    assert {string for string, _ in all_places(Board(BANJO, 5))} == {1, 2, 3, 4}


@pytest.mark.parametrize(
    ("name", "dotted"),
    [
        ("ukulele", "5 7 10 12"),
        ("guitar", "3 5 7 9 12"),
        ("five-string banjo", "3 5 7 10 12"),
    ],
)
def test_numbers_stand_out_where_necks_have_dots(name: str, dotted: str) -> None:
    """Where dots are on these instruments is common practice, no source."""
    said = weights(drawn(Board(Instrument.named(name))))
    bold = [number for number, weight in said.items() if number.isdigit() and weight == 600]
    assert bold == dotted.split()


def test_with_a_capo_the_dots_stay_on_the_neck() -> None:
    said = weights(drawn(Board(UKULELE.with_capo(2), 12)))
    assert [n for n, weight in said.items() if n.isdigit() and weight == 600] == [
        "3",
        "5",
        "8",
        "10",
    ]
    assert "capo 2" in said and "F♯" in said


def test_a_double_string_is_two_lines() -> None:
    board = Board(Instrument.named("mandolin"))
    ys = sorted({round(y, 2) for _, y in strokes(drawn(board), "line-3")})
    assert ys == pytest.approx([board.y(2) - 0.4, board.y(2) + 0.4], abs=0.01)


def test_marks_do_not_shrink_but_on_a_long_neck() -> None:
    assert Board(GUITAR, 12).mark == Board(GUITAR, 15).mark == 5
    narrow = Board(GUITAR, 19)
    frets = [abs(narrow.x(f) - narrow.x(f - 1)) for f in range(2, 20)]
    assert narrow.mark < min(frets) and narrow.mark >= 4.2


def test_places_fill_the_board_without_overlap() -> None:
    board = Board(UKULELE)
    cells = [board.cell(string, fret) for string, fret in all_places(board) if string == 1]
    for (x, _, wide, _), (after, *_) in zip(cells[1:], cells[2:], strict=False):
        assert x + wide == pytest.approx(after)
    assert cells[0][0] + cells[0][2] < board.x_of_wire(0)
    assert len({(y, high) for _, y, _, high in cells}) == 1


def test_what_no_board_has_is_refused() -> None:
    with pytest.raises(HarmonyError, match="not a neck size"):
        Board(UKULELE, size="huge")
    for frets in (0, 16):
        with pytest.raises(HarmonyError, match="the neck has 15"):
            Board(UKULELE, frets)


@pytest.mark.parametrize("name", ["ukulele", "guitar", "five-string banjo"])
@pytest.mark.parametrize("left_handed", [False, True])
def test_a_string_bears_its_name_beyond_its_open_place(name: str, left_handed: bool) -> None:
    board = Board(Instrument.named(name), 12, left_handed)
    texts = drawn(board).all(Text)
    for string, label in enumerate(board.instrument.printed_labels):
        places = [
            t.x for t in texts if t.text == label and abs(t.box.middle[1] - board.y(string)) < 2
        ]
        assert len(places) == 1
        beyond = board.x(0, string) - places[0]
        assert beyond == pytest.approx(
            (board.sizes.open_x - board.sizes.label_x) * (-1 if left_handed else 1)
        )
        # It reads outward from the nut: name, open place, first fret.
        order = [places[0], board.x(0, string), board.x_of_wire(board.instrument.start(string))]
        assert order == sorted(order, reverse=left_handed)


@pytest.mark.parametrize("size", BOARD_SIZES)
def test_frets_are_numbered_below_their_middles(size: str) -> None:
    board = Board(UKULELE, 7, size=size)
    texts = {text.text: text for text in drawn(board).all(Text)}
    for fret in range(1, 8):
        wires = board.x_of_wire(fret - 1), board.x_of_wire(fret)
        assert texts[str(fret)].x == pytest.approx(sum(wires) / 2)
        assert texts[str(fret)].box.middle[1] > board.top + board.high
    assert "0" not in texts and "8" not in texts


def figure(board: Board) -> Drawing:
    """Return a neck and its board alone, as high as a neck is drawn."""
    return draw_neck(
        board.instrument,
        (),
        look=NeckLook(frets=board.frets, left_handed=board.left_handed, size=board.size),
    )


@pytest.mark.parametrize("size", BOARD_SIZES)
@pytest.mark.parametrize("name", ["ukulele", "guitar", "mandolin", "five-string banjo"])
@pytest.mark.parametrize("left_handed", [False, True])
def test_a_board_keeps_the_laws_of_figures(name: str, size: str, left_handed: bool) -> None:
    drawn = figure(Board(Instrument.named(name), 12, left_handed, size=size))
    lawful(drawn, (4, 14, 4, 2), large=size == "large")


def test_large_print_is_larger_in_all_its_lengths_alike() -> None:
    """Large print is 1.4 to 1.8 times as large, lines and all (common practice, no source)."""
    plain, large = BOARD_SIZES["plain"], BOARD_SIZES["large"]
    for name in ("string", "mark", "label_x", "open_x", "nut_x", "number_down", "letter_pt"):
        assert 1.4 <= getattr(large, name) / getattr(plain, name) <= 1.8, name
    for name in ("label_pt", "number_pt", "name_pt", "name_up", "row", "line"):
        assert 1.4 <= getattr(large, name) / getattr(plain, name) <= 1.8, name


@pytest.mark.parametrize("size", BOARD_SIZES)
def test_sizes_of_a_board_agree_with_each_other(size: str) -> None:
    sizes = BOARD_SIZES[size]
    em = 25.4 / 72
    # Marks of neighbours leave air between them; a letter fills between a third and a half of one.
    assert 0.6 * sizes.string <= sizes.mark <= 0.7 * sizes.string
    assert 0.33 * sizes.mark < 0.66 * sizes.letter_pt * em < 0.5 * sizes.mark
    # The open place stands half-way between the string's name and the nut, clear of both.
    assert sizes.open_x - sizes.label_x > sizes.mark / 2 + 0.33 * sizes.label_pt * em
    assert 0.5 * sizes.mark + 1 < sizes.nut_x - sizes.open_x < 1.2 * sizes.mark
    assert sizes.open_x - sizes.label_x < 1.75 * sizes.mark
    # The numbers stand below the lowest marks, nearer to them than another string would be.
    assert sizes.mark / 2 + 0.33 * sizes.number_pt * em < sizes.number_down < sizes.string
    # Names clear the highest marks, and rows of names clear each other, by less than a line.
    cap = 0.66 * sizes.name_pt * em
    assert sizes.mark / 2 < sizes.name_up < sizes.mark / 2 + cap + 1
    assert cap < sizes.row < 2.2 * cap
    # Names are the largest, what stands in the marks is the smallest.
    assert sizes.letter_pt <= sizes.number_pt <= sizes.name_pt
    assert sizes.letter_pt < sizes.label_pt < sizes.name_pt


@pytest.mark.parametrize("size", BOARD_SIZES)
def test_nut_and_lines_have_the_weights_of_print(size: str) -> None:
    """A nut is three to five lines thick, so that it is told at a glance."""
    sheet = drawn(Board(UKULELE, 12, size=size))
    (line,) = {path.width for path in sheet.all(Path) if path.stroke}
    (nut,) = [path for path in sheet.all(Path) if path.fill]
    assert line == pytest.approx(0.25 * BOARD_SIZES[size].line)
    assert 2.5 * line < nut.box.width < 5 * line
    # Left of the nut's inner side for the right hand; right of it for the left hand.
    other = drawn(Board(UKULELE, 12, True, size=size))
    (mirrored,) = [path for path in other.all(Path) if path.fill]
    assert nut.box.left == pytest.approx(174 - mirrored.box.right)
    assert nut.box.right == pytest.approx(174 - mirrored.box.left)


def test_the_last_fret_is_whole_and_strings_run_past_it() -> None:
    for left in (False, True):
        board = Board(UKULELE, 12, left)
        sheet = drawn(board)
        ends = {x for n in range(1, 5) for x, _ in strokes(sheet, f"line-{n}")}
        end = (min if left else max)(ends)
        beyond = abs(end - board.x_of_wire(12))
        assert 1 < beyond < 2.5 and abs(end - (0 if left else 174)) < 0.6


def test_a_capo_is_one_round_bar_over_all_strings() -> None:
    board = Board(UKULELE.with_capo(2), 12)
    sheet = drawn(board)
    (capo,) = [path for path in sheet.all(Path) if path.cap == "round"]
    assert not [path for path in sheet.all(Path) if path.fill]
    over = board.y(3) - capo.box.top, capo.box.bottom - board.y(0)
    assert over[0] == pytest.approx(over[1]) and 1 < over[0] < 2.6
    # It lies where a nut would.
    (nut,) = [path for path in drawn(Board(UKULELE, 12)).all(Path) if path.fill]
    assert capo.box.middle[0] == pytest.approx(nut.box.middle[0])
    assert capo.width == pytest.approx(nut.box.width)
    told = next(text for text in sheet.all(Text) if text.text == "capo 2")
    assert told.x == pytest.approx(board.x(0)) and told.weight == 600


def test_the_peg_of_a_short_string_is_as_thick_as_the_nut_and_about_its_string() -> None:
    for left in (False, True):
        board = Board(BANJO, 12, left)
        nut, peg = (path for path in drawn(board).all(Path) if path.fill)
        assert peg.box.width == pytest.approx(nut.box.width)
        assert peg.box.middle[1] == pytest.approx(board.y(0))
        assert 0.3 * 8 < peg.box.height < 0.5 * 8
        inner = peg.box.left if left else peg.box.right
        assert inner == pytest.approx(board.x_of_wire(5))


def test_places_are_as_wide_as_their_frets_and_open_ones_clear_of_the_nut() -> None:
    board = Board(UKULELE, 12)
    for fret in range(1, 13):
        left, _, wide, high = board.cell(1, fret)
        wires = board.x_of_wire(fret - 1), board.x_of_wire(fret)
        assert (left, left + wide) == pytest.approx(wires) and high == 8
    left, top, wide, high = board.cell(1, 0)
    assert left + wide / 2 == pytest.approx(board.x(0)) and top + high / 2 == board.y(1)
    assert left + wide == pytest.approx(board.x_of_wire(0) - 1.0)


def test_numbers_repeat_after_an_octave() -> None:
    """Dots of a guitar above the octave: 15, 17, 19 (common practice, no source)."""
    said = weights(drawn(Board(GUITAR, 19)))
    bold = [number for number, weight in said.items() if number.isdigit() and weight == 600]
    assert bold == "3 5 7 9 12 15 17 19".split()
    assert (
        len({round(t.baseline, 3) for t in drawn(Board(GUITAR, 19)).all(Text) if t.text.isdigit()})
        == 1
    )
