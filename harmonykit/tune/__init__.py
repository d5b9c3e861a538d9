"""Music in time: tunes with sections, bars, changes, melody and form.

``hk.read_tune`` reads a file, ``hk.Tune.parse`` a text, ``hk.analyse`` says what the chords do.
"""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.tune.analysis.cadences import Cadence
    from harmonykit.tune.analysis.function import Analysis, Phrase, analyse_chords
    from harmonykit.tune.analysis.numerals import Analysed, Chain
    from harmonykit.tune.bar import Bar, BarChange, BarNote, TuneError
    from harmonykit.tune.class_file import ClassFile, read_class
    from harmonykit.tune.form import Form, Section
    from harmonykit.tune.groove.shelf import groove_for, grooves, read_groove
    from harmonykit.tune.groove.strokes import Low, Stroke
    from harmonykit.tune.groove.value import Groove
    from harmonykit.tune.order import Ending, Mark, Repeat, Span
    from harmonykit.tune.playing import Change, PlayedBar
    from harmonykit.tune.text.writer import write_text
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "Analysed",
    "Analysis",
    "Bar",
    "BarChange",
    "BarNote",
    "Cadence",
    "Chain",
    "Change",
    "ClassFile",
    "Ending",
    "Form",
    "Groove",
    "Low",
    "Mark",
    "Phrase",
    "PlayedBar",
    "Repeat",
    "Section",
    "Span",
    "Stroke",
    "TuneError",
    "analyse_chords",
    "groove_for",
    "grooves",
    "read_class",
    "read_groove",
    "write_text",
]
