"""Values show themselves in a notebook: a picture, and where it helps a table.

Theory knows nothing of it: IPython is told the names of the types, and asks here for a picture when
a value is first shown.  Where a table is given it comes with the picture, since a page shows one
form of a value alone; the text is the ``repr``.  Alt text says in words what a picture shows.
"""

from __future__ import annotations

import base64
from collections.abc import Callable
from functools import cache, partial
from html import escape
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from harmonykit.draw.drawing import Drawing

TYPES = {
    "Chord": "harmonykit.theory.chord",
    "PcSet": "harmonykit.theory.sets.pcset",
    "SixthDiminished": "harmonykit.theory.scale",
    "Scale": "harmonykit.theory.modes",
    "Voicing": "harmonykit.fretboard.shapes.voicing",
    "Instrument": "harmonykit.fretboard.strings.instrument",
    "Tune": "harmonykit.tune.tune",
    "Arrangement": "harmonykit.arrange.arrangement",
    "AboutChord": "harmonykit.about.chord",
    "Progression": "harmonykit.about.progression",
}
"""Each type of value that shows itself, and its module."""

WITH_TABLE = ("Arrangement", "AboutChord", "Progression")
"""The types that have a table beside their picture."""


def register(formatters: Any) -> None:
    """Tell IPython's formatters of the values, by the names of their types alone."""
    for name, module in TYPES.items():
        formatters["image/svg+xml"].for_type_by_name(module, name, partial(as_svg, name))
    for name in WITH_TABLE:
        formatters["text/html"].for_type_by_name(TYPES[name], name, partial(as_html, name))


def as_svg(name: str, value: object) -> str:
    """Return a value's picture as a notebook shows it, with the letters that it uses."""
    return _shown(_pictures()[name](value))


def as_html(name: str, value: object) -> str:
    """Return a value's picture with its table below."""
    picture = _pictures()[name](value)
    data = base64.b64encode(_shown(picture).encode()).decode("ascii")
    source = f"data:image/svg+xml;base64,{data}"
    return f'<img src="{source}" alt="{escape(picture.alt)}">\n{_tables()[name](value)}'


def _shown(picture: Drawing) -> str:
    return picture._repr_mimebundle_()["image/svg+xml"]


@cache
def _pictures() -> dict[str, Callable[[Any], Drawing]]:
    """Return what draws each type; figures are loaded when the first value is shown."""
    from harmonykit.draw.values.notes import (
        show_chord,
        show_instrument,
        show_scale,
        show_set,
        show_sixth_diminished,
        show_voicing,
    )
    from harmonykit.draw.values.told import show_about, show_progression
    from harmonykit.draw.values.tunes import show_arrangement, show_tune

    return {
        "Chord": show_chord,
        "PcSet": show_set,
        "SixthDiminished": show_sixth_diminished,
        "Scale": show_scale,
        "Voicing": show_voicing,
        "Instrument": show_instrument,
        "Tune": show_tune,
        "Arrangement": show_arrangement,
        "AboutChord": show_about,
        "Progression": show_progression,
    }


@cache
def _tables() -> dict[str, Callable[[Any], str]]:
    """Return what makes the table of each type that has one."""
    from harmonykit.draw.values.told import table_about, table_of_changes
    from harmonykit.draw.values.tunes import table_of_added

    return {
        "Arrangement": table_of_added,
        "AboutChord": table_about,
        "Progression": table_of_changes,
    }
