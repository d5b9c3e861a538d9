"""The lanes of changes: stems by plane geometry, names that do not touch, what is said."""

from __future__ import annotations

from fractions import Fraction

import pytest
from lawful import ink, lawful
from plotted import TUNES, ways_of
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.movement import Movement, movements
from harmonykit.arrange.search import reharmonise
from harmonykit.draw.base.colours import PALETTES
from harmonykit.draw.plots.distances import Lane, draw_distances, findings
from harmonykit.draw.tree import Path, Sheet, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")
MARGINS = (1.1, 2.5, 2.6, 4.0)


def step(symbol: str, digits: str, onset: int, beats: int, bar: int, written: str) -> Step:
    return Step(
        Chord.parse(symbol),
        Voicing.parse(digits, UKULELE),
        Fraction(onset),
        Fraction(beats),
        bar,
        "" if symbol == written else "leading-tone diminished",
        written=Chord.parse(written),
    )


def example(name: str = "detour") -> Arrangement:
    """C6 | C6 G#dim7 | Am7 with the open strings and 4-5-4-5: 18 semitones each way."""
    tune = tune_of("| C6 | C6 | Am7 |")
    steps = (
        step("C6", "0000", 0, 4, 0, "C6"),
        step("C6", "0000", 4, 2, 1, "C6"),
        step("G#dim7", "4545", 6, 2, 1, "C6"),
        step("Am7", "0000", 8, 4, 2, "Am7"),
    )
    return Arrangement(tune, UKULELE, steps, 0, 120, name=name)


def stems(sheet: Sheet, within: str) -> list[tuple[float, float]]:
    """Return where stems stand and how high they are."""
    paths = sheet.all(Path, within=within)
    upright = [p for p in paths if p.width == 0.5 and p.box.width == 0]
    return [(p.box.left, p.box.height) for p in upright]


@pytest.mark.parametrize("tune", TUNES)
@pytest.mark.parametrize("width", [174.0, 152.0, 90.0])
def test_no_two_texts_touch_and_none_is_cut(tune: str, width: float) -> None:
    figure = draw_distances(ways_of(tune), width_mm=width)
    lawful(figure, MARGINS)
    # The names are those of the arrangement, each where its chord begins.
    for place, way in enumerate(ways_of(tune), 1):
        said = [t.text for t in _names(figure.sheet, place)]
        assert {s.chord.unicode for s in way.steps if s.chord} == {*said}


def _names(sheet: Sheet, place: int) -> list[Text]:
    groups = [name for name in sheet.ids if name.startswith(f"arrangement-{place}-line-")]
    texts = [t for name in groups for t in sheet.all(Text, within=name)]
    return [t for t in texts if t.size == 8.5]


def test_dense_bars_have_two_rows_of_names_or_fewer_bars_a_line() -> None:
    tune = tune_of("| C6 C#dim7 Dm7 D#dim7 | Em7 A7 Dm7 G7 | C6 A7 Ebmaj7 Ab7b5 |" * 3)
    (way,) = reharmonise(tune, UKULELE, (), k=1)
    for width in (152.0, 90.0):
        lawful(draw_distances([way], width_mm=width), MARGINS)


def test_stems_are_as_high_as_their_semitones_on_one_scale() -> None:
    """By hand: 18 semitones up to the diminished seventh and 18 down; the highest takes 13 mm."""
    sheet = draw_distances([example()]).sheet
    (first, high), (second, down) = stems(sheet, "arrangement-1-line-1")
    assert high == down == pytest.approx(13)
    # Three bars share 150 mm; the change in bar 2 stands at its half, behind the bar line.
    assert first == pytest.approx(1 + 50 + 2.6 + (50 - 2.6) / 2)
    assert second == pytest.approx(1 + 100 + 2.6)
    ways = ways_of("heron_landing")
    sheet = draw_distances(ways).sheet
    found = [
        high
        for place in (1, 2, 3)
        for line in range(1, 5)
        for _, high in stems(sheet, f"arrangement-{place}-line-{line}")
    ]
    moved = [each.semitones for way in ways for each in movements(way)]
    unit = 13 / max(moved)
    assert found == pytest.approx([n * unit for n in moved])


