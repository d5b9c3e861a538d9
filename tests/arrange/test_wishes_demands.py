"""Hard limits and prices by purpose; that nothing else is lost is held against brute force."""

from __future__ import annotations

from collections import Counter

import pytest
from small_tunes import EAGER, tune_of

from harmonykit.arrange.measures import measure
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.styles import STYLES, style_named
from harmonykit.arrange.wishes import Demands, Wishes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune

UKULELE = Instrument.named("ukulele")
LANDING = read_tune(find_data("tunes", "heron_landing"))


@pytest.mark.parametrize("most", [1, 2])
def test_no_bar_has_more_chords_than_are_allowed_but_as_written(most: int) -> None:
    demands = Demands(changes_a_bar=most)
    (way,) = reharmonise(LANDING, UKULELE, tuple(MOVES), 1, wishes=Wishes(demands=demands))
    counts = Counter(step.bar for step in way.steps)
    for bar, count in counts.items():
        here = [step for step in way.steps if step.bar == bar]
        assert count <= most or all(step.chord == step.written for step in here)


def test_first_and_last_shape() -> None:
    low, high = Voicing.parse("2222", UKULELE), Voicing.parse("7979", UKULELE)
    demands = Demands(first=high, last=low)
    for way in reharmonise(LANDING, UKULELE, k=3, wishes=Wishes(demands=demands)):
        assert (way.steps[0].voicing, way.steps[-1].voicing) == (high, low)


def test_a_shape_that_plays_another_chord_cannot_be_kept() -> None:
    demands = Demands(first=Voicing.parse("2010", UKULELE))  # F, where the tune has D6
    with pytest.raises(HarmonyError, match="no arrangement meets all demands"):
        reharmonise(LANDING, UKULELE, (), 1, wishes=Wishes(demands=demands))


def test_locked_bars_stay_as_they_are_in_every_pass() -> None:
    locked = frozenset((1, 2, 3, 8))
    (way,) = reharmonise(
        LANDING, UKULELE, tuple(MOVES), 1, wishes=Wishes(demands=Demands(locked=locked))
    )
    numbers = [played.bar.number for played in way.tune.playing]
    assert way.added
    assert not {numbers[step.bar] for step in way.added} & locked


def test_moves_by_section() -> None:
    demands = Demands(by_section=(("A", ()), ("B", ("ascending walk",)), ("C", ())))
    (way,) = reharmonise(
        LANDING, UKULELE, tuple(MOVES), 1, wishes=Wishes(demands=demands, weights=EAGER)
    )
    sections = {(way.tune.playing[s.bar].section, s.move) for s in way.added}
    assert sections == {("B", "ascending walk")}


@pytest.mark.parametrize(
    ("demands", "said"),
    [
        (Demands(by_section=(("Z", ()),)), "'Z' is not a section"),
        (Demands(by_section=(("A", ("leap",)),)), "unknown move 'leap'"),
        (Demands(last=Voicing.parse("x32010", Instrument.named("guitar"))), "a shape on guitar"),
    ],
)
def test_what_cannot_be_demanded_is_said(demands: Demands, said: str) -> None:
    with pytest.raises(HarmonyError, match=said):
        reharmonise(LANDING, UKULELE, wishes=Wishes(demands=demands))


def test_at_least_one_chord_a_bar() -> None:
    with pytest.raises(HarmonyError, match="0 changes a bar"):
        Demands(changes_a_bar=0)


def test_purposes_do_what_they_are_called() -> None:
    rows = {
        name: measure(reharmonise(LANDING, UKULELE, tuple(MOVES), 1, style=name)[0])
        for name in STYLES
    }
    assert (
        min(rows.values(), key=lambda row: row.mean_movement).mean_movement
        <= rows["smooth"].mean_movement
    )
    assert rows["smooth"].semitones < rows["usual"].semitones
    assert rows["low on the neck"].highest_fret == min(row.highest_fret for row in rows.values())
    assert rows["walking"].highest_fret == max(row.highest_fret for row in rows.values())
    assert rows["few shapes"].shapes == min(row.shapes for row in rows.values())


def test_a_purpose_is_found_by_name_or_met_with_near_ones() -> None:
    assert style_named("smooth") == "smooth"
    with pytest.raises(HarmonyError, match="unknown style 'smoth'") as caught:
        style_named("smoth")
    assert "'smooth'" in caught.value.mend


def test_progress_is_told_and_can_stop_the_search() -> None:
    told: list[tuple[int, int]] = []
    tune = tune_of("| C6 | A7 | Dm7 |")
    reharmonise(tune, UKULELE, k=2, progress=lambda done, total: told.append((done, total)))
    assert [done for done, _ in told] == list(range(1, told[-1][1] + 1))

    def stop(done: int, total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        reharmonise(tune, UKULELE, k=2, progress=stop)
