"""The bars of a rehearsal, as the page's script lays them, against the library's."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page

from harmonykit.sound.performance import count_in_bars
from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.sound.turns import turns_of

Load = Callable[[str], Page]
SCRIPT = "page/form.js"


def form_of(how: Rehearsal) -> dict[str, Any]:
    return {
        "tempi": how.tempi, "times": how.times, "countIn": how.count_in, "beats": how.beats,
        "intro": 0, "left": how.left, "names": how.names,
    }  # fmt: skip


def test_page_and_files_lay_the_same_bars(load: Load) -> None:
    """Three hundred rehearsals by chance: each bar, its tempo, and what is left and told."""
    draw, asked, wanted = random.Random(22), [], []
    for _ in range(300):
        how = Rehearsal(
            tempi=tuple(draw.choices(range(30, 151, 10), k=draw.randrange(1, 6))),
            times=draw.choice([0, 0, 1, 2, 3]),
            left=draw.choice(["", "call and answer", "disappearing"]),
            names=draw.choice(["", "once", "always"]),
        )
        count, loop = draw.randrange(1, 34), draw.random() < 0.5
        lead = 0 if not loop and count > 1 and draw.random() < 0.5 else -1
        begin = draw.randrange(5) if loop else 0
        first = list(range(begin, begin + count))
        again = first[1:] if lead == 0 and draw.random() < 0.5 else first
        intro = [] if loop else first[count - draw.randrange(3) :]
        asked.append(
            [form_of(how), {"first": first, "again": again, "intro": intro, "lead": lead,
                            "loop": loop, "endless": False}]
        )  # fmt: skip
        wanted.append(
            [
                [turn.bar, turn.time, turn.tempo, turn.left, turn.named, turn.opening]
                for turn in turns_of(how, first, again, lead, loop=loop, intro=intro)
            ]
        )
    found = load(SCRIPT).evaluate(
        "(all) => all.map(([form, order]) => kit.turnsOf(form, order)"
        ".map((t) => [t.bar, t.time, t.tempo, t.left, t.named, t.opening]))",
        asked,
    )
    assert found == wanted


def test_a_loop_goes_on_at_the_last_tempo(load: Load) -> None:
    order = {"first": [4, 5], "again": [4, 5], "intro": [], "lead": -1, "loop": True,
             "endless": True}  # fmt: skip
    form = form_of(Rehearsal(tempi=(50, 100), times=1))
    found = load(SCRIPT).evaluate(
        "([form, order]) => { let turn = kit.turnAt(form, order, { time: 0, index: 0, place: 0 });"
        " const all = []; for (let n = 0; n < 8; n += 1) { all.push([turn.bar, turn.tempo]);"
        " turn = kit.turnAfter(form, order, turn); } return all; }",
        [form, order],
    )
    assert found == [[4, 50], [5, 50], *[[4, 100], [5, 100]] * 3]


def test_as_many_bars_are_counted_in_as_the_library_counts(load: Load) -> None:
    cases = [(beats, tempo) for beats in (2, 3, 4, 5) for tempo in range(40, 260, 7)]
    found = load(SCRIPT).evaluate(
        "([form, all]) => all.map(([count, tempo]) =>"
        " kit.countIn(form, 100, [count, 60 / tempo]).beats / count)",
        [form_of(Rehearsal()), cases],
    )
    assert found == [count_in_bars((beats, 4), tempo) for beats, tempo in cases]
