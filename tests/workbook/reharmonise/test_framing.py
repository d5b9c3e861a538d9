"""An intro and an ending: what was decided stays with the tune's own bars, by what sounds there."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import music21
import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_tunes import tune_of
from waiting import LIMIT

from harmonykit.arrange.idioms.frames import ENDINGS, INTROS
from harmonykit.errors import HarmonyError
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune
from harmonykit.workbook.reharmonise.decisions import Decisions
from harmonykit.workbook.reharmonise.export import export
from harmonykit.workbook.reharmonise.framing import Framing, framing_of
from harmonykit.workbook.reharmonise.panel import ReharmonisePanel

TUNES = (
    tune_of("| Dm7 | G7 | C6 | A7 | Dm7 | G7 | C6 | C6 |"),
    tune_of("| {1 quarter} G7 | C6 | A7 | Dm7 | G7 |"),
    tune_of("|: Gm6 | D7 :| Eb6 | D7 | Gm6 |", key="G minor"),
    tune_of("| C6 | G7 | {fine} C6 | F6 | {D.C. al fine} G7 |"),
    tune_of("| {1 quarter} N.C. | C6 | A7 | Dm7 | G7 |"),
    tune_of("| C6 | G7 |"),
)
FRAMES = st.builds(
    Decisions,
    intro=st.sampled_from(("", *INTROS)),
    ending=st.sampled_from(("", *ENDINGS)),
)


def sounding(tune: Tune, at: Fraction) -> object:
    return next(one.chord for one in tune.changes if one.onset <= at < one.onset + one.beats)


def bars_at(tune: Tune, numbers: frozenset[int], bars: range) -> list[Fraction]:
    """Where bars of some numbers begin; a pick-up has that of the intro's last bar with it."""
    played = (tune.playing[bar] for bar in bars)
    return [each.onset for each in played if each.bar.number in numbers]


@given(st.sampled_from(TUNES), FRAMES, st.data())
def test_what_was_decided_is_shown_where_the_same_sounds(
    tune: Tune, frame: Decisions, data: st.DataObject
) -> None:
    """By the law of what is asked: a bar and a moment are of the tune, whatever comes before it."""
    bars = sorted({bar.number for bar in tune.bars})
    own = [one.onset for one in tune.changes if one.chord is not None]
    at = data.draw(st.sampled_from(own))
    beats = Fraction(1)
    decided = replace(
        frame,
        locked=frozenset(data.draw(st.sets(st.sampled_from([*bars, 99])))),
        wanted=(((Chord.parse("C6"), at, beats),),),
        refused=((at, Chord.parse("Bdim7")),),
    )
    framing = framing_of(tune, decided)
    shown = framing.shown(decided)
    for moment in (shown.wanted[0][0][1], shown.refused[0][0]):
        assert sounding(framing.tune, moment) == sounding(tune, at)
        assert framing.own.length - at == framing.tune.length - moment - after(framing)
    # As many bars are locked, each with the chords and as far from the end as by itself.
    silent = len(tune.playing) - len(framing.bars)
    own_bars = range(silent, len(tune.playing))  # an intro is played in place of a silent pick-up
    ends = [tune.length - o for o in bars_at(tune, decided.locked, own_bars)]
    end = framing.tune.length - after(framing)
    later = [end - o for o in bars_at(framing.tune, shown.locked, framing.bars)]
    assert later == ends
    assert framing.kept(decided, shown) == decided
    # And what is unlocked is unlocked, each time that it is played.
    for number in shown.locked:
        less = framing.kept(decided, shown.toggled(number))
        assert less.locked < decided.locked
        assert framing.kept(less, framing.shown(less).toggled(number)) == decided


def after(framing: Framing) -> Fraction:
    """How long the ending is."""
    return sum(
        (played.bar.length for played in framing.tune.playing[framing.bars.stop :]), Fraction(0)
    )


TEXT = "| Gm6 | Bb7 | Eb6 | D7 | Gm6 | Cm6 | Eb6 D7 | Gm6 |"


def say(panel: ReharmonisePanel, **message: Any) -> None:
    panel._heard(None, message, [])
    assert panel.wait(LIMIT)


