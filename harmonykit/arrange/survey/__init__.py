"""Many tunes at once: in which key, on which instrument, does each lie best.

``make`` makes a folder of numbers, and goes on where it was stopped; ``read`` reads it;
``best_keys``, ``class_keys``, ``key_profile``, ``gains`` and ``open_shapes`` say what it shows.
"""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.arrange.survey.opened import open_shapes
    from harmonykit.arrange.survey.run import Work
    from harmonykit.arrange.survey.run import survey as make
    from harmonykit.arrange.survey.table import best_keys, class_keys, gains, key_profile, keys_of
    from harmonykit.arrange.survey.table import read_survey as read
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "Work",
    "best_keys",
    "class_keys",
    "gains",
    "key_profile",
    "keys_of",
    "make",
    "open_shapes",
    "read",
]
