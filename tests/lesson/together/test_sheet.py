"""Half a page for each part: how many a tune takes, and what each says of itself."""

from __future__ import annotations

from itertools import combinations

import pytest

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.tree import Path, Text
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.bars import WIDE_MM
from harmonykit.lesson.together.parts import parts_of
from harmonykit.lesson.together.sheet import draw_parts, head
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune


@pytest.mark.parametrize(("rows", "most"), [(2, 1), (12, 3)])
def test_a_part_of_several_sheets_counts_them(rows: int, most: int) -> None:
    """A half of 127 mm has 101 under its head: at most 8 rows of 12 mm, 5 of 17.5 with words."""
    tune = Tune.parse("| C | Am7 | Dm7 | G7 |\n" * rows)
    parts = parts_of(tune, Instrument.named("ukulele"))
    halves = [drawing.sheet.texts for drawing in draw_parts(tune, parts)]
    said = [text for texts in halves for text in texts if text.startswith("part ")]
    assert len(said) == len(halves)
    sheets = [[each for each in said if each.startswith(f"part {n} ")] for n in range(1, 7)]
    assert max(map(len, sheets)) == most
    for number, own in enumerate(sheets, 1):
        plain = f"part {number} of 6"
        several = [f"{plain}, sheet {n} of {len(own)}" for n in range(1, len(own) + 1)]
        assert own == (several if len(own) > 1 else [plain])


def test_the_rule_under_a_head_is_level_and_as_wide_as_the_half() -> None:
    canvas = Canvas(WIDE_MM, 127)
    head(canvas, "bass", "Slip", "part 5 of 6", "ukulele")
    (rule,) = [part for part in canvas.parts if isinstance(part, Path)]
    assert rule.ends == ((0, 17), (WIDE_MM, 17))


def test_no_words_of_a_head_meet() -> None:
    """The longest that a head says of its part, beside a title of usual length."""
    tune = read_tune(find_data("tunes", "lamp_for_the_late_boat"))
    for part in parts_of(tune, Instrument.named("ukulele")):
        (half,) = draw_parts(tune, [part])
        said = sorted(half.sheet.all(Text), key=lambda text: text.baseline)
        said = [text for text in said if text.baseline < 14]
        assert len(said) >= 3
        for one, other in combinations(said, 2):
            a, b = one.box, other.box
            apart = a.right + 1 < b.left or b.right + 1 < a.left
            assert apart or abs(one.baseline - other.baseline) > 5, (one.text, other.text)
        assert all(0 <= text.box.left and text.box.right <= WIDE_MM + 0.01 for text in said)


def test_the_second_line_of_a_head_stays_large_where_the_form_is_long() -> None:
    """A form of five named sections: what the part is stays as large as what stands beside it."""
    order = '"Verse", "Refrain", "Verse 2", "Refrain", "Refrain"'
    own = "".join(
        f'[[sections]]\nname = "{name}"\nchanges = "| D | G | D | A7 |"\n'
        for name in ("Verse", "Refrain", "Verse 2")
    )
    tune = Tune.parse(
        f'format = 1\ntitle = "The Slip by the Wall"\nkey = "D major"\nmeter = "3/4"\ntempo = 100\n'
        f"form = [{order}]\n{own}"
    )
    for part in parts_of(tune, Instrument.named("low g tenor")):
        for half in draw_parts(tune, [part]):
            said = [text for text in half.sheet.all(Text) if text.baseline < 14]
            assert min(text.size for text in said) >= 8, part.name
            assert any("play Verse, Refrain, Verse 2" in text.text for text in said), part.name


# So many rows share a half of 101 mm under its head: of one string 12 mm each, of two 14, of three
# strings and of grips 15, with notes 17.5; an ending over it takes 3.4 more, 7 over three.
ROWS = {"One finger": (8, 6), "Two strings": (7, 5), "Usual grips": (6, 5), "Rich grips": (6, 5),
        "Bass": (6, 4), "Sing": (5, 4)}  # fmt: skip


@pytest.mark.parametrize("name", ROWS)
@pytest.mark.parametrize("ended", [False, True])
def test_a_part_goes_on_on_another_half_where_rows_would_be_too_low(
    name: str,
    ended: bool,  # noqa: FBT001
) -> None:
    most, with_endings = ROWS[name]
    for rows in range(4, 10):
        # A repeat takes two rows: its second ending stands under the first.
        first = "|: C | C | C |1. G7 :|2. G7 |\n" if ended else "| C | C | C | G7 |\n" * 2
        tune = Tune.parse(first + "| C | C | C | G7 |\n" * (rows - 2))
        parts = [p for p in parts_of(tune, Instrument.named("ukulele")) if p.name == name]
        halves = draw_parts(tune, parts)
        lines = with_endings if ended else most
        assert len(halves) == -(-rows // lines), rows
        # Rows are shared out evenly.
        numbers = [[t for t in half.sheet.texts if t.isdigit()] for half in halves]
        assert all(numbers)


def test_every_part_says_where_a_section_begins_by_a_letter_or_a_word() -> None:
    """The refrain is found; a name wider than the room before the bars is left out."""
    names = ("A", "Refrain", "When the lamps are lit")
    sections = "".join(f'[[sections]]\nname = "{n}"\nchanges = "| C | F |"\n' for n in names)
    tune = Tune.parse(f'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\n{sections}')
    halves = draw_parts(tune, parts_of(tune, Instrument.named("ukulele")))
    for half in halves:
        assert {"A", "Refrain"} <= set(half.sheet.texts)
        assert not any("lamps" in text for text in half.sheet.texts)


HEAD = (
    'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\nform = ["A", "A"]\n'
    '[[sections]]\nname = "A"\n'
)


def sung(text: str) -> list[tuple[str, float, float]]:
    """The texts below the head in the part of who sings: where they stand, and where they end."""
    tune = Tune.parse(text)
    (half,) = draw_parts(tune, parts_of(tune, Instrument.named("ukulele"))[5:])
    found = [each for each in half.sheet.all(Text) if each.baseline > 35]
    return [(each.text, each.baseline, each.box.right) for each in found]


def test_who_sings_has_the_words_of_every_verse() -> None:
    """Of a melody at its notes, each verse in a line of its own with its number before it."""
    found = sung(
        f'{HEAD}changes = "| C | F |"\nmelody = "| C4:2 D4:2 | F4:4 |"\n'
        'words = ["| Row out | now |", "| Row back | home |"]\n'
    )
    places = {text: at for text, at, _ in found}
    assert places["1."] == places["Row"] - 3.6 == places["now"] == places["out"]
    assert places["2."] == places["home"] == places["back"] == places["1."] + 3.6


def test_who_sings_has_the_words_of_a_tune_without_a_melody() -> None:
    """Below their bars, smaller where a bar is too narrow for them."""
    long = "and never a light on the water to tell us the way that we go to the town"
    found = sung(f'{HEAD}changes = "| C | F |"\nwords = "| Row out now | {long} |"\n')
    (first,) = [right for text, _, right in found if text == "Row out now"]
    (second,) = [right for text, _, right in found if text == long]
    assert first < second <= WIDE_MM
    assert "1." not in {text for text, *_ in found}
