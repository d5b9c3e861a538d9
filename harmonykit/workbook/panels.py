"""The panels of the notebooks, each from a module of its own, and the links between them.

Notebook: 02_four_parents
Notebook: 03_sixth_diminished_scale
Notebook: 04_voice_leading_distances
Notebook: 05_reharmonise_a_tune
Notebook: 06_write_the_lesson
Notebook: 07_set_class_catalogue
"""

from harmonykit.workbook.catalogue_panel import CataloguePanel
from harmonykit.workbook.chord_scale_panel import ChordScalePanel
from harmonykit.workbook.clock_panel import ClockPanel
from harmonykit.workbook.cube_panel import CubePanel
from harmonykit.workbook.distance_panel import DistancePanel
from harmonykit.workbook.neck_panel import NeckPanel
from harmonykit.workbook.one_note_panel import OneNotePanel
from harmonykit.workbook.panel import link
from harmonykit.workbook.reharmonise_panel import ReharmonisePanel
from harmonykit.workbook.writing_panel import WritingPanel

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
