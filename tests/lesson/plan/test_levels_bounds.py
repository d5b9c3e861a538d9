"""A level at its limits, and a level that says what would hold without a word."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan.model import Level
from harmonykit.lesson.plan.source import read_lesson

HEAD = """+++
format = 2
title = "Low water"
tune = "fog.toml"
instrument = "{neck}"
chord = "Ddim7"
"""


class Bench:
    """Lessons whose levels are tried one after another."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "mine.md"

    def levels(self, *tables: str, neck: str = "ukulele") -> tuple[Level, ...]:
        text = HEAD.format(neck=neck) + "".join(f"[[levels]]\n{table}\n" for table in tables)
        self.path.write_text(text + "+++\n## The idea\n", "utf-8")
        return read_lesson(self.path)[0].levels

    def level(self, *lines: str) -> Level:
        return self.levels("\n".join(lines))[0]

    def fault(self, *lines: str) -> HarmonyError:
        with pytest.raises(HarmonyError) as caught:
            self.level(*lines)
        return caught.value

    def says(self, text: str) -> None:
        """Give the tune's only section a line more."""
        tune = self.path.with_name("fog.toml")
        tune.write_text(tune.read_text("utf-8") + text + "\n", "utf-8")


@pytest.fixture
def bench(lesson_path: Path) -> Bench:
    """Return where levels are tried."""
    return Bench(lesson_path.parent)


# By hand from the list that a teacher reads; a first level has the small reach of a ukulele.
LEFT_OUT = (
    'name = "Level 1"', "moves = []", "idioms = []", 'walks = "none"', 'style = "usual"',
    'texture = "any"', 'density = "any"', 'contour = "any"', "choruses = []", 'reach = "small"',
    "highest_fret = 5", "shortest_chord_seconds = 2.0", "tempo = 96", 'watch = ""', "practice = []",
)  # fmt: skip


def test_what_is_left_out_is_what_the_list_of_keys_says(bench: Bench) -> None:
    plain = bench.level()
    for line in LEFT_OUT:
        assert bench.level(line) == plain, line
    stretch, barre = plain.limits.stretch_mm, plain.limits.barre
    assert bench.level(f"stretch_mm = {stretch}", f'barre = "{barre}"') == plain
    assert plain.groove is None


def test_the_reach_grows_level_by_level_and_stays_wide(bench: Bench) -> None:
    grown = bench.levels("", "", "", "")
    said = [bench.level('name = "x"', f'reach = "{reach}"') for reach in ("small", "usual", "wide")]
    assert [each.limits for each in grown] == [each.limits for each in (*said, said[-1])]
    seconds = [each.least_seconds for each in said]
    assert seconds == [2.0, 1.0, 0.5] and [each.least_seconds for each in grown[:3]] == seconds
    assert [each.name for each in grown] == [f"Level {n}" for n in range(1, 5)]


@pytest.mark.parametrize(
    ("key", "right", "wrong", "rule"),
    [
        ("tempo", ("20", "20.5", "399.5", "400"), ("19.9", "400.1", "0", "-90"),
         "20 to 400 quarter notes a minute"),
        ("shortest_chord_seconds", ("0.2", "0.3", "9.9", "10"), ("0.19", "10.1", "0"), "0.2 to 10"),
    ],
)  # fmt: skip
def test_a_number_at_its_limits(
    bench: Bench, key: str, right: tuple[str, ...], wrong: tuple[str, ...], rule: str
) -> None:
    field = {"shortest_chord_seconds": "least_seconds"}.get(key, key)
    for value in right:
        assert getattr(bench.level(f"{key} = {value}"), field) == float(value)
    for value in wrong:
        said = bench.fault(f"{key} = {value}")
        assert (said.what, said.rule) == (f"{key} is {float(value):g}", rule)
        assert said.place is not None and said.place.text == f"{key} = {value}"


