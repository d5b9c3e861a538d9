"""Which bars are printed: what is played alike once, and nothing else left out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.handout.passes import passes, printed
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
SHAPES = {"C6": "0000", "Am7": "0000", "Dm7": "2213", "G7": "0212", "F6": "2213", "A7": "0100"}
AABA = ("A", "A", "B", "A"), {"A": "| C6 | F6 | G7 | G7 | C6 |", "B": "| F6 | G7 |"}


def tune(folder: Path, form: tuple[str, ...], sections: dict[str, str], more: str = "") -> Tune:
    text = f'format = 1\ntitle = "Tide"\nkey = "C"\nmeter = "4/4"\nform = {list(form)}\n{more}\n'
    for name, changes in sections.items():
        text += f'[[sections]]\nname = "{name}"\nchanges = """\n{changes}\n"""\n'
    path = folder / "tide.toml"
    path.write_text(text, encoding="utf-8")
    return read_tune(path)


def level(tune: Tune) -> Arrangement:
    """Return a tune with one shape for each chord."""
    bars = [bar.onset for bar in tune.playing]
    steps = []
    for change in tune.changes:
        inside = [o for o in bars if change.onset < o < change.onset + change.beats]
        starts = [change.onset, *inside, change.onset + change.beats]
        for start, end in zip(starts, starts[1:], strict=False):
            bar = max(i for i, onset in enumerate(bars) if onset <= start)
            shape = Voicing.parse(SHAPES[change.chord.symbol], UKULELE) if change.chord else None
            steps.append(Step(change.chord, shape, start, end - start, bar))
    return Arrangement(tune, UKULELE, tuple(steps), 0, 120.0)


def changed(arrangement: Arrangement, bar: int, digits: str) -> Arrangement:
    """Return an arrangement with another shape in one bar, counted from 1."""
    shape = Voicing.parse(digits, UKULELE)
    steps = (replace(s, voicing=shape) if s.bar == bar - 1 else s for s in arrangement.steps)
    return replace(arrangement, steps=tuple(steps))


def test_what_is_played_alike_is_printed_once(tmp_path: Path) -> None:
    found = printed(level(tune(tmp_path, *AABA)))
    assert [one.section for one in found] == ["A", "B"]
    assert found[0].note(()) == "bars 1 to 5, and again bars 6 to 10 and 13 to 17"


def test_a_letter_alone_makes_nothing_alike(tmp_path: Path) -> None:
    """Bar 9 is the fourth of the second A: with another shape there it is no repeat."""
    found = printed(changed(level(tune(tmp_path, *AABA)), 9, "0232"))
    assert [one.section for one in found] == ["A", "A", "B"]
    assert found[0].note(()) == "bars 1 to 5, and again bars 13 to 17"
    assert [bar.number for bar in found[1].new] == [9]
    left_out = [bar for bar in found[1].bars if bar.index in found[1].like]
    assert found[1].note(left_out[:3]) == "bars 6 to 10: bars 6 to 8 like bars 1 to 3"


def test_every_bar_played_is_printed_or_said_to_be_like_one(tmp_path: Path) -> None:
    arrangement = changed(level(tune(tmp_path, *AABA)), 16, "0232")
    played = {bar.index: bar for one in passes(arrangement) for bar in one.bars}
    shown: dict[int, tuple[object, ...]] = {}
    for one in printed(arrangement):
        shown |= {bar.index: bar.sound for bar in one.new}
        shown |= {index: shown[like.index] for index, like in one.like.items()}
        copies = [one.bars[i % len(one.bars)].sound for i in range(len(one.again))]
        shown |= {bar.index: sound for bar, sound in zip(one.again, copies, strict=True)}
    assert shown == {index: bar.sound for index, bar in played.items()}


def test_repeats_and_endings_make_passes(tmp_path: Path) -> None:
    changes = "| C6 |: F6 | Dm7 |[1 G7 :|[2 C6 ||"
    found = passes(level(tune(tmp_path, ("A",), {"A": changes})))
    assert [[bar.number for bar in one.bars] for one in found] == [[1, 2, 3, 4], [5, 6, 7]]


def test_one_bar_repeated(tmp_path: Path) -> None:
    found = printed(level(tune(tmp_path, ("A", "A", "A"), {"A": "| C6 |"})))
    assert [one.note(()) for one in found] == ["bar 1, and again bars 2 and 3"]


def test_silence_before_the_first_bar_is_not_printed(tmp_path: Path) -> None:
    found = passes(level(tune(tmp_path, ("A",), {"A": "| C6 | G7 |"}, "pickup = 1")))
    assert [(bar.number, bar.begins) for one in found for bar in one.bars] == [
        (1, True),
        (2, True),
    ]


@pytest.mark.parametrize(
    "changes, numbers",
    [
        # Engravers' practice, no source: a pick-up is no bar, what completes a bar no new one.
        ("| C6 | G7 |", [(1, True), (2, True)]),
        ("| {1 quarter} C6 | G7 | C6 |", [(0, False), (1, True), (2, True)]),
        (
            "|: {1 quarter} C6 | G7 | {3 quarters} C6 :|",
            [(0, False), (1, True), (2, True), (2, False), (3, True), (4, True)],
        ),
    ],
)
def test_bar_numbers(tmp_path: Path, changes: str, numbers: list[tuple[int, bool]]) -> None:
    assert tune(tmp_path, ("A",), {"A": changes}).numbers == tuple(numbers)
