"""The panels of the notebooks, each from a module of its own, and the links between them."""

from harmonykit.workbook.clock_panel import ClockPanel
from harmonykit.workbook.panel import link

__all__ = ["ClockPanel", "link"]