def test_the_neck_ends_where_it_ends(bench: Bench) -> None:
    assert bench.level("highest_fret = 0").limits.max_fret == 0
    assert bench.fault("highest_fret = -1").place is not None
    for neck in ("ukulele", "guitar"):
        frets = Instrument.named(neck).frets
        line = f"highest_fret = {frets}"
        assert bench.levels(line, neck=neck)[0].limits.max_fret == frets
        with pytest.raises(HarmonyError) as caught:
            bench.levels(f"highest_fret = {frets + 1}", neck=neck)
        assert caught.value.what == f"highest_fret is {frets + 1}"
        assert caught.value.rule == f"the {neck} has {frets} frets"


def test_what_the_hand_may_do_is_kept_key_by_key(bench: Bench) -> None:
    plain = bench.level().limits
    for line, field, value in (
        ("highest_fret = 3", "max_fret", 3), ("stretch_mm = 41.5", "stretch_mm", 41.5),
        ('barre = "full"', "barre", "full"), ('barre = "half"', "barre", "half"),
    ):  # fmt: skip
        limits = bench.level(line).limits
        assert getattr(limits, field) == value
        others = {"max_fret", "stretch_mm", "barre"} - {field}
        assert all(getattr(limits, each) == getattr(plain, each) for each in others)


UP, DOWN = "ascending walk", "descending walk"


@pytest.mark.parametrize(
    ("lines", "moves"),
    [
        ((), ()),
        (('walks = "ascending"',), (UP,)),
        (('walks = "descending"',), (DOWN,)),
        (('walks = "both"',), (UP, DOWN)),
        (('walks = "both"', f'moves = ["{DOWN}"]'), (DOWN, UP)),
        (('walks = "ascending"', f'moves = ["{UP}", "tritone substitution"]'),
         (UP, "tritone substitution")),
        (('walks = "none"', 'moves = ["tritone substitution"]'), ("tritone substitution",)),
        (('moves = ["delayed tonic", "delayed tonic"]', 'idioms = ["delayed tonic"]'),
         ("delayed tonic",)),
        (('idioms = ["delayed tonic"]', 'moves = ["tritone substitution"]', 'walks = "ascending"'),
         ("tritone substitution", "delayed tonic", UP)),
    ],
)  # fmt: skip
def test_moves_idioms_and_walks_are_gathered_each_once(
    bench: Bench, lines: tuple[str, ...], moves: tuple[str, ...]
) -> None:
    assert bench.level(*lines).moves == moves


@pytest.mark.parametrize(
    ("walks", "move", "mend"),
    [("descending", UP, "ascending"), ("ascending", DOWN, "descending"),
     ("none", UP, "ascending"), ("none", DOWN, "descending")],
)  # fmt: skip
def test_walks_and_moves_that_contradict_each_other(
    bench: Bench, walks: str, move: str, mend: str
) -> None:
    line = f'walks = "{walks}"'
    said = bench.fault(line, f'moves = ["tritone substitution", "{move}"]')
    assert said.what == f"walks = '{walks}' and moves name '{move}'"
    assert said.mend == f'walks = "{mend}", or moves without it'
    assert said.place is not None and said.place.text == line
    # What is offered is taken.
    assert move in bench.level(f'walks = "{mend}"', f'moves = ["{move}"]').moves


def test_eight_choruses_at_most_each_by_its_manner(bench: Bench) -> None:
    def typed(count: int) -> str:
        return "choruses = [" + ", ".join(['"plain"'] * count) + "]"

    for count in (1, 8):
        assert bench.level(typed(count)).choruses == ("plain",) * count
    said = bench.fault(typed(9))
    assert (said.what, said.rule) == ("choruses has 9 entries", "8 at most")
    assert "is unknown" in bench.fault('choruses = ["plain", "shouted"]').what


