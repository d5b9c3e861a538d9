"""Refused, locked, exchanged, undone: at once around the place, and in the end as a full search."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from waiting import LIMIT

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Demands, Wishes
from harmonykit.errors import HarmonyError
from harmonykit.workbook.reharmonise.deciding import DecidingDesk, History
from harmonykit.workbook.reharmonise.decisions import Place
from harmonykit.workbook.reharmonise.page import settings_html
from harmonykit.workbook.reharmonise.state import ReharmoniseState, toggled

TEXT = "| Gm6 | Bb7 | Eb6 | D7 | Gm6 | Cm6 | Eb6 D7 | Gm6 |"


class Seen(DecidingDesk):
    """A desk that notes each arrangement that it shows."""

    def __init__(self) -> None:
        self.shown: list[Arrangement] = []
        super().__init__(keep=None)

    def _show(self) -> None:
        if self.chosen is not None:
            self.shown.append(self.chosen.arrangement)


@pytest.fixture
def desk() -> Seen:
    desk = Seen()
    desk.set("text", TEXT)
    assert desk.wait(LIMIT)
    desk.shown.clear()
    return desk


OWN = """
[[idiom]]
name = "minor fourth"
means = "The minor subdominant replaces the dominant."
before = "V7 I"
after = ["iv6", "I"]
reason = "{1} replaces {was 1}"
"""


def test_idioms_of_ones_own_beside_the_tune_may_be_used_and_stand_in_the_menu(
    tmp_path: Path,
) -> None:
    tune = tmp_path / "slow.txt"
    tune.write_text("Key: C\n| C6 | Am7 | G7 | C6 |", encoding="utf-8")
    (tmp_path / "idioms.toml").write_text(OWN, encoding="utf-8")
    desk = DecidingDesk(tune, keep=None)
    assert desk.wait(LIMIT) and "minor fourth" not in desk.way.moves
    assert "with the idioms of idioms.toml, beside the tune" in settings_html(desk.state)
    place = next(each for each in desk.places if str(desk.way.steps[each.index].chord) == "G7")
    desk.press(place.id)
    assert desk.wait(LIMIT) and desk.others is not None
    number = [each.chords for each in desk.others].index("Fm6")
    desk.press(f"other-{number}")
    assert desk.wait(LIMIT)
    assert [step.move for step in desk.way.added if str(step.chord) == "Fm6"] == ["minor fourth"]
    desk.undo()
    desk.set("move-idioms", True)
    assert desk.wait(LIMIT) and desk.ways is not None
    assert any("minor fourth" in row.arrangement.moves for row in desk.ways.rows)
    # Another tune, opened by its name, has none.
    desk.open("heron_landing")
    assert desk.wait(LIMIT) and not desk.state.own
    (tmp_path / "idioms.toml").write_text(OWN + "colour = 1\n", encoding="utf-8")
    with pytest.raises(HarmonyError, match="unknown key 'colour'"):
        desk.open(str(tune))


def added(desk: DecidingDesk) -> Place:
    return next(place for place in desk.places if desk.way.steps[place.index].added)


def as_heard(way: Arrangement) -> list[tuple[object, ...]]:
    return [(step.chord, step.onset, step.sounds) for step in way.steps]


def test_a_chord_that_is_refused_goes_and_all_far_from_it_stays_at_first(desk: Seen) -> None:
    before, place = desk.way, added(desk)
    step = before.steps[place.index]
    desk.press(place.id)
    desk.refuse()
    quick = next(way for way in desk.shown if way is not before)
    far = [step for step in before.steps if abs(step.bar - place.slot.bar) > 4]
    assert far and set(far) <= set(quick.steps)
    assert desk.wait(LIMIT)
    # In the end it is what a search finds that is asked for all at once.
    demands = Demands(refused=((place.slot.onset, step.chord),))
    (whole,) = reharmonise(TEXT, "ukulele", desk.state.moves, 1, wishes=Wishes(demands=demands))
    assert as_heard(desk.way) == as_heard(whole)
    for way in (quick, desk.way):
        inside = [s for s in way.steps if place.slot.onset <= s.onset < place.slot.end]
        assert step.chord not in [s.chord for s in inside if s.added]


def test_the_tunes_own_chord_is_not_refused(desk: Seen) -> None:
    own = next(place for place in desk.places if not desk.way.steps[place.index].added)
    desk.press(own.id)
    with pytest.raises(HarmonyError, match="own chord"):
        desk.refuse()
    desk.close()
    with pytest.raises(HarmonyError, match="no chord was pressed"):
        desk.lock()


def test_another_is_chosen_from_what_could_stand_and_stays(desk: Seen) -> None:
    place = added(desk)
    desk.press(place.id)
    assert desk.wait(LIMIT) and desk.others
    number = max(range(len(desk.others)), key=lambda n: desk.others[n].extra)  # type: ignore[index]
    wanted = desk.others[number].chosen
    desk.press(f"other-{number}")
    # It is tried, and one more: one step of the history.
    assert desk.place is not None and desk.others
    assert desk.wait(LIMIT)
    stands = [
        (s.chord, s.onset, s.beats) for s in desk.way.steps if (s.chord, s.onset, s.beats) in wanted
    ]
    assert tuple(stands) == wanted
    desk.press("other-0")
    assert desk.wait(LIMIT)
    desk.undo()
    assert desk.wait(LIMIT) and desk.state.decided.wanted == ()


def test_what_is_locked_stands_whatever_else_is_asked(desk: Seen) -> None:
    place = added(desk)
    bar = place.slot.bar
    kept = [s for s in desk.way.steps if s.bar == bar]
    desk.press(f"hold-{bar}")
    desk.set("style", "sparse")
    desk.set("prefer", "descending passing diminished")
    assert desk.wait(LIMIT)
    now = [s for s in desk.way.steps if s.bar == bar]
    assert [(s.chord, s.onset) for s in now] == [(s.chord, s.onset) for s in kept]
    desk.press(f"hold-{bar}")
    assert desk.state.decided.wanted == ()


def test_all_is_undone_and_done_again(desk: Seen) -> None:
    before = as_heard(desk.way)
    desk.press(added(desk).id)
    desk.refuse()
    assert desk.wait(LIMIT)
    refused = as_heard(desk.way)
    desk.set("contour-0", "fall")
    assert desk.wait(LIMIT)
    for found in (refused, before):
        desk.undo()
        assert desk.wait(LIMIT) and as_heard(desk.way) == found
    desk.undo()  # the text that was typed
    assert desk.state.text != TEXT
    desk.redo()
    desk.redo()
    assert desk.wait(LIMIT) and as_heard(desk.way) == refused


def test_the_highest_note_follows_the_contour_of_its_phrase(desk: Seen) -> None:
    """A rise ends higher than a fall; the other phrase is free (by the law of what is asked)."""
    ends = {}
    for contour in ("rise", "fall"):
        desk.set("contour-1", contour)
        assert desk.wait(LIMIT)
        tops = [s.voicing.top for s in desk.way.steps if s.bar >= 4 and s.voicing]
        ends[contour] = tops[-1] - tops[0]
    assert ends["rise"] > ends["fall"]
    assert desk.state.decided.contours == ("", "fall")
    with pytest.raises(HarmonyError, match="unknown control"):
        desk.set("contour-2", "rise")


def test_a_key_that_is_chosen_holds_for_a_tune_that_says_another(desk: Seen) -> None:
    desk.open("slack_water_waltz")
    assert desk.wait(LIMIT) and desk.ways is not None
    own = desk.ways.tune.key
    number = next(n for n in range(3) if f"key-{n}" in desk.parts())
    for number in range(3):
        desk.press(f"key-{number}")
        assert desk.wait(LIMIT)
        if desk.ways.tune.key != own:
            break
    assert desk.ways.tune.key != own and "title" in desk.state.text
    chosen = desk.ways.tune.key
    desk.open("heron_landing")
    assert desk.wait(LIMIT) and desk.state.decided.key == ""
    desk.open("slack_water_waltz")
    assert desk.wait(LIMIT) and desk.ways.tune.key == chosen


FIRST = ReharmoniseState(text="| C6 | A7 | Dm7 | G7 |")


@given(st.lists(st.sampled_from(["set", "undo", "redo"]), max_size=40), st.data())
def test_it_goes_as_two_stacks_do(acts: list[str], data: st.DataObject) -> None:
    """Against the plainest model: a list of all states and a place in it."""
    history, now = History(), FIRST
    line, place = [FIRST], 0
    for act in acts:
        if act == "set":
            after = toggled(now, data.draw(st.integers(1, 4)))
            history.left(now)
            line, place = [*line[: place + 1], after], place + 1
            now = after
        else:
            step = -1 if act == "undo" else 1
            can = 0 <= place + step < len(line)
            assert can == (history.can_undo if step < 0 else history.can_redo)
            found = history.undo(now) if step < 0 else history.redo(now)
            assert (found is not None) == can
            place, now = (place + step, found) if found else (place, now)
        assert now == line[place]


def test_what_is_about_the_same_is_one_step() -> None:
    history, now = History(), FIRST
    for text in ("| C |", "| C | F |", "| C | F | G |"):
        history.left(now, "text")
        now = replace(now, text=text)
    assert history.undo(now) == FIRST and not history.can_undo


def test_what_is_looked_at_stays() -> None:
    history = History()
    history.left(FIRST)
    now = replace(toggled(FIRST, 1), view="staff", beside="best-2")
    assert history.undo(now) == replace(FIRST, view="staff", beside="best-2")
