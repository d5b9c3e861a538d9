"""The panels of the notebooks, and exercises.

A panel is shown where it is the last line of a cell: ``hk.workbook.ClockPanel("C6")``.
"""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.workbook.base.panel import link
    from harmonykit.workbook.essay.panel import CodeSwitch, EssayPanel, StartPanel
    from harmonykit.workbook.ideas.panel import IdeasPanel
    from harmonykit.workbook.panels.catalogue import CataloguePanel
    from harmonykit.workbook.panels.chord_scale import ChordScalePanel
    from harmonykit.workbook.panels.clock import ClockPanel
    from harmonykit.workbook.panels.cube import CubePanel
    from harmonykit.workbook.panels.distance import DistancePanel
    from harmonykit.workbook.panels.neck import NeckPanel
    from harmonykit.workbook.panels.one_note import OneNotePanel
    from harmonykit.workbook.panels.turn import TurnPanel
    from harmonykit.workbook.practice.changes_panel import ChangesPanel
    from harmonykit.workbook.practice.hearing_panel import HearingPanel
    from harmonykit.workbook.practice.panel import ExercisePanel
    from harmonykit.workbook.practice.read_box import ReadBox
    from harmonykit.workbook.practice.set_panel import SetPanel
    from harmonykit.workbook.reharmonise.panel import ReharmonisePanel
    from harmonykit.workbook.writing.panel import WritingPanel
    from harmonykit.workbook.writing.reader import LessonReader
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "CataloguePanel",
    "ChangesPanel",
    "ChordScalePanel",
    "ClockPanel",
    "CodeSwitch",
    "CubePanel",
    "DistancePanel",
    "EssayPanel",
    "ExercisePanel",
    "HearingPanel",
    "IdeasPanel",
    "LessonReader",
    "NeckPanel",
    "OneNotePanel",
    "ReadBox",
    "ReharmonisePanel",
    "SetPanel",
    "StartPanel",
    "TurnPanel",
    "WritingPanel",
    "link",
]