def test_the_least_is_a_tick_where_it_is_less_and_figures_stand_over_heads() -> None:
    way = example()
    sheet = draw_distances([way]).sheet
    moved = movements(way)
    # By hand: C6 to G sharp diminished seven asks for 6 semitones at the least, as C E G A does of
    # G sharp B D F: one, two, two and one.
    assert [each.least for each in moved] == [6, 6]
    parts = sheet.all(Path, within="arrangement-1-line-1")
    ticks = [p for p in parts if p.width == 0.5 and p.box.height == 0]
    tall = [p for p in parts if p.width == 0.5 and p.box.width == 0]
    assert len(ticks) == 2
    for tick, stem in zip(ticks, tall, strict=True):
        assert tick.box.middle[0] == pytest.approx(stem.box.left)
        assert stem.box.bottom - tick.box.top == pytest.approx(6 / 18 * stem.box.height)
    figures = [t for t in sheet.all(Text, within="arrangement-1-line-1") if t.text == "18"]
    for figure, stem in zip(figures, tall, strict=True):
        assert figure.x == pytest.approx(stem.box.left)
        assert 0.5 < stem.box.top - 1.0 - ink(figure).bottom < 1.5


def test_added_chords_have_solid_heads_and_are_underlined() -> None:
    sheet = draw_distances([example()]).sheet
    parts = sheet.all(Path, within="arrangement-1-line-1")
    heads = [p.fill for p in parts if p.stroke == "ink" and p.width == 0.4]
    assert heads == ["ink", "paper"]
    (added,) = [t for t in _names(sheet, 1) if t.weight == 600]
    assert added.text == "G♯°7"
    (under,) = [
        p for p in parts if p.stroke == "ink" and p.width == 0.25 and p.box.top > added.baseline
    ]
    assert (under.box.left, under.box.right) == pytest.approx((added.box.left, added.box.right))


def test_bars_are_numbered_as_played_and_do_not_start_again() -> None:
    sheet = draw_distances(ways_of("heron_landing")[:1]).sheet
    numbers = [t for t in sheet.parts if isinstance(t, Text) and t.text.isdigit()]
    assert [t.text for t in numbers] == [str(n) for n in range(1, 33)]
    sections = [t.text for t in sheet.parts if isinstance(t, Text) and t.text in "ABC"]
    assert sections == ["A", "B", "A", "C"]
    some = draw_distances(ways_of("heron_landing")[:1], bars=(9, 12)).sheet
    numbers = [t for t in some.parts if isinstance(t, Text) and t.text.isdigit()]
    assert [t.text for t in numbers] == ["9", "10", "11", "12"]
    up = tune_of("| C6 | Dm7 |", more="").transpose("P1")
    assert draw_distances([reharmonise(up, UKULELE, (), k=1)[0]]).sheet.texts.count("1") >= 1


def test_a_change_within_a_bar_does_not_lead_into_it() -> None:
    tune = tune_of("| C6 F#7 | F#7 | F#7 |", more="")
    said = draw_distances([reharmonise(tune, UKULELE, (), k=1)[0]]).alt
    assert "C six to F sharp seven in bar 1, is" in said


def test_it_says_what_to_see() -> None:
    """By hand: two changes of 18, 6 asked, so 24 more than needed, in bars 2 and 3."""
    figure = draw_distances([example(), example("again")])
    first, *rest = figure.alt.split("again: ")
    assert first == (
        "detour: 2 changes, 18.0 semitones on average; the farthest, C six to G sharp diminished "
        "seven in bar 2, is 18. At 2 of them the voices move farther than the chords need, by 24 "
        "semitones together: bars 2 and 3. "
    )
    assert rest[0].endswith(
        "again has as many changes as detour, each as large on average: as many semitones in all."
    )
    printed = " ".join(figure.sheet.texts)
    assert "C6 to G♯°7 in bar 2" in printed
    plain, walking, _ = ways_of("heron_landing")
    said = draw_distances([plain, walking]).alt
    less = len(movements(walking)) - len(movements(plain))
    assert f"walking has {less} more changes than as written" in said


def test_what_cannot_be_drawn_is_refused() -> None:
    other = reharmonise(tune_of("| C6 | F6 |"), UKULELE, (), k=1)[0]
    with pytest.raises(HarmonyError, match="bar by bar"):
        draw_distances([example(), other])
    with pytest.raises(HarmonyError, match="0 arrangements"):
        draw_distances([])
    with pytest.raises(HarmonyError, match="bars 2 to 9 of 3 bars as played"):
        draw_distances([example()], bars=(2, 9))
    with pytest.raises(HarmonyError, match="at least 90 mm"):
        draw_distances([example()], width_mm=80)


def test_every_palette_draws_the_same() -> None:
    drawn = {name: draw_distances([example()], palette=name) for name in PALETTES}
    assert len({each.sheet for each in drawn.values()}) == 1
    assert {each.colours for each in drawn.values()} == {*PALETTES}


