"""The panels of the notebooks, each from a module of its own, and the links between them.

Notebook: 02_four_parents
Notebook: 03_sixth_diminished_scale
Notebook: 04_voice_leading_distances
Notebook: 05_reharmonise_a_tune
Notebook: 06_write_the_lesson
Notebook: 07_set_class_catalogue
"""

from harmonykit.workbook.base.panel import link
from harmonykit.workbook.panels.catalogue import CataloguePanel
from harmonykit.workbook.panels.chord_scale import ChordScalePanel
from harmonykit.workbook.panels.clock import ClockPanel
from harmonykit.workbook.panels.cube import CubePanel
from harmonykit.workbook.panels.distance import DistancePanel
from harmonykit.workbook.panels.neck import NeckPanel
from harmonykit.workbook.panels.one_note import OneNotePanel
from harmonykit.workbook.reharmonise.panel import ReharmonisePanel
from harmonykit.workbook.writing.panel import WritingPanel

__all__ = [
    "CataloguePanel",
    "ChordScalePanel",
    "ClockPanel",
    "CubePanel",
    "DistancePanel",
    "NeckPanel",
    "OneNotePanel",
    "ReharmonisePanel",
    "WritingPanel",
    "link",
]