@pytest.fixture
def panel(tmp_path: Path) -> ReharmonisePanel:
    panel = ReharmonisePanel(keep=tmp_path / "kept.json", folder=tmp_path)
    panel.set("best", "1")
    panel.set("text", TEXT)
    assert panel.wait(LIMIT)
    return panel


def chords(panel: ReharmonisePanel, bars: range) -> list[tuple[object, object]]:
    start = panel.way.tune.playing[bars.start].onset
    return [(s.chord, s.onset - start) for s in panel.way.steps if s.bar in bars]


def test_nothing_that_was_decided_moves_while_an_intro_comes_and_goes(
    panel: ReharmonisePanel, tmp_path: Path
) -> None:
    added = next(p for p in panel.places if panel.way.steps[p.index].added)
    chord, bar = panel.way.steps[added.index].chord, added.slot.bar
    panel.press(added.id)
    say(panel, do="refuse")
    held = next(n for n in range(8) if n != bar and any(s.bar == n for s in panel.way.added))
    locked = chords(panel, range(held, held + 1))
    panel.press(f"hold-{held}")
    panel.press("bar-8")
    say(panel, set="contour-1", value="fall")
    before, heard = panel.state.decided, chords(panel, range(8))

    panel.set("intro", "turnaround twice")
    say(panel, set="ending", value="tag")
    assert len(panel.way.tune.playing) == 4 + 8 + 3
    assert replace(panel.state.decided, intro="", ending="") == before
    assert chords(panel, range(held + 4, held + 5)) == locked
    slot = range(bar + 4, bar + 5)
    assert chord not in [s.chord for s in panel.way.steps if s.added and s.bar in slot]
    assert not [s for s in panel.way.added if s.bar == 11 or s.bar not in range(4, 12)]
    page = panel.view.chart
    assert 'aria-label="Intro, bars 1 to 4"' in page and 'aria-label="Ending, bars 13 to 15' in page
    assert "You refused" in page and 'data-press="hold-4"' in page
    assert 'data-press="hold-3"' not in page and 'data-press="hold-12"' not in page
    assert page.count('data-set="contour-') == 2
    # What is decided now is held by the tune's own bars, too.
    say(panel, press="bar-6")
    assert panel.state.locked == {2, 8}
    assert ReharmonisePanel(keep=tmp_path / "kept.json").state == panel.state
    panel.undo()
    panel.set("intro", "")
    say(panel, set="ending", value="")
    assert panel.state.decided == before and chords(panel, range(8)) == heard
    say(panel, do="undo")
    assert panel.state.decided.frame == ("", "tag") and len(panel.way.tune.playing) == 11


def test_an_intro_stands_as_it_is_written_and_another_tune_has_its_own(
    panel: ReharmonisePanel,
) -> None:
    say(panel, set="intro", value="pedal on the dominant")
    say(panel, press="place-0-0")
    assert "Intros and endings stand as they are written" in panel.view.menu
    assert 'data-do="lock"' not in panel.view.menu and "else fits" not in panel.view.menu
    with pytest.raises(HarmonyError, match="stand as they are written"):
        panel.lock()
    for part in ("hold-0", "bar-1"):
        with pytest.raises(HarmonyError, match="unknown part"):
            panel.press(part)
    taken = export("tune", panel.ways, panel.state, panel.folder)  # type: ignore[arg-type]
    assert read_tune(taken).order[0] == "intro"
    say(panel, open="slack_water_waltz")
    assert panel.state.decided.frame == ("", "") and "intro" not in panel.way.tune.order
    say(panel, open=str(taken))
    say(panel, set="intro", value="last four bars")
    assert "is added once" in panel.view.status["trouble"]
    assert panel.state.decided.intro == "" and not panel.view.status["fault"]


def test_what_is_taken_away_has_the_intro_and_the_ending(
    panel: ReharmonisePanel, tmp_path: Path
) -> None:
    panel.set("intro", "last four bars")
    say(panel, set="ending", value="plagal tag")
    assert panel.ways is not None
    for what in ("score", "lead"):
        score = music21.converter.parse(export(what, panel.ways, panel.state, tmp_path))
        part = score.recurse().getElementsByClass("Part")[-1]
        assert len(part.getElementsByClass("Measure")) == 4 + 8 + 2
