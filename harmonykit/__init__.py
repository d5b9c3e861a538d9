"""Harmony for small fretted instruments, from one idea to the lesson that teaches it.

``import harmonykit as hk`` is enough: every public name is reached as ``hk.Name``.  The modules
behind the names, and the libraries behind those, load when a name is first used.

Conventions, everywhere: pitch classes are numbered from C = 0 to B = 11; C4 is middle C, MIDI 60;
strings stand in the instrument's own order; time is in quarter notes, lengths are in millimetres.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from harmonykit.arrange.measures import compare
    from harmonykit.arrange.search import reharmonise
    from harmonykit.errors import HarmonyError
    from harmonykit.fretboard.shapes.climb import chord_scale
    from harmonykit.fretboard.shapes.voicing import Voicing, find_voicings
    from harmonykit.fretboard.strings.instrument import Instrument
    from harmonykit.lesson.build import build_lesson
    from harmonykit.score.files import read_tune, write_tune
    from harmonykit.theory.chord import Chord, Degree, read_symbol
    from harmonykit.theory.diminished import approach, minor_sixths, parents, resolutions
    from harmonykit.theory.key import Key
    from harmonykit.theory.leading.neighbours import neighbours
    from harmonykit.theory.leading.voiceleading import best_voice_leading, distance, distance_matrix
    from harmonykit.theory.note import Interval, Note
    from harmonykit.theory.scale import SixthDiminished
    from harmonykit.theory.sets.pcset import PcSet
    from harmonykit.theory.sets.setclass import set_classes
    from harmonykit.theory.symbols.dialect import Dialect
    from harmonykit.tune.tune import Tune

__version__ = "0.1.0"

__all__ = [
    "Chord",
    "Degree",
    "Dialect",
    "HarmonyError",
    "Instrument",
    "Interval",
    "Key",
    "Note",
    "PcSet",
    "SixthDiminished",
    "Tune",
    "Voicing",
    "approach",
    "best_voice_leading",
    "build_lesson",
    "chord_scale",
    "compare",
    "distance",
    "distance_matrix",
    "find_voicings",
    "minor_sixths",
    "neighbours",
    "parents",
    "read_symbol",
    "read_tune",
    "reharmonise",
    "resolutions",
    "set_classes",
    "write_tune",
]

_HOMES = {
    "arrange.measures": ("compare",),
    "arrange.search": ("reharmonise",),
    "errors": ("HarmonyError",),
    "fretboard.strings.instrument": ("Instrument",),
    "fretboard.shapes.climb": ("chord_scale",),
    "fretboard.shapes.voicing": ("Voicing", "find_voicings"),
    "lesson.build": ("build_lesson",),
    "score.files": ("read_tune", "write_tune"),
    "theory.chord": ("Chord", "Degree", "read_symbol"),
    "theory.symbols.dialect": ("Dialect",),
    "theory.diminished": ("approach", "minor_sixths", "parents", "resolutions"),
    "theory.key": ("Key",),
    "theory.note": ("Interval", "Note"),
    "theory.sets.pcset": ("PcSet",),
    "theory.sets.setclass": ("set_classes",),
    "theory.scale": ("SixthDiminished",),
    "theory.leading.neighbours": ("neighbours",),
    "theory.leading.voiceleading": ("best_voice_leading", "distance", "distance_matrix"),
    "tune.tune": ("Tune",),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}


def __getattr__(name: str) -> object:
    if name not in _HOME_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value: object = getattr(import_module(f"{__name__}.{_HOME_OF[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
