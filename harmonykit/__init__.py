"""Harmony for small fretted instruments, from one idea to the lesson that teaches it.

``import harmonykit as hk`` is enough: every public name is reached as ``hk.Name``.  The modules
behind the names, and the libraries behind those, load when a name is first used.

Conventions, everywhere: pitch classes are numbered from C = 0 to B = 11; C4 is middle C, MIDI 60;
strings stand in the instrument's own order; time is in quarter notes, lengths are in millimetres.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    import harmonykit.arrange as arrange
    import harmonykit.arrange.survey as survey
    import harmonykit.draw as draw
    import harmonykit.fretboard as fretboard
    import harmonykit.lesson as lesson
    import harmonykit.practice as practice
    import harmonykit.score as score
    import harmonykit.sound as sound
    import harmonykit.theory as theory
    import harmonykit.tune as tune
    import harmonykit.workbook as workbook
    from harmonykit.about.chord import AboutChord, chord
    from harmonykit.about.progression import Progression, progression
    from harmonykit.arrange.arrangement import Arrangement
    from harmonykit.arrange.front import pareto_front
    from harmonykit.arrange.measures import compare
    from harmonykit.arrange.playability import Playability, playability
    from harmonykit.arrange.search import reharmonise
    from harmonykit.arrange.wishes import Demands, Wishes
    from harmonykit.errors import HarmonyError
    from harmonykit.evidence.heard import Often
    from harmonykit.fretboard.hands.change import change
    from harmonykit.fretboard.hands.hand import Limits, limits_at
    from harmonykit.fretboard.shapes.finding import find_voicings
    from harmonykit.fretboard.shapes.nearest import nearest_shapes, scale_of_chords
    from harmonykit.fretboard.shapes.ranking import rank_shapes
    from harmonykit.fretboard.shapes.reading import read_shape
    from harmonykit.fretboard.shapes.voicing import Voicing
    from harmonykit.fretboard.strings.instrument import Instrument
    from harmonykit.ideas.finder import discover
    from harmonykit.lesson.build import build_lesson
    from harmonykit.paths import find_data, shipped
    from harmonykit.score.files import read_tune, write_tune
    from harmonykit.theory.chord import Chord, read_symbol
    from harmonykit.theory.degree import Degree
    from harmonykit.theory.diminished import approach, diminished_sevenths, parents, resolutions
    from harmonykit.theory.interval import Interval
    from harmonykit.theory.key import Key
    from harmonykit.theory.kin import minor_sixths, raisings
    from harmonykit.theory.leading.neighbours import neighbours
    from harmonykit.theory.leading.voiceleading import (
        best_voice_leading,
        best_voice_leadings,
        displacement,
        distance,
        distance_matrix,
    )
    from harmonykit.theory.modes import Scale, avoid_notes, scales_holding
    from harmonykit.theory.naming import exact_names, name_chords
    from harmonykit.theory.note import Note
    from harmonykit.theory.scale import SixthDiminished, scales_for
    from harmonykit.theory.sets.operation import subsets
    from harmonykit.theory.sets.pcset import PcSet
    from harmonykit.theory.sets.setclass import SetClass, set_classes
    from harmonykit.theory.symbols.dialect import Dialect
    from harmonykit.theory.uses import uses
    from harmonykit.tune.analysis.function import analyse, find_phrases
    from harmonykit.tune.analysis.key_finding import find_keys
    from harmonykit.tune.analysis.surprise import Surprise, how_often, often_next, surprise
    from harmonykit.tune.tune import Tune
    from harmonykit.words.glossary import Term, glossary, term
else:
    __getattr__, __dir__ = offered(__name__, renamed={"chord_scale": "scale_of_chords"})

__version__ = "0.2.0"

__all__ = [
    "AboutChord",
    "Arrangement",
    "Chord",
    "Degree",
    "Demands",
    "Dialect",
    "HarmonyError",
    "Instrument",
    "Interval",
    "Key",
    "Limits",
    "Note",
    "Often",
    "PcSet",
    "Playability",
    "Progression",
    "Scale",
    "SetClass",
    "SixthDiminished",
    "Surprise",
    "Term",
    "Tune",
    "Voicing",
    "Wishes",
    "analyse",
    "approach",
    "arrange",
    "avoid_notes",
    "best_voice_leading",
    "best_voice_leadings",
    "build_lesson",
    "change",
    "chord",
    "compare",
    "diminished_sevenths",
    "discover",
    "displacement",
    "distance",
    "distance_matrix",
    "draw",
    "exact_names",
    "find_data",
    "find_keys",
    "find_phrases",
    "find_voicings",
    "fretboard",
    "glossary",
    "how_often",
    "lesson",
    "limits_at",
    "minor_sixths",
    "name_chords",
    "nearest_shapes",
    "neighbours",
    "often_next",
    "parents",
    "pareto_front",
    "playability",
    "practice",
    "progression",
    "raisings",
    "rank_shapes",
    "read_shape",
    "read_symbol",
    "read_tune",
    "reharmonise",
    "resolutions",
    "scale_of_chords",
    "scales_for",
    "scales_holding",
    "score",
    "set_classes",
    "shipped",
    "sound",
    "subsets",
    "surprise",
    "survey",
    "term",
    "theory",
    "tune",
    "uses",
    "workbook",
    "write_tune",
]

if "IPython" in sys.modules and (_shell := sys.modules["IPython"].get_ipython()):
    # Values show themselves there; their figures are loaded when the first of them is shown.
    from harmonykit.draw.display import register

    register(_shell.display_formatter.formatters)
