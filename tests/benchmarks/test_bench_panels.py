"""How soon a panel answers: from a change of a control to the new state sent, in this process.

What a person does is handed to the panel as the browser hands it on; the time ends when the view
has written its message.  Beside it, in the same run: the whole picture drawn anew, and written;
and matplotlib alone drawing as many marks and words, without any of our code.
"""

from __future__ import annotations

import io
import json
import random
import time
from collections.abc import Callable
from typing import Any

import pytest
from matplotlib.figure import Figure
from measured import measured

from harmonykit.workbook.base.panel import Panel
from harmonykit.workbook.panels import (
    catalogue,
    chord_scale,
    clock,
    cube,
    distance,
    distance_scene,
    neck,
    one_note,
)
from harmonykit.workbook.practice import changes_panel, changing, hearing_panel

Message = dict[str, Any]
ACTIONS, LONGEST_MS, PART = 200, 100.0, 1 / 3

# Each panel, what its picture is drawn by, and what is left out since it makes another picture.
PANELS: dict[str, tuple[Callable[[], Panel[Any]], Callable[[Panel[Any]], Any]]] = {
    "clock": (lambda: clock.ClockPanel("C7"), lambda _: clock.scene.__wrapped__()),
    "neck": (
        lambda: neck.NeckPanel("C6"),
        lambda panel: neck.scene.__wrapped__(panel.state.instrument),
    ),
    "one note": (
        one_note.OneNotePanel,
        lambda panel: one_note.scene_of.__wrapped__(panel.state.instrument),
    ),
    "chord scale": (
        chord_scale.ChordScalePanel,
        lambda panel: chord_scale.scene.__wrapped__(panel.state.instrument),
    ),
    "distances": (
        lambda: distance.DistancePanel("A7 C#dim7 C7 C6 Ebdim7 D7 Dm7 Db7 G7"),
        lambda panel: distance_scene.scene_of.__wrapped__(len(panel.state.chords)),
    ),
    "cube": (cube.CubePanel, lambda _: cube.scene.__wrapped__()),
    "catalogue": (
        catalogue.CataloguePanel,
        lambda panel: catalogue.scene.__wrapped__(panel.state.instrument),
    ),
    "changes": (
        lambda: changes_panel.ChangesPanel(folder=None),
        lambda panel: changing._scene.cache_clear() or changing.scene_of(panel.state),
    ),
    "hearing": (
        hearing_panel.HearingPanel,
        lambda panel: hearing_panel.scene_of.__wrapped__(
            panel._cells(panel.state), panel._way(panel.state).instrument
        ),
    ),
}


def messages(panel: Panel[Any], draw: random.Random) -> Message:
    """Return something that a person may do next, the instrument left as it is."""
    controls = [c for c in panel.controls() if c.id not in ("hear", "share", "instrument")]
    if draw.random() < 0.6:
        return {"press": draw.choice(panel.parts())}
    control = draw.choice(controls)
    value: Any = draw.choice(control.options) if control.options else control.value
    if control.kind == "check":
        value = not control.value
    return {"set": control.id, "value": value}


def drawn_anew(panel: Panel[Any], draw_scene: Callable[[Panel[Any]], Any]) -> str:
    """Answer by drawing: the same result of the state, and then the whole picture of it."""
    svg: str = draw_scene(panel).still(panel._shown(panel.state)).svg
    return svg


def by_matplotlib(parts: int) -> str:
    """Draw as many discs as a picture has parts, a word in each, and write them as SVG."""
    figure, out = Figure(), io.StringIO()
    axes = figure.add_axes((0, 0, 1, 1))
    axes.scatter(range(parts), range(parts))
    for place in range(parts):
        axes.text(place, place, "C")
    figure.savefig(out, format="svg")
    return out.getvalue()


def timed(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return (time.process_time() - begun) * 1e3


def percentile(times: list[float], part: float) -> float:
    return sorted(times)[int(part * (len(times) - 1))]


@pytest.mark.parametrize("name", PANELS)
def test_a_panel_answers_within_a_tenth_of_a_second_and_sooner_than_it_is_drawn(name: str) -> None:
    make, draw_scene = PANELS[name]
    panel, draw = make(), random.Random(5)
    written: list[int] = []
    # What goes to the browser is JSON: writing it is part of the time.
    panel.view.send_state = lambda key=None: written.append(
        len(json.dumps(panel.view.get_state(key)))
    )
    answers, drawings = [], []
    parts = len(panel.parts())
    theirs = percentile([timed(lambda: by_matplotlib(parts)) for _ in range(5)], 0.5)
    for turn in range(ACTIONS):
        message = messages(panel, draw)
        answers.append(timed(lambda m=message: panel._heard(panel.view, m, [])))
        if turn % 4 == 0:
            drawings.append(timed(lambda: json.dumps(drawn_anew(panel, draw_scene))))
    middle, slow = percentile(answers, 0.5), percentile(answers, 0.95)
    whole, slowest = percentile(drawings, 0.5), percentile(drawings, 0.95)
    measured(f"panel {name}, median", middle, "ms", beside=("matplotlib", theirs), most=PART)
    measured(f"panel {name}, 95 %", slow, "ms", most=LONGEST_MS)
    measured(f"panel {name}, beside drawing it", slow, "ms", beside=("drawn anew, 95 %", slowest))
    measured(f"panel {name}, a message", sum(written) / len(written) / 1000, "kB")
    assert slow < LONGEST_MS
    assert middle < whole and middle <= PART * theirs