def test_a_lane_has_its_head_its_stems_and_its_names_from_above_to_below() -> None:
    """By hand, with 18 semitones 13 mm high, for two lanes under the numbers of the bars."""
    sheet = draw_distances([example(), example("again")]).sheet
    numbers = [t for t in sheet.parts if isinstance(t, Text) and t.text in ("1", "2", "3")]
    assert {t.baseline for t in numbers} == {3.0}
    # 4 mm for the numbers, then for each lane 5 for its head, 5.6 over the highest stem, 13 for
    # it, 1 and 2 below it, and 4.3 for the names.
    for place, top in ((1, 4.0), (2, 4.0 + 5 + 5.6 + 13 + 1 + 2 + 4.3)):
        name = f"arrangement-{place}-line-1"
        texts = sheet.all(Text, within=name)
        head = texts[0]
        assert (head.x, head.baseline) == (1.0, pytest.approx(top + 3.6))
        assert (head.size, head.weight) == (8.0, 600)
        said = ("detour", "again")[place - 1]
        assert head.text == f"{said}: 18.0 semitones a change, 36 in all"
        paths = sheet.all(Path, within=name)
        ground = next(p for p in paths if p.width == 0.25 and p.box.width == 150)
        assert ground.box.top == pytest.approx(top + 5 + 5.6 + 13)
        bar_lines = next(p for p in paths if p.stroke == "hair")
        assert (bar_lines.box.top, bar_lines.box.bottom) == pytest.approx(
            (top + 5, top + 5 + 5.6 + 13)
        )
        mean = next(p for p in paths if p.dash)
        assert mean.box.top == pytest.approx(ground.box.top - 13)
        assert (mean.box.left, mean.box.right) == (1.0, 151.0)
        assert (mean.stroke, mean.width) == ("soft", 0.22)
        for text in (t for t in texts if t.size == 8.5):
            assert text.baseline == pytest.approx(ground.box.top + 1 + 3)
        for figure in (t for t in texts if t.text == "18"):
            assert figure.baseline == pytest.approx(ground.box.top - 13 - 1.8)
        for tick in (p for p in paths if p.width == 0.5 and p.box.height == 0):
            assert tick.box.width == pytest.approx(1.7)


def test_without_names_of_their_own_arrangements_are_numbered() -> None:
    figure = draw_distances([example(""), example("")])
    heads = [t.text.split(":")[0] for t in figure.sheet.all(Text) if t.weight == 600]
    assert [head for head in heads if head in "12"] == ["1", "2"]
    named = draw_distances([example(""), example("x")], names=["one", "two"])
    assert named.alt.startswith("one: ") and "two has as many changes as one" in named.alt


def test_a_hand_that_never_moves_has_a_lane_without_stems() -> None:
    tune = tune_of("| C6 | C6 |")
    steps = (step("C6", "0000", 0, 4, 0, "C6"), step("C6", "0000", 4, 4, 1, "C6"))
    still = Arrangement(tune, UKULELE, steps, 0, 120, name="still")
    figure = draw_distances([still])
    lawful(figure, MARGINS)
    assert figure.alt == "still: the hand keeps one shape throughout."
    assert not stems(figure.sheet, "arrangement-1-line-1")


@pytest.mark.parametrize(
    ("semitones", "said"),
    [
        # By hand, of four changes each: 2.0 on average against 2.2, 2.0, 1.8 and 1.5.
        ((3, 2, 2, 2), "each 0.2 semitones larger on average: 1 more semitone in all"),
        ((2, 2, 2, 2), "each as large on average: as many semitones in all"),
        ((1, 2, 2, 2), "each 0.2 semitones smaller on average: 1 fewer semitone in all"),
        ((1, 1, 2, 2), "each 0.5 semitones smaller on average: 2 fewer semitones in all"),
    ],
)
def test_how_two_arrangements_differ_is_said_by_mean_and_sum(
    semitones: tuple[int, ...], said: str
) -> None:
    one, other = (
        Lane(example(name), name, tuple(moved(n) for n in each))
        for name, each in (("one", (2, 2, 2, 2)), ("other", semitones))
    )
    *_, told = findings([one, other])
    assert told == f"other has as many changes as one, {said}."


def moved(semitones: int) -> Movement:
    """Return a change in which the highest voice alone goes so many semitones up."""
    before, after = step("C6", "0000", 0, 4, 0, "C6"), step("C6", f"000{semitones}", 4, 4, 1, "C6")
    return Movement(before, after, 2)
