"""The panels of the notebooks, each from a module of its own, and the links between them."""

from harmonykit.workbook.catalogue_panel import CataloguePanel
from harmonykit.workbook.chord_scale_panel import ChordScalePanel
from harmonykit.workbook.clock_panel import ClockPanel
from harmonykit.workbook.cube_panel import CubePanel
from harmonykit.workbook.distance_panel import DistancePanel
from harmonykit.workbook.neck_panel import NeckPanel
from harmonykit.workbook.one_note_panel import OneNotePanel
from harmonykit.workbook.panel import link

__all__ = [
    "CataloguePanel",
    "ChordScalePanel",
    "ClockPanel",
    "CubePanel",
    "DistancePanel",
    "NeckPanel",
    "OneNotePanel",
    "link",
]