@pytest.mark.parametrize(
    "line",
    ['moves = ["tritone substitution"]', 'style = "smooth"', 'density = "usual"',
     'contour = "climbs"', 'prefer_move = "tritone substitution"'],
)  # fmt: skip
def test_choruses_have_moves_and_styles_of_their_own(bench: Bench, line: str) -> None:
    key = line.partition(" ")[0]
    said = bench.fault('choruses = ["plain"]', line)
    assert said.what == f"choruses and {key} in one level"
    assert said.mend == f"choruses without {key}, or {key} without choruses"
    assert said.place is not None and said.place.text == 'choruses = ["plain"]'


def test_chord_melody_asks_for_a_melody_and_for_no_moves(bench: Bench) -> None:
    line = 'texture = "chord melody"'
    said = bench.fault(line)
    assert said.what.endswith("'Four Bars of Fog' has no melody")
    assert said.place is not None and said.place.text == line
    bench.says('melody = "| Bb4:4 | D5:4 | G4:2 F#4:2 | G4:4 |"')
    assert bench.level(line).texture == "chord melody"
    said = bench.fault(line, 'moves = ["tritone substitution"]')
    assert "moves name 'tritone substitution'" in said.what and said.mend == "moves = []"
    said = bench.fault(line, 'choruses = ["plain"]')
    assert said.what == "choruses and texture = 'chord melody' in one level"
    # Another texture goes with moves.
    level = bench.level('texture = "shells"', 'moves = ["tritone substitution"]')
    assert (level.texture, level.moves) == ("shells", ("tritone substitution",))


def test_a_choice_is_kept_and_one_for_later_is_refused(bench: Bench) -> None:
    assert bench.level('density = "usual"').density == "usual"
    for word, kept in (("climbs", "rise"), ("falls", "fall"), ("arch", "arch"),
                       ("valley", "valley")):  # fmt: skip
        assert bench.level(f'contour = "{word}"').contour == kept
    for line in ('density = "rich"', 'contour = "level"'):
        said = bench.fault(line)
        assert said.what.endswith("not yet") and said.place is not None
        assert said.place.text == line
    assert "is unknown" in bench.fault('texture = "woolly"').what


def test_a_move_may_be_preferred_where_the_level_has_it_or_not(bench: Bench) -> None:
    own = 'prefer_move = "tritone substitution"'
    assert bench.level(own).prefer == "tritone substitution"
    assert bench.level(own, 'style = "smooth"').prefer == "tritone substitution"
    assert bench.level('moves = ["tritone substitution"]').prefer == ""


def test_a_line_of_practice_and_a_strum_are_placed_where_they_stand(bench: Bench) -> None:
    level = bench.level('practice = ["hard change, tempi 60-100", "bars 1-2"]')
    assert [how.hard for how in level.practice] == [1, 0] and level.practice[1].bars == (1, 2)
    line = 'practice = ["bars 1-2", "loudly"]'
    said = bench.fault(line)
    assert said.place is not None and said.place.text == line
    assert bench.fault('groove = "polka dots"').place is not None
    strummed = bench.level('strum = "D - D U D - D U"')
    assert strummed.groove is not None and bench.level('groove = "bossa"').groove is not None
    line = 'strum = "D - Q U D - D U"'
    said = bench.fault(line)
    assert said.place is not None and said.place.text == line
    # The caret stands under the stroke that is none.
    assert said.place.column == line.index("Q") + 1


@pytest.mark.parametrize("old", [0, 4])
def test_a_hand_of_the_first_format_is_one_to_three(bench: Bench, old: int) -> None:
    def typed(hand: int) -> str:
        text = HEAD.format(neck="ukulele").replace("format = 2", "format = 1")
        return text + f"[[levels]]\nhand = {hand}\n+++\n## The idea\n"

    bench.path.write_text(typed(old), "utf-8")
    with pytest.raises(HarmonyError, match=f"hand = {old} is unknown") as caught:
        read_lesson(bench.path)
    assert caught.value.place is not None and caught.value.place.text == f"hand = {old}"
    for hand, seconds in ((1, 2.0), (2, 1.0), (3, 0.5)):
        bench.path.write_text(typed(hand), "utf-8")
        assert read_lesson(bench.path)[0].levels[0].least_seconds == seconds
